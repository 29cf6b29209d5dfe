#include "study/placed.h"

#include <gtest/gtest.h>

#include "../model/make_plan.h"

namespace underfoot {
namespace {

using testing::plainPlan;
using testing::planeShots;
using testing::shot;

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
    EXPECT_NEAR(base.finish.gap.gap, top.surface.gap.gap, 3e-4);
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

}  // namespace
}  // namespace underfoot
