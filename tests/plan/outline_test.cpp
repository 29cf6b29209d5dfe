#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "plan/plan.h"
#include "plan/self_crossing.h"

namespace underfoot {
namespace {

Ring circle(glm::dvec2 centre, double radius) {
    const glm::dvec2 right = centre + glm::dvec2{radius, 0}, left = centre - glm::dvec2{radius, 0};
    return {right, {{left, centre + glm::dvec2{0, radius}, {}}, {right, centre - glm::dvec2{0, radius}, {}}}};
}

TEST(BaselineGeometry, goesThereAndBack) {
    Baseline line;
    line.from = {3, 4};
    line.to = {7, 7};  // 3-4-5 triangle: along (0.8, 0.6)
    line.startStation = 10;
    for (const bool left : {true, false}) {
        line.offsetLeft = left;
        const glm::dvec2 p = line.at(15, 2);
        const glm::dvec2 so = line.stationOffset(p);
        EXPECT_NEAR(so.x, 15, 1e-12);
        EXPECT_NEAR(so.y, 2, 1e-12);
        // Station 15 is 5 along: (3 + 4, 4 + 3); 2 to the left adds (-1.2, 1.6).
        EXPECT_NEAR(p.x, 7 + (left ? -1.2 : 1.2), 1e-12);
        EXPECT_NEAR(p.y, 7 + (left ? 1.6 : -1.6), 1e-12);
    }
}

TEST(Chording, leavesStraightEdgesAlone) {
    const Ring square{{0, 0}, {{{1, 0}, {}, {}}, {{1, 1}, {}, {}}, {{0, 1}, {}, {}}, {{0, 0}, {}, {}}}};
    const Chords chords = toChords(square, 0.001);
    EXPECT_EQ(chords.corners.size(), 4u);
    EXPECT_EQ(chords.edgeOf, (std::vector<int>{0, 1, 2, 3}));
    EXPECT_DOUBLE_EQ(signedArea(chords.corners), 1);
}

TEST(Chording, staysWithinTheSagitta) {
    const Ring ring = circle({5, -3}, 2);
    for (const double sagitta : {0.1, 0.01, 2e-4, 1e-6}) {
        const Chords chords = toChords(ring, sagitta);
        for (size_t i = 0; i < chords.corners.size(); ++i) {
            const glm::dvec2 a = chords.corners[i], b = chords.corners[(i + 1) % chords.corners.size()];
            EXPECT_NEAR(glm::distance(a, glm::dvec2(5, -3)), 2, 1e-12);
            EXPECT_LE(2 - glm::distance((a + b) / 2.0, glm::dvec2(5, -3)), sagitta * (1 + 1e-9));
        }
    }
}

TEST(Chording, usesNoMoreChordsThanNeeded) {
    // Half a circle of radius 2 at a sagitta of 0.01: a chord may span 2 acos(1 - 0.005) = 0.20008 rad, so pi
    // / 0.20008 = 15.7: 16.
    EXPECT_EQ(toChords(circle({0, 0}, 2), 0.01).corners.size(), 32u);
}

TEST(Chording, tellsTheEdgeOfEverySide) {
    const Chords chords = toChords(circle({0, 0}, 1), 0.01);
    ASSERT_EQ(chords.corners.size(), chords.edgeOf.size());
    for (size_t i = 0; i < chords.corners.size(); ++i) {
        const glm::dvec2 middle = (chords.corners[i] + chords.corners[(i + 1) % chords.corners.size()]) / 2.0;
        EXPECT_EQ(chords.edgeOf[i], middle.y > 0 ? 0 : 1);
    }
}

TEST(Chording, isTheSameInBothDirections) {
    const Ring one{{0, 0}, {{{4, 1}, glm::dvec2{2, 2}, {}}, {{0, 0}, {}, {}}}};
    const Ring back{{4, 1}, {{{0, 0}, glm::dvec2{2, 2}, {}}, {{4, 1}, {}, {}}}};
    auto a = toChords(one, 1e-4).corners, b = toChords(back, 1e-4).corners;
    // Both hold the two ends and the points between; walked the other way round.
    ASSERT_EQ(a.size(), b.size());
    std::reverse(b.begin(), b.end());
    EXPECT_EQ(a, b);
}

TEST(Chording, runsTheLongWayRoundWhenTheArcDoes) {
    // Three quarters of a circle of radius 1 from (1, 0) over (-1, 0) to (0, -1), closed by the chord: 3/4 pi
    // + 1/2.
    const Ring ring{{1, 0}, {{{0, -1}, glm::dvec2{-1, 0}, {}}, {{1, 0}, {}, {}}}};
    EXPECT_NEAR(signedArea(toChords(ring, 1e-7).corners), 0.75 * std::numbers::pi + 0.5, 1e-5);
}

TEST(Chording, keepsAnAlmostStraightArcSmall) {
    const Ring ring{{0, 0}, {{{100, 0}, glm::dvec2{50, 1e-9}, {}}, {{50, 50}, {}, {}}, {{0, 0}, {}, {}}}};
    EXPECT_LT(toChords(ring, 1e-6).corners.size(), 10u);
}

TEST(SelfCrossing, findsNoneInASquare) {
    EXPECT_FALSE(selfCrossing({{0, 0}, {1, 0}, {1, 1}, {0, 1}}));
}

TEST(SelfCrossing, findsTheMiddleOfABowTie) {
    const auto crossing = selfCrossing({{0, 0}, {1, 1}, {1, 0}, {0, 1}});
    ASSERT_TRUE(crossing);
    EXPECT_EQ(crossing->first, 0u);
    EXPECT_EQ(crossing->second, 2u);
    EXPECT_NEAR(crossing->at.x, 0.5, 1e-6);
    EXPECT_NEAR(crossing->at.y, 0.5, 1e-6);
}

TEST(SelfCrossing, countsATouchingCorner) {
    EXPECT_TRUE(selfCrossing({{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}));
}

TEST(SelfCrossing, countsAFoldBack) {
    EXPECT_TRUE(selfCrossing({{0, 0}, {4, 0}, {2, 0}, {2, 2}}));
    EXPECT_TRUE(selfCrossing({{2, 0}, {2, 2}, {0, 0}, {4, 0}}));  // the same, folding at the closing corner
}

TEST(SelfCrossing, allowsACornerInAStraightSide) {
    EXPECT_FALSE(selfCrossing({{0, 0}, {2, 0}, {4, 0}, {4, 4}}));
}

TEST(SelfCrossing, isFastAndRightOnManyCorners) {
    // A star-shaped line of 20,000 corners, then the same with two distant corners swapped.
    std::vector<glm::dvec2> corners;
    const int n = 20000;
    for (int i = 0; i < n; ++i) {
        const double angle = 2 * std::numbers::pi * i / n, radius = 100 + (i % 2);
        corners.push_back({radius * std::cos(angle), radius * std::sin(angle)});
    }
    EXPECT_FALSE(selfCrossing(corners));
    std::swap(corners[100], corners[9000]);
    EXPECT_TRUE(selfCrossing(corners));
}

}  // namespace
}  // namespace underfoot
