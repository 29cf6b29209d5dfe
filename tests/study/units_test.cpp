// Units counted, weighed and started elsewhere.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "measure/mass.h"
#include "model/make_plan.h"
#include "study/lifting.h"
#include "study/start_line.h"
#include "study/units.h"

namespace underfoot {
namespace {

constexpr double inch = metresPerInch;

/// A level court from (0, 0), stack bond without joints.
Plan court(double length, double width, UnitSize size, double joint = 0) {
    Plan plan = testing::plainPlan({0, 0}, {length, width}, 1, testing::planeShots(0.9));
    UnitLayout units;
    units.pattern = Pattern::Stack;
    units.sizes = {size};
    units.joint = joint;
    plan.areas[0].units = units;
    return plan;
}

Model built(const Plan& plan) {
    Checked<Model> model = buildModel(plan);
    EXPECT_TRUE(model);
    return std::move(*model);
}

// 2.0 x 1.0 of units 0.3 x 0.3: six and 0.2 along, three and 0.1 across. 18 whole; cut 3 of 0.2 x 0.3, 6 of
// 0.3 x 0.1 and one of 0.2 x 0.1. With 1/8 in lost to a cut 0.2 leaves no 0.1; two strips of 0.1 share a
// unit: 3 + 7 / 2 = 7 units. Least: three are over half, 3 x 0.06; the other 0.2 less the 0.09 beside them is
// 0.11, over one unit of 0.09: 3 + 2.
TEST(Units, CountsAndNestsARectangle) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const UnitsReport report = unitsReport(model, loadCatalogue(model.plan));
    ASSERT_EQ(report.counts.size(), 1u);
    const UnitCount& count = report.counts[0];
    EXPECT_EQ(count.whole, 18);
    EXPECT_EQ(count.cut.size(), 10u);
    EXPECT_EQ(count.nesting.units, 7);
    EXPECT_EQ(count.nesting.atLeast, 5);
    EXPECT_EQ(count.bought(), 25);
    EXPECT_NEAR(count.waste(), 1 - 2.0 / 2.25, 1e-9);
    EXPECT_NEAR(count.laidArea, 2.0, 1e-9);
    int small = 0;
    for (const CutUnit& cut : count.cut) {
        small += cut.tooSmall ? 1 : 0;
        EXPECT_FALSE(cut.tooNarrow);
        EXPECT_NEAR(cut.smallestAngle, 1.5707963, 1e-6);
        EXPECT_NEAR(cut.part, cut.length * cut.width / 0.09, 1e-9);
    }
    EXPECT_EQ(small, 1);  // 0.02 of 0.09; a third is 0.03
}

// 1.02 x 0.52 with joints of 5 mm holds 25 units of 0.2 x 0.1 (5 x 0.2 + 4 x 0.005): 0.5304 less 0.5 is open.
// Units 50 mm thick: 0.0304 x 0.05 to the top; 1/2 in less deep 0.0304 x 0.0373.
TEST(Units, JointsAndTheirSand) {
    const Model model = built(court(1.02, 0.52, {0.2, 0.1}, 0.005));
    const UnitsReport report = unitsReport(model, loadCatalogue(model.plan));
    ASSERT_EQ(report.joints.size(), 1u);
    EXPECT_NEAR(report.joints[0].openArea, 0.0304, 1e-9);
    EXPECT_NEAR(report.joints[0].sandToTop, 0.00152, 1e-9);
    EXPECT_NEAR(report.joints[0].sandToLimit, 0.0304 * 0.0373, 1e-9);
    // 5 mm is more than 3/16 in (4.8 mm).
    ASSERT_EQ(report.cautions.size(), 1u);
    EXPECT_THAT(report.cautions[0], ::testing::HasSubstr("at most 4.8 mm is usual"));
}

// 24 x 24 x 2 in is 2/3 ft³; at 145 lb/ft³ (common concrete, from memory) 96.7 lb.
TEST(Units, WeightOfALargeSlab) {
    Plan plan = court(3 * 24 * inch, 2 * 24 * inch, {24 * inch, 24 * inch});
    plan.buildUps[0].layers[0].thickness = 2 * inch;
    const Model model = built(plan);
    Catalogue catalogue = loadCatalogue(model.plan);
    for (Material& material : catalogue.materials)
        if (material.name == "concrete unit")
            material.densityCompacted =
                145 * kilogramsPerPound / (metresPerFoot * metresPerFoot * metresPerFoot);
    const UnitsReport report = unitsReport(model, catalogue);
    ASSERT_EQ(report.counts.size(), 1u);
    EXPECT_EQ(report.counts[0].whole, 6);
    EXPECT_NEAR(report.counts[0].weight / kilogramsPerPound, 96.667, 0.001);
    EXPECT_EQ(report.counts[0].sawPasses, 1);
    ASSERT_FALSE(report.cautions.empty());
    EXPECT_THAT(report.cautions[0], ::testing::HasSubstr("4.1 times"));  // 96.67 / 23.67 = 4.08
}

// NIOSH publication 94-110: 51 lb x 10/15 x (1 - 0.0075 x 20) x (0.82 + 1.8/20) x 0.90 = 23.67 lb.
TEST(Lifting, RecommendedWeight) {
    const Lift usual = usualLift(loadCatalogue());
    EXPECT_NEAR(recommendedWeight(usual) / kilogramsPerPound, 23.67, 0.01);
    Lift best = usual;
    best.reach = 10 * inch, best.from = 30 * inch, best.travel = 10 * inch, best.coupling = 1;
    EXPECT_NEAR(recommendedWeight(best) / kilogramsPerPound, 51, 0.01);
    best.reach = 5 * inch, best.travel = 2 * inch;
    EXPECT_NEAR(recommendedWeight(best) / kilogramsPerPound, 51, 0.01);
    best.reach = 26 * inch;
    EXPECT_EQ(recommendedWeight(best), 0);
}

// The rectangle above: one sliver (0.2 x 0.1). A row of 0.1 at one end always leaves one in its corner, so
// the rows share it: two of 0.2 each, four rows and seven columns, 6 x 2 whole of 28. The smallest is then
// the corner, 0.2 x 0.2 of 0.09.
TEST(StartLine, SharesTheCutBetweenBothEnds) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const Catalogue catalogue = loadCatalogue(model.plan);
    const auto line = startLine(model, catalogue, 0, {});
    ASSERT_TRUE(line) << line.error();
    EXPECT_EQ(line->before.whole, 18);
    EXPECT_EQ(line->before.cut, 10);
    EXPECT_EQ(line->before.slivers, 1);
    EXPECT_EQ(line->after.slivers, 0);
    EXPECT_EQ(line->after.cut, 16);
    EXPECT_EQ(line->after.whole, 12);
    EXPECT_NEAR(line->after.smallestPart, 0.04 / 0.09, 1e-6);
    EXPECT_TRUE(line->exact);
}

// Symmetrical: 5 x 0.3 + 2 x 0.25 along, 2 x 0.3 + 2 x 0.2 across: 10 of 28 whole.
TEST(StartLine, SymmetricalCutsAlikeAtOppositeSides) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const auto line = startLine(model, loadCatalogue(model.plan), 0, {true, 0, 0});
    ASSERT_TRUE(line) << line.error();
    EXPECT_EQ(line->after.slivers, 0);
    EXPECT_EQ(line->after.whole, 10);
    EXPECT_EQ(line->after.cut, 18);
    EXPECT_NEAR(line->after.smallestPart, 0.05 / 0.09, 1e-6);
}

// What it says goes into the plan, and the model then has these numbers; so on every pattern and a slanted
// side.
TEST(StartLine, ThePlanWithItHasTheNumbersItSays) {
    for (const Pattern pattern : {Pattern::Stack, Pattern::Running, Pattern::Herringbone90,
                                  Pattern::Herringbone45, Pattern::BasketWeave}) {
        Plan plan = court(2.13, 1.37, {0.2, 0.1}, 0.003);
        plan.areas[0].outline = testing::ringOf({{0, 0}, {2.13, 0}, {2.13, 1.1}, {1.7, 1.37}, {0, 1.37}});
        plan.areas[0].units->pattern = pattern;
        const Model model = built(plan);
        const Catalogue catalogue = loadCatalogue(plan);
        const auto line = startLine(model, catalogue, 0, {});
        ASSERT_TRUE(line) << line.error();
        EXPECT_FALSE(line->exact);
        EXPECT_LE(line->after.slivers, line->before.slivers);
        plan.areas[0].units->start = line->start;
        const UnitsReport report = unitsReport(built(plan), catalogue);
        ASSERT_EQ(report.counts.size(), 1u);
        EXPECT_EQ(report.counts[0].whole, line->after.whole);
        EXPECT_EQ(static_cast<int>(report.counts[0].cut.size()), line->after.cut);
    }
}

TEST(StartLine, NothingCutIsLeftAlone) {
    const Model model = built(court(3.0, 1.5, {0.3, 0.3}));
    const auto line = startLine(model, loadCatalogue(model.plan), 0, {});
    ASSERT_TRUE(line);
    EXPECT_EQ(line->tried, 0);
    EXPECT_EQ(line->after.whole, 50);
}

}  // namespace
}  // namespace underfoot
