// Findings of standing water and of pipes, each exactly at its limit and just past it.

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "hand_model.h"
#include "study/drains.h"
#include "study/findings.h"

namespace underfoot {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

using hand::ft;
using hand::in;

std::vector<Finding> waterFindings(const Model& model, FindingKind kind) {
    std::vector<Finding> some;
    for (const Finding& finding : findings(model, loadCatalogue()))
        if (finding.kind == kind) some.push_back(finding);
    return some;
}

/// 20 x 20 ft, level, 7 1/2 in deep; a hollow at (10, 10) ft in the finish or in the formation.
Model level(double hollowInFinish, double hollowInFormation) {
    const auto hollow = [](double height, double depth) {
        return [=](glm::dvec2 p) {
            const bool middle = std::abs(p.x - 10 * ft) < 1e-6 && std::abs(p.y - 10 * ft) < 1e-6;
            return middle ? height - depth : height;
        };
    };
    hand::Grid grid;
    grid.columns = grid.rows = 4;
    grid.width = grid.height = 20 * ft;
    grid.finish = hollow(0, hollowInFinish);
    hand::Stack stack;
    stack.column.area = 0;
    stack.column.entries = {hand::entry(0, 2.5 * in), hand::entry(1, in), hand::entry(2, 4 * in)};
    stack.column.formation = 3;
    stack.interfaces = {hollow(0, hollowInFinish), hand::level(-2.5 * in), hand::level(-3.5 * in),
                        hollow(-7.5 * in, hollowInFormation)};
    Model model = hand::gridModel(grid, hand::patioLayers(), {stack});
    Area area;
    area.name = "patio";
    area.buildUp = "stone base";
    model.plan.areas.push_back(area);
    model.plan.ground.shots.push_back({});
    return model;
}

/// A 4 in pipe along offset 10 ft from station 0 on, its invert so low at each of its points, 5 ft apart.
Model withPipe(const std::vector<double>& inverts) {
    Model model = level(0, 0);
    BuriedRun run;
    run.name = "drain";
    run.diameter = 4 * in;
    for (size_t i = 0; i < inverts.size(); ++i)
        run.points.push_back({model.toPlan({5 * ft * static_cast<double>(i), 10 * ft}), inverts[i]});
    model.plan.buriedRuns.push_back(run);
    return model;
}

TEST(WaterFindings, WaterOnTheFinishIsFoundAboveTheLimitAlone) {
    // The limit is 1/8 in.
    EXPECT_THAT(waterFindings(level(0.125 * in, 0), FindingKind::WaterStands), IsEmpty());
    const std::vector<Finding> found = waterFindings(level(0.1875 * in, 0), FindingKind::WaterStands);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, 0.1875 * in, 1e-9);
    EXPECT_NEAR(found[0].at.x, 10 * ft, 1e-9);
    EXPECT_NEAR(found[0].at.y, 10 * ft, 1e-9);
    EXPECT_EQ(found[0].rule, "pond.greatest");
}

TEST(WaterFindings, AHollowOfTheFormationIsFoundAboveItsLimitAlone) {
    // The limit is 1/2 in.
    EXPECT_THAT(waterFindings(level(0, 0.5 * in), FindingKind::FormationHoldsWater), IsEmpty());
    const Model hollow = level(0, 0.625 * in);
    EXPECT_THAT(waterFindings(hollow, FindingKind::WaterStands), IsEmpty());
    const std::vector<Finding> found = waterFindings(hollow, FindingKind::FormationHoldsWater);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, 0.625 * in, 1e-9);
    EXPECT_EQ(found[0].rule, "formation.pond.greatest");
}

TEST(WaterFindings, EachLegOfAPipeFallsByTheLeastOrIsFound) {
    // 1/8 in per ft over 5 ft is 0.625 in. The second leg falls 0.5 in, 0.1 in per ft.
    EXPECT_THAT(waterFindings(withPipe({-20 * in, -20.625 * in, -21.25 * in}), FindingKind::PipeFallSmall),
                IsEmpty());
    const std::vector<Finding> found =
        waterFindings(withPipe({-20 * in, -20.625 * in, -21.125 * in}), FindingKind::PipeFallSmall);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, 0.1 / 12, 1e-9);
    EXPECT_THAT(found[0].what, HasSubstr("falls only"));
    EXPECT_THAT(found[0].what, HasSubstr("leg 2"));
}

TEST(WaterFindings, APipeDrawnFromItsOutletIsTheSamePipe) {
    EXPECT_THAT(waterFindings(withPipe({-21.25 * in, -20.625 * in, -20 * in}), FindingKind::PipeFallSmall),
                IsEmpty());
    // Its first leg climbs to the outlet's side: it falls back.
    const std::vector<Finding> found =
        waterFindings(withPipe({-21 * in, -22 * in, -20 * in}), FindingKind::PipeFallSmall);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_THAT(found[0].what, HasSubstr("falls back from its outlet"));
}

TEST(WaterFindings, ALevelPipeIsFound) {
    const std::vector<Finding> found =
        waterFindings(withPipe({-20 * in, -20 * in}), FindingKind::PipeFallSmall);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_THAT(found[0].what, HasSubstr("lies level"));
}

TEST(WaterFindings, ASpikeIsFoundWhereItReachesThePipe) {
    // Invert 22 in down, so the middle of the 4 in pipe 20 in and its top 18 in. A 3/8 in spike from 2 in
    // down: its end's distance from the middle less 2 in less 3/16 in is what is clear. 10 in long: 8
    // - 2.1875.
    Model model = withPipe({-22 * in, -22 * in});
    model.spikes.push_back({0, 0, {2 * ft, 10 * ft}, -2 * in, 10 * in, 0.375 * in});
    const std::vector<PipeReport> pipes = pipeReports(model);
    ASSERT_THAT(pipes, SizeIs(1));
    ASSERT_THAT(pipes[0].spikes, SizeIs(1));
    EXPECT_NEAR(pipes[0].spikes[0].clear, 5.8125 * in, 1e-9);
    EXPECT_THAT(waterFindings(model, FindingKind::SpikeReachesPipe), IsEmpty());

    model.spikes[0].length = 15.8125 * in;  // 2.1875 - 2.1875: they touch, which is the limit
    EXPECT_THAT(waterFindings(model, FindingKind::SpikeReachesPipe), IsEmpty());

    model.spikes[0].length = 16 * in;  // 3/16 in into it
    const std::vector<Finding> found = waterFindings(model, FindingKind::SpikeReachesPipe);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, -0.1875 * in, 1e-9);
}

TEST(WaterFindings, ALegTellsWhatLiesOverItAndWhatItCuts) {
    // Top of the pipe 6 in down, 1 1/2 in within the base, which lies from 3 1/2 to 7 1/2 in down.
    const std::vector<PipeReport> pipes = pipeReports(withPipe({-10 * in, -10 * in}));
    ASSERT_THAT(pipes, SizeIs(1));
    ASSERT_THAT(pipes[0].legs, SizeIs(1));
    ASSERT_TRUE(pipes[0].legs[0].leastCover);
    EXPECT_NEAR(*pipes[0].legs[0].leastCover, 6 * in, 1e-9);
    EXPECT_THAT(pipes[0].legs[0].cuts, ::testing::ElementsAre(2));
}

}  // namespace
}  // namespace underfoot
