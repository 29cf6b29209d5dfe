#include "study/thickness.h"

#include <cmath>
#include <random>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "hand_model.h"
#include "study/volumes.h"

namespace underfoot {
namespace {

using hand::gridModel;
using hand::level;
using hand::plane;
using testing::IsEmpty;
using testing::SizeIs;

Model bed(int n, double size, hand::HeightOf bottom, std::function<size_t(size_t, size_t)> order = {}) {
    hand::Grid grid;
    grid.columns = grid.rows = n;
    grid.width = grid.height = size;
    if (order) grid.order = std::move(order);
    return gridModel(grid, hand::patioLayers(), {hand::patioStack(std::move(bottom))});
}

// ---------------------------------------------------------------- at a point

TEST(CellAt, OnAnEdgeOrCornerTheLowestIndex) {
    // Squares of 1 m, cells 2k below and 2k + 1 above the diagonal of square k = column + 2 row.
    const Model model = bed(2, 2, level(-0.08));
    EXPECT_EQ(cellAt(model, {0.75, 0.25}), 0);
    EXPECT_EQ(cellAt(model, {0.25, 0.75}), 1);
    EXPECT_EQ(cellAt(model, {0.5, 0.5}), 0);  // on the diagonal of square 0
    EXPECT_EQ(cellAt(model, {1, 0.5}), 0);    // between cell 0 and cell 3
    EXPECT_EQ(cellAt(model, {0.5, 1}), 1);    // between cell 1 and cell 4
    EXPECT_EQ(cellAt(model, {1, 1}), 0);      // six cells meet
    EXPECT_EQ(cellAt(model, {2, 2}), 6);      // corner of 6 and 7
    EXPECT_EQ(cellAt(model, {1, 1}, 7), 0);   // wherever the search starts
    EXPECT_EQ(cellAt(model, {0, 0}), 0);
    EXPECT_EQ(cellAt(model, {2, 0}), 2);
}

TEST(CellAt, OutsideIsNone) {
    const Model model = bed(2, 2, level(-0.08));
    EXPECT_EQ(cellAt(model, {2.001, 1}), -1);
    EXPECT_EQ(cellAt(model, {-1e-6, 1}), -1);
    EXPECT_EQ(cellAt(model, {std::nan(""), 1}), -1);
    EXPECT_EQ(cellAt(Model{}, {0, 0}), -1);
    EXPECT_THAT(stackAtPoint(model, {3, 3}), IsEmpty());
}

TEST(StackAtPoint, StraightBetweenTheCorners) {
    const Model model = bed(3, 3, plane(-0.08, -0.004, -0.002));
    const auto stack = stackAtPoint(model, {1.25, 2.5});
    ASSERT_THAT(stack, SizeIs(4));
    EXPECT_EQ(stack[1].layer, 1);
    EXPECT_EQ(stack[1].top, -0.06);                              // level: exactly its own height
    EXPECT_NEAR(stack[1].bottom, -0.08 - 0.005 - 0.005, 1e-15);  // 0.004 x 1.25, 0.002 x 2.5
    EXPECT_NEAR(stack[1].thickness(), 0.03, 1e-15);
    EXPECT_EQ(stack[1].bottom, stack[2].top);
}

TEST(StackAtPoint, HintDoesNotChangeTheAnswer) {
    const Model model = bed(12, 6, [](glm::dvec2 p) { return -0.08 - 0.001 * p.x * p.y; });
    std::mt19937 random(5);
    std::uniform_real_distribution<double> any(-0.2, 6.2);
    int hint = -1;
    for (int i = 0; i < 500; ++i) {
        const glm::dvec2 p{any(random), any(random)};
        const auto with = stackAtPoint(model, p, &hint), without = stackAtPoint(model, p);
        ASSERT_EQ(with.size(), without.size());
        for (size_t e = 0; e < with.size(); ++e) ASSERT_EQ(with[e].bottom, without[e].bottom);
    }
}

void expectRowsOf(const Model& model, const std::vector<glm::dvec2>& points) {
    SCOPED_TRACE(std::to_string(points.size()) + " points");
    const std::vector<double> table = thicknessAtPoints(model, points);
    ASSERT_EQ(table.size(), points.size() * model.layers.size());
    for (size_t i = 0; i < points.size(); ++i) {
        const auto stack = stackAtPoint(model, points[i]);
        const double bedding = table[i * model.layers.size() + 1];
        ASSERT_EQ(stack.empty(), std::isnan(bedding));
        if (!stack.empty()) {
            ASSERT_NEAR(bedding, stack[1].thickness(), 1e-15);
        }
    }
}

TEST(ThicknessAtPoints, RowsInTheOrderGiven) {
    // 288 cells: more points than cells, fewer, and so few that not every cell is looked at.
    const Model model = bed(12, 6, [](glm::dvec2 p) { return -0.08 - 0.001 * p.x * p.y; });
    std::mt19937 random(9);
    std::uniform_real_distribution<double> any(-0.5, 6.5);
    std::vector<glm::dvec2> points;
    for (int i = 0; i < 2000; ++i) points.push_back({any(random), any(random)});
    for (const size_t count : {2000U, 200U, 17U, 1U}) {
        points.resize(count);
        expectRowsOf(model, points);
    }
    EXPECT_THAT(thicknessAtPoints(model, {}), IsEmpty());
}

TEST(ThicknessAtPoints, OnAnEdgeTheLowestCellHoweverManyPoints) {
    // 4 x 4 squares of 1 m: bedding 10 mm where x < 2, 30 mm right of it; all places stand on edges and
    // corners. Along x = 2 the cells left of it come first in their row, but at (2, 1) to (2, 3) six cells
    // meet: those of the row below have the lowest, left of x = 2 too. Nothing is NaN on the rim.
    hand::Grid grid;
    grid.columns = grid.rows = 4, grid.width = grid.height = 4;
    grid.stackOf = [](glm::dvec2 p) { return p.x < 2 ? 0 : 1; };
    const Model model = gridModel(grid, hand::patioLayers(),
                                  {hand::patioStack(level(-0.07)), hand::patioStack(level(-0.09))});
    std::vector<glm::dvec2> points;
    for (int i = 0; i <= 8; ++i)
        for (int j = 0; j <= 8; ++j)
            if (i % 2 == 0 || j % 2 == 0 || i % 2 == j % 2) points.push_back(glm::dvec2(i, j) * 0.5);
    for (const size_t count : {size_t{81}, size_t{20}, size_t{1}}) {
        const std::span<const glm::dvec2> some(
            points.data() + (points.size() - std::min(count, points.size())), std::min(count, points.size()));
        const std::vector<double> table = thicknessAtPoints(model, some);
        for (size_t i = 0; i < some.size(); ++i)
            EXPECT_NEAR(table[i * 4 + 1], some[i].x <= 2 ? 0.01 : 0.03, 1e-15)
                << some[i].x << ", " << some[i].y;
    }
    EXPECT_TRUE(std::isnan(thicknessAtPoints(model, std::vector<glm::dvec2>{{4.001, 2}})[1]));
}

// ---------------------------------------------------------------- field

TEST(ThicknessField, SplitsCellsExactlyAtTheBound) {
    // Bedding 0.01 + 0.01 x over 4 x 4 m, least 0.025: thin left of x = 1.5, which falls inside a column of
    // cells. Area 1.5 x 4 = 6; lacking: mean of 0.015 and 0 over 6 m² = 0.045 m³; centroid of the strip
    // (0.75, 2).
    const Model model = bed(4, 4, plane(-0.07, -0.01, 0));
    const ThicknessField f = thicknessField(model, 1, -1, 0.025, 0.045);
    EXPECT_NEAR(f.least, 0.01, 1e-15);
    EXPECT_NEAR(f.greatest, 0.05, 1e-15);
    EXPECT_NEAR(f.mean, 0.03, 1e-15);
    EXPECT_EQ(f.leastAt, glm::dvec2(0, 0));
    EXPECT_EQ(f.greatestAt, glm::dvec2(4, 0));  // all along x = 4: the least y
    EXPECT_NEAR(f.planArea, 16, 1e-13);
    EXPECT_NEAR(f.volume, 0.48, 1e-14);
    EXPECT_NEAR(f.areaUnder, 6, 1e-12);
    EXPECT_NEAR(f.volumeLacking, 0.045, 1e-14);
    // Thick right of x = 3.5: 0.5 x 4 = 2 m², mean 0.0025: 0.005 m³.
    EXPECT_NEAR(f.areaOver, 2, 1e-12);
    EXPECT_NEAR(f.volumeOver, 0.005, 1e-14);
    ASSERT_THAT(f.patches, SizeIs(2));
    const Patch& thin = f.patches[0];
    EXPECT_TRUE(thin.thin);
    EXPECT_NEAR(thin.past, 0.015, 1e-15);
    EXPECT_NEAR(thin.worstThickness, 0.01, 1e-15);
    EXPECT_NEAR(thin.centre.x, 0.75, 1e-12);
    EXPECT_NEAR(thin.centre.y, 2, 1e-12);
    ASSERT_THAT(thin.outline, SizeIs(1));
    ASSERT_THAT(thin.outline[0], SizeIs(4));  // a rectangle, corners in line left out
    EXPECT_NEAR(signedArea(thin.outline[0]), 6, 1e-12);
    EXPECT_EQ(thin.outline[0][0], glm::dvec2(0, 0));
    EXPECT_NEAR(thin.outline[0][1].x, 1.5, 1e-12);
    EXPECT_NEAR(f.patches[1].worstThickness, 0.05, 1e-15);
}

TEST(ThicknessField, ExactlyAtABoundIsInside) {
    const Model model = bed(3, 3, level(-0.085));
    EXPECT_THAT(thicknessField(model, 1, -1, 0.025, 0.025).patches, IsEmpty());
    EXPECT_THAT(thicknessField(model, 1, -1, 0.025 + 0.5e-6, {}).patches, IsEmpty());
    EXPECT_THAT(thicknessField(model, 1, -1, 0.025 + 2e-6, {}).patches, SizeIs(1));
    EXPECT_THAT(thicknessField(model, 1).patches, IsEmpty());  // no bounds named
}

TEST(ThicknessField, EvenPatchIsReportedAtItsMiddle) {
    const Model model = bed(4, 4, level(-0.08));
    const ThicknessField f = thicknessField(model, 1, -1, 0.025);
    ASSERT_THAT(f.patches, SizeIs(1));
    EXPECT_NEAR(f.patches[0].worst.x, 2, 1e-12);
    EXPECT_NEAR(f.patches[0].worst.y, 2, 1e-12);
    EXPECT_NEAR(f.patches[0].volume, 16 * 0.005, 1e-14);
}

TEST(ThicknessField, SeparatePlacesAreSeparatePatches) {
    // A pyramid of missing sand round two corners of the grid: vertex (1, 1) lacks 0.010, vertex (3, 3) lacks
    // 0.005. A vertex pulled by d lifts its six triangles of 1/2 m² to d / 3 on average: 6 x 1/2 x d / 3 = d
    // m³.
    const auto bottom = [](glm::dvec2 p) {
        if (p == glm::dvec2(1, 1)) return -0.085 + 0.010;
        if (p == glm::dvec2(3, 3)) return -0.085 + 0.005;
        return -0.085;
    };
    const ThicknessField f = thicknessField(bed(4, 4, bottom), 1, -1, 0.025);
    ASSERT_THAT(f.patches, SizeIs(2));
    EXPECT_EQ(f.patches[0].worst, glm::dvec2(1, 1));
    EXPECT_NEAR(f.patches[0].past, 0.010, 1e-15);
    EXPECT_NEAR(f.patches[0].volume, 0.010, 1e-14);
    EXPECT_NEAR(f.patches[0].area, 3, 1e-12);
    EXPECT_EQ(f.patches[1].worst, glm::dvec2(3, 3));
    ASSERT_THAT(f.patches[0].outline, SizeIs(1));
    EXPECT_NEAR(signedArea(f.patches[0].outline[0]), 3, 1e-12);
    EXPECT_THAT(f.patches[0].outline[0], SizeIs(6));  // the hexagon of its six triangles
}

TEST(ThicknessField, ARingHasAHoleThatTurnsRight) {
    // Thin all over 6 x 6 m but for a mound of sand at the middle vertex: its hexagon's triangles rise from
    // 0.020 to 0.040, the bound 0.025 is met a quarter of the way: the hole is the hexagon of 3 m² shrunk to
    // 3/4: 3 x 9/16.
    const auto bottom = [](glm::dvec2 p) { return p == glm::dvec2(3, 3) ? -0.1 : -0.08; };
    const ThicknessField f = thicknessField(bed(6, 6, bottom), 1, -1, 0.025);
    ASSERT_THAT(f.patches, SizeIs(1));
    ASSERT_THAT(f.patches[0].outline, SizeIs(2));
    EXPECT_NEAR(signedArea(f.patches[0].outline[0]), 36, 1e-12);
    EXPECT_NEAR(signedArea(f.patches[0].outline[1]), -27.0 / 16, 1e-12);
    EXPECT_NEAR(f.patches[0].area, 36 - 27.0 / 16, 1e-12);
}

TEST(ThicknessField, PlacesThatMeetInACornerAreTwo) {
    // 2 x 2 squares; only squares 0 and 3 carry the thin stack: they meet in (1, 1) alone.
    hand::Grid grid;
    grid.columns = grid.rows = 2, grid.width = grid.height = 2;
    grid.stackOf = [](glm::dvec2 p) { return (p.x < 1) == (p.y < 1) ? 0 : 1; };
    const Model model = gridModel(grid, hand::patioLayers(),
                                  {hand::patioStack(level(-0.07)), hand::patioStack(level(-0.09))});
    const ThicknessField f = thicknessField(model, 1, -1, 0.025);
    ASSERT_THAT(f.patches, SizeIs(2));
    for (const Patch& p : f.patches) {
        ASSERT_THAT(p.outline, SizeIs(1));
        EXPECT_NEAR(signedArea(p.outline[0]), 1, 1e-12);
    }
}

TEST(ThicknessField, APatchThatMeetsItselfInACornerKeepsSimpleRings) {
    hand::Grid grid;
    grid.columns = grid.rows = 3, grid.width = grid.height = 3;
    grid.stackOf = [](glm::dvec2 p) {
        const int i = static_cast<int>(p.x), j = static_cast<int>(p.y);
        return (i == 1 && j == 1) || (i == 2 && j == 2) ? 1 : 0;
    };
    const Model model = gridModel(grid, hand::patioLayers(),
                                  {hand::patioStack(level(-0.07)), hand::patioStack(level(-0.09))});
    // Thin: all but (1, 1) and (2, 2): 7 m², connected round the middle square; (2, 2) bites off the corner
    // and touches the middle square's corner. One patch whose border meets itself in (2, 2).
    const ThicknessField f = thicknessField(model, 1, -1, 0.025);
    ASSERT_THAT(f.patches, SizeIs(1));
    double sum = 0;
    for (const auto& ring : f.patches[0].outline) {
        sum += signedArea(ring);
        for (size_t i = 0; i < ring.size(); ++i) {
            for (size_t j = i + 1; j < ring.size(); ++j) EXPECT_NE(ring[i], ring[j]);
        }
    }
    EXPECT_NEAR(sum, 7, 1e-12);
    ASSERT_THAT(f.patches[0].outline,
                SizeIs(2));  // the border with its bite, and the middle square as a hole
    EXPECT_NEAR(signedArea(f.patches[0].outline[1]), -1, 1e-12);
}

TEST(ThicknessField, AStepOfThicknessBetweenCellsStillClosesTheOutline) {
    // Left square thin below y = 0.6, right square thin below y = 0.3: they share the edge x = 1 over 0.3 m.
    hand::Grid grid;
    grid.columns = 2, grid.width = 2, grid.height = 1;
    grid.stackOf = [](glm::dvec2 p) { return p.x < 1 ? 0 : 1; };
    const auto bottom = [](double at) { return plane(-0.085 + 0.01 * at, 0, -0.01); };
    const Model model =
        gridModel(grid, hand::patioLayers(), {hand::patioStack(bottom(0.6)), hand::patioStack(bottom(0.3))});
    const ThicknessField f = thicknessField(model, 1, -1, 0.025);
    ASSERT_THAT(f.patches, SizeIs(1));
    ASSERT_THAT(f.patches[0].outline, SizeIs(1));
    EXPECT_NEAR(signedArea(f.patches[0].outline[0]), 0.9, 1e-12);
    EXPECT_NEAR(f.patches[0].area, 0.9, 1e-12);
    EXPECT_THAT(f.patches[0].outline[0], SizeIs(6));
}

TEST(ThicknessField, OnlyInsideTheOutlinesAndTheAreaAsked) {
    hand::Stack other = hand::patioStack(level(-0.07));
    other.column.area = 1;
    hand::Stack beyond = hand::patioStack(level(-0.065));
    beyond.column.beyond = true;
    hand::Grid grid;
    grid.columns = 3, grid.width = 3, grid.height = 1;
    grid.stackOf = [](glm::dvec2 p) { return static_cast<int>(p.x); };
    const Model model = gridModel(grid, hand::patioLayers(), {hand::patioStack(level(-0.08)), other, beyond});
    EXPECT_NEAR(thicknessField(model, 1).planArea, 2, 1e-14);
    EXPECT_NEAR(thicknessField(model, 1, 0).mean, 0.02, 1e-15);
    EXPECT_NEAR(thicknessField(model, 1, 1).mean, 0.01, 1e-15);
    EXPECT_EQ(thicknessField(model, 1, 2).planArea, 0);
}

TEST(ThicknessField, BoundsOfTheBuildUpRuleEachCell) {
    hand::Stack a = hand::patioStack(level(-0.08)), b = hand::patioStack(level(-0.08));
    a.column.entries[1].least = 0.015, b.column.entries[1].least = 0.022, b.column.area = 1;
    a.column.entries[1].greatest = b.column.entries[1].greatest = 0.03;
    hand::Grid grid;
    grid.columns = 2, grid.width = 2, grid.height = 1;
    grid.stackOf = [](glm::dvec2 p) { return p.x < 1 ? 0 : 1; };
    const ThicknessField f = thicknessField(gridModel(grid, hand::patioLayers(), {a, b}), 1);
    EXPECT_EQ(f.wantedLeast, 0.015);
    EXPECT_EQ(f.wantedGreatest, 0.03);
    ASSERT_THAT(f.patches, SizeIs(1));
    EXPECT_NEAR(f.patches[0].area, 1, 1e-14);
    EXPECT_NEAR(f.volumeLacking, 0.002, 1e-15);
}

TEST(ThicknessField, OrderOfCellsDoesNotMatter) {
    const auto bottom = [](glm::dvec2 p) { return -0.085 + 0.012 * std::sin(2 * p.x) * std::cos(1.5 * p.y); };
    const ThicknessField f = thicknessField(bed(12, 6, bottom), 1, -1, 0.02, 0.03);
    const ThicknessField g = thicknessField(
        bed(12, 6, bottom, [](size_t k, size_t n) { return (k * 5 + 7) % n; }), 1, -1, 0.02, 0.03);
    ASSERT_EQ(f.patches.size(), g.patches.size());
    ASSERT_GT(f.patches.size(), 4U);
    double under = 0;
    for (size_t i = 0; i < f.patches.size(); ++i) {
        EXPECT_EQ(f.patches[i].worst, g.patches[i].worst);
        EXPECT_NEAR(f.patches[i].area, g.patches[i].area, 1e-12);
        EXPECT_NEAR(f.patches[i].volume, g.patches[i].volume, 1e-15);
        double rings = 0;
        for (const auto& ring : f.patches[i].outline) rings += signedArea(ring);
        EXPECT_NEAR(rings, f.patches[i].area, 1e-9);  // the outline encloses what was summed
        if (f.patches[i].thin) under += f.patches[i].area;
    }
    EXPECT_NEAR(under, f.areaUnder, 1e-12);
}

TEST(ThicknessField, ALayerThatIsNowhereHasAnEmptyField) {
    const ThicknessField f = thicknessField(bed(2, 2, level(-0.08)), 7, -1, 0.02);
    EXPECT_EQ(f.planArea, 0);
    EXPECT_EQ(f.mean, 0);
    EXPECT_THAT(f.patches, IsEmpty());
}

}  // namespace
}  // namespace underfoot
