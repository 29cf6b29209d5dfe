#include "study/volumes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "hand_model.h"
#include "model/make_plan.h"
#include "model/rebuild.h"
#include "plan/read_plan.h"

namespace underfoot {
namespace {

using hand::gridModel;
using hand::level;
using hand::plane;

TEST(Volumes, PrismsOverTwoTriangles) {
    // 3 x 2 m. Units 0.06 thick: 6 m² x 0.06 = 0.36 m³. Bedding from -0.06 down to -0.08 - 0.01 x: mean
    // thickness 0.02 + 0.015 = 0.035, so 0.21 m³. Base from there to -0.2: mean 0.2 - 0.095 = 0.105, so 0.63
    // m³.
    hand::Grid grid;
    grid.width = 3, grid.height = 2;
    const Volumes v =
        volumes(gridModel(grid, hand::patioLayers(), {hand::patioStack(plane(-0.08, -0.01, 0))}));
    ASSERT_EQ(v.layers.size(), 3U);  // native soil left out
    EXPECT_NEAR(v.layers[0].volume, 0.36, 1e-14);
    EXPECT_NEAR(v.layers[1].volume, 0.21, 1e-14);
    EXPECT_NEAR(v.layers[2].volume, 0.63, 1e-14);
    EXPECT_NEAR(v.layers[2].insideVolume, 0.63, 1e-14);
    EXPECT_NEAR(v.layers[1].planArea, 6, 1e-14);
    EXPECT_NEAR(v.finishArea, 6, 1e-14);
}

TEST(Volumes, ATetrahedronIsAThirdOfItsPrism) {
    // One triangle of 1/2 m² where the bedding is 0.03 at (1, 0) and nothing at the others: 1/2 x 0.03 / 3 =
    // 0.005.
    hand::Grid grid;
    grid.stackOf = [](glm::dvec2 p) { return p.y < p.x ? 0 : -1; };
    const auto corner = [](glm::dvec2 p) { return p == glm::dvec2(1, 0) ? -0.09 : -0.06; };
    const Volumes v = volumes(gridModel(grid, hand::patioLayers(), {hand::patioStack(corner)}));
    EXPECT_NEAR(v.layers[1].volume, 0.005, 1e-16);
}

TEST(Volumes, CutIsStrippedGroundAboveTheSoilThatStays) {
    // 2 x 2 m; ground 0.1 x above datum, 0.05 of topsoil off; formation -0.2. Strip 4 x 0.05 = 0.2 m³; cut
    // 4 x (0.1 - 0.05 + 0.2) = 1.0 m³.
    hand::Grid grid;
    grid.width = grid.height = 2;
    grid.ground = plane(0, 0.1, 0);
    grid.stripped = plane(-0.05, 0.1, 0);
    const Volumes v = volumes(gridModel(grid, hand::patioLayers(), {hand::patioStack(level(-0.1))}));
    EXPECT_NEAR(v.strip, 0.2, 1e-15);
    EXPECT_NEAR(v.cut, 1.0, 1e-14);
    EXPECT_EQ(v.fill, 0);
}

TEST(Volumes, FillCountsItsSideSlopesAndCutLeavesFillOut) {
    // Left square inside with 0.3 of fill over stripped ground at -0.5, right square beyond the edge with
    // fill sloping from 0.3 to nothing: 1 x 0.3 + 1 x 0.15. No ground above the soil anywhere: no cut.
    std::vector<ModelLayer> layers = hand::patioLayers();
    layers.push_back({"fill", Role::Fill, "fill"});
    hand::Stack inside = hand::patioStack(level(-0.1));
    inside.column.entries.push_back(hand::entry(3));
    inside.interfaces.push_back(level(-0.5));
    hand::Stack side;
    side.column.area = 0;
    side.column.beyond = true;
    side.column.entries = {hand::entry(3)};
    side.interfaces = {plane(-0.2 + 0.3, -0.3, 0), level(-0.5)};
    hand::Grid grid;
    grid.columns = 2, grid.width = 2;
    grid.stackOf = [](glm::dvec2 p) { return p.x < 1 ? 0 : 1; };
    grid.ground = grid.stripped = level(-0.5);
    const Volumes v = volumes(gridModel(grid, layers, {inside, side}));
    EXPECT_NEAR(v.fill, 0.45, 1e-14);
    EXPECT_NEAR(v.layers[3].insideVolume, 0.3, 1e-14);
    EXPECT_NEAR(v.layers[3].planArea, 2, 1e-14);
    EXPECT_EQ(v.cut, 0);
    EXPECT_NEAR(v.finishArea, 1, 1e-14);
}

TEST(Volumes, NothingIsCutWhereNothingIsBuilt) {
    hand::Stack open;  // outside every area: soil only, its top as the ground was
    open.interfaces = {level(-0.3)};
    hand::Grid grid;
    grid.ground = grid.stripped = level(0);
    const Volumes v = volumes(gridModel(grid, hand::patioLayers(), {open}));
    EXPECT_EQ(v.cut, 0);
    EXPECT_EQ(v.finishArea, 0);
}

TEST(Volumes, LiftsLowestFirstAndTheirAreasWhereTheyAre) {
    // Base in two lifts over 1 m²: the lower 0.05 all over, the upper 0.07 only on one of the triangles (1/2
    // m²).
    hand::Stack stack;
    stack.column.area = 0;
    stack.column.entries = {hand::entry(0), hand::entry(1), hand::entry(2), hand::entry(2)};
    stack.column.entries[2].lift = 1, stack.column.entries[2].lifts = stack.column.entries[3].lifts = 2;
    stack.interfaces = {level(0), level(-0.06), level(-0.08), level(-0.15), level(-0.20)};
    hand::Stack thin = stack;
    thin.interfaces[2] = level(-0.15);
    hand::Grid grid;
    grid.stackOf = [](glm::dvec2 p) { return p.y < p.x ? 0 : 1; };
    const Volumes v = volumes(gridModel(grid, hand::patioLayers(), {stack, thin}));
    const LayerVolume& base = v.layers[2];
    ASSERT_EQ(base.lifts.size(), 2U);
    EXPECT_EQ(base.lifts[0].lift, 0);
    EXPECT_NEAR(base.lifts[0].volume, 0.05, 1e-15);
    EXPECT_NEAR(base.lifts[0].planArea, 1, 1e-15);
    EXPECT_NEAR(base.lifts[1].volume, 0.035, 1e-15);
    EXPECT_NEAR(base.lifts[1].planArea, 0.5, 1e-15);
    EXPECT_NEAR(base.volume, 0.085, 1e-15);
    EXPECT_NEAR(base.planArea, 1, 1e-15);  // not one and a half: lifts together
}

TEST(Volumes, OrderOfCellsMovesOnlyTheLastDigits) {
    hand::Grid grid;
    grid.columns = 9, grid.rows = 7, grid.width = 9, grid.height = 7;
    const auto warped = [](glm::dvec2 p) { return -0.08 - 0.003 * p.x * p.y / 9; };
    const double one =
        volumes(gridModel(grid, hand::patioLayers(), {hand::patioStack(warped)})).layers[1].volume;
    grid.order = [](size_t k, size_t count) {
        return (k * 11 + 5) % count;
    };  // 126 cells, 11 shares no factor
    const double other =
        volumes(gridModel(grid, hand::patioLayers(), {hand::patioStack(warped)})).layers[1].volume;
    EXPECT_NEAR(one, other, 1e-13);
}

void expectSame(const Volumes& a, const Volumes& b) {
    EXPECT_NEAR(a.strip, b.strip, 1e-10);
    EXPECT_NEAR(a.cut, b.cut, 1e-10);
    EXPECT_NEAR(a.fill, b.fill, 1e-10);
    EXPECT_NEAR(a.finishArea, b.finishArea, 1e-10);
    ASSERT_EQ(a.layers.size(), b.layers.size());
    for (size_t l = 0; l < a.layers.size(); ++l) {
        EXPECT_NEAR(a.layers[l].volume, b.layers[l].volume, 1e-10);
        EXPECT_NEAR(a.layers[l].insideVolume, b.layers[l].insideVolume, 1e-10);
        EXPECT_NEAR(a.layers[l].planArea, b.layers[l].planArea, 1e-10);
        ASSERT_EQ(a.layers[l].lifts.size(), b.layers[l].lifts.size());
        for (size_t i = 0; i < a.layers[l].lifts.size(); ++i)
            EXPECT_NEAR(a.layers[l].lifts[i].volume, b.layers[l].lifts[i].volume, 1e-10);
    }
}

TEST(MovingVolumes, FollowMovedHeightsAsCountedFromNothing) {
    const auto plan = readPlan(UNDERFOOT_SOURCE_DIR "/scenes/courtyard.toml");
    ASSERT_TRUE(plan);
    auto made = Rebuilder::of(*plan);
    ASSERT_TRUE(made);
    MovingVolumes moving(made->stacks());
    const double level = plan->finishes[0].planes[0].level;
    using Of = HeightEdit::Of;
    // Up and down through places where the bedding runs out, a shot, and a layer.
    for (const HeightEdit& edit :
         {HeightEdit{Of::FinishLevel, 0, 0, level - 0.01}, HeightEdit{Of::FinishLevel, 0, 0, level - 0.02},
          HeightEdit{Of::GroundShot, 0, 7, plan->ground.shots[7].height + 0.03},
          HeightEdit{Of::LayerThickness, 0, 0, plan->buildUps[0].layers[0].thickness + 0.004},
          HeightEdit{Of::FinishLevel, 0, 0, level + 0.005}}) {
        const auto kept = made->move({&edit, 1});
        ASSERT_TRUE(kept);
        ASSERT_EQ(*kept, Rebuilder::Kept::Cells);
        expectSame(moving.move(made->stacks(), made->movedPosts()), volumes(made->stacks()));
    }
}

TEST(Rebuilder, TheCourtyardStaysWholeWhileItsFinishIsDragged) {
    // Its areas meet in steps, where tops pass each other as they move.
    const auto plan = readPlan(UNDERFOOT_SOURCE_DIR "/scenes/courtyard.toml");
    ASSERT_TRUE(plan);
    auto made = Rebuilder::of(*plan);
    ASSERT_TRUE(made);
    for (const double by : {0.001, 0.002, 0.01, -0.015, 0.03}) {
        const HeightEdit edit{HeightEdit::Of::FinishLevel, 0, 0, plan->finishes[0].planes[0].level + by};
        ASSERT_TRUE(made->move({&edit, 1}));
        EXPECT_EQ(modelFault(made->model()), std::nullopt) << by;
    }
}

TEST(MovingVolumes, GroundMovedOverADugInPatioMovesTheCutThoughNoLayerMoves) {
    // Ground raised by 30 mm at one shot of a grid of 1 m, over the middle of the cut: the roof over it holds
    // a third of 0.03 over the plan area of the triangles round the shot.
    std::vector<Shot> shots;
    for (int i = -2; i <= 6; ++i)
        for (int j = -2; j <= 5; ++j) shots.push_back(made::shot(i, j, 10.3));
    const Plan plan = made::plainPlan({0, 0}, {4, 3}, 10, shots, 0.15);
    auto made = Rebuilder::of(plan);
    ASSERT_TRUE(made);
    MovingVolumes moving(made->stacks());
    const double before = volumes(made->stacks()).cut;
    const HeightEdit edit{HeightEdit::Of::GroundShot, 0, 36, 10.33};
    ASSERT_TRUE(made->move({&edit, 1}));
    const Volumes after = moving.move(made->stacks(), made->movedPosts());
    EXPECT_GT(after.cut - before, 0.03 * 2 / 3 - 1e-9);  // four triangles of 1/2 m² at least,
    EXPECT_LT(after.cut - before, 0.03 * 4 / 3 + 1e-9);  // eight at most
    expectSame(after, volumes(made->stacks()));
}

}  // namespace
}  // namespace underfoot
