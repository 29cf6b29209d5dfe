#include "study/placed.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "../model/make_plan.h"
#include "study/findings.h"

namespace underfoot {
namespace {

using made::plainPlan;
using made::planeShots;
using made::shot;

// Finish at 0; units 50 mm and bed 25 mm: by plan the base's top lies at -75 mm.
Plan measured(std::vector<Shot> shots) {
    Plan plan = plainPlan({0, 0}, {6, 4}, 0, planeShots(-0.175));
    plan.measuredTops.push_back({"base", std::move(shots), Extend::Nearest, {}, {}});
    return plan;
}

Placed placedOf(const Plan& plan) {
    const auto model = buildModel(plan);
    EXPECT_TRUE(model);
    return placed(*model, loadCatalogue(plan));
}

TEST(Placed, ATopOnPlanPassesBothWaysOfScreeding) {
    const Placed all = placedOf(measured(planeShots(-0.075)));
    ASSERT_EQ(all.tops.size(), 1u);
    const PlacedTop& top = all.tops[0];
    EXPECT_TRUE(top.passes);
    EXPECT_NEAR(top.surface.figures.greatest, 0, 1e-9);
    EXPECT_NEAR(top.surface.figures.least, 0, 1e-9);
    EXPECT_NEAR(top.surface.figures.planArea, 24, 1e-6);
    ASSERT_EQ(top.finishes.size(), 2u);
    for (const PredictedFinish& one : top.finishes) {
        EXPECT_NEAR(one.beds.at(0).least, 0.025, 1e-9);
        EXPECT_NEAR(one.beds.at(0).greatest, 0.025, 1e-9);
        EXPECT_LE(one.finish.gap.gap, 1e-9);
    }
}

// A hump of 15 mm in the middle of a base otherwise on plan. To the strings: finish on plan, the bed 25 - 15
// = 10 mm thin over the hump. On the base: the bed 25 mm everywhere, the finish 15 mm high over it.
TEST(Placed, AHumpGoesIntoTheBedOrIntoTheFinish) {
    const Placed all = placedOf(measured({shot(0, 0, -0.075), shot(6, 0, -0.075), shot(6, 4, -0.075),
                                          shot(0, 4, -0.075), shot(3, 2, -0.060)}));
    ASSERT_EQ(all.tops.size(), 1u);
    const PlacedTop& top = all.tops[0];
    EXPECT_FALSE(top.passes);
    EXPECT_NEAR(top.surface.figures.greatest, 0.015, 1e-9);
    EXPECT_NEAR(top.surface.figures.mean, 0.005, 1e-8);  // a pyramid: a third of its height
    ASSERT_EQ(top.finishes.size(), 2u);
    const PredictedFinish &strings = top.finishes[0], &base = top.finishes[1];
    EXPECT_TRUE(strings.asPlanned);
    EXPECT_NEAR(strings.beds.at(0).least, 0.010, 1e-9);
    EXPECT_NEAR(strings.finish.figures.greatest, 0, 1e-9);
    EXPECT_FALSE(base.asPlanned);
    EXPECT_NEAR(base.beds.at(0).least, 0.025, 1e-9);
    EXPECT_NEAR(base.beds.at(0).greatest, 0.025, 1e-9);
    EXPECT_NEAR(base.finish.figures.greatest, 0.015, 1e-9);
    // What shows in the finish is what the base has.
    EXPECT_NEAR(base.finish.gap.gap, top.surface.gap.gap, 1e-6);
    // Strings kept, tolerance 3/8 in = 9.525 mm: the tip of the pyramid above it is a pyramid of 5.475 mm
    // over 24 m2 (5.475 / 15)^2 = 3.197 m2: 5.83 l, unless the straightedge asks for more.
    EXPECT_GE(top.stringsStay.shaved, 24 * 0.005475 * (0.005475 / 0.015) * (0.005475 / 0.015) / 3 - 1e-9);
    EXPECT_EQ(top.stringsStay.added, 0);
    EXPECT_LE(top.stringsMove.work(), top.stringsStay.work() + 1e-6);
}

TEST(Placed, WithoutShotTopsThereIsNothing) {
    EXPECT_TRUE(placedOf(plainPlan({0, 0}, {6, 4}, 0, planeShots(-0.175))).tops.empty());
}

TEST(Placed, ScreedingChangesOnlyBuildUpsWithABedAboveTheLayer) {
    const Plan plan = measured(planeShots(-0.075));
    EXPECT_FALSE(screeded(plan, "units", Screeding::OnBase));
    const auto onBase = screeded(plan, "base", Screeding::OnBase);
    ASSERT_TRUE(onBase);
    EXPECT_FALSE(onBase->buildUps[0].layers[1].takesUp);
    const auto toStrings = screeded(*onBase, "base", Screeding::ToStrings);
    ASSERT_TRUE(toStrings);
    EXPECT_TRUE(toStrings->buildUps[0].layers[1].takesUp);
}

// What heights moved on the same cells give is what the plan built anew gives; where the bed would run out
// (25 mm over a hump of 40 mm) it is built anew.
TEST(Placed, TheOtherWayOfScreedingIsTheSameMovedOrBuilt) {
    for (const double hump : {0.015, 0.040})
        for (const Screeding way : {Screeding::OnBase, Screeding::ToStrings}) {
            Plan plan = measured({shot(0, 0, -0.075), shot(6, 0, -0.08), shot(6, 4, -0.075),
                                  shot(0, 4, -0.079), shot(3, 2, -0.075 + hump)});
            const bool strings = way == Screeding::ToStrings;
            plan = *screeded(plan, "base", strings ? Screeding::OnBase : Screeding::ToStrings);
            const auto model = buildModel(plan);
            const Plan other = *screeded(plan, "base", way);
            const auto moved = screededModel(*model, other, "base");
            const auto built = buildModel(other);
            ASSERT_TRUE(model && moved && built);
            const LayerId base = built->findLayer("base"), bed = built->findLayer("bedding");
            const FieldFigures a = figuresOf(finishDeviation(*moved, base), 0.001),
                               b = figuresOf(finishDeviation(*built, base), 0.001);
            EXPECT_NEAR(a.greatest, b.greatest, 1e-9) << hump << strings;
            EXPECT_NEAR(a.least, b.least, 1e-9) << hump << strings;
            EXPECT_NEAR(a.mean, b.mean, 1e-9) << hump << strings;
            const ThicknessField c = thicknessField(*moved, bed), d = thicknessField(*built, bed);
            EXPECT_NEAR(c.least, d.least, 1e-9) << hump << strings;
            EXPECT_NEAR(c.greatest, d.greatest, 1e-9) << hump << strings;
            EXPECT_NEAR(c.mean, d.mean, 1e-9) << hump << strings;
        }
}

// ---------------------------------------------------------------- under the straightedge

std::vector<Finding> ofKind(const std::vector<Finding>& all, FindingKind kind) {
    std::vector<Finding> some;
    for (const Finding& one : all)
        if (one.kind == kind) some.push_back(one);
    return some;
}

// A base that falls 8 cm a metre from both sides to a valley at x = 3, under slabs of 40 cm laid from x = 0.
Plan overAValley(bool takesUp) {
    Plan plan = plainPlan({0, 0}, {6, 4}, 0, planeShots(-0.8));
    plan.measuredTops.push_back({"base", {}, Extend::Nearest, {}, {}});
    for (const double y : {0.0, 4.0})
        for (const double x : {0.0, 3.0, 6.0})
            plan.measuredTops[0].shots.push_back(shot(x, y, x == 3 ? -0.315 : -0.075));
    for (Layer& layer : plan.buildUps[0].layers) layer.takesUp = takesUp && layer.role == Role::Bedding;
    UnitLayout slabs;
    slabs.sizes = {{0.397, 0.397}};
    slabs.shift = 0;
    plan.areas[0].units = slabs;
    return plan;
}

// Half of 10 ft either side of the valley it stands 1.524 x 0.08 = 0.1219 m over its bottom.
TEST(PlacedFindings, AValleyInAShotBaseShowsUnderTheStraightedge) {
    const Plan plan = overAValley(true);
    const auto all = findings(*buildModel(plan), loadCatalogue());
    const auto base = ofKind(all, FindingKind::LayerOutOfFlat);
    ASSERT_THAT(base, ::testing::SizeIs(1));
    EXPECT_NEAR(base[0].measured, 1.524 * 0.08, 2.5e-4);
    EXPECT_NEAR(base[0].wanted, 3.0 / 8 * metresPerInch, 1e-12);
    EXPECT_EQ(base[0].rule, "base.deviation");
    EXPECT_NEAR(base[0].station, 3, 0.02);
    EXPECT_THAT(base[0].what,
                ::testing::HasSubstr("Base shows a gap of 122 mm under a 3.048 m straightedge"));
    // The bed takes it up: the finish is on plan.
    EXPECT_THAT(ofKind(all, FindingKind::FinishOutOfFlat), ::testing::IsEmpty());
    EXPECT_THAT(ofKind(all, FindingKind::UnitsStep), ::testing::IsEmpty());
}

// With the rails on the base the finish has the valley too. The slab over it, from 2.8 to 3.2, lies level at
// the mean of 0.08 |x - 3|, 8 mm over the bottom; its neighbour's plane at the joint, 0.2 m away, stands 16
// mm over it: a step of 8 mm, past 1/8 in and past 1/4 in.
TEST(PlacedFindings, OnAnEvenBedTheFinishShowsItAndItsUnitsStep) {
    const Plan plan = overAValley(false);
    const auto all = findings(*buildModel(plan), loadCatalogue());
    const auto finish = ofKind(all, FindingKind::FinishOutOfFlat);
    ASSERT_THAT(finish, ::testing::SizeIs(1));
    EXPECT_NEAR(finish[0].measured, 1.524 * 0.08, 2.5e-4);
    EXPECT_EQ(finish[0].rule, "finish.deviation");
    const auto steps = ofKind(all, FindingKind::UnitsStep), level = ofKind(all, FindingKind::LevelChange);
    ASSERT_THAT(steps, ::testing::SizeIs(1));
    ASSERT_THAT(level, ::testing::SizeIs(1));
    EXPECT_NEAR(steps[0].measured, 0.008, 3e-4);
    EXPECT_NEAR(steps[0].wanted, metresPerInch / 8, 1e-12);
    EXPECT_NEAR(level[0].wanted, metresPerInch / 4, 1e-12);
    EXPECT_EQ(steps[0].rule, "proud");
    EXPECT_THAT(level[0].remedy, ::testing::HasSubstr("accessible"));
    EXPECT_THAT(steps[0].what, ::testing::HasSubstr("20 of "));  // ten rows of 0.4 m in 4 m, two joints each
}

TEST(PlacedFindings, ABaseAsDesignedAndAValleyByDesignHaveNone) {
    Plan plan = overAValley(false);
    for (Shot& one : plan.measuredTops[0].shots) one.height = -0.075;
    const auto all = findings(*buildModel(plan), loadCatalogue());
    EXPECT_THAT(ofKind(all, FindingKind::LayerOutOfFlat), ::testing::IsEmpty());
    EXPECT_THAT(ofKind(all, FindingKind::UnitsStep), ::testing::IsEmpty());
    plan.measuredTops.clear();
    plan.finishes[0].planes = {{{0, 0}, 0, 0, 0, {}}, {{3, 0}, 0.2, -0.05, 0, {}}};
    EXPECT_THAT(ofKind(findings(*buildModel(plan), loadCatalogue()), FindingKind::UnitsStep),
                ::testing::IsEmpty());
}

}  // namespace
}  // namespace underfoot
