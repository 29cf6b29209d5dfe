#include "window/slabs.h"

#include <gtest/gtest.h>

namespace underfoot {
namespace {

double areaOf(const Slabs& slabs) {
    double area = 0;
    for (const Slabs::Piece& p : slabs.pieces())
        area += 0.5 * ((p.highLeft - p.lowLeft) + (p.highRight - p.lowRight)) * (p.right - p.left);
    return area;
}

TEST(Slabs, CoverAConvexAndAHollowedShapeExactly) {
    const std::vector<glm::dvec2> square{{0, 0}, {2, 0}, {2, 2}, {0, 2}};
    EXPECT_DOUBLE_EQ(areaOf(Slabs(square)), 4);
    // A square of 4 with a notch, a triangle of base 2 and height 2, from above: 16 - 2 = 14.
    const std::vector<glm::dvec2> notched{{0, 0}, {4, 0}, {4, 4}, {3, 4}, {2, 2}, {1, 4}, {0, 4}};
    EXPECT_DOUBLE_EQ(areaOf(Slabs(notched)), 14);
}

TEST(Slabs, TurnMakesNoDifference) {
    const std::vector<glm::dvec2> one{{0, 0}, {4, 0}, {3, 2}, {1, 5}}, other{{1, 5}, {3, 2}, {4, 0}, {0, 0}};
    EXPECT_DOUBLE_EQ(areaOf(Slabs(one)), areaOf(Slabs(other)));
}

TEST(Slabs, HoldWhatIsInsideAndNotTheNotch) {
    const std::vector<glm::dvec2> notched{{0, 0}, {4, 0}, {4, 4}, {3, 4}, {2, 2}, {1, 4}, {0, 4}};
    const Slabs slabs(notched);
    EXPECT_TRUE(slabs.holds({0.5, 3.9}));
    EXPECT_TRUE(slabs.holds({2, 1.9}));
    EXPECT_FALSE(slabs.holds({2, 2.1}));
    EXPECT_FALSE(slabs.holds({2, -0.1}));
    EXPECT_FALSE(slabs.holds({-0.1, 1}));
    EXPECT_FALSE(slabs.holds({4.1, 1}));
}

TEST(Slabs, FewerThanThreeCornersHoldNothing) {
    const std::vector<glm::dvec2> line{{0, 0}, {1, 1}};
    EXPECT_TRUE(Slabs(line).pieces().empty());
    EXPECT_FALSE(Slabs(line).holds({0.5, 0.5}));
}

}  // namespace
}  // namespace underfoot
