#include "model/solid.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <unordered_map>
#include <utility>

#include <glm/geometric.hpp>

namespace underfoot {
namespace {

/// The points between which a layer stands at one post; equal when it has no thickness there.
struct Span {
    int bottom = -1;
    int top = -1;
};

/// A line over an edge: its point over the first corner and over the second.
using Bound = std::pair<int, int>;

class SolidMaker {
  public:
    SolidMaker(const Model& model, LayerId layer, int lift) : model_(model), used_(model.points.size(), 0) {
        solid_.layer = layer;
        solid_.lift = lift;
        findEntries();
    }

    Solid make() {
        findSpans();
        markThick();
        for (size_t c = 0; c < model_.cells.size(); ++c) addCell(static_cast<int>(c));
        return std::move(solid_);
    }

  private:
    /// First and last entry of the layer in each column; lifts of one layer lie together.
    void findEntries() {
        for (const Column& column : model_.columns) {
            std::pair<int, int> range{-1, -1};
            for (size_t k = 0; k < column.entries.size(); ++k) {
                const ColumnEntry& entry = column.entries[k];
                if (entry.layer != solid_.layer || (solid_.lift >= 0 && entry.lift != solid_.lift)) continue;
                if (range.first < 0) range.first = static_cast<int>(k);
                range.second = static_cast<int>(k) + 1;
            }
            ranges_.push_back(range);
        }
    }

    void findSpans() {
        spans_.resize(model_.posts.size());
        for (size_t p = 0; p < spans_.size(); ++p) {
            const Post& post = model_.posts[p];
            const auto [top, bottom] = ranges_[static_cast<size_t>(post.column)];
            if (top < 0) continue;
            spans_[p] = {model_.pointOf[static_cast<size_t>(post.first + bottom)],
                         model_.pointOf[static_cast<size_t>(post.first + top)]};
            if (spans_[p].top != spans_[p].bottom) use(spans_[p]);
        }
    }
    void use(const Span& span) {
        used_[static_cast<size_t>(span.bottom)] = used_[static_cast<size_t>(span.top)] = 1;
    }

    const Span& span(const Cell& cell, size_t corner) const {
        return spans_[static_cast<size_t>(cell.post[corner])];
    }
    bool thickAt(const Cell& cell, size_t corner) const {
        const Span& s = span(cell, corner);
        return s.top != s.bottom;
    }

    /// Cells in which the layer has thickness, and the points it has there.
    void markThick() {
        thick_.resize(model_.cells.size());
        size_t count = 0;
        for (size_t c = 0; c < model_.cells.size(); ++c) {
            const Cell& cell = model_.cells[c];
            if (ranges_[static_cast<size_t>(cell.column)].first < 0) continue;
            const int corners = thickAt(cell, 0) + thickAt(cell, 1) + thickAt(cell, 2);
            thick_[c] = corners > 0;
            count += static_cast<size_t>(corners > 0);
            // Where it is thick every post stands under a thick cell; where it ends it still has its points.
            if (corners == 1 || corners == 2)
                for (size_t i = 0; i < 3; ++i) use(span(cell, i));
        }
        const size_t triangles = 2 * count + count / 4;
        solid_.triangles.reserve(triangles);
        solid_.faces.reserve(triangles);
        solid_.cellOf.reserve(triangles);
    }
    bool isThick(int cell) const { return cell >= 0 && thick_[static_cast<size_t>(cell)]; }

    void add(int a, int b, int c, Face face, int cell) {
        if (a == b || b == c || a == c) return;
        solid_.triangles.push_back({a, b, c});
        solid_.faces.push_back(face);
        solid_.cellOf.push_back(cell);
    }

    void addCell(int c) {
        const Cell& cell = model_.cells[static_cast<size_t>(c)];
        const bool thick = isThick(c);
        if (thick) {
            const Span s0 = span(cell, 0), s1 = span(cell, 1), s2 = span(cell, 2);
            add(s0.top, s1.top, s2.top, Face::Top, c);
            add(s0.bottom, s2.bottom, s1.bottom, Face::Bottom, c);
        }
        if (cell.seams == 0) return;
        for (size_t e = 0; e < 3; ++e) {
            if (!(cell.seams >> e & 1)) continue;
            const int next = cell.neighbour[e];
            if ((next < 0 || next > c) && (thick || isThick(next))) addWall(c, next, e);
        }
    }

    /// The wall on the edge between two cells: wherever just one of them has the layer.
    void addWall(int c, int next, size_t e) {
        const Cell& cell = model_.cells[static_cast<size_t>(c)];
        const size_t a = (e + 1) % 3, b = (e + 2) % 3;
        const bool mine = isThick(c), other = isThick(next);
        Bound mineLow, mineHigh, otherLow, otherHigh;
        std::array<Bound, 4> bounds;
        size_t count = 0;
        if (mine) {
            mineLow = bounds[count++] = {span(cell, a).bottom, span(cell, b).bottom};
            mineHigh = bounds[count++] = {span(cell, a).top, span(cell, b).top};
        }
        if (other) {
            const Cell& beside = model_.cells[static_cast<size_t>(next)];
            const size_t oa = cornerOf(beside, cell.vertex[a]), ob = cornerOf(beside, cell.vertex[b]);
            otherLow = bounds[count++] = {span(beside, oa).bottom, span(beside, ob).bottom};
            otherHigh = bounds[count++] = {span(beside, oa).top, span(beside, ob).top};
            // Most edges lie inside the layer.
            if (mine && mineLow == otherLow && mineHigh == otherHigh) return;
        }
        auto lower = [](const Bound& x, const Bound& y) {
            const int sumX = x.first + x.second, sumY = y.first + y.second;
            return sumX != sumY ? sumX < sumY : x < y;
        };
        // Two alone are a layer's underside and top, in order already.
        if (count > 2) std::sort(bounds.begin(), bounds.begin() + static_cast<std::ptrdiff_t>(count), lower);
        auto within = [](const Bound& low, const Bound& high, const Bound& l, const Bound& h) {
            return l.first <= low.first && l.second <= low.second && h.first >= high.first &&
                   h.second >= high.second;
        };
        for (size_t i = 0; i + 1 < count; ++i) {
            if (bounds[i] == bounds[i + 1]) continue;
            // Surfaces that cross on an edge are split or welded before; what is left of any has no wall.
            if (bounds[i].first > bounds[i + 1].first || bounds[i].second > bounds[i + 1].second) continue;
            const bool inMine = mine && within(bounds[i], bounds[i + 1], mineLow, mineHigh);
            const bool inOther = other && within(bounds[i], bounds[i + 1], otherLow, otherHigh);
            if (inMine == inOther) continue;
            // Seen from inside this cell's own side the edge runs left to right.
            addStrip(bounds[i], bounds[i + 1], inMine, inMine ? c : next);
        }
    }

    static size_t cornerOf(const Cell& cell, int vertex) {
        return static_cast<size_t>(std::find(cell.vertex.begin(), cell.vertex.end(), vertex) -
                                   cell.vertex.begin());
    }

    /// The layer's own points over one vertex from one to another, both included: no wall leaves out a point
    /// that another face ends at.
    void findChain(int from, int to, std::vector<int>& points) const {
        points.clear();
        for (int p = from; p <= to; ++p)
            if (p == from || p == to || used_[static_cast<size_t>(p)]) points.push_back(p);
    }

    void addStrip(std::pair<int, int> low, std::pair<int, int> high, bool outwardRight, int cell) {
        findChain(low.first, high.first, left_);
        findChain(low.second, high.second, right_);
        const std::vector<int>&left = left_, &right = right_;
        size_t i = 0, j = 0;
        auto put = [&](int p, int q, int r) {
            if (outwardRight)
                add(p, q, r, Face::Side, cell);
            else
                add(p, r, q, Face::Side, cell);
        };
        while (i + 1 < left.size() || j + 1 < right.size()) {
            if (i + 1 == left.size() || (j + 1 < right.size() && climbsRight(left, i, right, j))) {
                put(left[i], right[j], right[j + 1]);
                ++j;
            } else {
                put(left[i], right[j], left[i + 1]);
                ++i;
            }
        }
    }

    bool climbsRight(const std::vector<int>& left, size_t i, const std::vector<int>& right, size_t j) const {
        auto z = [&](int p) { return model_.points[static_cast<size_t>(p)].z; };
        if (i + 1 == left.size()) return true;
        return z(right[j + 1]) - z(right[j]) <= 0 ||
               std::abs(z(right[j + 1]) - z(left[i])) <= std::abs(z(left[i + 1]) - z(right[j]));
    }

    const Model& model_;
    Solid solid_;
    std::vector<std::pair<int, int>> ranges_;  // by column
    std::vector<Span> spans_;                  // by post
    std::vector<char> thick_;                  // by cell
    std::vector<char> used_;                   // by point
    std::vector<int> left_, right_;            // of the strip being laid
};

}  // namespace

Solid layerSolid(const Model& model, LayerId layer, int lift) {
    assert(layer >= 0 && static_cast<size_t>(layer) < model.layers.size() && lift >= -1);
    return SolidMaker(model, layer, lift).make();
}

double enclosedVolume(const Model& model, const Solid& solid) {
    if (solid.triangles.empty()) return 0;
    // Measured from one of its own points, so that a far datum takes no digits away.
    const glm::dvec3 origin = model.points[static_cast<size_t>(solid.triangles.front()[0])];
    double six = 0;
    for (const auto& [a, b, c] : solid.triangles)
        six += glm::dot(model.points[static_cast<size_t>(a)] - origin,
                        glm::cross(model.points[static_cast<size_t>(b)] - origin,
                                   model.points[static_cast<size_t>(c)] - origin));
    return six / 6;
}

size_t openEdges(const Solid& solid) {
    std::unordered_map<uint64_t, int> balance;
    auto key = [](int a, int b) {
        return (static_cast<uint64_t>(static_cast<uint32_t>(a)) << 32) | static_cast<uint32_t>(b);
    };
    for (const auto& t : solid.triangles)
        for (size_t i = 0; i < 3; ++i) {
            const int a = t[i], b = t[(i + 1) % 3];
            if (a < b)
                ++balance[key(a, b)];
            else
                --balance[key(b, a)];
        }
    size_t open = 0;
    for (const auto& [edge, count] : balance) open += static_cast<size_t>(std::abs(count));
    return open;
}

}  // namespace underfoot
