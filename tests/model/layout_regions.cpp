#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "ground/tolerance.h"
#include "model/layout.h"
#include "model/layout_shapes.h"

namespace underfoot {
namespace {

using namespace layout_shapes;

Regions box(double x0, double y0, double x1, double y1) {
    return {{rectangle(x0, y0, x1, y1), {}}};
}

bool sameRegions(const Regions& a, const Regions& b) {
    if (a.size() != b.size()) return false;
    for (size_t i = 0; i < a.size(); ++i)
        if (a[i].outer != b[i].outer || a[i].holes != b[i].holes) return false;
    return true;
}

TEST(LayoutRegions, AreaKeepsItsCornersBitForBitAndStartsAtTheLowestX) {
    // Corners that no decimal rounding would keep.
    const Points corners{{4.1 / 3, 0.7 / 3}, {1.0 / 7, 2.0 / 3}, {-0.1, 0.1}, {0.3, -1.0 / 3}};
    const Regions got = areaRegions(areaOf(corners), {}, {0, 0});
    ASSERT_EQ(got.size(), 1u);
    const Points wanted{corners[2], corners[3], corners[0], corners[1]};
    EXPECT_EQ(got[0].outer, wanted);
    EXPECT_TRUE(got[0].holes.empty());
}

TEST(LayoutRegions, OriginIsTakenOff) {
    const Regions got = areaRegions(areaOf(rectangle(100, 200, 103, 202)), {}, {100, 200});
    EXPECT_TRUE(sameRegions(got, box(0, 0, 3, 2)));
}

TEST(LayoutRegions, OpeningAndAreaCutOut) {
    // 6 x 4 less an opening 1 x 1 less an area 2 x 2 that sits in the corner: 24 - 1 - 4 = 19.
    Area area = areaOf(rectangle(0, 0, 6, 4));
    area.openings.push_back(ringOf(rectangle(1, 1, 2, 2)));
    const Area cut = areaOf(rectangle(4, 2, 6, 4));
    const Regions got = areaRegions(area, {&cut}, {0, 0});
    ASSERT_EQ(got.size(), 1u);
    EXPECT_EQ(got[0].outer, (Points{{0, 0}, {6, 0}, {6, 2}, {4, 2}, {4, 4}, {0, 4}}));
    ASSERT_EQ(got[0].holes.size(), 1u);
    EXPECT_EQ(got[0].holes[0], (Points{{1, 1}, {1, 2}, {2, 2}, {2, 1}}));  // turns right
    EXPECT_DOUBLE_EQ(regionArea(got), 19.0);
}

TEST(LayoutRegions, CutAlongASlantedOutlineLeavesNoSliver) {
    // The cut's corners lie on the outline's slanted side only as well as rounding allows: (1, 1/3) and (2,
    // 2/3) are not on the line from (0, 0) to (3, 1) in doubles.
    const Area area = areaOf({{0, 0}, {3, 1}, {3, 4}, {0, 4}});
    const Area cut = areaOf({{1, 1.0 / 3}, {2, 2.0 / 3}, {2, 2}, {1, 2}});
    const Regions got = areaRegions(area, {&cut}, {0, 0});
    ASSERT_EQ(got.size(), 1u);
    const Points wanted{{0, 0}, {1, 1.0 / 3}, {1, 2}, {2, 2}, {2, 2.0 / 3}, {3, 1}, {3, 4}, {0, 4}};
    EXPECT_EQ(got[0].outer, wanted);
}

TEST(LayoutRegions, ACutAcrossGivesTwoRegionsInOrder) {
    const Regions got = subtract(box(0, 0, 5, 1), box(2, -1, 3, 2));
    ASSERT_EQ(got.size(), 2u);
    EXPECT_TRUE(sameRegions({got[0]}, box(0, 0, 2, 1)));
    EXPECT_TRUE(sameRegions({got[1]}, box(3, 0, 5, 1)));
}

TEST(LayoutRegions, NothingLeftAndNothingToStartWith) {
    EXPECT_TRUE(subtract(box(0, 0, 1, 1), box(-1, -1, 2, 2)).empty());
    EXPECT_TRUE(unite({}, {}).empty());
    EXPECT_TRUE(sameRegions(subtract(box(0, 0, 1, 1), {}), box(0, 0, 1, 1)));
    EXPECT_TRUE(sameRegions(unite({}, box(0, 0, 1, 1)), box(0, 0, 1, 1)));
}

TEST(LayoutRegions, UnitedNeighboursLoseTheSharedSide) {
    const Regions got = unite(box(0, 0, 1, 1), box(1, 0, 2, 1));
    ASSERT_EQ(got.size(), 1u);
    EXPECT_DOUBLE_EQ(regionArea(got), 2.0);
}

TEST(LayoutRegions, GrownSquareCorners) {
    // (3 + 2 * 0.15) x (2 + 2 * 0.15)
    const Regions got = grow(box(0, 0, 3, 2), 0.15, CornerStyle::Square);
    EXPECT_NEAR(regionArea(got), 3.3 * 2.3, 1e-12);
    EXPECT_EQ(got[0].outer.size(), 4u);
}

TEST(LayoutRegions, GrownRoundCorners) {
    // A + P d + pi d^2 = 6 + 10 * 0.3 + pi 0.09; chords lie inside the arc: at most a sagitta's strip less.
    const double wanted = 6 + 3 + std::numbers::pi * 0.09;
    const double area = regionArea(grow(box(0, 0, 3, 2), 0.3, CornerStyle::Round));
    EXPECT_LE(area, wanted);
    EXPECT_GE(area, wanted - 2 * std::numbers::pi * 0.3 * tolerance::arcSagitta);
}

TEST(LayoutRegions, ShrunkToNothingAndInTwo) {
    EXPECT_TRUE(grow(box(0, 0, 3, 2), -1.01, CornerStyle::Square).empty());
    // Two 2 x 2 squares with a neck 1 long and 0.4 wide; 0.3 in from every side leaves 1.4 x 1.4 twice.
    const Points dumbbell{{0, 0}, {2, 0}, {2, 0.8}, {3, 0.8}, {3, 0}, {5, 0},
                          {5, 2}, {3, 2}, {3, 1.2}, {2, 1.2}, {2, 2}, {0, 2}};
    const Regions got = grow({{dumbbell, {}}}, -0.3, CornerStyle::Square);
    ASSERT_EQ(got.size(), 2u);
    EXPECT_NEAR(regionArea(got), 2 * 1.4 * 1.4, 1e-9);
}

TEST(LayoutRegions, GrowthClosesASlotAndAnOpening) {
    // U of 3 x 2 with a slot 0.4 wide and 1 deep, grown 0.25: the slot (0.4 < 2 * 0.25) is gone. 3.5 x 2.5.
    const Points u{{0, 0}, {3, 0}, {3, 2}, {1.7, 2}, {1.7, 1}, {1.3, 1}, {1.3, 2}, {0, 2}};
    EXPECT_NEAR(regionArea(grow({{u, {}}}, 0.25, CornerStyle::Square)), 3.5 * 2.5, 1e-9);
    Regions pierced = subtract(box(0, 0, 3, 2), box(1, 1, 1.4, 1.4));
    EXPECT_NEAR(regionArea(grow(pierced, 0.25, CornerStyle::Square)), 3.5 * 2.5, 1e-9);
    // 0.1 of growth leaves 0.2 x 0.2 of the opening.
    EXPECT_NEAR(regionArea(grow(pierced, 0.1, CornerStyle::Square)), 3.2 * 2.2 - 0.04, 1e-9);
}

TEST(LayoutRegions, RegionsThatGrowTogetherAreOne) {
    Regions two = box(0, 0, 1, 1);
    two.push_back(box(1.2, 0, 2.2, 1)[0]);
    const Regions got = grow(two, 0.15, CornerStyle::Square);  // 2.2 + 0.3 by 1.3
    ASSERT_EQ(got.size(), 1u);
    EXPECT_NEAR(regionArea(got), 2.5 * 1.3, 1e-9);
}

TEST(LayoutRegions, NeedleCornerIsCutOffPastTheMitreLimit) {
    // A tip of 10 degrees: its mitre would stand 1 / sin 5 deg = 11.5 d out; cut off it stays within d of the
    // tip measured along the two normals.
    const double h = std::tan(5 * std::numbers::pi / 180);
    const Regions got = grow({{Points{{0, 0}, {-1, h}, {-1, -h}}, {}}}, 0.1, CornerStyle::Square);
    double reach = 0;
    for (const glm::dvec2& c : got[0].outer) reach = std::max(reach, c.x);
    EXPECT_NEAR(reach, 0.1 * std::sin(5 * std::numbers::pi / 180), 1e-12);
}

TEST(LayoutRegions, ZeroGivesTheRegionsBack) {
    const Regions pierced = subtract(box(0, 0, 3, 2), box(1, 1, 1.4, 1.4));
    EXPECT_TRUE(sameRegions(grow(pierced, 0, CornerStyle::Round), pierced));
}

TEST(LayoutRegions, GrowthAgreesWithDistanceFromTheRegion) {
    // Round growth is the set of points within d. Checked at random points against the distance to the
    // outline.
    std::mt19937 random(7);
    for (int round = 0; round < 20; ++round) {
        const Points star = starPolygon(random, 12, 0.5, 2.0);
        const double d = 0.05 + 0.1 * (round % 5);
        const Regions grown = grow({{star, {}}}, d, CornerStyle::Round);
        const Regions shrunk = grow({{star, {}}}, -d, CornerStyle::Round);
        std::uniform_real_distribution<double> at(-3, 3);
        for (int k = 0; k < 200; ++k) {
            const glm::dvec2 p{at(random), at(random)};
            const double away = layout_shapes::distanceToRing(p, star);
            if (std::abs(away - d) < 2 * tolerance::arcSagitta) continue;
            const bool inside = layout_shapes::isInside(p, star);
            EXPECT_EQ(layout_shapes::isInside(p, grown), inside || away < d) << round << " " << k;
            EXPECT_EQ(layout_shapes::isInside(p, shrunk), inside && away > d) << round << " " << k;
        }
    }
}

TEST(LayoutRegions, UnionAndDifferenceAddUp) {
    std::mt19937 random(11);
    for (int round = 0; round < 50; ++round) {
        const Regions a{{starPolygon(random, 9, 0.5, 2.0), {}}}, b{{starPolygon(random, 7, 0.5, 2.0), {}}};
        double overlap = 0;
        glm::dvec2 where;
        ASSERT_TRUE(regionsOverlap(a, b, overlap, where));
        const double sum = regionArea(a) + regionArea(b);
        EXPECT_NEAR(regionArea(unite(a, b)), sum - overlap, 1e-9 * sum);
        EXPECT_NEAR(regionArea(subtract(a, b)), regionArea(a) - overlap, 1e-9 * sum);
        EXPECT_TRUE(layout_shapes::isInside(where, a));
        EXPECT_TRUE(layout_shapes::isInside(where, b));
        EXPECT_TRUE(sameRegions(subtract(a, b), subtract(a, b)));
    }
}

TEST(LayoutRegions, NeighboursThatShareASideDoNotOverlap) {
    double overlap = 0;
    glm::dvec2 where;
    EXPECT_FALSE(regionsOverlap(box(0, 0, 1, 1), box(1, 0, 2, 1), overlap, where));
    EXPECT_EQ(overlap, 0);
    EXPECT_TRUE(regionsOverlap(box(0, 0, 1, 1), box(0.9, 0, 2, 1), overlap, where));
    EXPECT_NEAR(overlap, 0.1, 1e-12);
}

TEST(LayoutRegions, NothingGrowsPastAWallsLine) {
    // 3 x 2 against the wall on its first side (y = 0), grown 0.15: 3.3 wide, from y = 0 to 2.15.
    Area area = areaOf(rectangle(0, 0, 3, 2));
    area.againstWall = {0};
    const Regions got =
        growBesideWalls(areaRegions(area, {}, {0, 0}), 0.15, CornerStyle::Square, area, {0, 0});
    EXPECT_NEAR(regionArea(got), 3.3 * 2.15, 1e-9);
    for (const glm::dvec2& c : got[0].outer) EXPECT_GE(c.y, -1e-9);
}

TEST(LayoutRegions, AWallEndsWhereTheOutlineGoesStraightOn) {
    // 3 x 2, its lower side a wall as far as x = 1, the corner there off the line by a nanometre to either
    // side or on it. Grown 0.25: 3.5 x 2.5 = 8.75, less what the wall keeps: from x = -0.25 to 1, 0.25 deep.
    for (const double off : {-1e-9, 0.0, 1e-9}) {
        Area area = areaOf({{0, 0}, {1, off}, {3, 0}, {3, 2}, {0, 2}});
        area.againstWall = {0};
        const Regions got =
            growBesideWalls(areaRegions(area, {}, {0, 0}), 0.25, CornerStyle::Square, area, {0, 0});
        EXPECT_NEAR(regionArea(got), 8.75 - 1.25 * 0.25, 1e-6) << off;
    }
}

TEST(LayoutRegions, WallsAtAnInnerCornerLeaveTheAreaWhole) {
    // L round the corner of a house: walls along (2, 1)-(2, 0) and so on turn right at (2, 1).
    Area area = areaOf({{0, 0}, {2, 0}, {2, 1}, {4, 1}, {4, 3}, {0, 3}});
    area.againstWall = {1, 2};
    const Regions regions = areaRegions(area, {}, {0, 0});
    const Regions got = growBesideWalls(regions, 0.2, CornerStyle::Square, area, {0, 0});
    EXPECT_TRUE(subtract(regions, got).empty());
    // Grown without walls: 4.4 x 3.4 box less the notch (2.2..4.2 x -0.2..0.8 = 2 x 1) = 14.96 - 2 = 12.96.
    // The walls keep x <= 2 beside the first (0.2 wide, from its corner at y = -0.2 to the other wall's line
    // y = 1 = 1.2 high: 0.24) and y >= 1 beside the second (from x = 2.2 to 4.2: 2 x 0.2 = 0.4).
    EXPECT_NEAR(regionArea(got), 12.96 - 0.24 - 0.4, 1e-9);
}

TEST(LayoutRegions, ASliverShrunkByMoreThanItsWidthIsGone) {
    // Found by lot: triangles 3 m long and 10 to 300 micrometres high, their tips nearly folded over.
    for (const double high : {1.0603394125795749e-05, 1e-4, 3e-4, 3e-3})
        for (const CornerStyle style : {CornerStyle::Square, CornerStyle::Round}) {
            const Area area = areaOf({{0, 0}, {3, 0}, {0.47, high}});
            EXPECT_NEAR(regionArea(grow(areaRegions(area, {}, {2, 0}), -0.05, style)), 0, 1e-9) << high;
        }
}

TEST(LayoutRegions, ShrinkingIgnoresWalls) {
    Area area = areaOf(rectangle(0, 0, 3, 2));
    area.againstWall = {0};
    const Regions got =
        growBesideWalls(areaRegions(area, {}, {0, 0}), -0.25, CornerStyle::Square, area, {0, 0});
    EXPECT_NEAR(regionArea(got), 2.5 * 1.5, 1e-9);
}

}  // namespace
}  // namespace underfoot
