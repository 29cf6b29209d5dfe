#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "ground/tolerance.h"
#include "model/layout.h"
#include "model/layout_shapes.h"

namespace underfoot {
namespace {

using namespace layout_shapes;

Edging edgingOf(double thickness, std::vector<int> edges = {}) {
    Edging out;
    out.thickness = thickness;
    out.edges = std::move(edges);
    out.height = 0.045;
    out.spikeSpacing = 0.3;
    out.spikeSpacingOnCurves = 0.2;
    out.spikeDiameter = 0.01;
    out.spikeLength = 0.25;
    return out;
}

Points cornersOf(const EdgingPiece& piece) {
    return {piece.corner.begin(), piece.corner.end()};
}

double totalArea(const EdgingPlan& plan) {
    double sum = 0;
    for (const EdgingPiece& piece : plan.pieces) sum += areaOfRing(cornersOf(piece));
    return sum;
}

TEST(LayoutEdging, RoundARectangleIsMitred) {
    // 3 x 2 grown by 0.01 less 3 x 2: 3.02 * 2.02 - 6 = 0.1004.
    Area area = areaOf(rectangle(0, 0, 3, 2));
    area.edgings = {edgingOf(0.01)};
    const EdgingPlan plan = layoutEdging(area, {0, 0});
    ASSERT_EQ(plan.pieces.size(), 4u);
    EXPECT_NEAR(totalArea(plan), 3.02 * 2.02 - 6, 1e-12);
    EXPECT_EQ(cornersOf(plan.pieces[0]), (Points{{0, 0}, {-0.01, -0.01}, {3.01, -0.01}, {3, 0}}));
    EXPECT_DOUBLE_EQ(plan.pieces[0].height, 0.045);
    EXPECT_EQ(plan.pieces[0].edging, 0);
}

TEST(LayoutEdging, EndsSquareWhereTheNextEdgeHasNone) {
    Area area = areaOf(rectangle(10, 20, 13, 22));
    area.edgings = {edgingOf(0.01, {0, 1})};
    const EdgingPlan plan = layoutEdging(area, {10, 20});
    ASSERT_EQ(plan.pieces.size(), 2u);
    EXPECT_EQ(cornersOf(plan.pieces[0]), (Points{{0, 0}, {0, -0.01}, {3.01, -0.01}, {3, 0}}));
    EXPECT_EQ(cornersOf(plan.pieces[1]), (Points{{3, 0}, {3.01, -0.01}, {3.01, 2}, {3, 2}}));
}

TEST(LayoutEdging, TwoEdgingsOfUnlikeThicknessMeetOnOneLine) {
    Area area = areaOf(rectangle(0, 0, 3, 2));
    area.edgings = {edgingOf(0.01, {0}), edgingOf(0.02, {1})};
    const EdgingPlan plan = layoutEdging(area, {0, 0});
    ASSERT_EQ(plan.pieces.size(), 2u);
    EXPECT_EQ(plan.pieces[0].corner[2], (glm::dvec2{3.02, -0.01}));
    EXPECT_EQ(plan.pieces[1].corner[1], (glm::dvec2{3.02, -0.01}));
    EXPECT_EQ(plan.pieces[1].edging, 1);
}

TEST(LayoutEdging, SpikesStandEvenlyOnTheOutside) {
    // 3 m at no more than 0.3 m: 10 spikes 0.3 apart, the first 0.15 in, 0.01 + 0.005 outside the outline.
    // 2.1 m: 7 spikes. 2 m would be 7 spikes 2 / 7 apart.
    Area area = areaOf(rectangle(0, 0, 3, 2.1));
    area.edgings = {edgingOf(0.01)};
    const EdgingPlan plan = layoutEdging(area, {0, 0});
    ASSERT_EQ(plan.spikes.size(), 10u + 7 + 10 + 7);
    EXPECT_NEAR(plan.spikes[0].at.x, 0.15, 1e-12);
    EXPECT_NEAR(plan.spikes[0].at.y, -0.015, 1e-12);
    EXPECT_NEAR(plan.spikes[9].at.x, 2.85, 1e-12);
    EXPECT_NEAR(plan.spikes[10].at.x, 3.015, 1e-12);
    EXPECT_NEAR(plan.spikes[10].at.y, 0.15, 1e-12);
    EXPECT_DOUBLE_EQ(plan.spikes[0].length, 0.25);
    EXPECT_DOUBLE_EQ(plan.spikes[0].diameter, 0.01);
    area.edgings[0].edges = {1};
    area.outline = ringOf(rectangle(0, 0, 3, 2));
    EXPECT_EQ(layoutEdging(area, {0, 0}).spikes.size(), 7u);
    area.outline = ringOf(rectangle(0, 0, 3, 0.1));
    const EdgingPlan brief = layoutEdging(area, {0, 0});
    ASSERT_EQ(brief.spikes.size(), 1u);
    EXPECT_NEAR(brief.spikes[0].at.y, 0.05, 1e-12);
}

TEST(LayoutEdging, ArcsFollowTheirChordsWithCloserSpikes) {
    // Half circle of radius 1 and its diameter. Arc pi m at 0.2: ceil(15.7) = 16 spikes; diameter 2 m at
    // 0.3: 7.
    Area area;
    area.outline.start = {-1, 0};
    area.outline.edges = {{{1, 0}, glm::dvec2{0, -1}, {}}, {{-1, 0}, {}, {}}};
    area.edgings = {edgingOf(0.008)};
    const EdgingPlan plan = layoutEdging(area, {0, 0});
    EXPECT_EQ(plan.spikes.size(), 16u + 7);
    const Chords chords = toChords(area.outline, tolerance::arcSagitta);
    ASSERT_EQ(plan.pieces.size(), chords.corners.size());
    for (size_t i = 0; i < plan.pieces.size(); ++i) {
        EXPECT_EQ(plan.pieces[i].corner[0], chords.corners[i]);
        EXPECT_EQ(plan.pieces[i].corner[2], plan.pieces[(i + 1) % plan.pieces.size()].corner[1]);
    }
    // As much as the outline grown with square corners adds.
    const Regions region = areaRegions(area, {}, {0, 0});
    EXPECT_NEAR(totalArea(plan), regionArea(grow(region, 0.008, CornerStyle::Square)) - regionArea(region),
                1e-9);
    for (size_t i = 0; i < 16; ++i)
        EXPECT_NEAR(glm::length(plan.spikes[i].at), 1.013, 2 * tolerance::arcSagitta);
}

TEST(LayoutEdging, AroundEveryOutlineItIsTheGrownStrip) {
    std::mt19937 random(4);
    for (int round = 0; round < 30; ++round) {
        Area area = areaOf(starPolygon(random, 5 + round % 4, 0.9, 1.6));
        area.edgings = {edgingOf(0.008)};
        const Regions region = areaRegions(area, {}, {0, 0});
        const double grown = regionArea(grow(region, 0.008, CornerStyle::Square));
        EXPECT_NEAR(totalArea(layoutEdging(area, {0, 0})), grown - regionArea(region), 1e-9) << round;
    }
}

TEST(LayoutEdging, NoEdgingNoPieces) {
    const Area area = areaOf(rectangle(0, 0, 3, 2));
    EXPECT_TRUE(layoutEdging(area, {0, 0}).pieces.empty());
    EXPECT_TRUE(layoutEdging(area, {0, 0}).spikes.empty());
}

}  // namespace
}  // namespace underfoot
