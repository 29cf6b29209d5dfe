// Ponds on open grids of heights, cell by cell against other fills.
//
// Squares are cut from their lower left to their upper right corner, so that a height has six neighbours. On
// such a surface pits and passes are at the grid's heights, and a fill of the grid over those six neighbours
// has exactly the levels of the surface. The sums come from skimage.morphology.reconstruction of Debian's
// python3-skimage 0.19.3 (method "erosion", footprint [[1,1,0],[1,1,1],[0,1,1]] over rows and columns, seed
// the heights on the rim and the greatest of all within); every level is compared with a fill by lowering in
// here.

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <utility>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "outside/height_grids.h"
#include "study/water_flow.h"

namespace underfoot::outside {
namespace {

WaterSurface surfaceOf(const HeightGrid& grid) {
    std::vector<std::array<int, 3>> faces;
    for (int j = 0; j + 1 < grid.rows; ++j) {
        for (int i = 0; i + 1 < grid.columns; ++i) {
            const int a = j * grid.columns + i, b = a + 1, c = b + grid.columns, d = a + grid.columns;
            faces.push_back({a, b, c});
            faces.push_back({a, c, d});
        }
    }
    return waterSurface(grid.points(1), faces);
}

/// Starts flooded and lowers until nothing changes, over the grid itself (Planchon and Darboux 2002, Catena
/// 46).
std::vector<int> filled(const HeightGrid& grid) {
    const int most = *std::max_element(grid.heights.begin(), grid.heights.end());
    std::vector<int> level(grid.heights.size(), most);
    const auto at = [&](int i, int j) {
        return static_cast<size_t>(j) * static_cast<size_t>(grid.columns) + static_cast<size_t>(i);
    };
    const auto lower = [&](int i, int j) {
        int least = most;
        const std::array<std::array<int, 2>, 6> around{{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}}};
        for (const auto& [x, y] : around) {
            const bool off = i + x < 0 || j + y < 0 || i + x >= grid.columns || j + y >= grid.rows;
            least = off ? std::min(least, grid.at(i, j)) : std::min(least, level[at(i + x, j + y)]);
        }
        const int to = std::max(grid.at(i, j), least);
        const bool changed = to < level[at(i, j)];
        level[at(i, j)] = std::min(level[at(i, j)], to);
        return changed;
    };
    for (bool changed = true; changed;) {
        changed = false;
        for (int j = 0; j < grid.rows; ++j)
            for (int i = 0; i < grid.columns; ++i) changed |= lower(i, j);
        for (int j = grid.rows - 1; j >= 0; --j)
            for (int i = grid.columns - 1; i >= 0; --i) changed |= lower(i, j);
    }
    return level;
}

struct Depths {
    double sum = 0, greatest = 0;
    int wet = 0;
};

Depths expectSameLevels(const HeightGrid& grid, const WaterSurface& surface, const WaterFlow& flow) {
    const std::vector<int> other = filled(grid);
    Depths depths;
    size_t differ = 0;
    for (size_t i = 0; i < other.size(); ++i) {
        differ += flow.levels()[i] != other[i] ? 1U : 0U;
        const double depth = flow.levels()[i] - surface.z(static_cast<int>(i));
        depths.sum += depth;
        depths.greatest = std::max(depths.greatest, depth);
        depths.wet += depth > 0 ? 1 : 0;
    }
    EXPECT_EQ(differ, 0U);
    return depths;
}

/// What lies between the surface and the levels, face by face, by another formula than the ponds' own.
double volumeBelow(const WaterSurface& surface, const WaterFlow& flow) {
    double sum = 0;
    for (const WaterFace& face : surface.faces) {
        double level = -1e9;
        for (const int node : face.node)
            if (flow.levels()[static_cast<size_t>(node)] > surface.z(node))
                level = flow.levels()[static_cast<size_t>(node)];
        sum +=
            cutFill(0.5, {surface.z(face.node[0]), surface.z(face.node[1]), surface.z(face.node[2])}, level)
                .fill;
    }
    return sum;
}

void expectWhole(WaterFlow& flow, double area) {
    double sum = 0;
    for (const WaterOutlet& one : flow.catchments()) sum += one.catchment;
    EXPECT_NEAR(sum, area, 1e-6 * area);
    double rings = 0, plan = 0;
    for (const Pond& pond : flow.ponds()) {
        plan += pond.planArea;
        for (const auto& ring : pond.rings) rings += signedArea(ring);
        EXPECT_GE(pond.catchment, pond.planArea - 1e-6);
    }
    EXPECT_NEAR(rings, plan, 1e-6 * (1 + plan));
}

/// A drop let run over the grid in small steps down the slope of whatever triangle it is on, until it stands
/// in water that the other fill holds, leaves, or comes onto level ground, where a slope says nothing.
struct Drop {
    glm::dvec2 at{0, 0};
    double level = 0;  // of the water that it came to
    enum { Runs, Pond, Left, Level } end = Runs;
};
Drop letRun(const HeightGrid& grid, const std::vector<int>& levels, glm::dvec2 from) {
    constexpr double step = 0.004;
    Drop drop{from, 0, Drop::Runs};
    for (int n = 0; n < 200'000 && drop.end == Drop::Runs; ++n) {
        const glm::dvec2 p = drop.at;
        if (p.x < 0 || p.y < 0 || p.x > grid.columns - 1 || p.y > grid.rows - 1) {
            drop.end = Drop::Left;
            break;
        }
        const int i = std::min(static_cast<int>(p.x), grid.columns - 2),
                  j = std::min(static_cast<int>(p.y), grid.rows - 2);
        const double u = p.x - i, v = p.y - j;
        const bool right = u >= v;  // of the square's side from its lower left to its upper right corner
        const double a = grid.at(i, j), c = grid.at(i + 1, j + 1),
                     other = right ? grid.at(i + 1, j) : grid.at(i, j + 1);
        const glm::dvec2 rise = right ? glm::dvec2{other - a, c - other} : glm::dvec2{c - other, other - a};
        const double height = a + u * rise.x + v * rise.y;
        double level = -1e9;
        for (const auto& [x, y] : {std::pair{0, 0}, {1, 1}, right ? std::pair{1, 0} : std::pair{0, 1}}) {
            const int filled = levels[static_cast<size_t>((j + y) * grid.columns + i + x)];
            if (filled > grid.at(i + x, j + y)) level = std::max(level, static_cast<double>(filled));
        }
        const double slope = std::hypot(rise.x, rise.y);
        if (height < level)
            drop.end = Drop::Pond, drop.level = level;
        else if (slope == 0)
            drop.end = Drop::Level;
        else
            drop.at -= rise * (step / slope);
    }
    return drop;
}

// Drops scattered over the volcano end where the ways do; of those near a divide or in a
// narrow valley a few go another way, fewer with smaller steps.
TEST(Ponds, DropsLetRunOverTheVolcanoEndWhereTheWaysDo) {
    if (std::getenv("UNDERFOOT_NO_NPM") != nullptr) GTEST_SKIP() << "UNDERFOOT_NO_NPM is set";
    const auto grid =
        readVolcano(UNDERFOOT_SOURCE_DIR "/tests/share/npm/node_modules/vega-datasets/data/volcano.json");
    ASSERT_TRUE(grid.has_value()) << "run: npm ci --prefix tests/share/npm (or set UNDERFOOT_NO_NPM)";
    const WaterSurface surface = surfaceOf(*grid);
    const WaterFlow flow(surface);
    const std::vector<int> levels = filled(*grid);
    const glm::dvec2 origin = surface.at(0);
    int ponds = 0, left = 0, apart = 0;
    for (int n = 0; n < 400; ++n) {
        // Places spread evenly: fractions of n times two numbers that no fraction meets.
        const glm::dvec2 from{std::fmod(n * 0.7548776662466927, 1.0) * (grid->columns - 1),
                              std::fmod(n * 0.5698402909980532, 1.0) * (grid->rows - 1)};
        const Drop drop = letRun(*grid, levels, from);
        if (drop.end == Drop::Runs || drop.end == Drop::Level) continue;
        const auto way = flow.path(from + origin);
        ASSERT_TRUE(way.has_value());
        const bool pond = way->end.kind == WaterEndKind::Pond;
        const glm::dvec2 end{way->points.back().x, way->points.back().y};
        ++(drop.end == Drop::Pond ? ponds : left);
        if (drop.end == Drop::Pond)
            apart += pond && flow.ponds()[static_cast<size_t>(way->end.index)].level == drop.level ? 0 : 1;
        else
            apart += !pond && glm::length(end - origin - drop.at) < 0.1 ? 0 : 1;
    }
    EXPECT_GT(ponds, 20);
    EXPECT_GT(left, 60);
    EXPECT_LE(apart, (ponds + left) / 25) << ponds << ' ' << left;
}

TEST(Ponds, OfTheVolcanoAreThoseOfOtherFills) {
    if (std::getenv("UNDERFOOT_NO_NPM") != nullptr) GTEST_SKIP() << "UNDERFOOT_NO_NPM is set";
    const auto grid =
        readVolcano(UNDERFOOT_SOURCE_DIR "/tests/share/npm/node_modules/vega-datasets/data/volcano.json");
    ASSERT_TRUE(grid.has_value()) << "run: npm ci --prefix tests/share/npm (or set UNDERFOOT_NO_NPM)";
    const WaterSurface surface = surfaceOf(*grid);
    WaterFlow flow(surface);
    const Depths depths = expectSameLevels(*grid, surface, flow);
    EXPECT_EQ(depths.sum, 887);
    EXPECT_EQ(depths.wet, 103);
    EXPECT_EQ(depths.greatest, 20);
    EXPECT_NEAR(flow.volume(), volumeBelow(surface, flow), 1e-9);
    expectWhole(flow, 86 * 60);
}

TEST(Ponds, OfAValleyWithManyAreThoseOfOtherFills) {
    const auto grid = readElevations("/usr/share/matplotlib/mpl-data/sample_data/jacksboro_fault_dem.npz");
    ASSERT_TRUE(grid.has_value()) << "install python3-matplotlib-data";
    const WaterSurface surface = surfaceOf(*grid);
    WaterFlow flow(surface);
    const Depths depths = expectSameLevels(*grid, surface, flow);
    EXPECT_EQ(depths.sum, 54236);
    EXPECT_EQ(depths.wet, 8504);
    EXPECT_EQ(depths.greatest, 33);
    EXPECT_NEAR(flow.volume(), volumeBelow(surface, flow), 1e-6);
    expectWhole(flow, (grid->columns - 1.0) * (grid->rows - 1.0));
}

}  // namespace
}  // namespace underfoot::outside
