#include "study/lippage.h"

#include <cmath>
#include <utility>

#include <gtest/gtest.h>

#include "hand_model.h"

namespace underfoot {
namespace {

// Squares of units of 0.5 m with joints of 3 mm, in one area of 2 m by 2 m.
Model paved(int perSide = 4) {
    hand::Grid grid;
    grid.columns = grid.rows = 8;
    grid.width = grid.height = 2;
    Model model = hand::gridModel(grid, hand::patioLayers(), {hand::patioStack(hand::level(-0.085))});
    Area area;
    area.units = UnitLayout{};
    area.units->joint = 0.003;
    model.plan.areas.push_back(area);
    const double step = 2.0 / perSide;
    for (int j = 0; j < perSide; ++j)
        for (int i = 0; i < perSide; ++i)
            hand::addUnit(model, {i * step + 0.0015, j * step + 0.0015},
                          {(i + 1) * step - 0.0015, (j + 1) * step - 0.0015}, 0, 0.06);
    return model;
}

HeightField heights(const Model& model, const hand::HeightOf& heightOf) {
    HeightField field = finishHeights(model);
    for (HeightPiece& piece : field)
        for (size_t i = 0; i < 3; ++i) piece.value[i] = heightOf(piece.at[i]);
    return field;
}

TEST(Lippage, OnAPlaneThereIsNoneAndEveryJointIsSeen) {
    const Model model = paved();
    const Lippage all = lippage(model, heights(model, hand::plane(1, 0.02, -0.01)), 0.003);
    // 4 rows of 3 joints, both ways.
    EXPECT_EQ(all.steps.size(), 24u);
    EXPECT_EQ(all.over, 0);
    EXPECT_LE(all.greatest(), 1e-9);
    ASSERT_EQ(all.areas.size(), 1u);
    EXPECT_EQ(all.areas[0].units, 16);
    EXPECT_EQ(all.areas[0].joints, 24);
    // Rounding decides neither which of two stands above nor which step comes first.
    for (size_t i = 0; i + 1 < all.steps.size(); ++i) {
        const Step &a = all.steps[i], &b = all.steps[i + 1];
        EXPECT_LT((std::pair{a.high, a.low}), (std::pair{b.high, b.low}));
    }
}

// Along x the bed runs level, then rises 1 in 10 over the third row of units, x = 1 to 1.5, then level again:
// each unit lies on a flat piece, all meet at the bends, no step.
TEST(Lippage, UnitsThatMeetAtABendDoNotStep) {
    const Model model = paved();
    const Lippage all = lippage(
        model, heights(model, [](glm::dvec2 p) { return std::clamp(0.1 * (p.x - 1), 0.0, 0.05); }), 0.003);
    // The joint is 3 mm wide and its middle lies on the bend: both planes reach it there.
    EXPECT_LE(all.greatest(), 1e-9);
}

// With two units a side, of 1 m, the bend at x = 0.5 lies under the middle of the first: level to there, then
// a fall of s = 0.01. The plane that fits max(0, x - 0.5) over 0 to 1 best has by symmetry half the slope and
// goes through the mean: 1/8 + (x - 1/2) / 2, at x = 1: 3/8 where the bed has 1/2. The second unit lies flat
// on the slope: the step is s / 8 = 1.25 mm. (Joints of 3 mm shorten the unit by 0.3 %.)
TEST(Lippage, ABendUnderTheMiddleOfAUnitMakesAnEighthOfItsFall) {
    const Model model = paved(2);
    const Lippage all =
        lippage(model, heights(model, [](glm::dvec2 p) { return -0.01 * std::max(0.0, p.x - 0.5); }), 0.001);
    EXPECT_NEAR(all.greatest(), 0.00125, 0.00002);
    EXPECT_EQ(all.over, 2);
    EXPECT_NEAR(all.steps.front().at.x, 1, 1e-9);
    // The first unit stands above: its plane is less steep than the bed's fall.
    EXPECT_EQ(all.steps.front().high % 2, 0);
    const Lippage doubled =
        lippage(model, heights(model, [](glm::dvec2 p) { return -0.02 * std::max(0.0, p.x - 0.5); }), 0.001);
    EXPECT_NEAR(doubled.greatest(), 2 * all.greatest(), 1e-12);
}

}  // namespace
}  // namespace underfoot
