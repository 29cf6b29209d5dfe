#include "study/water_flow.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <random>

#include "hand_model.h"
#include "study/water.h"

namespace underfoot {
namespace {

using HeightAt = std::function<double(int, int)>;

/// Squares of one metre, each cut from its lower left to its upper right corner (or the other way).
WaterSurface squares(int columns, int rows, const HeightAt& height, bool falling = false, double mirror = 1) {
    std::vector<glm::dvec3> nodes;
    for (int j = 0; j <= rows; ++j)
        for (int i = 0; i <= columns; ++i) nodes.emplace_back(mirror * i, j, height(i, j));
    std::vector<std::array<int, 3>> faces;
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < columns; ++i) {
            const int a = j * (columns + 1) + i, b = a + 1, c = b + columns + 1, d = a + columns + 1;
            std::array<std::array<int, 3>, 2> two{{{a, b, c}, {a, c, d}}};
            if (falling) two = {{{a, b, d}, {b, c, d}}};
            for (std::array<int, 3> face : two) {
                if (mirror < 0) std::swap(face[1], face[2]);
                faces.push_back(face);
            }
        }
    }
    return waterSurface(nodes, faces);
}

double totalOf(const std::vector<WaterOutlet>& all) {
    double sum = 0;
    for (const WaterOutlet& one : all) sum += one.catchment;
    return sum;
}

WaterSurface randomSquares(unsigned seed, int size, double roundTo, double mirror = 1, bool falling = false) {
    std::mt19937 lot(seed);
    std::vector<double> heights;
    for (int i = 0; i < (size + 1) * (size + 1); ++i)
        heights.push_back(std::floor(static_cast<double>(lot() % 1000) / roundTo) * roundTo / 1000);
    return squares(
        size, size, [&](int i, int j) { return heights[static_cast<size_t>(j * (size + 1) + i)]; }, falling,
        mirror);
}

TEST(WaterFlow, ATiltedPlaneHasNoPondAndAllLeavesByItsLowEdge) {
    // Falls 2 % along x only: the sides are along the fall, and nothing leaves there. 4 x 3 m.
    const WaterSurface plane = squares(4, 3, [](int i, int) { return 1 - 0.02 * i; });
    WaterFlow flow(plane);
    EXPECT_TRUE(flow.ponds().empty());
    const auto all = flow.catchments();
    EXPECT_NEAR(totalOf(all), 12, 1e-12);
    for (const WaterOutlet& one : all) {
        ASSERT_EQ(one.end.kind, WaterEndKind::Leaves);
        const WaterFace& face = plane.faces[static_cast<size_t>(one.end.index / 3)];
        const auto e = static_cast<size_t>(one.end.index % 3);
        EXPECT_EQ(plane.at(face.node[(e + 1) % 3]).x, 4);
        EXPECT_EQ(plane.at(face.node[(e + 2) % 3]).x, 4);
        EXPECT_NEAR(one.catchment, 4, 1e-12);  // each metre of the edge has its strip of 4 m
    }
    EXPECT_EQ(all.size(), 3U);
    const auto way = flow.path({0.3, 1.6});
    ASSERT_TRUE(way.has_value());
    EXPECT_NEAR(way->points.back().x, 4, 1e-12);
    EXPECT_NEAR(way->points.back().y, 1.6, 1e-12);
    EXPECT_NEAR(way->points.back().z, 0.92, 1e-12);
    EXPECT_FALSE(flow.path({4.5, 1}).has_value());
}

/// A pond of two square rings of corners: bottom 2a wide at 0, rim 2b wide at `height`, open round it.
WaterSurface frustum(double a, double b, double height) {
    std::vector<glm::dvec3> nodes{{-a, -a, 0},      {a, -a, 0},      {a, a, 0},      {-a, a, 0},
                                  {-b, -b, height}, {b, -b, height}, {b, b, height}, {-b, b, height}};
    std::vector<std::array<int, 3>> faces{{0, 1, 2}, {0, 2, 3}};
    for (int i = 0; i < 4; ++i) {
        const int n = (i + 1) % 4;
        faces.push_back({4 + i, 4 + n, n});
        faces.push_back({4 + i, n, i});
    }
    return waterSurface(nodes, faces);
}

/// Squares of one metre at their lower left corners, the far side of each moved by a little; all fall 2 %.
WaterSurface apart(const std::vector<glm::dvec2>& at, const std::vector<double>& wider = {}) {
    std::map<std::pair<double, double>, int> known;
    std::vector<glm::dvec3> nodes;
    std::vector<std::array<int, 3>> faces;
    const auto node = [&](double x, double y) {
        const auto [found, isNew] = known.emplace(std::pair{x, y}, static_cast<int>(nodes.size()));
        if (isNew) nodes.emplace_back(x, y, -0.02 * y);
        return found->second;
    };
    for (size_t i = 0; i < at.size(); ++i) {
        const glm::dvec2 p = at[i], q = p + 1.0 + glm::dvec2{i < wider.size() ? wider[i] : 0.0, 0};
        const int a = node(p.x, p.y), b = node(q.x, p.y), c = node(q.x, q.y), d = node(p.x, q.y);
        faces.push_back({a, b, c});
        faces.push_back({a, c, d});
    }
    return waterSurface(nodes, faces);
}

// Three squares in an L: x = (2 x 1 + 1 x 0.5) / 3 = 5/6, and y the same. Eight round a hole have their
// centre in the hole: the middle lies on the piece beside it.
TEST(WaterPieces, AreMarkedAtTheCentreOfTheirAreaOrNearItOnThem) {
    const auto ell = flatPieces({}, {}, apart({{0, 0}, {1, 0}, {0, 1}}));
    ASSERT_EQ(ell.size(), 1u);
    EXPECT_NEAR(ell[0].middle.x, 5.0 / 6, 1e-12);
    EXPECT_NEAR(ell[0].middle.y, 5.0 / 6, 1e-12);
    const auto ring =
        flatPieces({}, {}, apart({{0, 0}, {1, 0}, {2, 0}, {0, 1}, {2, 1}, {0, 2}, {1, 2}, {2, 2}}));
    ASSERT_EQ(ring.size(), 1u);
    const glm::dvec2 off = ring[0].middle - 1.5;
    EXPECT_GT(std::max(std::abs(off.x), std::abs(off.y)), 0.5);
    EXPECT_LT(std::max(std::abs(off.x), std::abs(off.y)), 1.0);
}

// Alike but for a billionth: in the order they lie in, not in that of the billionths. A centimetre is more.
TEST(WaterPieces, AsLargeButForRoundingGoByTheirPlace) {
    const std::vector<glm::dvec2> at{{6, 0}, {0, 0}, {3, 0}};
    const auto xs = [&](const std::vector<double>& wider) {
        std::vector<double> found;
        for (const FlatPiece& piece : flatPieces({}, {}, apart(at, wider))) found.push_back(piece.middle.x);
        return found;
    };
    EXPECT_THAT(xs({1e-9, 2e-9, 3e-9}), testing::Pointwise(testing::DoubleNear(1e-6), {0.5, 3.5, 6.5}));
    EXPECT_THAT(xs({0, 0, 0.01}), testing::Pointwise(testing::DoubleNear(1e-6), {3.505, 0.5, 6.5}));
}

TEST(WaterFlow, AFrustumHoldsWhatThePrismoidalFormulaSays) {
    // V = (A + 4 B + C) / 6 x D of USDA Agriculture Handbook 590, Ponds: Planning, Design, Construction (the
    // excavated pond): A top, B half way, C bottom. Bottom 2 x 2, top 6 x 6, 1.5 deep: (36 + 4 x 16 + 4) / 6
    // x 1.5 = 26.
    const WaterSurface pan = frustum(1, 3, 1.5);
    WaterFlow flow(pan);
    ASSERT_EQ(flow.ponds().size(), 1U);
    const Pond& pond = flow.ponds()[0];
    EXPECT_NEAR(pond.volume, 26, 1e-12);
    EXPECT_NEAR(pond.planArea, 36, 1e-12);
    EXPECT_NEAR(pond.depth, 1.5, 1e-12);
    EXPECT_EQ(pond.level, 1.5);
    ASSERT_EQ(pond.rings.size(), 1U);
    EXPECT_THAT(pond.rings[0], testing::SizeIs(4));
    EXPECT_NEAR(signedArea(pond.rings[0]), 36, 1e-12);
    EXPECT_EQ(pond.overflow.kind, WaterEndKind::Leaves);
    const auto all = flow.catchments();
    ASSERT_EQ(all.size(), 1U);
    EXPECT_NEAR(flow.ponds()[0].catchment, 36, 1e-12);
}

TEST(WaterFlow, ALowerPlaceOnTheRimSpills) {
    // The rim's first corner (-3, -3) is lowered to 0.6. At level 0.6 the two faces beside that corner reach
    // it in the point itself. The other two sides of the frustum are 0.6 / 1.5 of the way up.
    WaterSurface pan = frustum(1, 3, 1.5);
    pan.nodes[4].z = 0.6;
    std::vector<std::array<int, 3>> faces;
    for (const WaterFace& face : pan.faces) faces.push_back(face.node);
    const WaterSurface lowered = waterSurface(pan.nodes, faces);
    WaterFlow flow(lowered);
    ASSERT_EQ(flow.ponds().size(), 1U);
    EXPECT_EQ(flow.ponds()[0].level, 0.6);
    EXPECT_EQ(flow.ponds()[0].spill, (glm::dvec2{-3, -3}));
    const auto way = flow.path({0, 2.9});
    ASSERT_TRUE(way.has_value());
    EXPECT_EQ(way->end, (WaterEnd{WaterEndKind::Pond, 0}));
}

TEST(WaterFlow, PondsThatMeetWhileTheyFillAreOne) {
    // A trough along x, 6 x 2, walls at 1 on y = 0 and y = 2, bed on y = 1. Two hollows at 0 and 0.1 parted
    // by a sill of 0.3, the ends at 0.5: one pond at 0.5. With an end at 0.2 two: at 0.3 and at 0.2.
    const auto trough = [](double end) {
        return squares(6, 2, [end](int i, int j) {
            const std::array<double, 7> bed{1, 1, 0, 0.3, 0.1, end, end};
            return j == 1 ? bed[static_cast<size_t>(i)] : 1.0;
        });
    };
    const WaterSurface one = trough(0.5), two = trough(0.2);
    WaterFlow deep(one), parted(two);
    ASSERT_EQ(deep.ponds().size(), 1U);
    EXPECT_EQ(deep.ponds()[0].level, 0.5);
    EXPECT_EQ(deep.ponds()[0].depth, 0.5);
    ASSERT_EQ(parted.ponds().size(), 2U);
    EXPECT_EQ(parted.ponds()[0].level, 0.3);
    EXPECT_EQ(parted.ponds()[1].level, 0.2);
    EXPECT_EQ(parted.ponds()[0].overflow, (WaterEnd{WaterEndKind::Pond, 1}));
    EXPECT_EQ(parted.ponds()[1].overflow.kind, WaterEndKind::Leaves);
}

TEST(WaterFlow, ARoofDrainsHalfToEachSide) {
    // A ridge along x = 3 of 6 m, 4 m wide; 12 m² to each end.
    const WaterSurface roof = squares(6, 4, [](int i, int) { return -0.02 * std::abs(i - 3); });
    WaterFlow flow(roof);
    double low = 0, high = 0;
    for (const WaterOutlet& one : flow.catchments()) {
        const WaterFace& face = roof.faces[static_cast<size_t>(one.end.index / 3)];
        const double x = roof.at(face.node[static_cast<size_t>(one.end.index + 1) % 3]).x;
        (x < 3 ? low : high) += one.catchment;
    }
    EXPECT_NEAR(low, 12, 1e-12);
    EXPECT_NEAR(high, 12, 1e-12);
}

TEST(WaterFlow, AnInletTakesWhatRunsToIt) {
    // Into a pan whose deepest place is an inlet all runs, and nothing stands.
    WaterSurface pan = frustum(1, 3, 1.5);
    ASSERT_TRUE(addInlet(pan, {0.25, 0.5}));
    ASSERT_FALSE(addInlet(pan, {9, 9}));
    EXPECT_NEAR(pan.area(), 36, 1e-12);
    WaterFlow flow(pan);
    EXPECT_TRUE(flow.ponds().empty());
    const auto all = flow.catchments();
    ASSERT_EQ(all.size(), 1U);
    EXPECT_EQ(all[0].end, (WaterEnd{WaterEndKind::Inlet, 0}));
    EXPECT_NEAR(all[0].catchment, 36, 1e-12);
}

TEST(WaterFlow, WaterDropsOverAStepAndStandsAtItsFoot) {
    // The right half lies 0.1 lower and falls back toward the step by 10 %: water stands 0.1 deep
    // against the step, 1 m wide, and spills back over its top.
    hand::Grid grid;
    grid.columns = 4, grid.width = 4, grid.rows = 2, grid.height = 2;
    hand::Stack high = hand::patioStack(hand::level(-0.1)), low = high;
    high.interfaces[0] = hand::level(0);
    low.interfaces[0] = [](glm::dvec2 p) { return -0.1 + 0.1 * (p.x - 2); };
    grid.stackOf = [](glm::dvec2 p) { return p.x < 2 ? 0 : 1; };
    const Model model = hand::gridModel(grid, hand::patioLayers(), {high, low});
    const WaterSurface surface = waterSurface(model, WaterOn::Finish);
    EXPECT_NEAR(surface.area(), 8, 1e-12);
    WaterFlow flow(surface);
    // The rim of the lower half is open at y = 0 and 2 down to -0.1: only its middle line could hold water,
    // and falls to the foot at (2, 1), which is level with the rim's corners (2, 0) and (2, 2).
    EXPECT_TRUE(flow.ponds().empty());
    WaterSurface walled = surface;
    for (WaterFace& face : walled.faces) {
        for (size_t e = 0; e < 3; ++e) {
            const double y = walled.at(face.node[(e + 1) % 3]).y;
            const bool side = y == walled.at(face.node[(e + 2) % 3]).y && (y == 0 || y == 2);
            if (side && face.beside[e] < 0) face.rim[e] = RimKind::Wall;
        }
    }
    WaterFlow held(walled);
    ASSERT_EQ(held.ponds().size(), 1U);
    EXPECT_NEAR(held.ponds()[0].volume, 0.1, 1e-12);  // 1/2 x 1 m x 0.1 m x 2 m
    EXPECT_NEAR(held.ponds()[0].depth, 0.1, 1e-12);
    EXPECT_NEAR(totalOf(held.catchments()), 8, 1e-12);
}

// ---------------------------------------------------------------- properties on rough ground

class Rough : public testing::TestWithParam<unsigned> {};

// Another way to the levels: start flooded, lower until nothing changes (Planchon and Darboux 2002, A fast,
// simple and versatile algorithm to fill the depressions of digital elevation models, Catena 46).
std::vector<double> lowered(const WaterSurface& surface) {
    std::vector<double> level(surface.nodes.size(), std::numeric_limits<double>::infinity());
    for (const WaterFace& face : surface.faces)
        for (size_t e = 0; e < 3; ++e)
            if (face.beside[e] < 0)
                for (const size_t c : {(e + 1) % 3, (e + 2) % 3})
                    level[static_cast<size_t>(face.node[c])] = surface.z(face.node[c]);
    for (bool changed = true; changed;) {
        changed = false;
        for (const WaterFace& face : surface.faces)
            for (const int a : face.node)
                for (const int b : face.node) {
                    const double to = std::max(surface.z(a), level[static_cast<size_t>(b)]);
                    if (to >= level[static_cast<size_t>(a)]) continue;
                    level[static_cast<size_t>(a)] = to;
                    changed = true;
                }
    }
    return level;
}

TEST_P(Rough, LevelsAreThoseOfAnotherFill) {
    for (const double roundTo : {1.0, 100.0}) {
        const WaterSurface ground = randomSquares(GetParam(), 14, roundTo);
        EXPECT_EQ(WaterFlow(ground).levels(), lowered(ground));
    }
}

TEST_P(Rough, CatchmentsAddUpToTheWhole) {
    for (const double roundTo : {1.0, 50.0, 250.0}) {
        const WaterSurface ground = randomSquares(GetParam(), 14, roundTo);
        WaterFlow flow(ground);
        EXPECT_NEAR(totalOf(flow.catchments()), 14 * 14, 1e-9);
        for (const Pond& pond : flow.ponds()) EXPECT_GE(pond.catchment, pond.planArea - 1e-9);
    }
}

TEST_P(Rough, FillingWhatIsFilledChangesNothing) {
    const WaterSurface ground = randomSquares(GetParam(), 14, 1);
    const WaterFlow flow(ground);
    std::vector<glm::dvec3> nodes = ground.nodes;
    std::vector<std::array<int, 3>> faces;
    for (size_t i = 0; i < nodes.size(); ++i) nodes[i].z = flow.levels()[i];
    for (const WaterFace& face : ground.faces) faces.push_back(face.node);
    const WaterSurface filled = waterSurface(nodes, faces);
    const WaterFlow again(filled);
    EXPECT_TRUE(again.ponds().empty());
    EXPECT_EQ(again.levels(), flow.levels());
}

TEST_P(Rough, WaysRunDownhillAndEndWhereTheAreaDrains) {
    const WaterSurface ground = randomSquares(GetParam(), 10, 1);
    const WaterFlow flow(ground);
    WaterFlow areas(ground);
    std::map<std::pair<WaterEndKind, int>, double> sampled;
    const int steps = 60;
    for (int j = 0; j < steps; ++j) {
        for (int i = 0; i < steps; ++i) {
            const auto way = flow.path({(i + 0.37) * 10 / steps, (j + 0.59) * 10 / steps});
            ASSERT_TRUE(way.has_value());
            for (size_t k = 1; k < way->points.size(); ++k)
                ASSERT_LE(way->points[k].z, way->points[k - 1].z + 1e-9);
            const bool pond = way->end.kind == WaterEndKind::Pond;
            sampled[{way->end.kind, pond ? way->end.index : -1}] += 100.0 / (steps * steps);
        }
    }
    std::map<std::pair<WaterEndKind, int>, double> exact;
    for (const WaterOutlet& one : areas.catchments())
        exact[{one.end.kind, one.end.kind == WaterEndKind::Pond ? one.end.index : -1}] += one.catchment;
    for (const auto& [end, area] : exact) EXPECT_NEAR(sampled[end], area, 0.05 * area + 0.25) << end.second;
}

TEST_P(Rough, AMirroredSurfaceHasMirroredAnswers) {
    const WaterSurface ground = randomSquares(GetParam(), 12, 1),
                       mirror = randomSquares(GetParam(), 12, 1, -1);
    WaterFlow a(ground), b(mirror);
    a.catchments(), b.catchments();
    ASSERT_EQ(a.ponds().size(), b.ponds().size());
    for (size_t i = 0; i < a.ponds().size(); ++i) {
        EXPECT_NEAR(a.ponds()[i].volume, b.ponds()[i].volume, 1e-12);
        EXPECT_NEAR(a.ponds()[i].catchment, b.ponds()[i].catchment, 1e-9);
        EXPECT_EQ(a.ponds()[i].spill.x, -b.ponds()[i].spill.x);
        double ringArea = 0;
        for (const auto& ring : b.ponds()[i].rings) ringArea += signedArea(ring);
        EXPECT_NEAR(ringArea, b.ponds()[i].planArea, 1e-12);
    }
}

INSTANTIATE_TEST_SUITE_P(Seeds, Rough, testing::Range(1U, 21U));

}  // namespace
}  // namespace underfoot
