#include "model/corners.h"

#include <algorithm>
#include <cmath>

#include "ground/tolerance.h"
#include "model/zero_lines.h"

namespace underfoot {
namespace {

/// The cells that meet at every vertex, as (cell, corner) runs: `start[v]` to `start[v + 1]`.
struct Fans {
    std::vector<size_t> start;
    std::vector<std::pair<int, int>> corners;
};

Fans fansOf(const Model& model) {
    Fans fans;
    fans.start.assign(model.vertices.size() + 1, 0);
    for (const Cell& cell : model.cells)
        for (int v : cell.vertex) ++fans.start[static_cast<size_t>(v) + 1];
    for (size_t v = 0; v < model.vertices.size(); ++v) fans.start[v + 1] += fans.start[v];
    std::vector<size_t> next(fans.start.begin(), fans.start.end() - 1);
    fans.corners.resize(3 * model.cells.size());
    for (size_t c = 0; c < model.cells.size(); ++c)
        for (int corner = 0; corner < 3; ++corner) {
            const int vertex = model.cells[c].vertex[static_cast<size_t>(corner)];
            fans.corners[next[static_cast<size_t>(vertex)]++] = {static_cast<int>(c), corner};
        }
    return fans;
}

/// Gathers the heights over one vertex and gives them their points.
class VertexWelder {
  public:
    explicit VertexWelder(Model& model) : model_(model) {}

    void weld(size_t vertex, const std::pair<int, int>* corners, size_t count) {
        gather(corners, count);
        const int first = static_cast<int>(model_.points.size());
        double reached = 0;
        for (double height : levels_) {
            if (static_cast<int>(model_.points.size()) == first || height - reached > tolerance::sameHeight)
                model_.points.emplace_back(model_.vertices[vertex], height);
            reached = height;
            pointOfLevel_.push_back(static_cast<int>(model_.points.size()) - 1);
        }
        for (size_t i = 0; i < count; ++i) assign(corners[i]);
    }

  private:
    std::pair<size_t, size_t> runOf(std::pair<int, int> corner) const {
        const Cell& cell = model_.cells[static_cast<size_t>(corner.first)];
        const int n = model_.interfaces(cell);
        const size_t begin = static_cast<size_t>(cell.first + corner.second * n);
        return {begin, begin + static_cast<size_t>(n)};
    }

    void gather(const std::pair<int, int>* corners, size_t count) {
        levels_.clear();
        pointOfLevel_.clear();
        std::pair<size_t, size_t> last{0, 0};
        for (size_t i = 0; i < count; ++i) {
            const auto [begin, end] = runOf(corners[i]);
            const double* heights = model_.heights.data();
            // Cells of one region see the very same heights at their common corner.
            if (end - begin == last.second - last.first &&
                std::equal(heights + begin, heights + end, heights + last.first))
                continue;
            levels_.insert(levels_.end(), heights + begin, heights + end);
            last = {begin, end};
        }
        std::sort(levels_.begin(), levels_.end());
        levels_.erase(std::unique(levels_.begin(), levels_.end()), levels_.end());
    }

    void assign(std::pair<int, int> corner) {
        const auto [begin, end] = runOf(corner);
        for (size_t at = begin; at < end; ++at) {
            const auto level = std::lower_bound(levels_.begin(), levels_.end(), model_.heights[at]);
            model_.pointOf[at] = pointOfLevel_[static_cast<size_t>(level - levels_.begin())];
            model_.heights[at] = model_.points[static_cast<size_t>(model_.pointOf[at])].z;
        }
    }

    Model& model_;
    std::vector<double> levels_;
    std::vector<int> pointOfLevel_;
};

void numberPoints(Model& model) {
    model.points.clear();
    model.points.reserve(6 * model.vertices.size());
    model.pointOf.assign(model.heights.size(), -1);
    const Fans fans = fansOf(model);
    VertexWelder welder(model);
    for (size_t v = 0; v < model.vertices.size(); ++v)
        welder.weld(v, &fans.corners[fans.start[v]], fans.start[v + 1] - fans.start[v]);
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
