#pragma once
// Small models made by hand: cells on a grid of rectangles, each cut into two triangles, with heights given
// as functions of the place. No plan is read and nothing is solved, so that what is tested stands alone.

#include <algorithm>
#include <array>
#include <cassert>
#include <functional>
#include <map>
#include <utility>
#include <vector>

#include "ground/grid.h"
#include "measure/length.h"
#include "model/model.h"

namespace underfoot::hand {

inline constexpr double in = metresPerInch, ft = metresPerFoot;

using HeightOf = std::function<double(glm::dvec2)>;

/// One kind of stack: entries top first, without the native soil, which is added; and the height of each of
/// their interfaces, top first (one more than entries).
struct Stack {
    Column column;
    std::vector<HeightOf> interfaces;
};

inline HeightOf level(double height) {
    return [height](glm::dvec2) { return height; };
}
inline HeightOf plane(double height, double perX, double perY) {
    return [=](glm::dvec2 p) { return height + perX * p.x + perY * p.y; };
}

struct Grid {
    int columns = 1;
    int rows = 1;
    double width = 1;
    double height = 1;
    double floor = -1;
    /// Which of the stacks stands on the cell with this middle; -1 leaves the cell out.
    std::function<int(glm::dvec2)> stackOf = [](glm::dvec2) { return 0; };
    HeightOf ground = level(0);
    HeightOf stripped = level(0);
    HeightOf finish = level(0);
    /// Rearranges the order of the cells: the k-th cell made is put at place order(k, count).
    std::function<size_t(size_t, size_t)> order = [](size_t k, size_t) { return k; };
};

namespace detail {

inline void joinNeighbours(Model& model) {
    std::map<std::pair<int, int>, std::pair<int, int>> open;  // directed edge -> cell, edge
    for (size_t c = 0; c < model.cells.size(); ++c) {
        Cell& cell = model.cells[c];
        for (int e = 0; e < 3; ++e) {
            const int a = cell.vertex[static_cast<size_t>((e + 1) % 3)],
                      b = cell.vertex[static_cast<size_t>((e + 2) % 3)];
            const auto other = open.find({b, a});
            if (other == open.end()) {
                open[{a, b}] = {static_cast<int>(c), e};
                continue;
            }
            const auto [neighbour, edge] = other->second;
            cell.neighbour[static_cast<size_t>(e)] = neighbour;
            model.cells[static_cast<size_t>(neighbour)].neighbour[static_cast<size_t>(edge)] =
                static_cast<int>(c);
        }
    }
}

inline void fillHeights(Model& model, const Grid& grid, const std::vector<Stack>& stacks) {
    for (Cell& cell : model.cells) {
        const Stack& stack = stacks[static_cast<size_t>(cell.column)];
        for (int c = 0; c < 3; ++c) {
            const glm::dvec2 p = model.at(cell, c);
            cell.post[static_cast<size_t>(c)] = static_cast<int>(model.posts.size());
            model.posts.push_back(
                {cell.vertex[static_cast<size_t>(c)], cell.column, static_cast<int>(model.heights.size())});
            for (const HeightOf& interface : stack.interfaces) model.heights.push_back(interface(p));
            model.heights.push_back(grid.floor);
            model.facts.push_back({grid.ground(p), grid.stripped(p), grid.finish(p), 0});
        }
    }
    model.groundKnown.assign(model.cells.size(), 1);
}

}  // namespace detail

/// A rectangle from (0, 0) to (width, height), rectangles cut from their lower left to their upper right
/// corner. Layers are those named; entries refer to them by index. Native soil is added as the last layer.
inline Model gridModel(const Grid& grid, std::vector<ModelLayer> layers, const std::vector<Stack>& stacks) {
    Model model;
    layers.push_back({"soil", Role::NativeSoil, ""});
    model.layers = std::move(layers);
    model.nativeSoil = static_cast<LayerId>(model.layers.size()) - 1;
    model.site = {{0, 0}, {0, 0}, {grid.width, grid.height}, grid.floor};
    for (const Stack& stack : stacks) {
        assert(stack.interfaces.size() == stack.column.entries.size() + 1);
        model.columns.push_back(stack.column);
        ColumnEntry soil;
        soil.layer = model.nativeSoil;
        model.columns.back().entries.push_back(soil);
    }
    for (int j = 0; j <= grid.rows; ++j) {
        for (int i = 0; i <= grid.columns; ++i) {
            model.vertices.push_back(snap({grid.width * i / grid.columns, grid.height * j / grid.rows}));
        }
    }
    std::vector<Cell> cells;
    const int stride = grid.columns + 1;
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.columns; ++i) {
            const int a = j * stride + i, b = a + 1, c = b + stride, d = a + stride;
            for (const std::array<int, 3> corners :
                 {std::array<int, 3>{a, b, c}, std::array<int, 3>{a, c, d}}) {
                Cell cell;
                cell.vertex = corners;
                const glm::dvec2 middle = (model.at(cell, 0) + model.at(cell, 1) + model.at(cell, 2)) / 3.0;
                cell.column = grid.stackOf(middle);
                if (cell.column >= 0) cells.push_back(cell);
            }
        }
    }
    model.cells.resize(cells.size());
    for (size_t k = 0; k < cells.size(); ++k) model.cells[grid.order(k, cells.size())] = cells[k];
    detail::joinNeighbours(model);
    detail::fillHeights(model, grid, stacks);
    measurePlanAreas(model);
    return model;
}

inline ColumnEntry entry(LayerId layer, double wanted = 0) {
    ColumnEntry e;
    e.layer = layer;
    e.wanted = wanted;
    return e;
}

/// Layers 0 units, 1 bedding, 2 base; soil is 3.
inline std::vector<ModelLayer> patioLayers() {
    return {{"units", Role::Units, ""}, {"bedding", Role::Bedding, ""}, {"base", Role::Base, ""}};
}

/// Units 0.06, bedding between, base 0.10, formation at -0.2; finish level at 0.
inline Stack patioStack(HeightOf beddingBottom, double formation = -0.2) {
    Stack stack;
    stack.column.area = 0;
    stack.column.entries = {entry(0, 0.06), entry(1, 0.025), entry(2, 0.1)};
    stack.column.formation = 3;
    stack.interfaces = {level(0), level(-0.06), std::move(beddingBottom), level(formation)};
    return stack;
}

/// A rectangular unit, level on top.
inline void addUnit(Model& model, glm::dvec2 low, glm::dvec2 high, double top, double thickness) {
    UnitPiece unit;
    unit.area = 0;
    unit.layer = 0;
    unit.firstCorner = static_cast<int>(model.unitCorners.size());
    unit.corners = 4;
    unit.planArea = unit.wholeArea = (high.x - low.x) * (high.y - low.y);
    unit.leastWidth = std::min(high.x - low.x, high.y - low.y);
    unit.top = {low, top, {0, 0}};
    unit.thickness = thickness;
    for (const glm::dvec2 p : {low, glm::dvec2{high.x, low.y}, high, glm::dvec2{low.x, high.y}})
        model.unitCorners.push_back(p);
    model.units.push_back(unit);
}

}  // namespace underfoot::hand
