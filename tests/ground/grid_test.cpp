// The exact tests on the grid.

#include "ground/grid.h"

#include <gtest/gtest.h>

#include "random_plan.h"

using namespace underfoot;
using namespace underfoot_test;

namespace {

constexpr int64_t reach = int64_t{1} << 42;  // 4096 m in steps of 2^-30 m

GridPoint anywhere(Random& random) {
    const auto one = [&] { return static_cast<int64_t>(random.bits() >> 21) - reach; };
    const int64_t x = one();
    return {x, one()};
}

}  // namespace

TEST(Grid, SnappingIsToTheNearestStepAndStaysExact) {
    EXPECT_EQ(toGrid({1, -0.5}), (GridPoint{1 << 30, -(1 << 29)}));
    EXPECT_EQ(toGrid({0.6 * gridStep, -0.6 * gridStep}), (GridPoint{1, -1}));
    const glm::dvec2 p = snap({1234.56789012345, -4095.99999999999});
    EXPECT_EQ(snap(p), p);
    EXPECT_NEAR(p.x, 1234.56789012345, gridStep / 2);
    EXPECT_EQ(toGrid({gridReach, -gridReach}), (GridPoint{reach, -reach}));
}

TEST(Grid, OrientationToldAStepFromALineAcrossTheWholeReach) {
    const GridPoint a{-reach, -reach}, b{reach, reach - 1};
    // At x = 0 the line stands at y = -1/2: the grid has a point on either side and none on it.
    EXPECT_EQ(orientation(a, b, {0, 0}), 1);
    EXPECT_EQ(orientation(a, b, {0, -1}), -1);
    EXPECT_EQ(orientation(a, {reach, reach}, {12345, 12345}), 0);
}

TEST(Grid, OrientationTurnsWithTheOrderOfItsPoints) {
    Random random(1);
    for (int i = 0; i < 1000; i++) {
        const GridPoint a = anywhere(random), b = anywhere(random), c = anywhere(random);
        EXPECT_EQ(orientation(a, b, c), orientation(b, c, a));
        EXPECT_EQ(orientation(a, b, c), -orientation(b, a, c));
    }
}

TEST(Grid, InCircleToldAStepFromACircleOfTheWholeReach) {
    // 3, 4, 5 and 7, 24, 25: all on the circle of radius 25 k about the centre.
    const int64_t k = reach / 25;
    const GridPoint a{25 * k, 0}, b{15 * k, 20 * k}, c{-24 * k, 7 * k};
    for (const GridPoint on :
         {GridPoint{0, -25 * k}, GridPoint{7 * k, 24 * k}, GridPoint{-20 * k, -15 * k}}) {
        EXPECT_EQ(inCircle(a, b, c, on), 0);
    }
    EXPECT_EQ(inCircle(a, b, c, {0, -25 * k + 1}), 1);
    EXPECT_EQ(inCircle(a, b, c, {0, -25 * k - 1}), -1);
    EXPECT_EQ(inCircle(a, b, c, {7 * k - 1, 24 * k}), 1);
    EXPECT_EQ(inCircle(a, b, c, {7 * k + 1, 24 * k}), -1);
    EXPECT_EQ(inCircle(a, b, c, {-20 * k + 1, -15 * k - 1}), 1);   // 20 in, 15 out
    EXPECT_EQ(inCircle(a, b, c, {-20 * k - 1, -15 * k + 1}), -1);  // 20 out, 15 in
}

TEST(Grid, InCircleOfASmallCircleFarFromTheOrigin) {
    const GridPoint c{reach - 50, 50 - reach};
    const auto from = [&](int64_t x, int64_t y) { return GridPoint{c.x + x, c.y + y}; };
    EXPECT_EQ(inCircle(from(5, 0), from(3, 4), from(-5, 0), from(4, -3)), 0);
    EXPECT_EQ(inCircle(from(5, 0), from(3, 4), from(-5, 0), from(4, -4)), -1);
    EXPECT_EQ(inCircle(from(5, 0), from(3, 4), from(-5, 0), from(3, -3)), 1);
}

TEST(Grid, InCircleTurnsWithTheOrderOfItsPoints) {
    Random random(2);
    for (int i = 0; i < 1000; i++) {
        // Every other round nearly on one circle, so that rounded arithmetic cannot tell.
        GridPoint p[4];
        for (GridPoint& q : p) {
            q = anywhere(random);
            if (i % 2) {
                const double turn = random.between(0, 6.28);
                q = {std::llround(4e12 * std::cos(turn)), std::llround(4e12 * std::sin(turn))};
            }
        }
        const int way = inCircle(p[0], p[1], p[2], p[3]);
        EXPECT_EQ(way, inCircle(p[1], p[2], p[0], p[3]));
        EXPECT_EQ(way, -inCircle(p[1], p[0], p[2], p[3]));
        EXPECT_EQ(way, -inCircle(p[3], p[1], p[2], p[0]));
    }
}
