#include "model/solid.h"

#include <algorithm>
#include <cassert>
#include <map>
#include <unordered_map>

#include <glm/geometric.hpp>

namespace underfoot {
namespace {

/// The points between which a layer stands at one corner of a cell; equal when it has no thickness there.
struct Span {
    int bottom = -1;
    int top = -1;
};

/// A layer's spans at the corners of one cell.
struct CellSpan {
    bool there = false;
    std::array<Span, 3> corner;
    bool thick() const {
        return there &&
               std::any_of(corner.begin(), corner.end(), [](const Span& s) { return s.top != s.bottom; });
    }
};

class SolidMaker {
  public:
    SolidMaker(const Model& model, LayerId layer, int lift)
        : model_(model), used_(model.points.size(), false) {
        solid_.layer = layer;
        solid_.lift = lift;
        findEntries();
    }

    Solid make() {
        markPoints();
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

    CellSpan spanOf(int c) const {
        CellSpan span;
        if (c < 0) return span;
        const Cell& cell = model_.cells[static_cast<size_t>(c)];
        const auto [top, bottom] = ranges_[static_cast<size_t>(cell.column)];
        if (top < 0) return span;
        span.there = true;
        for (int i = 0; i < 3; ++i) {
            const int first = model_.postOf(cell, i).first;
            span.corner[static_cast<size_t>(i)] = {model_.pointOf[static_cast<size_t>(first + bottom)],
                                                   model_.pointOf[static_cast<size_t>(first + top)]};
        }
        return span;
    }

    void markPoints() {
        for (size_t c = 0; c < model_.cells.size(); ++c) {
            const CellSpan span = spanOf(static_cast<int>(c));
            if (!span.thick()) continue;
            for (const Span& s : span.corner)
                used_[static_cast<size_t>(s.bottom)] = used_[static_cast<size_t>(s.top)] = true;
        }
    }

    void add(int a, int b, int c, Face face, int cell) {
        if (a == b || b == c || a == c) return;
        solid_.triangles.push_back({a, b, c});
        solid_.faces.push_back(face);
        solid_.cellOf.push_back(cell);
    }

    void addCell(int c) {
        const CellSpan span = spanOf(c);
        const Cell& cell = model_.cells[static_cast<size_t>(c)];
        if (span.thick()) {
            add(span.corner[0].top, span.corner[1].top, span.corner[2].top, Face::Top, c);
            add(span.corner[0].bottom, span.corner[2].bottom, span.corner[1].bottom, Face::Bottom, c);
        }
        for (int e = 0; e < 3; ++e) {
            const int next = cell.neighbour[static_cast<size_t>(e)];
            if (next < 0 || next > c) addWall(c, span, next, e);
        }
    }

    /// The wall on the edge between two cells: wherever just one of them has the layer.
    void addWall(int c, const CellSpan& mine, int next, int e) {
        const CellSpan other = spanOf(next);
        if (!mine.thick() && !other.thick()) return;
        const Cell& cell = model_.cells[static_cast<size_t>(c)];
        const size_t a = static_cast<size_t>((e + 1) % 3), b = static_cast<size_t>((e + 2) % 3);
        // Every bound is a line over the edge: its point over the first corner and over the second.
        using Bound = std::pair<int, int>;
        Bound mineLow, mineHigh, otherLow, otherHigh;
        std::vector<Bound> bounds;
        if (mine.thick()) {
            mineLow = {mine.corner[a].bottom, mine.corner[b].bottom};
            mineHigh = {mine.corner[a].top, mine.corner[b].top};
            bounds.insert(bounds.end(), {mineLow, mineHigh});
        }
        if (other.thick()) {
            const Cell& beside = model_.cells[static_cast<size_t>(next)];
            const size_t oa = cornerOf(beside, cell.vertex[a]), ob = cornerOf(beside, cell.vertex[b]);
            otherLow = {other.corner[oa].bottom, other.corner[ob].bottom};
            otherHigh = {other.corner[oa].top, other.corner[ob].top};
            bounds.insert(bounds.end(), {otherLow, otherHigh});
        }
        std::sort(bounds.begin(), bounds.end(), [](const Bound& x, const Bound& y) {
            return x.first + x.second != y.first + y.second ? x.first + x.second < y.first + y.second : x < y;
        });
        bounds.erase(std::unique(bounds.begin(), bounds.end()), bounds.end());
        auto within = [](const Bound& low, const Bound& high, const Bound& l, const Bound& h) {
            return l.first <= low.first && l.second <= low.second && h.first >= high.first &&
                   h.second >= high.second;
        };
        for (size_t i = 0; i + 1 < bounds.size(); ++i) {
            const bool inMine = mine.thick() && within(bounds[i], bounds[i + 1], mineLow, mineHigh);
            const bool inOther = other.thick() && within(bounds[i], bounds[i + 1], otherLow, otherHigh);
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
    std::vector<int> chain(int from, int to) const {
        std::vector<int> points;
        for (int p = from; p <= to; ++p)
            if (p == from || p == to || used_[static_cast<size_t>(p)]) points.push_back(p);
        return points;
    }

    void addStrip(std::pair<int, int> low, std::pair<int, int> high, bool outwardRight, int cell) {
        const std::vector<int> left = chain(low.first, high.first), right = chain(low.second, high.second);
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
    std::vector<std::pair<int, int>> ranges_;
    std::vector<char> used_;
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
