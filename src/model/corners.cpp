#include "model/corners.h"

#include <algorithm>
#include <array>
#include <limits>
#include <span>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/tolerance.h"
#include "model/zero_lines.h"

namespace underfoot {
namespace {

/// Gathers the heights over one vertex and gives them their points.
class VertexWelder {
  public:
    explicit VertexWelder(Model& model) : model_(model) {}

    /// Posts `from` to `to` stand over one vertex.
    void weld(size_t from, size_t to) {
        if (to == from + 1) return weldAlone(from);
        gather(from, to);
        const glm::dvec2 at = model_.vertices[static_cast<size_t>(model_.posts[from].vertex)];
        const int first = static_cast<int>(model_.points.size());
        double reached = 0;
        for (double height : levels_) {
            if (static_cast<int>(model_.points.size()) == first || height - reached > tolerance::sameHeight)
                model_.points.emplace_back(at, height);
            reached = height;
            pointOfLevel_.push_back(static_cast<int>(model_.points.size()) - 1);
        }
        for (size_t post = from; post < to; ++post) assign(begin(post), begin(post + 1));
    }

  private:
    /// One post alone is in order already, top first.
    void weldAlone(size_t post) {
        const glm::dvec2 at = model_.vertices[static_cast<size_t>(model_.posts[post].vertex)];
        double reached = -std::numeric_limits<double>::infinity();
        for (size_t i = begin(post + 1); i-- > begin(post);) {
            const double height = model_.heights[i];
            if (height - reached > tolerance::sameHeight) model_.points.emplace_back(at, height);
            reached = height;
            model_.pointOf[i] = static_cast<int>(model_.points.size()) - 1;
            model_.heights[i] = model_.points.back().z;
        }
    }

    size_t begin(size_t post) const {
        return post < model_.posts.size() ? static_cast<size_t>(model_.posts[post].first)
                                          : model_.heights.size();
    }

    /// Every post's heights fall from top to bottom.
    void gather(size_t from, size_t to) {
        pointOfLevel_.clear();
        levels_.clear();
        for (size_t post = from; post < to; ++post) {
            const std::span run(model_.heights.data() + begin(post), begin(post + 1) - begin(post));
            merged_.resize(levels_.size() + run.size());
            std::merge(levels_.begin(), levels_.end(), run.rbegin(), run.rend(), merged_.begin());
            std::swap(levels_, merged_);
        }
        levels_.erase(std::unique(levels_.begin(), levels_.end()), levels_.end());
    }

    void assign(size_t begin, size_t end) {
        size_t level = 0;
        for (size_t at = end; at-- > begin;) {
            while (levels_[level] < model_.heights[at]) ++level;
            model_.pointOf[at] = pointOfLevel_[level];
            model_.heights[at] = model_.points[static_cast<size_t>(pointOfLevel_[level])].z;
        }
    }

    Model& model_;
    std::vector<double> levels_, merged_;
    std::vector<int> pointOfLevel_;
};

void numberPoints(Model& model) {
    model.points.clear();
    model.points.reserve(model.heights.size());
    model.pointOf.assign(model.heights.size(), -1);
    VertexWelder welder(model);
    for (size_t from = 0, to = 0; from < model.posts.size(); from = to) {
        while (to < model.posts.size() && model.posts[to].vertex == model.posts[from].vertex) ++to;
        welder.weld(from, to);
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
    const auto [first, last] =
        std::equal_range(model.posts.begin(), model.posts.end(), Post{vertex, -1, -1},
                         [](const Post& x, const Post& y) { return x.vertex < y.vertex; });
    const auto begin = model.heights.begin() + first->first;
    const auto end = last == model.posts.end() ? model.heights.end() : model.heights.begin() + last->first;
    std::replace_if(
        begin, end, [&](double z) { return z > low && z <= high; }, low);
}

}  // namespace

bool weldCorners(Model& model) {
    numberPoints(model);
    for (int round = 0; round < 8; ++round) {
        const std::vector<EdgeCrossing> crossings = edgeCrossings(model);
        if (crossings.empty()) return round > 0;
        for (const EdgeCrossing& crossing : crossings) closeCrossing(model, crossing);
        numberPoints(model);
    }
    return true;
}

}  // namespace underfoot
