#include "model/corners.h"

#include <algorithm>
#include <cmath>

#include "ground/tolerance.h"
#include "model/zero_lines.h"

namespace underfoot {
namespace {

/// One interface's place in Model::heights, sorted vertex by vertex, rising.
struct Standing {
    int vertex = -1;
    double height = 0;
    int index = -1;
};

std::vector<Standing> standings(const Model& model) {
    std::vector<Standing> all(model.heights.size());
    std::vector<size_t> start(model.vertices.size() + 1, 0);
    for (const Cell& cell : model.cells)
        for (int v : cell.vertex)
            start[static_cast<size_t>(v) + 1] += static_cast<size_t>(model.interfaces(cell));
    for (size_t v = 0; v < model.vertices.size(); ++v) start[v + 1] += start[v];
    std::vector<size_t> next(start.begin(), start.end() - 1);
    for (const Cell& cell : model.cells) {
        const int n = model.interfaces(cell);
        for (int c = 0; c < 3; ++c)
            for (int k = 0; k < n; ++k) {
                const int vertex = cell.vertex[static_cast<size_t>(c)];
                const int index = cell.first + c * n + k;
                all[next[static_cast<size_t>(vertex)]++] = {vertex, model.heights[static_cast<size_t>(index)],
                                                            index};
            }
    }
    for (size_t v = 0; v < model.vertices.size(); ++v)
        std::sort(all.begin() + static_cast<std::ptrdiff_t>(start[v]),
                  all.begin() + static_cast<std::ptrdiff_t>(start[v + 1]),
                  [](const Standing& a, const Standing& b) {
                      return a.height != b.height ? a.height < b.height : a.index < b.index;
                  });
    return all;
}

void numberPoints(Model& model) {
    model.points.clear();
    model.pointOf.assign(model.heights.size(), -1);
    int vertex = -1;
    double reached = 0;
    for (const Standing& standing : standings(model)) {
        if (standing.vertex != vertex || standing.height - reached > tolerance::sameHeight) {
            vertex = standing.vertex;
            model.points.emplace_back(model.vertices[static_cast<size_t>(vertex)], standing.height);
        }
        reached = standing.height;
        const size_t index = static_cast<size_t>(standing.index);
        model.pointOf[index] = static_cast<int>(model.points.size()) - 1;
        model.heights[index] = model.points.back().z;
    }
}

int otherCorner(const Cell& cell, int vertex) {
    return static_cast<int>(std::find(cell.vertex.begin(), cell.vertex.end(), vertex) - cell.vertex.begin());
}

/// Makes the two heights one at the end of the edge where they lie nearer.
void closeCrossing(Model& model, const EdgeCrossing& crossing) {
    const Cell& mine = model.cells[static_cast<size_t>(crossing.cell)];
    const Cell& other = model.cells[static_cast<size_t>(mine.neighbour[static_cast<size_t>(crossing.edge)])];
    const int corner = (crossing.edge + (crossing.along < 0.5 ? 1 : 2)) % 3;
    const int vertex = mine.vertex[static_cast<size_t>(corner)];
    const double low = std::min(model.height(mine, corner, crossing.mine),
                                model.height(other, otherCorner(other, vertex), crossing.other));
    const double high = std::max(model.height(mine, corner, crossing.mine),
                                 model.height(other, otherCorner(other, vertex), crossing.other));
    for (size_t i = 0; i < model.heights.size(); ++i) {
        const glm::dvec3& p = model.points[static_cast<size_t>(model.pointOf[i])];
        if (p.x == model.vertices[static_cast<size_t>(vertex)].x &&
            p.y == model.vertices[static_cast<size_t>(vertex)].y && p.z > low && p.z <= high)
            model.heights[i] = low;
    }
}

}  // namespace

void weldCorners(Model& model) {
    numberPoints(model);
    for (int round = 0; round < 8; ++round) {
        const std::vector<EdgeCrossing> crossings = edgeCrossings(model);
        if (crossings.empty()) return;
        for (const EdgeCrossing& crossing : crossings) closeCrossing(model, crossing);
        numberPoints(model);
    }
}

}  // namespace underfoot
