// Open grids of heights as ground, ties and all. Every square may be parted by either diagonal, so volumes
// have exact bounds: cell by cell the least and the greatest of the two.

#include <algorithm>
#include <cstdlib>
#include <numeric>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "ground/surface.h"
#include "ground/triangulation.h"
#include "outside/height_grids.h"
#include "outside/published_plan.h"
#include "study/thickness.h"

namespace underfoot::outside {
namespace {

long sumOf(const HeightGrid& grid) {
    return std::accumulate(grid.heights.begin(), grid.heights.end(), 0L);
}

void expectBetween(double found, double least, double greatest, double within) {
    EXPECT_GE(found, least - within);
    EXPECT_LE(found, greatest + within);
}

struct Triangulated {
    size_t triangles = 0;
    double area = 0;
    double net = 0;
    std::optional<std::string> fault;
};

Triangulated triangulated(const HeightGrid& grid, double step, double level) {
    const std::vector<glm::dvec3> points = grid.points(step);
    std::vector<glm::dvec2> plan(points.begin(), points.end());
    std::vector<int> vertexOf;
    const Triangulation mesh = Triangulation::ofPoints(plan, &vertexOf);
    std::vector<double> height(mesh.vertices().size());
    for (size_t i = 0; i < points.size(); ++i) height[static_cast<size_t>(vertexOf[i])] = points[i].z;
    Triangulated found{mesh.triangles().size(), 0, 0, mesh.fault()};
    for (const Triangle& t : mesh.triangles()) {
        const auto at = [&](size_t c) { return mesh.vertices()[static_cast<size_t>(t.v[c])]; };
        const auto z = [&](size_t c) { return height[static_cast<size_t>(t.v[c])]; };
        const glm::dvec2 b = at(1) - at(0), c = at(2) - at(0);
        const double area = 0.5 * (b.x * c.y - b.y * c.x);
        EXPECT_EQ(area, step * step / 2);
        found.area += area;
        found.net += cutFill(area, {z(0), z(1), z(2)}, level).net();
    }
    return found;
}

// ---------------------------------------------------------------- a volcano on 10 m

const char* const volcanoFile =
    UNDERFOOT_SOURCE_DIR "/tests/share/npm/node_modules/vega-datasets/data/volcano.json";

// Maunga Whau, 87 x 61 heights on 10 m: npm package vega-datasets 3.2.1, data/volcano.json.
class Volcano : public ::testing::Test {
  protected:
    void SetUp() override {
        if (std::getenv("UNDERFOOT_NO_NPM") != nullptr) GTEST_SKIP() << "UNDERFOOT_NO_NPM is set";
        const auto read = readVolcano(volcanoFile);
        ASSERT_TRUE(read.has_value()) << "run: npm ci --prefix tests/share/npm (or set UNDERFOOT_NO_NPM)";
        grid = *read;
    }
    HeightGrid grid;
};

TEST_F(Volcano, IsThePublishedGrid) {
    EXPECT_EQ(grid.columns, 87);
    EXPECT_EQ(grid.rows, 61);
    EXPECT_EQ(*std::min_element(grid.heights.begin(), grid.heights.end()), 94);
    EXPECT_EQ(*std::max_element(grid.heights.begin(), grid.heights.end()), 195);
    EXPECT_EQ(sumOf(grid), 690907);
    // Above 94 m by the four-corner rule 19,049,000 m³; by two triangles a cell, all parted alike,
    // 19,049,050 or 19,048,950 (each a whole number of sixths of 100 m³). All choices of diagonals lie
    // between 19,022,983 1/3 and 19,075,016 2/3.
    const GridBounds bounds = boundsOf(grid, 10, 1, 94);
    EXPECT_NEAR(bounds.fourCorners, 19049000, 1e-4);
    EXPECT_NEAR(bounds.rising, 19049050, 1e-4);
    EXPECT_NEAR(bounds.falling, 19048950, 1e-4);
    EXPECT_NEAR(bounds.leastNet, 19022983.0 + 1.0 / 3, 1e-4);
    EXPECT_NEAR(bounds.greatestNet, 19075016.0 + 2.0 / 3, 1e-4);
}

TEST_F(Volcano, TriangulatesWithItsTies) {
    const Triangulated found = triangulated(grid, 10, 94);
    EXPECT_EQ(found.fault, std::nullopt);
    EXPECT_EQ(found.triangles, 2U * 86 * 60);
    EXPECT_EQ(found.area, 860.0 * 600);
    const GridBounds bounds = boundsOf(grid, 10, 1, 94);
    expectBetween(found.net, bounds.leastNet, bounds.greatestNet, 1e-4);
}

TEST_F(Volcano, HasItsHeightsAndOneOfTwoInEveryMiddle) {
    const auto points = grid.points(10);
    const auto surface = triangulatedSurface(points, Beyond::Nearest, {-500, -500}, {500, 500});
    ASSERT_NE(surface, nullptr);
    for (const glm::dvec3& p : points) EXPECT_NEAR(surface->height({p.x, p.y}), p.z, 1e-9);
    for (int row = 0; row + 1 < grid.rows; ++row) {
        for (int column = 0; column + 1 < grid.columns; ++column) {
            const double rising = 0.5 * (grid.at(column, row) + grid.at(column + 1, row + 1)),
                         falling = 0.5 * (grid.at(column + 1, row) + grid.at(column, row + 1));
            const double found = surface->height({(column - 42.5) * 10, (row - 29.5) * 10});
            EXPECT_LT(std::min(std::abs(found - rising), std::abs(found - falling)), 1e-9)
                << column << ", " << row;
        }
    }
}

// The same ground a hundred times smaller, 8.6 x 6 m, filled and dug to a level formation.
Model smallVolcano(const HeightGrid& grid, int level) {
    std::string shots;
    for (int row = 0; row < grid.rows; ++row) {
        for (int column = 0; column < grid.columns; ++column)
            shots += fmt::format("[\"{} mm\", \"{} mm\", \"{} mm\"],\n", 100 * column, 100 * row,
                                 10 * grid.at(column, row));
    }
    // The base of 1 ft = 304.8 mm stands on the formation.
    return mustBuild(planText("rectangle = { corner = [0, 0], size = [\"8.6 m\", \"6 m\"] }", 4,
                              fmt::format("at = [0, 0], level = \"{} mm\"", 10 * level + 304.8),
                              "shots = [ " + shots + " ]"));
}

struct MetricEarthwork {
    double cut = 0, fill = 0;
};
MetricEarthwork metric(const Model& model) {
    const Earthwork e = earthworkOf(model);
    return {e.cut * cubicFoot, e.fill * cubicFoot};
}

class VolcanoAsAPatio : public Volcano, public ::testing::WithParamInterface<int> {};

TEST_P(VolcanoAsAPatio, CutAndFillLieInTheirBounds) {
    const MetricEarthwork found = metric(smallVolcano(grid, GetParam()));
    const GridBounds bounds = boundsOf(grid, 0.1, 0.01, GetParam() * 0.01);
    expectBetween(found.cut, bounds.leastCut, bounds.greatestCut, 1e-8);
    expectBetween(found.fill, bounds.leastFill, bounds.greatestFill, 1e-8);
    expectBetween(found.cut - found.fill, bounds.leastNet, bounds.greatestNet, 1e-8);
}

// Many shots stand exactly on a formation of a whole number: 94 the lowest of them, 195 the highest.
INSTANTIATE_TEST_SUITE_P(Levels, VolcanoAsAPatio, ::testing::Values(94, 110, 130, 195));

TEST_F(Volcano, OneLevelLowerCutsOneLayerMore) {
    // On one ground the net volume changes by the plan area times the change of level: 8.6 x 6 x 0.36 m.
    const MetricEarthwork low = metric(smallVolcano(grid, 94)), high = metric(smallVolcano(grid, 130));
    EXPECT_NEAR((low.cut - low.fill) - (high.cut - high.fill), 8.6 * 6 * 0.36, 1e-8);
    EXPECT_NEAR(low.fill, 0, 1e-9);
}

// ---------------------------------------------------------------- 138,632 heights

// "Jacksboro fault" sample of Matplotlib 3.6 (Debian package python-matplotlib-data), 344 x 403 heights; its
// three seconds of arc are taken for 10 m here, so that it fits into the reach of the grid.
TEST(Elevations, TriangulateWithTheirTies) {
    const auto grid = readElevations("/usr/share/matplotlib/mpl-data/sample_data/jacksboro_fault_dem.npz");
    ASSERT_TRUE(grid.has_value()) << "install the Debian package python-matplotlib-data (.ci/prepare does)";
    EXPECT_EQ(grid->columns, 403);
    EXPECT_EQ(grid->rows, 344);
    EXPECT_EQ(*std::min_element(grid->heights.begin(), grid->heights.end()), 236);
    EXPECT_EQ(*std::max_element(grid->heights.begin(), grid->heights.end()), 1076);
    EXPECT_EQ(sumOf(*grid), 73617913);
    // Above 236 m, in whole-number arithmetic: four corners 4,071,550,350 m³, the triangulations
    // 4,071,548,400 and 4,071,552,300, all choices of diagonals from 4,064,901,966 2/3 to 4,078,198,733 1/3.
    const GridBounds bounds = boundsOf(*grid, 10, 1, 236);
    EXPECT_NEAR(bounds.fourCorners, 4071550350.0, 0.01);
    EXPECT_NEAR(bounds.rising, 4071548400.0, 0.01);
    EXPECT_NEAR(bounds.falling, 4071552300.0, 0.01);
    EXPECT_NEAR(bounds.leastNet, 4064901966.0 + 2.0 / 3, 0.01);
    EXPECT_NEAR(bounds.greatestNet, 4078198733.0 + 1.0 / 3, 0.01);
    const Triangulated found = triangulated(*grid, 10, 236);
    EXPECT_EQ(found.fault, std::nullopt);
    EXPECT_EQ(found.triangles, 2U * 402 * 343);
    EXPECT_EQ(found.area, 4020.0 * 3430);
    expectBetween(found.net, bounds.leastNet, bounds.greatestNet, 0.01);
}

TEST(Elevations, AFileThatIsNoneIsNotRead) {
    EXPECT_FALSE(readElevations(UNDERFOOT_SOURCE_DIR "/README.md").has_value());
    EXPECT_FALSE(readVolcano(UNDERFOOT_SOURCE_DIR "/README.md").has_value());
}

}  // namespace
}  // namespace underfoot::outside
