#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>
#include <random>

#include <glm/geometric.hpp>

#include "model/layout_shapes.h"
#include "model/solid.h"

namespace underfoot {
namespace {

using layout_shapes::Points;

double volumeOf(const Prism& prism) {
    double six = 0;
    const glm::dvec3 o = prism.points.empty() ? glm::dvec3{0, 0, 0} : prism.points[0];
    for (const auto& t : prism.triangles) {
        const auto at = [&](int k) {
            return prism.points[static_cast<size_t>(t[static_cast<size_t>(k)])] - o;
        };
        six += glm::dot(at(0), glm::cross(at(1), at(2)));
    }
    return six / 6;
}

/// Directed edges that do not have exactly one opposite.
size_t unpairedEdges(const Prism& prism) {
    std::map<std::pair<int, int>, int> count;
    for (const auto& t : prism.triangles)
        for (size_t i = 0; i < 3; ++i) ++count[{t[i], t[(i + 1) % 3]}];
    size_t out = 0;
    for (const auto& [edge, times] : count) {
        const auto back = count.find({edge.second, edge.first});
        if (times != 1 || back == count.end() || back->second != 1) ++out;
    }
    return out;
}

struct OneUnit {
    Model model;
    UnitPiece unit;
};

OneUnit unitOf(const Points& outline, double thickness, double chamfer) {
    OneUnit out;
    out.model.unitCorners = outline;
    out.unit.corners = static_cast<int>(outline.size());
    out.unit.thickness = thickness;
    out.unit.chamfer = chamfer;
    out.unit.top.level = 1.5;
    return out;
}

Prism prismOf(const OneUnit& u) {
    return unitPrism(u.model, u.unit);
}

TEST(PrismUnits, BoxWithoutChamfer) {
    const Prism prism = prismOf(unitOf(layout_shapes::rectangle(0, 0, 0.2, 0.1), 0.06, 0));
    EXPECT_EQ(prism.points.size(), 8u);
    EXPECT_EQ(prism.triangles.size(), 12u);
    EXPECT_EQ(prism.faces.size(), 12u);
    EXPECT_EQ(unpairedEdges(prism), 0u);
    EXPECT_NEAR(volumeOf(prism), 0.2 * 0.1 * 0.06, 1e-15);
}

TEST(PrismUnits, ChamferTakesItsShareOfTheBox) {
    // A slice at depth s below the top, s < c, measures (a - 2(c - s))(b - 2(c - s)). With u = c - s from 0
    // to c, what is taken is the integral of ab - (a - 2u)(b - 2u) = P u - 4 u^2, P = 2(a + b): P c^2 / 2 - 4
    // c^3 / 3. With a = 0.2, b = 0.1, c = 0.004: 0.6 * 8e-6 - 4 * 64e-9 / 3 = 4.71467e-6 m3.
    const double c = 0.004, taken = 0.6 * c * c / 2 - 4 * c * c * c / 3;
    const Prism prism = prismOf(unitOf(layout_shapes::rectangle(0, 0, 0.2, 0.1), 0.06, c));
    EXPECT_EQ(unpairedEdges(prism), 0u);
    EXPECT_NEAR(volumeOf(prism), 0.2 * 0.1 * 0.06 - taken, 1e-15);
    EXPECT_NEAR(taken, 4.71467e-6, 1e-11);
}

TEST(PrismUnits, ChamferOfAnyOutlineByItsTurns) {
    // Corner terms in general: the slice inset by u has area A - P u + K u^2 with K = sum of tan(turn / 2)
    // over the corners, turns to the right counted negative. So the taken volume is P c^2 / 2 - K c^3 / 3. An
    // L: five left turns of 90 degrees (+1 each), one right turn (-1): K = 4.
    const Points l{{0, 0}, {0.3, 0}, {0.3, 0.1}, {0.1, 0.1}, {0.1, 0.2}, {0, 0.2}};
    const double c = 0.005, area = 0.03 + 0.01, perimeter = 1.0;
    const Prism prism = prismOf(unitOf(l, 0.05, c));
    EXPECT_EQ(unpairedEdges(prism), 0u);
    EXPECT_NEAR(volumeOf(prism), area * 0.05 - perimeter * c * c / 2 + 4 * c * c * c / 3, 1e-15);
}

TEST(PrismUnits, TiltedTopKeepsTheVolumeAndTheThickness) {
    OneUnit u = unitOf(layout_shapes::rectangle(1, 2, 1.2, 2.1), 0.06, 0.004);
    u.unit.top.gradient = {0.02, -0.01};
    u.unit.top.at = {1, 2};
    const Prism tilted = prismOf(u);
    u.unit.top.gradient = {0, 0};
    EXPECT_NEAR(volumeOf(tilted), volumeOf(prismOf(u)), 1e-15);
    for (const glm::dvec3& p : tilted.points) {
        const double below = 1.5 + 0.02 * (p.x - 1) - 0.01 * (p.y - 2) - p.z;
        EXPECT_TRUE(std::abs(below) < 1e-12 || std::abs(below - 0.004) < 1e-12 ||
                    std::abs(below - 0.06) < 1e-12);
    }
}

TEST(PrismUnits, ChamferIsLeftOffWhereTheInsetWouldVanish) {
    // 8 mm wide: two chamfers of 4 mm leave nothing. 9 mm: 1 mm stays.
    EXPECT_EQ(prismOf(unitOf(layout_shapes::rectangle(0, 0, 0.2, 0.008), 0.06, 0.004)).points.size(), 8u);
    EXPECT_EQ(prismOf(unitOf(layout_shapes::rectangle(0, 0, 0.2, 0.009), 0.06, 0.004)).points.size(), 12u);
    // A chamfer as deep as the unit is none either.
    EXPECT_EQ(prismOf(unitOf(layout_shapes::rectangle(0, 0, 0.2, 0.1), 0.004, 0.004)).points.size(), 8u);
}

TEST(PrismUnits, ChamferIsLeftOffWhereANotchWouldCrossTheOtherSide) {
    // A notch 6 mm from the far side: every edge is long, but the inset notch would pass the inset side.
    const Points notched{{0, 0}, {0.2, 0}, {0.2, 0.1}, {0.12, 0.1}, {0.1, 0.006}, {0.08, 0.1}, {0, 0.1}};
    const Prism prism = prismOf(unitOf(notched, 0.06, 0.004));
    EXPECT_EQ(prism.points.size(), 14u);
    EXPECT_EQ(unpairedEdges(prism), 0u);
}

TEST(PrismUnits, EveryOutlineGivesAClosedPrismOfItsVolume) {
    std::mt19937 random(3);
    for (int round = 0; round < 200; ++round) {
        const Points star = layout_shapes::starPolygon(random, 3 + round % 9, 0.02, 0.2);
        const Prism prism = prismOf(unitOf(star, 0.06, 0));
        EXPECT_EQ(unpairedEdges(prism), 0u);
        EXPECT_NEAR(volumeOf(prism), layout_shapes::areaOfRing(star) * 0.06, 1e-13) << round;
        EXPECT_EQ(unpairedEdges(prismOf(unitOf(star, 0.06, 0.003))), 0u);
    }
}

TEST(PrismUnits, FacesTellTopBottomAndSides) {
    const Prism prism = prismOf(unitOf(layout_shapes::rectangle(0, 0, 0.2, 0.1), 0.06, 0.004));
    ASSERT_EQ(prism.faces.size(), prism.triangles.size());
    for (size_t i = 0; i < prism.faces.size(); ++i) {
        const auto& t = prism.triangles[i];
        const auto at = [&](size_t k) { return prism.points[static_cast<size_t>(t[k])]; };
        const glm::dvec3 n = glm::normalize(glm::cross(at(1) - at(0), at(2) - at(0)));
        const Face wanted = n.z > 0.1 ? Face::Top : n.z < -0.1 ? Face::Bottom : Face::Side;
        EXPECT_EQ(prism.faces[i], wanted);
    }
}

TEST(PrismEdging, BoxOfItsHeight) {
    EdgingPiece piece;
    piece.corner = {glm::dvec2{0, -0.01}, {1, -0.01}, {1, 0}, {0, 0}};
    piece.height = 0.045;
    piece.top.gradient = {0.02, 0};
    const Prism prism = edgingPrism(piece);
    EXPECT_EQ(unpairedEdges(prism), 0u);
    EXPECT_NEAR(volumeOf(prism), 0.01 * 0.045, 1e-15);
}

TEST(PrismSpike, RodFromItsTopDown) {
    Spike spike;
    spike.at = {2, 3};
    spike.top = 0.4;
    spike.length = 0.254;
    spike.diameter = 0.0095;
    const Prism prism = spikePrism(spike);
    EXPECT_EQ(unpairedEdges(prism), 0u);
    // A rod of 12 sides: 12 triangles of r^2 sin 30 deg / 2 = 3 r^2.
    EXPECT_NEAR(volumeOf(prism), 3 * 0.00475 * 0.00475 * 0.254, 1e-15);
    for (const glm::dvec3& p : prism.points) EXPECT_TRUE(p.z == 0.4 || std::abs(p.z - 0.146) < 1e-15);
}

BuriedRun runOf(std::vector<PipePoint> points) {
    BuriedRun run;
    run.diameter = 0.1;
    run.points = std::move(points);
    return run;
}

TEST(PrismPipe, StraightPipeLiesOnItsInvert) {
    Model model;
    model.site.origin = {10, 20};
    const Prism prism = pipePrism(model, runOf({{{10, 20}, 0.3}, {{13, 24}, 0.3}}), 24);
    EXPECT_EQ(unpairedEdges(prism), 0u);
    // 24 triangles of r^2 sin 15 deg / 2, 5 m long.
    EXPECT_NEAR(volumeOf(prism), 12 * 0.0025 * std::sin(std::numbers::pi / 12) * 5, 1e-12);
    double low = 1e9, high = -1e9;
    for (const glm::dvec3& p : prism.points) low = std::min(low, p.z), high = std::max(high, p.z);
    EXPECT_NEAR(low, 0.3, 1e-12);
    EXPECT_NEAR(high, 0.4, 1e-12);
}

TEST(PrismPipe, MitredBendKeepsTheVolumeOfItsAxis) {
    // A mitre takes from the inside of a bend what it adds outside: section times length of the axis, 2 + 3
    // m.
    const Model model;
    const Prism prism = pipePrism(model, runOf({{{0, 0}, 0}, {{2, 0}, 0}, {{2, 0}, 0}, {{2, 3}, 0}}), 8);
    EXPECT_EQ(unpairedEdges(prism), 0u);
    EXPECT_NEAR(volumeOf(prism), 4 * 0.0025 * std::sin(std::numbers::pi / 4) * 5, 1e-12);
    EXPECT_EQ(prism.points.size(), 24u);
}

TEST(PrismPipe, SharpBendAndUprightLengthAreClosed) {
    const Model model;
    const double section = 4 * 0.0025 * std::sin(std::numbers::pi / 4);
    const Prism back = pipePrism(model, runOf({{{0, 0}, 0}, {{2, 0}, 0}, {{0, 0.1}, 0}}), 8);
    EXPECT_EQ(unpairedEdges(back), 0u);
    EXPECT_NEAR(volumeOf(back), section * (2 + std::hypot(2, 0.1)), 1e-12);
    const Prism drop = pipePrism(model, runOf({{{0, 0}, 1}, {{0, 0}, 0}, {{1, 0}, 0}}), 8);
    EXPECT_EQ(unpairedEdges(drop), 0u);
    EXPECT_NEAR(volumeOf(drop), section * 2, 1e-12);
    EXPECT_TRUE(pipePrism(model, runOf({{{0, 0}, 1}}), 8).triangles.empty());
}

TEST(PrismFixed, WallStandsBetweenItsHeights) {
    Model model;
    model.site.origin = {5, 5};
    FixedThing wall;
    wall.outline = layout_shapes::ringOf({{5, 5}, {9, 5}, {9, 5.2}, {5.2, 5.2}, {5.2, 8}, {5, 8}});
    wall.top = 1;
    wall.bottom = -0.5;
    const Prism prism = fixedPrism(model, wall);
    EXPECT_EQ(unpairedEdges(prism), 0u);
    EXPECT_NEAR(volumeOf(prism), (4 * 0.2 + 0.2 * 2.8) * 1.5, 1e-12);
    EXPECT_EQ(prism.points[0], glm::dvec3(0, 0, -0.5));
}

}  // namespace
}  // namespace underfoot
