// Heights, thicknesses and volumes of small plans, worked by hand.

#include <algorithm>
#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "make_plan.h"
#include "model/locate.h"
#include "model/model.h"
#include "model/solid.h"

namespace underfoot {
namespace {

using namespace underfoot::made;

Model built(const Plan& plan) {
    Checked<Model> model = buildModel(plan);
    if (!model) throw std::runtime_error(formatDiagnostic(model.error().front()));
    EXPECT_EQ(modelFault(*model), std::nullopt);
    return *model;
}

double volumeOf(const Model& model, const std::string& name) {
    const LayerId layer = model.findLayer(name);
    if (layer < 0) return 0;
    return enclosedVolume(model, layerSolid(model, layer));
}

double cutOf(const Model& model) {
    double cut = 0;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        const Cell& cell = model.cells[c];
        if (model.columnOf(cell).area < 0) continue;
        const int soil = model.interfaces(cell) - 2;
        for (int k = 0; k < 3; ++k)
            cut += model.planArea(cell) / 3 *
                   std::max(0.0, model.factsAt(cell, k).stripped - model.height(cell, k, soil));
    }
    return cut;
}

/// Thickness of a layer at a place, all its lifts together.
double thicknessAt(const Model& model, const std::string& name, double x, double y) {
    const glm::dvec2 p = model.toLocal({x, y});
    const int c = locateCell(model, p);
    if (c < 0) return -1;
    const Cell& cell = model.cells[static_cast<size_t>(c)];
    double sum = 0;
    for (size_t k = 0; k < model.columnOf(cell).entries.size(); ++k)
        if (model.columnOf(cell).entries[k].layer == model.findLayer(name))
            sum += heightAt(model, cell, static_cast<int>(k), p) -
                   heightAt(model, cell, static_cast<int>(k) + 1, p);
    return sum;
}

double topAt(const Model& model, double x, double y) {
    const glm::dvec2 p = model.toLocal({x, y});
    return heightAt(model, model.cells[static_cast<size_t>(locateCell(model, p))], 0, p);
}

TEST(Stack, FlatPatioOnFlatGroundIsAllCut) {
    // Finish level with the ground at 10.000; depth 0.175; 4 m x 3 m = 12 m2: cut 2.1 m3.
    const Model model = built(plainPlan({0, 0}, {4, 3}, 10, planeShots(10)));
    EXPECT_NEAR(volumeOf(model, "units"), 12 * 0.05, 1e-9);
    EXPECT_NEAR(volumeOf(model, "bedding"), 12 * 0.025, 1e-9);
    EXPECT_NEAR(volumeOf(model, "base"), 12 * 0.1, 1e-9);
    EXPECT_NEAR(cutOf(model), 2.1, 1e-9);
    EXPECT_EQ(volumeOf(model, "fill"), 0);
    EXPECT_NEAR(topAt(model, 2, 1), 10, 1e-12);
}

TEST(Stack, MoreLiftsThanAnyoneCompactsAreRefused) {
    // Formation at 20.325, ground at 10: 10.325 m of fill. Lifts of 0.104 m are 99.3, so 100; of 0.103 m
    // 100.2.
    Plan plan = plainPlan({0, 0}, {4, 3}, 20.5, planeShots(10));
    plan.ground.sideSlope = 1000;
    plan.ground.fillLift = 0.104;
    size_t most = 0;
    for (const Column& column : built(plan).columns) most = std::max(most, column.entries.size());
    EXPECT_EQ(most, 3 + 100 + 1);  // courses, lifts, native soil
    plan.ground.fillLift = 0.103;
    const Checked<Model> refused = buildModel(plan);
    ASSERT_FALSE(refused);
    EXPECT_THAT(refused.error().front().what, ::testing::HasSubstr("more than 100 lifts"));
}

TEST(Stack, OpeningsThatOverlapAreRefusedAndThoseThatTouchAreNot) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    plan.areas[0].openings = {rectangle({1, 1}, {2, 2}), rectangle({2, 1}, {3, 2})};
    EXPECT_NEAR(volumeOf(built(plan), "units"), (12 - 2) * 0.05, 1e-9);
    plan.areas[0].openings[1] = rectangle({1.999, 1}, {3, 2});  // a sliver of 1 mm
    const Checked<Model> refused = buildModel(plan);
    ASSERT_FALSE(refused);
    EXPECT_THAT(refused.error().front().what,
                ::testing::HasSubstr("Openings 1 and 2 of \"court\" overlap by"));
}

TEST(Stack, NoLiftOfASideSlopeIsThickerThanOneLift) {
    // Ground falls 0.2 per metre under a level formation at 10.4; side slopes of 1:2 meet it lower than the
    // pad does. At the pad's low edge fill is 0.4 + 0.8 = 1.2 deep: 6 lifts of 0.2. Its side meets the ground
    // where 10.4 - 0.5 s = 9.2 - 0.2 s, s = 4 m out, 10.4 - 8.4 = 2 m below the formation: 10 lifts.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10.575, planeShots(10, -0.2));
    plan.ground.sideSlope = 0.5;
    plan.ground.fillLift = 0.2;
    const Model model = built(plan);
    double thickest = 0;
    int lifts = 0;
    for (const Cell& cell : model.cells)
        for (int k = 0; k + 1 < model.interfaces(cell); ++k) {
            const ColumnEntry& entry = model.columnOf(cell).entries[static_cast<size_t>(k)];
            if (entry.layer != model.findLayer("fill")) continue;
            lifts = std::max(lifts, entry.lifts);
            for (int corner = 0; corner < 3; ++corner)
                thickest = std::max(thickest, model.thickness(cell, corner, k));
        }
    EXPECT_EQ(lifts, 10);
    EXPECT_NEAR(thickest, 0.2, 1e-9);
}

TEST(Stack, ALayerOfMoreLiftsThanAnyoneCompactsIsRefusedOnce) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    plan.buildUps[0].layers[2].lift = 0.0004;  // the base, 0.1 m thick: 250 lifts
    plan.areas.push_back(plan.areas[0]);
    plan.areas[1].name = "beside";
    plan.areas[1].outline = rectangle({4, 0}, {8, 3});
    const Checked<Model> refused = buildModel(plan);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().size(), 1u);
}

TEST(Stack, StrippedSodIsNoCut) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    plan.ground.strip = 0.1;  // cut is then 0.175 - 0.1 = 0.075 deep: 0.9 m3
    EXPECT_NEAR(cutOf(built(plan)), 0.9, 1e-9);
}

TEST(Stack, BaseBeyondTheEdgeIsCoveredBySoil) {
    // Base runs 0.2 m past a 4 x 3 m area with square corners: 4.4 x 3.4 = 14.96 m2 of base, 0.1 m thick.
    const Model model = built(plainPlan({0, 0}, {4, 3}, 10, planeShots(10), 0.2));
    EXPECT_NEAR(volumeOf(model, "base"), 1.496, 1e-9);
    // Over it, from the base's top (0.075 below the ground) up to the ground: 2.96 m2 x 0.075 m.
    EXPECT_NEAR(volumeOf(model, "backfill"), 2.96 * 0.075, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "base", -0.1, 1), 0.1, 1e-9);
}

TEST(Stack, CutTurnsToFillAlongAStraightLine) {
    // Ground falls 0.1 per metre away from x = 0: z = 10 - 0.1 x. Formation at 9.825 meets it at x = 1.75.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10, -0.1));
    plan.ground.sideSlope = 1000;  // sides almost upright, so that the fill is that under the area
    const Model model = built(plan);
    // Cut: triangle 1.75 long, 0.175 deep: 0.5 * 1.75 * 0.175 * 3. Fill: (4 - 1.75) long, 0.225 deep.
    EXPECT_NEAR(cutOf(model), 0.5 * 1.75 * 0.175 * 3, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "fill", 4 - 1e-9, 1), 0.225, 1e-6);
    EXPECT_NEAR(thicknessAt(model, "fill", 1.75, 1), 0, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "fill", 2.75, 1), 0.1, 1e-9);
    EXPECT_NEAR(volumeOf(model, "fill"), 0.5 * 2.25 * 0.225 * 3, 1e-3);  // side slopes add well under a litre
}

TEST(Stack, SideSlopesOfARaisedBlock) {
    // Formation 0.4 m above level ground under 4 x 3 m; sides 1:2. The pad is a prism; each side is a wedge
    // 0.8 m wide and 0.4 m high: 0.16 m2 times 2 (4 + 3) m; corners are quarter cones of the wedge's width,
    // cut into flat pieces of 15 degrees whose chords lie on the cone: six triangles of area r^2 sin(15) / 2
    // and height h / 3.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10.575, planeShots(10));
    plan.ground.sideSlope = 0.5;
    const Model model = built(plan);
    const double pad = 12 * 0.4, sides = 0.16 * 14;
    const double corners = 4 * 6 * (0.5 * 0.8 * 0.8 * std::sin(15 * M_PI / 180)) * 0.4 / 3;
    EXPECT_NEAR(volumeOf(model, "fill"), pad + sides + corners, 1e-6);
}

TEST(Stack, PastDaylightASideSlopeIsPlainGround) {
    // The block of the test above: its slopes end 0.8 m out, and the cells beyond carry nothing but soil.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10.575, planeShots(10));
    plan.ground.sideSlope = 0.5;
    const Model model = built(plan);
    auto columnAt = [&](double x, double y) -> const Column& {
        return model.columnOf(model.cells[static_cast<size_t>(locateCell(model, model.toLocal({x, y})))]);
    };
    EXPECT_EQ(columnAt(2, -0.79).area, 0);
    EXPECT_EQ(columnAt(2, -0.81).area, -1);
    EXPECT_EQ(columnAt(2, -0.81).entries.size(), 1u);
}

TEST(Stack, NoSideSlopePastAWall) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10.575, planeShots(10));
    plan.areas[0].againstWall = {0};  // the side along y = 0
    const Model model = built(plan);
    EXPECT_NEAR(thicknessAt(model, "fill", 2, -0.1), 0, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "fill", 2, 3.1), 0.35, 1e-9);  // 0.4 less 0.1 x 1/2
}

TEST(Stack, BeddingTakesUpOverAMeasuredBase) {
    // Strings hold the finish at 10; the base was shot on the plane 9.925 + 0.01 (x - 2): bedding 0.025 -
    // 0.01 (x - 2).
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    plan.measuredTops.push_back({"base", planeShots(9.905, 0.01), Extend::Nearest, {}, {}});
    plan.measuredTops.back().shots.push_back(shot(2, 1, 9.925));
    const Model model = built(plan);
    EXPECT_NEAR(topAt(model, 1, 1), 10, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "bedding", 1, 1), 0.035, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "bedding", 3, 1), 0.015, 1e-9);
    EXPECT_NEAR(volumeOf(model, "bedding"), 12 * 0.025, 1e-9);  // the mean is as designed
}

TEST(Stack, BeddingRunsOutAndUnitsStandProud) {
    // The base rises 0.03 per metre from 9.905 at x = 0: bedding 0.045 - 0.03 x is nothing past x = 1.5, and
    // at x = 3 the units are pushed up by 0.045.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    plan.measuredTops.push_back({"base", planeShots(9.905, 0.03), Extend::Nearest, {}, {}});
    plan.measuredTops.back().shots.push_back(shot(2, 1, 9.965));
    const Model model = built(plan);
    EXPECT_NEAR(thicknessAt(model, "bedding", 1, 1), 0.015, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "bedding", 3, 1), 0, 1e-12);
    EXPECT_NEAR(topAt(model, 3, 1), 10.045, 1e-9);
    EXPECT_NEAR(volumeOf(model, "bedding"), 0.5 * 1.5 * 0.045 * 3, 1e-9);
    EXPECT_NEAR(volumeOf(model, "units"), 12 * 0.05, 1e-9);
}

TEST(Stack, WithRailsOnTheBaseErrorsReachTheFinish) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    plan.buildUps[0].layers[1].takesUp = false;
    plan.measuredTops.push_back({"base", planeShots(9.925, 0.01), Extend::Nearest, {}, {}});
    plan.measuredTops.back().shots.push_back(shot(2, 1, 9.945));
    const Model model = built(plan);
    EXPECT_NEAR(thicknessAt(model, "bedding", 3, 1), 0.025, 1e-9);
    EXPECT_NEAR(topAt(model, 3, 1), 9.955 + 0.075, 1e-9);  // base 9.955, bedding and units 0.075
}

TEST(Stack, MeasuredFormationAndBaseGiveTheBaseItsThickness) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(9));
    auto level = [](double z) {
        auto shots = planeShots(z);
        shots.push_back(shot(2, 1, z));
        return shots;
    };
    plan.buildUps[0].layers.push_back(layer("fill", Role::Fill, 0));
    plan.measuredTops.push_back({"fill", level(9.81), Extend::Nearest, {}, {}});
    plan.measuredTops.push_back({"base", level(9.93), Extend::Nearest, {}, {}});
    const Model model = built(plan);
    EXPECT_NEAR(thicknessAt(model, "base", 1, 1), 0.12, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "bedding", 1, 1), 0.02, 1e-9);
    EXPECT_NEAR(thicknessAt(model, "fill", 1, 1), 0.81, 1e-9);
}

TEST(Stack, ParallelLiftsFillTheLowPlacesFirst) {
    // Formation 9.825, ground 9.5 - 0.05 x over 4 m: fill 0.325 to 0.525. Lifts of 0.1 below the formation:
    // five and a bit at the deep end; the lowest lift of six holds 0.025 at x = 4 and runs out where the fill
    // is 0.5, at x = 3.5.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(9.5, -0.05));
    plan.ground.fillLift = 0.1;
    plan.ground.sideSlope = 1000;
    const Model model = built(plan);
    const LayerId fill = model.findLayer("fill");
    EXPECT_NEAR(enclosedVolume(model, layerSolid(model, fill, 5)), 12 * 0.1, 1e-3);
    EXPECT_NEAR(enclosedVolume(model, layerSolid(model, fill, 0)), 0.5 * 0.5 * 0.025 * 3, 2e-4);
    double sum = 0;
    for (int lift = 0; lift < 6; ++lift) sum += enclosedVolume(model, layerSolid(model, fill, lift));
    EXPECT_NEAR(sum, volumeOf(model, "fill"), 1e-9);
}

TEST(Stack, LevelLiftsCountUpFromTheLowestGround) {
    // Fill from 9.3 (x = 4) to 9.825, ground 9.5 - 0.05 x. The first level lift, 9.3 to 9.4, meets the ground
    // at x = 2.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(9.5, -0.05));
    plan.ground.fillLift = 0.1;
    plan.ground.fillLifts = FillLifts::Level;
    plan.ground.sideSlope = 1000;
    const Model model = built(plan);
    const LayerId fill = model.findLayer("fill");
    EXPECT_NEAR(enclosedVolume(model, layerSolid(model, fill, 0)), 0.5 * 2 * 0.1 * 3, 2e-3);
}

TEST(Stack, APanelThatStopsShortLeavesItsRoomToTheBedding) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    auto& layers = plan.buildUps[0].layers;
    layers.insert(layers.begin() + 1, layer("panels", Role::Underlayment, 0.02, -0.1));
    const Model model = built(plan);
    EXPECT_NEAR(thicknessAt(model, "panels", 2, 1), 0.02, 1e-12);
    EXPECT_NEAR(thicknessAt(model, "panels", 0.05, 1), 0, 1e-12);
    EXPECT_NEAR(thicknessAt(model, "bedding", 0.05, 1), 0.045, 1e-9);
    EXPECT_NEAR(volumeOf(model, "panels"), 3.8 * 2.8 * 0.02, 1e-9);
}

TEST(Stack, NeighbouringAreasShareLayersAndLeaveNoGap) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    Area strip = plan.areas[0];
    strip.name = "strip";
    strip.outline = rectangle({4, 0}, {5, 3});
    strip.buildUp = "stone";
    plan.areas.push_back(strip);
    plan.buildUps.push_back(
        {"stone", {layer("stones", Role::InfillStone, 0.08), layer("base", Role::Base, 0.1)}, {}});
    const Model model = built(plan);
    EXPECT_NEAR(volumeOf(model, "base"), 15 * 0.1, 1e-9);
    EXPECT_NEAR(volumeOf(model, "stones"), 3 * 0.08, 1e-9);
}

TEST(Stack, OverlappingAreasAreRefusedWithBothNames) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10));
    plan.areas.push_back(plan.areas[0]);
    plan.areas[1].name = "hearth";
    plan.areas[1].outline = rectangle({1, 1}, {2, 2});
    const auto model = buildModel(plan);
    ASSERT_FALSE(model);
    EXPECT_THAT(model.error()[0].what,
                ::testing::AllOf(::testing::HasSubstr("court"), ::testing::HasSubstr("hearth")));
    plan.areas[0].around = {"hearth"};
    EXPECT_TRUE(buildModel(plan));
}

TEST(Stack, OutlinePastTheShotsIsRefusedUnlessThePlanSaysHowToGoOn) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(10, 0, 0, 2));
    plan.ground.extend = Extend::Refuse;
    EXPECT_FALSE(buildModel(plan));
    plan.ground.extend = Extend::Plane;
    EXPECT_TRUE(buildModel(plan));
}

TEST(Stack, ShotsInLineAreRefusedWithASentence) {
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, {shot(0, 0, 10), shot(2, 1, 10), shot(4, 2, 10)});
    const auto model = buildModel(plan);
    ASSERT_FALSE(model);
    EXPECT_THAT(model.error()[0].what, ::testing::HasSubstr("The heights of the ground make no surface"));
    plan.ground.shots.clear();
    plan.measuredTops.push_back(
        {"base", {shot(0, 0, 10), shot(1, 1, 10), shot(2, 2, 10)}, Extend::Nearest, {}, {}});
    ASSERT_FALSE(buildModel(plan));
}

TEST(Stack, SamePlanSameNumbersTwice) {
    const Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(9.9, 0.03, -0.02), 0.15);
    const Model a = built(plan), b = built(plan);
    EXPECT_EQ(a.heights, b.heights);
    EXPECT_EQ(a.pointOf, b.pointOf);
}

TEST(Stack, MeasuredTopsAllRoundAnAreaRuleIt) {
    // Base shot at four places outside the corners, 15 mm over its design of 10 - 0.075: the bedding, 25 mm
    // by design, is left 10 mm.
    Plan plan = plainPlan({0, 0}, {4, 3}, 10, planeShots(9.9, 0, 0), 0.15);
    plan.measuredTops.push_back({"base",
                                 {shot(-1, -1, 9.94), shot(5, -1, 9.94), shot(5, 4, 9.94), shot(-1, 4, 9.94)},
                                 Extend::Nearest,
                                 {},
                                 {}});
    const Model model = built(plan);
    EXPECT_NEAR(thicknessAt(model, "bedding", 2, 1.5), 0.01, 1e-12);
    // On one side of it only they say nothing of it.
    plan.measuredTops[0].shots = {shot(-1, -1, 9.94), shot(-3, -1, 9.94), shot(-2, 4, 9.94)};
    EXPECT_NEAR(thicknessAt(built(plan), "bedding", 2, 1.5), 0.025, 1e-12);
}

}  // namespace
}  // namespace underfoot
