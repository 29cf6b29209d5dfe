#include "study/section.h"

#include <cmath>
#include <cstring>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "ground/triangulation.h"
#include "hand_model.h"
#include "study/thickness.h"
#include "study/volumes.h"
#include "study/walk.h"

namespace underfoot {
namespace {

using hand::gridModel;
using hand::level;
using hand::plane;
using testing::DoubleNear;
using testing::IsEmpty;
using testing::SizeIs;

// 4 x 2 m in two squares of 2 x 2 m; left square has the stack 0, right the stack 1.
//   d---e---f
//   | 1/| 3/|      cells by their order: 0 (a b e), 1 (a e d), 2 (b c f), 3 (b f e)
//   |/ 0|/ 2|
//   a---b---c
Model twoSquares() {
    hand::Grid grid;
    grid.columns = 2;
    grid.rows = 1;
    grid.width = 4;
    grid.height = 2;
    grid.stackOf = [](glm::dvec2 p) { return p.x < 2 ? 0 : 1; };
    return gridModel(grid, hand::patioLayers(),
                     {hand::patioStack(level(-0.08)), hand::patioStack(level(-0.09))});
}

double covered(const Section& section) {
    double sum = 0;
    for (const SectionInterval& i : section.intervals) sum += i.to - i.from;
    return sum;
}

std::vector<int> cellsOf(const Section& section) {
    std::vector<int> cells;
    for (const SectionInterval& i : section.intervals) cells.push_back(i.cell);
    return cells;
}

bool sameBytes(const Section& a, const Section& b) {
    if (a.intervals.size() != b.intervals.size() || a.heights.size() != b.heights.size()) return false;
    for (size_t i = 0; i < a.intervals.size(); ++i) {
        const SectionInterval &p = a.intervals[i], &q = b.intervals[i];
        if (p.from != q.from || p.to != q.to || p.cell != q.cell || p.first != q.first) return false;
    }
    return a.heights.empty() ||
           std::memcmp(a.heights.data(), b.heights.data(), a.heights.size() * sizeof(double)) == 0;
}

TEST(Section, CrossesCellsInOrderAndMeetsWithoutGaps) {
    // Along y = 1/2: the diagonal of the left square is met at x = 1/2, the square's end at 2, the diagonal
    // of the right one at 5/2.
    const Section section = cut(twoSquares(), {{0, 0.5}, {4, 0.5}});
    ASSERT_THAT(section.intervals, SizeIs(4));
    EXPECT_THAT(cellsOf(section), testing::ElementsAre(1, 0, 3, 2));
    const double wanted[] = {0, 0.5, 2, 2.5, 4};
    for (size_t i = 0; i < 4; ++i) {
        EXPECT_NEAR(section.intervals[i].from, wanted[i], 1e-12);
        EXPECT_NEAR(section.intervals[i].to, wanted[i + 1], 1e-12);
        if (i > 0) {
            EXPECT_EQ(section.intervals[i].from, section.intervals[i - 1].to);
        }
    }
    EXPECT_EQ(section.length, 4);
}

TEST(Section, HeightsAreStraightBetweenCrossings) {
    // Bedding bottom -0.08 - 0.01 x: along y = 0.5 at x = 0.5 it is -0.085.
    hand::Grid grid;
    grid.width = 4;
    grid.height = 2;
    const Model model = gridModel(grid, hand::patioLayers(), {hand::patioStack(plane(-0.08, -0.01, 0))});
    const Section section = cut(model, {{0, 0.5}, {4, 0.5}});
    ASSERT_THAT(section.intervals, SizeIs(2));
    const SectionInterval& first = section.intervals[0];
    EXPECT_NEAR(section.heights[static_cast<size_t>(first.first + 2 * 2)], -0.08, 1e-15);
    // One diagonal from (0,0) to (4,2): met at x = 1, where it is -0.09.
    EXPECT_NEAR(first.to, 1, 1e-12);
    EXPECT_NEAR(section.heights[static_cast<size_t>(first.first + 2 * 2 + 1)], -0.09, 1e-15);
}

TEST(Section, AlongAnEdgeBelongsToTheCellOnItsLeft) {
    const Model model = twoSquares();
    // b to e upward: left of it is cell 0; downward, left is cell 3 of the right square.
    EXPECT_THAT(cellsOf(cut(model, {{2, 0}, {2, 2}})), testing::ElementsAre(0));
    EXPECT_THAT(cellsOf(cut(model, {{2, 2}, {2, 0}})), testing::ElementsAre(3));
    // The diagonal a to e: left is 1, back from e to a it is 0.
    EXPECT_THAT(cellsOf(cut(model, {{0, 0}, {2, 2}})), testing::ElementsAre(1));
    EXPECT_THAT(cellsOf(cut(model, {{2, 2}, {0, 0}})), testing::ElementsAre(0));
}

TEST(Section, AlongTheRimBelongsToTheCellInside) {
    const Model model = twoSquares();
    EXPECT_THAT(cellsOf(cut(model, {{0, 0}, {4, 0}})), testing::ElementsAre(0, 2));  // inside on the left
    EXPECT_THAT(cellsOf(cut(model, {{4, 0}, {0, 0}})), testing::ElementsAre(2, 0));  // inside on the right
    EXPECT_THAT(cellsOf(cut(model, {{0, 2}, {4, 2}})), testing::ElementsAre(1, 3));  // inside on the right
    EXPECT_THAT(cellsOf(cut(model, {{0, 2}, {0, 0}})), testing::ElementsAre(1));     // inside on the left
    EXPECT_THAT(cellsOf(cut(model, {{0, 0}, {0, 2}})), testing::ElementsAre(1));     // inside on the right
    const Section part = cut(model, {{3, 0}, {1, 0}});
    ASSERT_THAT(part.intervals, SizeIs(2));
    EXPECT_EQ(part.intervals[0].to, 1);
    EXPECT_EQ(part.intervals[1].to, 2);
}

TEST(Section, ThroughACornerLosesNothing) {
    const Model model = twoSquares();
    // Comes in through e (2, 2) and ends on the diagonal b-f at (3, 1).
    EXPECT_THAT(cellsOf(cut(model, {{1, 3}, {3, 1}})), testing::ElementsAre(3));
    EXPECT_NEAR(covered(cut(model, {{1, 3}, {3, 1}})), std::sqrt(2.0), 1e-12);
    // From corner to corner of the whole: through (2, 1) only, on the edge b-e.
    EXPECT_NEAR(covered(cut(model, {{0, 2}, {4, 0}})), std::sqrt(20.0), 1e-12);
    EXPECT_NEAR(covered(cut(model, {{0, 0}, {4, 2}})), std::sqrt(20.0), 1e-12);
}

TEST(Section, OutsideGivesNothing) {
    const Model model = twoSquares();
    EXPECT_THAT(cut(model, {{0, 3}, {4, 3}}).intervals, IsEmpty());
    EXPECT_THAT(cut(model, {{-3, 1}, {-1, 1}}).intervals, IsEmpty());
    EXPECT_THAT(cut(model, {{-1, 1}, {1, 3}}).intervals, IsEmpty());  // touches the corner (0, 2) only
}

TEST(Section, NoLengthOrNoNumberIsEmpty) {
    const Model model = twoSquares();
    EXPECT_EQ(cut(model, {{1, 1}, {1, 1}}).length, 0);
    EXPECT_THAT(cut(model, {{1, 1}, {1, 1}}).intervals, IsEmpty());
    EXPECT_THAT(cut(model, {{1, 1}}).line, IsEmpty());
    EXPECT_THAT(cut(model, {}).line, IsEmpty());
    EXPECT_THAT(cut(model, {{0, 0}, {std::nan(""), 1}}).line, IsEmpty());
    EXPECT_THAT(cut(Model{}, {{0, 0}, {1, 1}}).intervals, IsEmpty());
}

TEST(Section, StartsAndEndsInsideACell) {
    const Section section = cut(twoSquares(), {{1, 0.25}, {1.5, 0.25}});
    ASSERT_THAT(section.intervals, SizeIs(1));
    EXPECT_EQ(section.intervals[0].from, 0);
    EXPECT_EQ(section.intervals[0].to, 0.5);
}

TEST(Section, BendsAreBreaksAndDistancesGoOn) {
    const Section section = cut(twoSquares(), {{1, 0.25}, {3, 0.25}, {3, 0.25}, {3, 0.75}});
    EXPECT_EQ(section.length, 2.5);
    EXPECT_NEAR(covered(section), 2.5, 1e-12);
    EXPECT_EQ(section.intervals.back().to, 2.5);
    EXPECT_EQ(section.at(2.25), glm::dvec2(3, 0.5));
    EXPECT_EQ(section.at(-1), glm::dvec2(1, 0.25));
    EXPECT_EQ(section.at(9), glm::dvec2(3, 0.75));
}

TEST(Section, FarEndsAreTakenToTheModel) {
    const Section section = cut(twoSquares(), {{-1e6, 1}, {1e6, 1}});
    EXPECT_NEAR(covered(section), 4, 1e-6);
    EXPECT_EQ(section.length, 2e6);
    EXPECT_NEAR(section.intervals.front().from, 1e6, 1e-6);
}

// 6 x 6 squares of 1 m with the middle 2 x 2 left out and a bite from the right side.
Model withHole(std::function<size_t(size_t, size_t)> order = [](size_t k, size_t) { return k; }) {
    hand::Grid grid;
    grid.columns = grid.rows = 6;
    grid.width = grid.height = 6;
    grid.order = std::move(order);
    grid.stackOf = [](glm::dvec2 p) {
        const bool hole = p.x > 2 && p.x < 4 && p.y > 2 && p.y < 4;
        const bool bite = p.x > 5 && p.y > 1 && p.y < 2;
        return hole || bite ? -1 : 0;
    };
    return gridModel(grid, hand::patioLayers(), {hand::patioStack(plane(-0.08, -0.002, 0.001))});
}

TEST(Section, LeavesAndEntersAgainAtAHole) {
    const Section section = cut(withHole(), {{-1, 3.3}, {7, 3.3}});
    EXPECT_NEAR(covered(section), 4, 1e-12);  // 6 less the hole's 2
    double gap = 0;
    for (size_t i = 1; i < section.intervals.size(); ++i)
        gap += section.intervals[i].from - section.intervals[i - 1].to;
    EXPECT_NEAR(gap, 2, 1e-12);
    EXPECT_THAT(stackAt(withHole(), section, 4), IsEmpty());  // x = 3, in the hole
    EXPECT_THAT(stackAt(withHole(), section, 0.5), IsEmpty());
    EXPECT_THAT(stackAt(withHole(), section, 2), SizeIs(4));
}

TEST(Section, StartingInTheHoleFindsTheFarSide) {
    EXPECT_NEAR(covered(cut(withHole(), {{3, 3}, {7, 3}})), 2, 1e-12);
    EXPECT_NEAR(covered(cut(withHole(), {{3, 3}, {3, 9}})), 2, 1e-12);
    EXPECT_THAT(cut(withHole(), {{2.5, 3}, {3.5, 3}}).intervals, IsEmpty());
}

TEST(Section, AlongTheHolesRimBothWays) {
    // y = 2: the hole lies above from x = 2 to 4, the bite below from 5 to 6. All 6 m have a cell on one side
    // or both.
    const Model model = withHole();
    EXPECT_NEAR(covered(cut(model, {{0, 2}, {6, 2}})), 6, 1e-12);
    EXPECT_NEAR(covered(cut(model, {{6, 2}, {0, 2}})), 6, 1e-12);
    for (const SectionInterval& i : cut(model, {{0, 2}, {6, 2}}).intervals) {
        const double x = 0.5 * (i.from + i.to);
        const double y = (model.at(model.cells[static_cast<size_t>(i.cell)], 0).y +
                          model.at(model.cells[static_cast<size_t>(i.cell)], 1).y +
                          model.at(model.cells[static_cast<size_t>(i.cell)], 2).y) /
                         3;
        EXPECT_EQ(y > 2, x < 2 || x > 4) << x;  // left (above) unless the hole is there
    }
}

TEST(Section, AgreesWithThePointsAlongIt) {
    // Random lines, ends on a coarse lattice so that many run through corners and along edges: at places
    // between the crossings the section and the point look-up name a stack of the same heights.
    const Model model = withHole();
    std::mt19937 random(7);
    std::uniform_int_distribution<int> lattice(-2, 14);
    for (int trial = 0; trial < 400; ++trial) {
        const glm::dvec2 a{lattice(random) / 2.0, lattice(random) / 2.0},
            b{lattice(random) / 2.0, lattice(random) / 2.0};
        const Section section = cut(model, {a, b});
        double at = 0.013;
        for (; at < section.length; at += 0.0917) {
            const auto here = stackAt(model, section, at);
            const auto there = stackAtPoint(model, section.at(at));
            ASSERT_EQ(here.empty(), there.empty()) << trial << " at " << at;
            for (size_t e = 0; e < here.size(); ++e) ASSERT_NEAR(here[e].bottom, there[e].bottom, 1e-9);
        }
        for (size_t i = 1; i < section.intervals.size(); ++i) {
            ASSERT_GE(section.intervals[i].from, section.intervals[i - 1].to);
            ASSERT_GT(section.intervals[i].to, section.intervals[i].from);
        }
    }
}

TEST(Section, TheWalkAndTheRimScanFindTheSame) {
    // On a convex model the walk alone serves; a rim scan made by force must give the same intervals.
    hand::Grid grid;
    grid.columns = 7, grid.rows = 5, grid.width = 7, grid.height = 5;
    Model model = gridModel(grid, hand::patioLayers(), {hand::patioStack(plane(-0.08, -0.002, 0.001))});
    Model scanned = model;
    scanned.site.low -= 1.0,
        scanned.site.high += 1.0;  // a box that the cells do not fill: every walk ends early
    std::mt19937 random(11);
    std::uniform_real_distribution<double> any(-1, 8);
    for (int trial = 0; trial < 200; ++trial) {
        const std::vector<glm::dvec2> line{
            {any(random), any(random)}, {any(random), any(random)}, {any(random), any(random)}};
        EXPECT_TRUE(sameBytes(cut(model, line), cut(scanned, line))) << trial;
    }
}

TEST(Section, CutTwiceGivesTheSameBytes) {
    const Model model = withHole();
    const Cutter cutter(model);
    const std::vector<glm::dvec2> line{{-1, 0.3}, {5, 5.7}, {6.2, 0.1}};
    EXPECT_TRUE(sameBytes(cut(model, line), cut(model, line)));
    EXPECT_TRUE(sameBytes(cut(model, line), cutter.cut(line)));
    cutter.cut({{0, 0}, {1, 5}});
    EXPECT_TRUE(sameBytes(cut(model, line), cutter.cut(line)));
}

TEST(Section, OrderOfCellsDoesNotMatter) {
    const Model model = withHole();
    const Model other = withHole([](size_t k, size_t count) { return (k * 5 + 3) % count; });
    ASSERT_EQ(model.cells.size() % 5,
              2U);  // 62 cells: 5 and 62 share no factor, so the order is a permutation
    const std::vector<glm::dvec2> line{{-1, 0.3}, {5, 5.7}, {6.2, 0.1}};
    const Section a = cut(model, line), b = cut(other, line);
    ASSERT_EQ(a.intervals.size(), b.intervals.size());
    for (size_t i = 0; i < a.intervals.size(); ++i) EXPECT_EQ(a.intervals[i].from, b.intervals[i].from);
    EXPECT_EQ(a.heights, b.heights);
}

// A model over scattered points, its rim their hull.
Model scattered(unsigned seed, int count) {
    std::mt19937 random(seed);
    std::uniform_int_distribution<int> lattice(
        0, 24);  // a coarse lattice: many points in line, many edges along lines
    std::vector<glm::dvec2> points;
    for (int i = 0; i < count; ++i) points.push_back({lattice(random) * 0.25, lattice(random) * 0.25});
    const Triangulation mesh = Triangulation::ofPoints(points);
    Model model;
    model.layers = {{"base", Role::Base, ""}, {"soil", Role::NativeSoil, ""}};
    model.nativeSoil = 1;
    Column column;
    column.area = 0;
    column.entries = {hand::entry(0), hand::entry(1)};
    model.columns = {column};
    model.vertices = mesh.vertices();
    model.site = {{0, 0}, {0, 0}, {6, 6}, -2};
    for (const Triangle& t : mesh.triangles()) {
        Cell cell;
        cell.vertex = t.v;
        cell.neighbour = t.neighbour;
        cell.column = 0;
        for (size_t c = 0; c < 3; ++c) {
            const glm::dvec2 p = model.vertices[static_cast<size_t>(t.v[c])];
            cell.post[c] = static_cast<int>(model.posts.size());
            model.posts.push_back({t.v[c], 0, static_cast<int>(model.heights.size())});
            const double top = 0.01 * p.x * p.y;
            model.heights.insert(model.heights.end(), {top, top - 0.1, -2});
            model.facts.push_back({});
        }
        model.cells.push_back(cell);
    }
    measurePlanAreas(model);
    return model;
}

// Length of the part of a-b inside the convex hull of a model's rim: the line clipped by every rim edge.
double lengthInside(const Model& model, glm::dvec2 a, glm::dvec2 b) {
    double from = 0, to = 1;
    for (const RimEdge& edge : rimEdges(model)) {
        const Cell& cell = model.cells[static_cast<size_t>(edge.cell)];
        const glm::dvec2 p = model.at(cell, (edge.edge + 1) % 3), q = model.at(cell, (edge.edge + 2) % 3),
                         n{p.y - q.y, q.x - p.x};
        const double start = n.x * (a.x - p.x) + n.y * (a.y - p.y),
                     change = n.x * (b.x - a.x) + n.y * (b.y - a.y);
        if (change == 0 && start < 0) return 0;
        if (change > 0) from = std::max(from, -start / change);
        if (change < 0) to = std::min(to, -start / change);
    }
    return std::max(0.0, to - from) * std::hypot(b.x - a.x, b.y - a.y);
}

TEST(Section, NeverLosesItsWayAmongScatteredPoints) {
    for (unsigned seed = 1; seed <= 12; ++seed) {
        const Model model = scattered(seed, 60);
        std::mt19937 random(seed + 100);
        std::uniform_int_distribution<size_t> vertex(0, model.vertices.size() - 1);
        std::uniform_int_distribution<int> past(-1, 2);
        for (int trial = 0; trial < 150; ++trial) {
            const glm::dvec2 p = model.vertices[vertex(random)], q = model.vertices[vertex(random)];
            if (p == q) continue;
            // From a vertex through a vertex, ending at them, between them or past them.
            const glm::dvec2 a = p - (q - p) * static_cast<double>(past(random)),
                             b = q + (q - p) * 0.5 * static_cast<double>(past(random));
            if (a == b) continue;
            const Section section = cut(model, {a, b});
            ASSERT_NEAR(covered(section), lengthInside(model, a, b), 1e-9) << seed << " " << trial;
            for (size_t i = 1; i < section.intervals.size(); ++i) {
                ASSERT_EQ(section.intervals[i].from, section.intervals[i - 1].to) << seed << " " << trial;
            }
        }
    }
}

// ---------------------------------------------------------------- stations

TEST(SectionAtStation, RunsFromTheLeastOffsetToTheGreatest) {
    Model model = twoSquares();  // baseline along x, offsets up
    const Section section = cutAtStation(model, 1);
    EXPECT_EQ(section.station, 1);
    EXPECT_EQ(section.line.front(), glm::dvec2(1, 0));
    EXPECT_EQ(section.line.back(), glm::dvec2(1, 2));
    EXPECT_EQ(covered(section), 2);
    model.plan.baseline.offsetLeft = false;
    EXPECT_EQ(cutAtStation(model, 1).line.front(), glm::dvec2(1, 2));
    EXPECT_THAT(cutAtStation(model, 5).intervals, IsEmpty());
    EXPECT_EQ(cutAtStation(model, 5).station, 5);
}

TEST(SectionAtStation, AlongTheSidesOfTheModelStillCuts) {
    const Model model = twoSquares();
    EXPECT_EQ(covered(cutAtStation(model, 0)), 2);
    EXPECT_EQ(covered(cutAtStation(model, 4)), 2);
}

TEST(SectionAtStation, ObliqueBaseline) {
    Model model = twoSquares();
    model.plan.baseline.from = {0, 0};
    model.plan.baseline.to = {1, 1};
    // Station sqrt(2): x + y = 2, from (2, 0) to (0, 2): offsets -sqrt 2 to sqrt 2.
    const Section section = cutAtStation(model, std::sqrt(2.0));
    EXPECT_NEAR(covered(section), 2 * std::sqrt(2.0), 1e-8);
    EXPECT_NEAR(section.line.front().x, 2, 1e-8);
    EXPECT_NEAR(section.line.back().y, 2, 1e-8);
}

TEST(SectionAtStation, OnlyALineAcrossHasAStation) {
    const Model model = twoSquares();
    EXPECT_EQ(cut(model, {{3, 0}, {3, 2}}).station, 3);
    EXPECT_FALSE(cut(model, {{3, 0}, {3.1, 2}}).station.has_value());
    EXPECT_FALSE(cut(model, {{0, 1}, {4, 1}}).station.has_value());
}

TEST(SectionRow, BothEndsWhenTheyFit) {
    const Model model = twoSquares();
    const auto row = cutRow(model, 0, 4, 0.4);  // 0.4 x 10 is 4 but for rounding
    ASSERT_THAT(row, SizeIs(11));
    EXPECT_NEAR(*row.back().station, 4, 1e-12);
    EXPECT_THAT(cutRow(model, 0, 4, 1.5), SizeIs(3));  // 0, 1.5, 3
    EXPECT_THAT(cutRow(model, 1, 4, 0), SizeIs(1));
    EXPECT_THAT(cutRow(model, 4, 1, 1), IsEmpty());
    EXPECT_THAT(cutRow(model, 0, 4, 1e-12), SizeIs(10000));
    EXPECT_TRUE(sameBytes(cutRow(model, 0, 4, 1)[2], cutAtStation(model, 2)));
}

// ---------------------------------------------------------------- reading

TEST(SectionStack, AtAJoinTheIntervalThatStartsThere) {
    const Model model = twoSquares();
    const Section section = cut(model, {{0, 0.5}, {4, 0.5}});
    EXPECT_EQ(stackAt(model, section, 2)[1].bottom, -0.09);  // of the right square
    EXPECT_EQ(stackAt(model, section, 1.999)[1].bottom, -0.08);
    EXPECT_EQ(stackAt(model, section, 4)[1].bottom, -0.09);  // the end is still inside
    EXPECT_THAT(stackAt(model, section, 4.001), IsEmpty());
    EXPECT_THAT(stackAt(model, section, -0.001), IsEmpty());
}

TEST(SectionExtremes, ThinnestAndThickestWithTheirPlaces) {
    // Bedding 0.02 + 0.01 x thick over 4 m: 0.02 at 0, 0.06 at 4; cut face (0.02 + 0.06) / 2 x 4 = 0.16 m².
    hand::Grid grid;
    grid.width = 4, grid.height = 2;
    const Model model = gridModel(grid, hand::patioLayers(), {hand::patioStack(plane(-0.08, -0.01, 0))});
    const auto all = extremes(model, cut(model, {{0, 0.5}, {4, 0.5}}));
    ASSERT_THAT(all, SizeIs(3));  // native soil left out
    EXPECT_EQ(all[1].layer, 1);
    EXPECT_NEAR(all[1].least, 0.02, 1e-15);
    EXPECT_EQ(all[1].leastAt, 0);
    EXPECT_NEAR(all[1].greatest, 0.06, 1e-15);
    EXPECT_EQ(all[1].greatestAt, 4);
    EXPECT_NEAR(all[1].area, 0.16, 1e-15);
    EXPECT_NEAR(all[0].area, 0.06 * 4, 1e-15);
}

TEST(SectionRuns, AStepHasTwoPointsAtOneDistance) {
    const Model model = twoSquares();
    const auto runs = layerRuns(model, cut(model, {{0, 0.5}, {4, 0.5}}));
    ASSERT_THAT(runs, SizeIs(4));  // units, bedding, base, soil, each in one run
    const auto& bedding = runs[1];
    EXPECT_THAT(bedding.top, SizeIs(5));
    EXPECT_THAT(bedding.bottom, SizeIs(6));  // the step at x = 2
    EXPECT_EQ(bedding.bottom[2].x, bedding.bottom[3].x);
    EXPECT_EQ(bedding.bottom[2].y, -0.08);
    EXPECT_EQ(bedding.bottom[3].y, -0.09);
}

TEST(SectionRuns, BreakWhereALayerEndsOrLosesItsFace) {
    // Right square stands 1 m lower: no face in common, every layer but the soil breaks (the soil reaches to
    // -5).
    hand::Grid grid;
    grid.columns = 2, grid.rows = 1, grid.width = 4, grid.height = 2, grid.floor = -5;
    grid.stackOf = [](glm::dvec2 p) { return p.x < 2 ? 0 : 1; };
    hand::Stack low;
    low.column = hand::patioStack(level(0)).column;
    low.interfaces = {level(-1), level(-1.06), level(-1.08), level(-1.2)};
    const Model model = gridModel(grid, hand::patioLayers(), {hand::patioStack(level(-0.08)), low});
    EXPECT_THAT(layerRuns(model, cut(model, {{0, 0.5}, {4, 0.5}})), SizeIs(7));
    EXPECT_THAT(layerRuns(withHole(), cut(withHole(), {{-1, 3.3}, {7, 3.3}})), SizeIs(8));
}

TEST(SectionRuns, LiftsTogetherOrApart) {
    hand::Stack stack;
    stack.column.area = 0;
    stack.column.entries = {hand::entry(0), hand::entry(1), hand::entry(2), hand::entry(2)};
    stack.column.entries[2].lift = 1, stack.column.entries[2].lifts = stack.column.entries[3].lifts = 2;
    stack.interfaces = {level(0), level(-0.06), level(-0.08), level(-0.15), level(-0.25)};
    hand::Grid grid;
    const Model model = gridModel(grid, hand::patioLayers(), {stack});
    const Section section = cut(model, {{0, 0.5}, {1, 0.5}});
    const auto together = layerRuns(model, section);
    ASSERT_THAT(together, SizeIs(4));
    EXPECT_EQ(together[2].top.front().y, -0.08);
    EXPECT_EQ(together[2].bottom.front().y, -0.25);
    const auto apart = layerRuns(model, section, true);
    ASSERT_THAT(apart, SizeIs(5));
    EXPECT_EQ(apart[2].lift, 1);
    EXPECT_EQ(apart[2].bottom.front().y, -0.15);
    EXPECT_EQ(apart[3].lift, 0);
    EXPECT_NEAR(extremes(model, section)[2].least, 0.17, 1e-15);  // 0.25 - 0.08
}

// ---------------------------------------------------------------- other things

Model withUnits() {
    Model model = twoSquares();
    for (int i = 0; i < 4; ++i) hand::addUnit(model, {i + 0.01, 0.01}, {i + 0.99, 0.99}, 0.002 * i, 0.06);
    return model;
}

TEST(SectionUnits, CutAtTheirSides) {
    const Section section = cut(withUnits(), {{0, 0.5}, {4, 0.5}});
    ASSERT_THAT(section.units, SizeIs(4));
    EXPECT_EQ(section.units[1].unit, 1);
    EXPECT_NEAR(section.units[1].from, 1.01, 1e-9);
    EXPECT_NEAR(section.units[1].to, 1.99, 1e-9);
    EXPECT_NEAR(section.units[1].topFrom, 0.002, 1e-15);
    EXPECT_NEAR(section.units[1].bottomTo, 0.002 - 0.06, 1e-15);
}

TEST(SectionUnits, ALineAlongASideCutsWhatLiesToItsLeft) {
    Model model = twoSquares();
    hand::addUnit(model, {1, 0.5}, {2, 1}, 0, 0.06);
    EXPECT_THAT(cut(model, {{0, 0.5}, {4, 0.5}}).units, SizeIs(1));
    EXPECT_THAT(cut(model, {{4, 0.5}, {0, 0.5}}).units, IsEmpty());
    EXPECT_THAT(cut(model, {{4, 1}, {0, 1}}).units, SizeIs(1));
}

TEST(SectionUnits, AConcavePieceIsCutTwice) {
    Model model = twoSquares();
    hand::addUnit(model, {0, 0}, {1, 1}, 0, 0.06);
    // A notch from above: (0.4, 1) (0.4, 0.2) (0.6, 0.2) (0.6, 1).
    model.unitCorners = {{0, 0}, {1, 0}, {1, 1}, {0.6, 1}, {0.6, 0.2}, {0.4, 0.2}, {0.4, 1}, {0, 1}};
    model.units[0].corners = 8;
    const Section section = cut(model, {{-1, 0.5}, {4, 0.5}});
    ASSERT_THAT(section.units, SizeIs(2));
    EXPECT_NEAR(section.units[0].to - section.units[0].from, 0.4, 1e-9);
    EXPECT_NEAR(section.units[1].from, 1.6, 1e-9);
}

TEST(SectionUnits, BucketsFindTheSameAsLookingAtAll) {
    hand::Grid grid;
    grid.width = 30, grid.height = 20;
    Model model = gridModel(grid, hand::patioLayers(), {hand::patioStack(level(-0.08))});
    for (int j = 0; j < 95; ++j) {
        for (int i = 0; i < 145; ++i)
            hand::addUnit(model, {i * 0.203, j * 0.2}, {i * 0.203 + 0.2 + 0.1 * (i % 7 == 0), j * 0.2 + 0.1},
                          0, 0.06);
    }
    hand::addUnit(model, {-3, 7}, {33, 9}, 0, 0.06);  // one far larger than the rest
    const Cutter cutter(model);
    std::mt19937 random(3);
    std::uniform_real_distribution<double> any(-5, 33);
    for (int trial = 0; trial < 60; ++trial) {
        std::vector<glm::dvec2> line{{any(random), any(random)}, {any(random), any(random)}};
        if (trial % 5 == 0) line[1].x = line[0].x;
        if (trial % 5 == 1) line[1].y = line[0].y;
        const Section all = cut(model, line), quick = cutter.cut(line);
        ASSERT_EQ(all.units.size(), quick.units.size()) << trial;
        for (size_t u = 0; u < all.units.size(); ++u) ASSERT_EQ(all.units[u].unit, quick.units[u].unit);
    }
}

TEST(SectionPipes, EllipseWhereTheRunCrosses) {
    Model model = twoSquares();
    BuriedRun run;
    run.diameter = 0.1;
    run.points = {{{1, -1}, -0.5}, {{1, 1}, -0.52}, {{3, 3}, -0.56}};
    model.plan.buriedRuns.push_back(run);
    // y = 0.5 meets the first length 3/4 of the way: invert -0.515, middle 0.05 above. Square to it: half
    // width 0.05.
    const Section section = cut(model, {{0, 0.5}, {4, 0.5}});
    ASSERT_THAT(section.pipes, SizeIs(1));
    EXPECT_NEAR(section.pipes[0].at, 1, 1e-12);
    EXPECT_NEAR(section.pipes[0].centre, -0.465, 1e-12);
    EXPECT_NEAR(section.pipes[0].halfWidth, 0.05, 1e-12);
    EXPECT_NEAR(section.pipes[0].radius, 0.05, 1e-5);  // the run falls 1 %
    // y = 1.5 meets the second length at (1.5, 1.5), at 45 degrees: half width 0.05 sqrt 2, but for its fall.
    const Section skew = cut(model, {{0, 1.5}, {4, 1.5}});
    ASSERT_THAT(skew.pipes, SizeIs(1));
    EXPECT_NEAR(skew.pipes[0].halfWidth, 0.05 * std::sqrt(2.0), 1e-4);
    // y = 1 passes through the joint of the two lengths: met once.
    EXPECT_THAT(cut(model, {{0, 1}, {4, 1}}).pipes, SizeIs(1));
    // A line that bends in the pipe's axis meets it once as well.
    EXPECT_THAT(cut(model, {{0, 0.5}, {1, 0.5}, {4, 0.5}}).pipes, SizeIs(1));
    // Along the run: not crossed.
    EXPECT_THAT(cut(model, {{1, -1}, {1, 0.9}}).pipes, IsEmpty());
}

TEST(SectionThings, EdgingAndFixedThings) {
    Model model = twoSquares();
    EdgingPiece piece;
    piece.corner = {glm::dvec2{0, -0.01}, {4, -0.01}, {4, 0}, {0, 0}};
    piece.top = {{0, 0}, -0.02, {0, 0}};
    piece.height = 0.04;
    model.edging.push_back(piece);
    FixedThing house;
    house.outline.start = {0, -1};
    house.outline.edges = {{{4, -1}, {}, {}}, {{4, -0.5}, {}, {}}, {{0, -0.5}, {}, {}}, {{0, -1}, {}, {}}};
    house.top = 2;
    house.bottom = -0.7;
    model.plan.fixedThings.push_back(house);
    const Section section = cut(model, {{1, -2}, {1, 2}});
    ASSERT_THAT(section.things, SizeIs(2));
    EXPECT_EQ(section.things[0].kind, ThingCut::Kind::Fixed);
    EXPECT_NEAR(section.things[0].from, 1, 1e-9);
    EXPECT_NEAR(section.things[0].to, 1.5, 1e-9);
    EXPECT_EQ(section.things[0].topTo, 2);
    EXPECT_EQ(section.things[1].kind, ThingCut::Kind::Edging);
    EXPECT_NEAR(section.things[1].from, 1.99, 1e-9);
    EXPECT_NEAR(section.things[1].bottomFrom, -0.06, 1e-15);
}

// ---------------------------------------------------------------- sections against volumes

TEST(Section, AreasOfCutFacesIntegrateToTheVolume) {
    // Along x the cut face of the bedding changes as a quadratic within each strip of cells between stations
    // that pass through corners (thickness is straight, and so is the length in a triangle): Simpson's rule
    // on each strip is exact.
    hand::Grid grid;
    grid.columns = 4, grid.rows = 3, grid.width = 4, grid.height = 3;
    const auto warped = [](glm::dvec2 p) {
        return -0.08 - 0.003 * p.x * p.x + 0.002 * p.x * p.y - 0.004 * p.y;
    };
    const Model model = gridModel(grid, hand::patioLayers(), {hand::patioStack(warped)});
    const auto face = [&](double station) { return extremes(model, cutAtStation(model, station))[1].area; };
    double sum = 0;
    for (int strip = 0; strip < 4; ++strip)
        sum += (face(strip) + 4 * face(strip + 0.5) + face(strip + 1)) / 6;
    EXPECT_NEAR(sum, volumes(model).layers[1].volume, 1e-12);
}

}  // namespace
}  // namespace underfoot
