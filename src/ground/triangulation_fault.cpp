#include <array>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/grid.h"
#include "ground/triangulation.h"
#include "ground/triangulation_index.h"
#include "ground/triangulation_small.h"

namespace underfoot {

using triangulation_index::at;
using triangulation_index::next;
using triangulation_index::previous;

namespace {

__extension__ typedef __int128 Int128;

// Twice the area of the polygon or triangle; exact.
template <class Corners>
Int128 doubleArea(const std::vector<GridPoint>& grid, const Corners& corners) {
    Int128 area = 0;
    const GridPoint origin = at(grid, corners[0]);
    for (size_t i = 1; i + 1 < corners.size(); i++) {
        const GridPoint a = at(grid, corners[i]), b = at(grid, corners[i + 1]);
        area += Int128{a.x - origin.x} * (b.y - origin.y) - Int128{a.y - origin.y} * (b.x - origin.x);
    }
    return area;
}

}  // namespace

std::optional<std::string> Triangulation::edgeFault(Edge edge) const {
    const Triangle& t = at(triangles_, edge.triangle);
    const int n = at(t.neighbour, edge.index);
    const auto told = [&](const char* what) {
        return fmt::format("Edge {} of triangle {} {}.", edge.index, edge.triangle, what);
    };
    if (at(t.tags, edge.index) != 0 && !at(t.constrained, edge.index))
        return told("has tags but no constraint");
    if (n < 0) return std::nullopt;
    if (n >= static_cast<int>(triangles_.size())) return told("has a neighbour that is not there");
    const Triangle& other = at(triangles_, n);
    const int j = mirror(edge);
    if (at(other.neighbour, j) != edge.triangle || at(other.v, next(j)) != at(t.v, previous(edge.index)) ||
        at(other.v, previous(j)) != at(t.v, next(edge.index))) {
        return told("is not the same edge seen from its neighbour");
    }
    if (at(other.tags, j) != at(t.tags, edge.index) ||
        at(other.constrained, j) != at(t.constrained, edge.index)) {
        return told("has other tags or constraint on its other side");
    }
    if (wantsFlip(edge)) return told("is not locally Delaunay");
    return std::nullopt;
}

std::optional<std::string> Triangulation::hullFault() const {
    const std::vector<int> corners = hull();
    const size_t count = corners.size();
    size_t open = 0;
    Int128 area = 0;
    for (const Triangle& t : triangles_) {
        area += doubleArea(grid_, t.v);
        for (const int n : t.neighbour) open += n < 0 ? 1u : 0u;
    }
    if (open != count) return "The hull is not one ring.";
    for (size_t i = 0; i < count; i++) {
        const int a = corners[i], b = corners[(i + 1) % count], c = corners[(i + 2) % count];
        if (orientation(at(grid_, a), at(grid_, b), at(grid_, c)) < 0) {
            return fmt::format("The hull turns right at vertex {}.", b);
        }
    }
    if (area != doubleArea(grid_, corners)) return "The triangles do not fill the hull exactly once.";
    return std::nullopt;
}

std::optional<std::string> Triangulation::fault() const {
    const size_t vertices = grid_.size();
    if (vertices_.size() != vertices || triangleOf_.size() != vertices)
        return "The vertex arrays differ in length.";
    if (!pending_.empty() || !suspect_.empty()) return "Work is left over from an insertion.";
    if (triangles_.empty()) return std::nullopt;
    for (int t = 0; t < static_cast<int>(triangles_.size()); t++) {
        const auto& v = at(triangles_, t).v;
        for (const int corner : v) {
            if (corner < 0 || static_cast<size_t>(corner) >= vertices) {
                return fmt::format("Triangle {} has a corner that is not there.", t);
            }
        }
        if (orientation(at(grid_, v[0]), at(grid_, v[1]), at(grid_, v[2])) <= 0) {
            return fmt::format("Triangle {} does not turn left.", t);
        }
        for (int i = 0; i < 3; i++) {
            if (auto found = edgeFault({t, i})) return found;
        }
    }
    for (int v = 0; v < static_cast<int>(vertices); v++) {
        const int t = at(triangleOf_, v);
        if (t < 0 || at(at(triangles_, t).v, cornerOf(t, v)) != v) {
            return fmt::format("Vertex {} does not know a triangle of its own.", v);
        }
        if (!(toGrid(at(vertices_, v)) == at(grid_, v))) return fmt::format("Vertex {} is off the grid.", v);
    }
    return hullFault();
}

}  // namespace underfoot
