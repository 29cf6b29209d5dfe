#include "study/corrections.h"

#include <cmath>

#include <gtest/gtest.h>

#include "hand_model.h"
#include "study/straightedge.h"

namespace underfoot {
namespace {

// A field on the cells of a hand-made model.
HeightField fieldOn(const Model& model, const hand::HeightOf& heightOf) {
    HeightField field;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        HeightPiece piece;
        piece.cell = static_cast<int>(c);
        for (int i = 0; i < 3; ++i) {
            piece.at[static_cast<size_t>(i)] = model.at(model.cells[c], i);
            piece.value[static_cast<size_t>(i)] = heightOf(model.at(model.cells[c], i));
        }
        field.push_back(piece);
    }
    return field;
}

Model square(int cells, double side) {
    hand::Grid grid;
    grid.columns = grid.rows = cells;
    grid.width = grid.height = side;
    return hand::gridModel(grid, hand::patioLayers(), {hand::patioStack(hand::level(-0.085))});
}

// A wedge 0 at x = 0 to 20 mm at x = 2, 2 m wide: least 0, greatest 20, mean 10 mm, the mean of its square
// 20^2 / 3. Above 10 mm: half of 4 m2; the surplus there is 2 m2 x 5 mm = 0.01 m3.
TEST(HeightField, FiguresOfAWedge) {
    const Model model = square(4, 2);
    const HeightField field = fieldOn(model, [](glm::dvec2 p) { return 0.01 * p.x; });
    const FieldFigures figures = figuresOf(field, 0.01);
    EXPECT_NEAR(figures.planArea, 4, 1e-12);
    EXPECT_NEAR(figures.least, 0, 1e-15);
    EXPECT_NEAR(figures.greatest, 0.02, 1e-15);
    EXPECT_NEAR(figures.mean, 0.01, 1e-12);
    EXPECT_NEAR(figures.rootMeanSquare, 0.02 / std::sqrt(3.0), 1e-12);
    EXPECT_NEAR(figures.areaOver, 2, 1e-12);
    EXPECT_NEAR(figures.areaUnder, 0, 1e-12);
    EXPECT_NEAR(surplusOver(field, 0.01).volume, 0.01, 1e-12);
}

TEST(HeightField, HeldBetweenBoundsLosesWhatPassesThem) {
    const Model model = square(3, 2);
    const HeightField field =
        fieldOn(model, [](glm::dvec2 p) { return 0.02 * std::sin(3 * p.x) * std::cos(2 * p.y); });
    const HeightField held = heldBetween(field, -0.005, 0.008);
    const FieldFigures before = figuresOf(field, 1), after = figuresOf(held, 1);
    EXPECT_NEAR(after.planArea, before.planArea, 1e-8);
    EXPECT_GE(after.least, -0.005);
    EXPECT_LE(after.greatest, 0.008);
    EXPECT_NEAR((before.mean - after.mean) * before.planArea,
                surplusOver(field, 0.008).volume - lackUnder(field, -0.005).volume, 1e-10);
}

// The wedge lowered by 10 mm lies 10 mm to either side of its middle; a band of 10 mm asks for nothing then,
// and for the smallest move: 20 mm less 10 mm.
TEST(Corrections, MovingTheStringsCanSaveAllWork) {
    const Model model = square(4, 2);
    const HeightField field = fieldOn(model, [](glm::dvec2 p) { return 0.01 * p.x; });
    EXPECT_NEAR(leastWorkShift(field, 0.010), 0.010, 2e-5);
    EXPECT_NEAR(workAt(field, 0, 0.010), 0.010, 1e-12);
    EXPECT_LE(workAt(field, leastWorkShift(field, 0.010), 0.010), 1e-6);
    // A band of 5 mm about 10 mm: surplus over 15 mm is 1 m2 x 2.5 mm, and as much is lacking.
    const double shift = leastWorkShift(field, 0.005);
    EXPECT_NEAR(shift, 0.010, 2e-5);
    const Corrections corrections = correctionsAt(model, field, shift, 0.005);
    EXPECT_NEAR(corrections.added, 0.0025, 2e-5);
    EXPECT_NEAR(corrections.shaved, 0.0025, 2e-5);
    ASSERT_EQ(corrections.patches.size(), 2u);
    EXPECT_NEAR(corrections.patches[0].patch.worstExcess, 0.005, 2e-5);
    EXPECT_NE(corrections.patches[0].add, corrections.patches[1].add);
}

TEST(Corrections, AreNeverMoreThanWithTheMeanOrAnyOtherShift) {
    const Model model = square(6, 3);
    for (int k = 1; k < 8; ++k) {
        const HeightField field = fieldOn(model, [=](glm::dvec2 p) {
            return 0.02 * std::sin(k * p.x + k) * std::cos(p.y * 2) + 0.004 * k;
        });
        const double band = 0.004, shift = leastWorkShift(field, band), least = workAt(field, shift, band);
        EXPECT_LE(least, workAt(field, figuresOf(field, 1).mean, band) + 1e-6) << k;
        for (int i = -20; i <= 20; ++i) EXPECT_LE(least, workAt(field, i * 0.002, band) + 1e-6) << k;
        const Corrections corrections = correctionsAt(model, field, shift, band);
        EXPECT_NEAR(corrections.work(), least, 1e-6) << k;
    }
}

// A band of half the tolerance cannot fail under the straightedge; a wider one is taken only where it passes.
TEST(Corrections, TheBandIsNarrowedUntilTheStraightedgePasses) {
    const Model model = square(8, 4);
    const HeightField field =
        fieldOn(model, [](glm::dvec2 p) { return 0.03 * std::sin(2 * p.x) * std::sin(2 * p.y); });
    const double band = bandToPass(Straightedge(field, 3), 0, 0.01);
    EXPECT_GE(band, 0.005);
    EXPECT_LT(band, 0.01);
    EXPECT_LE(greatestGap(heldBetween(field, -band, band), 3).gap, 0.01 + 1e-9);
    const HeightField flat = fieldOn(model, hand::plane(0.002, 0.0005, 0));
    EXPECT_EQ(bandToPass(Straightedge(flat, 3), 0, 0.01), 0.01);
}

}  // namespace
}  // namespace underfoot
