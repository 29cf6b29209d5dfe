#include "view/mesh.h"

#include <cmath>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "hand_model.h"

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
    for (const Vertex& v : layerMesh(*made, soilLayer)) {
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
    EXPECT_TRUE(layerMesh(*made, unitsLayer).empty());
    const size_t all = unitMesh(*made, unitsLayer).size();
    EXPECT_GT(all, 0U);
    size_t inParts = 0;
    for (size_t first = 0; first < made->units.size(); first += 7)
        inParts += unitMesh(*made, unitsLayer, first, 7).size();
    EXPECT_EQ(inParts, all);
    EXPECT_TRUE(unitMesh(*made, unitsLayer, made->units.size(), 7).empty());
    EXPECT_NEAR(areaOf(jointMesh(*made, unitsLayer)), 12, 1e-5);  // 4 x 3 m of tops
    for (const Vertex& v : jointMesh(*made, unitsLayer)) EXPECT_LT(v.z, 0.05F - 0.003F);
}

}  // namespace
}  // namespace underfoot
