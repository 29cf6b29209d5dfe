#include "view/mesh.h"

#include <cmath>

#include <algorithm>
#include <iterator>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "hand_model.h"
#include "view/unit_field.h"

namespace underfoot {
namespace {

using namespace hand;

double areaOf(const Vertices& v) {
    double sum = 0;
    for (size_t i = 0; i + 2 < v.size(); i += 3) {
        const glm::dvec3 a{v[i].x, v[i].y, v[i].z}, b{v[i + 1].x, v[i + 1].y, v[i + 1].z},
            c{v[i + 2].x, v[i + 2].y, v[i + 2].z};
        sum += 0.5 * glm::length(glm::cross(b - a, c - a));
    }
    return sum;
}

TEST(CapMeshes, coverTheCutFaceOfEachLayer) {
    // Along y = 2.5 from x = 0 to 8; on the patio (4 m) thicknesses as in hand_model.h:
    //   units 4 * 0.06 = 0.24
    //   bed   mean of 0.02 and 0.06, times 4 = 0.16
    //   base  mean of 0.17 and 0.13, times 4 = 0.60
    //   soil  8 * 0.6 - 4 * 0.2 = 4.0
    const auto made = model();
    const CapMeshes caps = capMeshes(*made, cut(*made, {{-1, 2.5}, {9, 2.5}}));
    EXPECT_NEAR(areaOf(caps.layers[unitsLayer]), 0.24, 1e-6);
    EXPECT_NEAR(areaOf(caps.layers[bedLayer]), 0.16, 1e-6);
    EXPECT_NEAR(areaOf(caps.layers[baseLayer]), 0.60, 1e-6);
    EXPECT_NEAR(areaOf(caps.layers[soilLayer]), 4.0, 1e-5);
}

TEST(CapMeshes, lookToTheLeftOfTheLine) {
    const auto made = model();
    const CapMeshes caps = capMeshes(*made, cut(*made, {{-1, 2.5}, {9, 2.5}}));
    ASSERT_FALSE(caps.layers[baseLayer].empty());
    for (const Vertex& v : caps.layers[baseLayer]) {
        EXPECT_EQ(v.ny, 127);
        EXPECT_EQ(v.kind, static_cast<uint8_t>(FaceKind::Cap));
    }
}

TEST(CapMeshes, ofOneLayerHoldNothingElse) {
    const auto made = model();
    const CapMeshes caps = capMeshes(*made, cut(*made, {{-1, 2.5}, {9, 2.5}}), bedLayer);
    EXPECT_FALSE(caps.layers[bedLayer].empty());
    EXPECT_TRUE(caps.layers[baseLayer].empty());
    EXPECT_TRUE(caps.layers[soilLayer].empty());
}

TEST(CapMeshes, drawAThinMembraneBold) {
    Model made = Maker().make();
    made.layers[bedLayer].role = Role::Geotextile;
    // 0.02 m at its thinnest is already bolder than the line: nothing changes.
    EXPECT_NEAR(areaOf(capMeshes(made, cut(made, {{-1, 2.5}, {9, 2.5}})).layers[bedLayer]), 0.16, 1e-6);
    for (double& height : made.heights)
        if (height < -0.02 && height > -0.1) height = -0.012;  // now 2 mm thick
    EXPECT_NEAR(areaOf(capMeshes(made, cut(made, {{-1, 2.5}, {9, 2.5}})).layers[bedLayer]), 4 * boldMembrane,
                1e-6);
}

TEST(LayerMesh, carriesThicknessAndDepth) {
    const auto made = model();
    for (const Vertex& v : wholeLayerMesh(*made, bedLayer)) {
        if (v.kind != static_cast<uint8_t>(FaceKind::Top)) continue;
        EXPECT_NEAR(v.thickness, 0.02 + 0.01 * (v.x - 2), 1e-6);
        EXPECT_NEAR(v.depth, 0.06, 1e-6);
    }
}

TEST(LayerMesh, marksUntouchedGroundAsSod) {
    const auto made = model();
    for (const Vertex& v : layerMeshes(*made, soilLayer).solid) {
        const bool inside = v.x > 2.01 && v.x < 5.99 && v.y > 1.01 && v.y < 3.99;
        if (inside) {
            EXPECT_EQ(v.sod, 0);
        }
        if (v.kind == 0 && v.z > -0.01) {
            EXPECT_EQ(v.sod, 1);
        }
    }
}

TEST(UnitMesh, standsForTheLayerWhereUnitsAreLaid) {
    const auto made = modelWithUnits();
    EXPECT_TRUE(layerMeshes(*made, unitsLayer).solid.empty());
    EXPECT_GT(unitMesh(*made, unitsLayer).size(), 0U);
    EXPECT_NEAR(areaOf(layerMeshes(*made, unitsLayer).joints), 12, 1e-5);  // 4 x 3 m of tops
    for (const Vertex& v : layerMeshes(*made, unitsLayer).joints) EXPECT_LT(v.z, 0.05F - 0.003F);
}

TEST(UnitTiles, holdEveryUnitOnceInsideTheirBoxes) {
    const auto made = modelWithUnits();
    const std::vector<UnitTile> tiles = unitTiles(*made, unitsLayer, 7);
    EXPECT_GT(tiles.size(), 1U);
    std::vector<int> seen;
    size_t vertices = 0;
    for (const UnitTile& tile : tiles) {
        EXPECT_EQ(tile.layer, unitsLayer);
        seen.insert(seen.end(), tile.units.begin(), tile.units.end());
        const Vertices mesh = unitMesh(*made, tile.units);
        vertices += mesh.size();
        for (const Vertex& v : mesh) {
            EXPECT_GE(v.x, tile.box.low.x - 1e-5);
            EXPECT_LE(v.x, tile.box.high.x + 1e-5);
            EXPECT_GE(v.z, tile.box.low.z - 1e-5);
            EXPECT_LE(v.z, tile.box.high.z + 1e-5);
        }
    }
    std::sort(seen.begin(), seen.end());
    ASSERT_EQ(seen.size(), made->units.size());
    for (size_t i = 0; i < seen.size(); ++i) EXPECT_EQ(seen[i], static_cast<int>(i));
    EXPECT_EQ(vertices, unitMesh(*made, unitsLayer).size());
    EXPECT_TRUE(unitTiles(*made, bedLayer, 7).empty());
}

TEST(UnitTops, coverWhatTheUnitsCoverInPlan) {
    Model made = *modelWithUnits();
    // An L beside the others: 3 squares of 0.1 m. A fan from its first corner would leave it.
    UnitPiece ell = made.units[0];
    ell.firstCorner = static_cast<int>(made.unitCorners.size());
    ell.corners = 6;
    ell.planArea = 0.03;
    const glm::dvec2 ellCorners[] = {{0.2, 0.1}, {0.1, 0.1}, {0.1, 0.2}, {0, 0.2}, {0, 0}, {0.2, 0}};
    made.unitCorners.insert(made.unitCorners.end(), std::begin(ellCorners), std::end(ellCorners));
    made.units.push_back(ell);
    for (size_t i = 0; i < made.units.size(); ++i) {
        const SharedTriangles tops = unitTops(made, {static_cast<int>(i)});
        double area = 0;
        for (size_t t = 0; t < tops.corners.size(); t += 3) {
            const Vertex &a = tops.vertices[tops.corners[t]], &b = tops.vertices[tops.corners[t + 1]],
                         &c = tops.vertices[tops.corners[t + 2]];
            const double twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
            EXPECT_GT(twice, 0);
            area += twice / 2;
        }
        EXPECT_NEAR(area, made.units[i].planArea, 1e-6) << i;
        for (const Vertex& v : tops.vertices) EXPECT_NEAR(v.z, made.units[i].top.height({v.x, v.y}), 1e-5);
    }
}

TEST(RimMesh, closesTheLayerOfUnitsWithItsTop) {
    // 4 x 3 m of bottom; with the tops a closed solid: upright faces sum to no area seen from above.
    const auto made = modelWithUnits();
    double under = 0;
    for (const Vertex& v : layerMeshes(*made, unitsLayer).rim) {
        EXPECT_NE(v.kind, static_cast<uint8_t>(FaceKind::Top));
        under += v.kind == static_cast<uint8_t>(FaceKind::Bottom);
    }
    EXPECT_GT(under, 0);
    EXPECT_EQ(layerMeshes(*made, unitsLayer).rim.size() + layerMeshes(*made, unitsLayer).joints.size(),
              wholeLayerMesh(*made, unitsLayer).size());
}

TEST(UnitPrisms, areTheUnitMeshWithVerticesShared) {
    Model model = *modelWithUnits();
    for (UnitPiece& unit : model.units) unit.chamfer = 0.004;
    const std::vector<int> units{0, 1, 2};
    const Vertices each = unitMesh(model, units);
    const SharedTriangles shared = unitPrisms(model, units);
    ASSERT_EQ(shared.corners.size(), each.size());
    // 12 points; 10 faces, of which those at the underside find their corners taken by the sides: 1 or 2
    // more.
    EXPECT_LE(shared.vertices.size(), 3U * 14U);
    for (size_t t = 0; t < each.size(); t += 3) {
        // Turned so that the telling corner comes last: the same places in the same order round.
        const auto place = [&](size_t i) { return shared.vertices[shared.corners[t + i]]; };
        const auto sameAs = [&](size_t turn) {
            bool same = true;
            for (size_t i = 0; i < 3; ++i) {
                const Vertex a = each[t + (i + turn) % 3], b = place(i);
                same = same && a.x == b.x && a.y == b.y && a.z == b.z && a.variation == b.variation;
            }
            return same;
        };
        EXPECT_TRUE(sameAs(0) || sameAs(1) || sameAs(2)) << "triangle " << t / 3;
        EXPECT_EQ(place(2).nx, each[t].nx);
        EXPECT_EQ(place(2).ny, each[t].ny);
        EXPECT_EQ(place(2).nz, each[t].nz);
        EXPECT_EQ(place(2).kind, each[t].kind);
    }
}

TEST(UnitField, findsTheUnitOverAPlace) {
    Model model = *modelWithUnits();  // from (2, 1) to (5, 2), 1 x 1 m each
    model.unitCorners[1] = {2.9, 1};  // the first ends in a slanting side, with a joint like a wedge
    const UnitField field = unitField(model, unitsLayer);
    EXPECT_EQ(field.unitAt({2.5, 1.5}), 0);
    EXPECT_EQ(field.unitAt({2.94, 1.2}), -1);  // the side passes x = 2.92 there
    EXPECT_EQ(field.unitAt({2.91, 1.2}), 0);
    EXPECT_EQ(field.unitAt({3.2, 1.01}), 1);
    EXPECT_EQ(field.unitAt({4.99, 1.99}), 2);
    for (glm::dvec2 outside : {glm::dvec2{1.9, 1.5}, {5.1, 1.5}, {3, 0.9}, {3, 2.1}})
        EXPECT_EQ(field.unitAt(outside), -1);
    EXPECT_EQ(unitField(model, bedLayer).unitAt({2.5, 1.5}), -1);
}

}  // namespace
}  // namespace underfoot
