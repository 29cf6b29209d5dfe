// Heights moved on cells that stay, against models built from nothing.

#include "model/rebuild.h"

#include <cmath>

#include <gtest/gtest.h>

#include "model/locate.h"
#include "model/make_plan.h"
#include "model/solid.h"

namespace underfoot {
namespace {

using namespace underfoot::made;
using Of = HeightEdit::Of;

/// A court in a lawn that falls, dug in on one side and filled on the other.
Plan courtPlan() {
    std::vector<Shot> shots;
    for (int i = -2; i <= 6; ++i)
        for (int j = -2; j <= 5; ++j)
            shots.push_back(shot(i, j, 10 - 0.06 * i + 0.01 * ((i * 7 + j * 3) % 5)));
    Plan plan = plainPlan({0, 0}, {4, 3}, 10.05, shots, 0.15);
    plan.ground.strip = 0.05;
    return plan;
}

/// Dug in everywhere: the finish 0.3 below a lawn that hardly falls, so there is no fill and no zero line.
Plan sunkenPlan() {
    std::vector<Shot> shots;
    for (int i = -2; i <= 6; ++i)
        for (int j = -2; j <= 5; ++j) shots.push_back(shot(i, j, 10.3 + 0.01 * ((i * 7 + j * 3) % 5)));
    return plainPlan({0, 0}, {4, 3}, 10, shots, 0.15);
}

Rebuilder rebuilder(const Plan& plan) {
    Checked<Rebuilder> made = Rebuilder::of(plan);
    EXPECT_TRUE(made.has_value());
    return std::move(*made);
}

/// Every stack of `moved` against a model built from nothing, at posts well inside its cells' columns.
void expectSameStacks(const Model& moved, const Model& fresh, double within) {
    size_t compared = 0;
    for (const Cell& cell : moved.cells) {
        const glm::dvec2 middle = (moved.at(cell, 0) + moved.at(cell, 1) + moved.at(cell, 2)) / 3.0;
        const int other = locateCell(fresh, middle);
        ASSERT_GE(other, 0);
        const Cell& same = fresh.cells[static_cast<size_t>(other)];
        if (fresh.interfaces(same) != moved.interfaces(cell)) continue;
        for (int k = 0; k < moved.interfaces(cell); ++k)
            EXPECT_NEAR(heightAt(moved, cell, k, middle), heightAt(fresh, same, k, middle), within);
        ++compared;
    }
    EXPECT_GT(compared, moved.cells.size() / 2);
}

TEST(Rebuilder, StartsWithTheModelThatBuildModelMakes) {
    const Plan plan = courtPlan();
    Rebuilder made = rebuilder(plan);
    const Checked<Model> fresh = buildModel(plan);
    EXPECT_EQ(made.model().heights, fresh->heights);
    EXPECT_EQ(made.model().pointOf, fresh->pointOf);
    EXPECT_EQ(modelFault(made.model()), std::nullopt);
}

TEST(Rebuilder, ARaisedFinishKeepsTheCellsAndRaisesWhatHangsFromIt) {
    Plan plan = courtPlan();
    Rebuilder made = rebuilder(plan);
    const size_t cells = made.stacks().cells.size();
    const HeightEdit edit{Of::FinishLevel, 0, 0, 10.06};
    const auto kept = made.move({&edit, 1});
    ASSERT_TRUE(kept);
    EXPECT_EQ(*kept, Rebuilder::Kept::Cells);
    EXPECT_EQ(made.stacks().cells.size(), cells);
    EXPECT_EQ(modelFault(made.model()), std::nullopt);
    EXPECT_EQ(made.model().plan.finishes[0].planes[0].level, 10.06);
    for (const Cell& cell : made.model().cells) {
        const Column& column = made.model().columnOf(cell);
        if (column.area < 0 || column.beyond) continue;
        for (int c = 0; c < 3; ++c) EXPECT_NEAR(made.model().height(cell, c, 0), 10.06, 1e-12);
    }
}

TEST(Rebuilder, WhereNoZeroLineMovesTheStacksAreThoseBuiltFromNothing) {
    Plan plan = sunkenPlan();
    Rebuilder made = rebuilder(plan);
    const std::vector<HeightEdit> edits{{Of::FinishLevel, 0, 0, 9.98},
                                        {Of::FinishFall, 0, 0, 0.015},
                                        {Of::GroundShot, 0, 30, 10.4},
                                        {Of::LayerThickness, 0, 2, 0.13}};
    const auto kept = made.move(edits);
    ASSERT_TRUE(kept);
    ASSERT_EQ(*kept, Rebuilder::Kept::Cells);
    applyEdits(edits, plan);
    const Checked<Model> fresh = buildModel(plan);
    ASSERT_TRUE(fresh);
    expectSameStacks(made.model(), *fresh, 1e-12);
    EXPECT_EQ(modelFault(made.model()), std::nullopt);
}

TEST(Rebuilder, SettlingBuildsTheVeryModelOfTheMovedPlan) {
    Plan plan = courtPlan();
    Rebuilder made = rebuilder(plan);
    const std::vector<HeightEdit> edits{{Of::GroundShot, 0, 20, 9.9}, {Of::FinishLevel, 0, 0, 10.02}};
    ASSERT_TRUE(made.move(edits));
    ASSERT_TRUE(made.settle());
    applyEdits(edits, plan);
    const Checked<Model> fresh = buildModel(plan);
    EXPECT_EQ(made.model().heights, fresh->heights);
    EXPECT_EQ(made.model().cells.size(), fresh->cells.size());
}

TEST(Rebuilder, OneShotMovesThePostsRoundItAndNoOthers) {
    Plan plan = courtPlan();
    Rebuilder made = rebuilder(plan);
    // Shot 36 is that at (2, 2): i = 2 is the fifth row of eight, j = 2 the fifth in it.
    ASSERT_EQ(plan.ground.shots[36].at, glm::dvec2(2, 2));
    const HeightEdit edit{Of::GroundShot, 0, 36, plan.ground.shots[36].height + 0.004};
    const auto kept = made.move({&edit, 1});
    ASSERT_TRUE(kept);
    ASSERT_EQ(*kept, Rebuilder::Kept::Cells);
    const Model& model = made.stacks();
    EXPECT_GT(made.movedPosts().size(), 0u);
    EXPECT_LT(made.movedPosts().size(), model.posts.size() / 2);
    for (int post : made.movedPosts()) {
        const glm::dvec2 at =
            model.toPlan(model.vertices[static_cast<size_t>(model.posts[static_cast<size_t>(post)].vertex)]);
        // Its triangles reach one step of the grid of shots, aslant at most.
        EXPECT_LT(std::max(std::abs(at.x - 2), std::abs(at.y - 2)), 1 + 1e-9);
    }
}

TEST(Rebuilder, AnEditBackAgainGivesTheFirstHeights) {
    const Plan plan = courtPlan();
    Rebuilder made = rebuilder(plan);
    const std::vector<double> before = made.model().heights;
    for (const double level : {10.07, 10.01, 10.05}) {
        const HeightEdit edit{Of::FinishLevel, 0, 0, level};
        ASSERT_TRUE(made.move({&edit, 1}));
        ASSERT_EQ(modelFault(made.model()), std::nullopt);
    }
    ASSERT_EQ(made.model().heights.size(), before.size());
    for (size_t i = 0; i < before.size(); ++i) EXPECT_NEAR(made.model().heights[i], before[i], 1e-7);
}

TEST(Rebuilder, AnotherNumberOfLiftsLaysNewCells) {
    Plan plan = courtPlan();
    plan.ground.fillLift = 0.1;
    Rebuilder made = rebuilder(plan);
    const HeightEdit edit{Of::FinishLevel, 0, 0, 10.4};
    const auto kept = made.move({&edit, 1});
    ASSERT_TRUE(kept);
    EXPECT_EQ(*kept, Rebuilder::Kept::Nothing);
    applyEdits({&edit, 1}, plan);
    EXPECT_EQ(made.model().heights, buildModel(plan)->heights);
}

TEST(Rebuilder, ASurfaceWithAStepLaysNewCells) {
    Plan plan = courtPlan();
    plan.ground.extend = Extend::Plane;
    Rebuilder made = rebuilder(plan);
    const HeightEdit edit{Of::FinishLevel, 0, 0, 10.06};
    EXPECT_EQ(*made.move({&edit, 1}), Rebuilder::Kept::Nothing);
}

TEST(Rebuilder, MeasuredTopsMove) {
    Plan plan = sunkenPlan();
    std::vector<Shot> tops;
    for (int i = 0; i <= 4; ++i)
        for (int j = 0; j <= 3; ++j) tops.push_back(shot(i, j, 9.97 + 0.002 * ((i + j) % 3)));
    plan.measuredTops.push_back({"base", tops, Extend::Nearest, {}, {}});
    Rebuilder made = rebuilder(plan);
    const std::vector<HeightEdit> edits{{Of::MeasuredShot, 0, 5, 9.975}, {Of::MeasuredShot, 0, 6, 9.976}};
    const auto kept = made.move(edits);
    ASSERT_TRUE(kept);
    ASSERT_EQ(*kept, Rebuilder::Kept::Cells);
    applyEdits(edits, plan);
    expectSameStacks(made.model(), *buildModel(plan), 1e-9);
    EXPECT_EQ(modelFault(made.model()), std::nullopt);
}

TEST(Rebuilder, SurfacesMovedThroughEachOtherAtAStepLeaveClosedSolids) {
    // Two courts side by side, the second's layers a little lower and falling the other way: raised and
    // lowered, tops of the one pass tops of the other between the ends of their common edge.
    Plan plan = courtPlan();
    Area other = plan.areas[0];
    other.name = "path";
    other.outline = rectangle({4, 0}, {7, 3});
    other.buildUp = "thin";
    other.finish = "path";
    BuildUp thin = plan.buildUps[0];
    thin.name = "thin";
    thin.layers[0].thickness = 0.04;
    thin.layers[2].thickness = 0.08;
    plan.buildUps.push_back(thin);
    plan.finishes.push_back({"path", {{{4, 0}, 10.04, 0.02, 0, {}}}, PlaneJoin::Ridge, {}, {}});
    plan.areas.push_back(other);
    Rebuilder made = rebuilder(plan);
    for (const double level : {10.09, 10.0, 9.97, 10.11, 9.93, 10.05}) {
        const HeightEdit edit{Of::FinishLevel, 1, 0, level};
        ASSERT_TRUE(made.move({&edit, 1}));
        ASSERT_EQ(modelFault(made.model()), std::nullopt) << level;
    }
}

}  // namespace
}  // namespace underfoot
