// Where things are in a triangulation, and what lies within tolerance of them.

#include <algorithm>
#include <array>
#include <cassert>
#include <tuple>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/grid.h"
#include "ground/plan_distance.h"
#include "ground/tolerance.h"
#include "ground/triangulation.h"
#include "ground/triangulation_index.h"
#include "ground/triangulation_small.h"

namespace underfoot {

using triangulation_index::at;
using triangulation_index::next;
using triangulation_index::onLineSteps2;
using triangulation_index::previous;

namespace {

constexpr double squared(double x) {
    return x * x;
}
constexpr double samePointSteps2 = squared(tolerance::samePlanPoint / gridStep);
constexpr double reachSteps2 = std::max(samePointSteps2, onLineSteps2);

// Where a point lies that is in or on the triangle; `onLine` holds the edges it is in line with.
Location within(int triangle, std::array<bool, 3> onLine) {
    for (int i = 0; i < 3; i++) {
        if (at(onLine, next(i)) && at(onLine, previous(i))) return {Where::OnVertex, triangle, i};
    }
    for (int i = 0; i < 3; i++) {
        if (at(onLine, i)) return {Where::OnEdge, triangle, i};
    }
    return {Where::Inside, triangle, 0};
}

}  // namespace

Location Triangulation::locate(glm::dvec2 point, int hint) const {
    return locateGrid(toGrid(point), hint);
}

// A visibility walk. In a Delaunay triangulation it never comes back to a triangle; constraints could send it
// round in a ring, so the edge that is tried first changes from step to step, and after as many steps as
// there are triangles each of them is looked at instead.
Location Triangulation::locateGrid(GridPoint p, int hint) const {
    const int count = static_cast<int>(triangles_.size());
    if (count == 0) return {};
    assert(hint < count);
    int t = hint >= 0 ? hint : last_;
    int from = -1, first = 0;
    for (int step = 0; step < count + 8; step++) {
        const Triangle& triangle = at(triangles_, t);
        std::array<bool, 3> onLine{};
        int leave = -1;
        first = next(first);
        for (int k = 0, i = first; k < 3; k++, i = next(i)) {
            const int other = at(triangle.neighbour, i);
            if (other == from && other >= 0) continue;
            const int way =
                orientation(at(grid_, at(triangle.v, next(i))), at(grid_, at(triangle.v, previous(i))), p);
            at(onLine, i) = way == 0;
            if (way < 0) {
                leave = i;
                break;
            }
        }
        if (leave < 0) return within(t, onLine);
        const int other = at(triangle.neighbour, leave);
        if (other < 0) return {Where::Outside, t, leave};
        from = t;
        t = other;
    }
    return locateByLookingEverywhere(p);
}

Location Triangulation::locateByLookingEverywhere(GridPoint p) const {
    Location hullEdge;
    for (int t = 0; t < static_cast<int>(triangles_.size()); t++) {
        const Triangle& triangle = at(triangles_, t);
        std::array<bool, 3> onLine{};
        bool outside = false;
        for (int i = 0; i < 3; i++) {
            const int way =
                orientation(at(grid_, at(triangle.v, next(i))), at(grid_, at(triangle.v, previous(i))), p);
            at(onLine, i) = way == 0;
            outside = outside || way < 0;
            if (way < 0 && at(triangle.neighbour, i) < 0) hullEdge = {Where::Outside, t, i};
        }
        if (!outside) return within(t, onLine);
    }
    return hullEdge;
}

// Is every edge of the triangle out of reach, and with them all that lies past them?
bool Triangulation::isClear(GridPoint p, int triangle) const {
    const auto& v = at(triangles_, triangle).v;
    for (int i = 0; i < 3; i++) {
        if (squaredDistanceToSegment(p, at(grid_, at(v, i)), at(grid_, at(v, next(i)))) < reachSteps2)
            return false;
    }
    return true;
}

// Spreads from the triangle over every edge within reach: the disc around the point is connected, so that
// finds every triangle it touches.
const Triangulation::Near& Triangulation::nearTo(GridPoint p, int triangle) {
    Near& near = near_;
    near.vertex = -1;
    near.constrained.clear();
    if (isClear(p, triangle)) return near;
    double closest = samePointSteps2;
    std::vector<std::tuple<double, int, int>>& edges = nearEdges_;
    std::vector<int>& seen = nearTriangles_;
    edges.clear();
    seen.assign(1, triangle);
    for (size_t k = 0; k < seen.size(); k++) {
        const Triangle& t = at(triangles_, seen[k]);
        for (int i = 0; i < 3; i++) {
            const int u = at(t.v, next(i)), w = at(t.v, previous(i)), other = at(t.neighbour, i);
            const double toVertex = squaredDistance(p, at(grid_, u));
            if (toVertex < closest || (toVertex == closest && near.vertex > u)) {
                closest = toVertex;
                near.vertex = u;
            }
            const double toEdge = squaredDistanceToSegment(p, at(grid_, u), at(grid_, w));
            if (toEdge >= reachSteps2) continue;
            if (at(t.constrained, i) && toEdge < onLineSteps2) {
                edges.emplace_back(toEdge, std::min(u, w), std::max(u, w));
            }
            if (other >= 0 && std::find(seen.begin(), seen.end(), other) == seen.end()) seen.push_back(other);
        }
    }
    std::sort(edges.begin(), edges.end());
    edges.erase(std::unique(edges.begin(), edges.end()), edges.end());
    for (const auto& [distance, a, b] : edges) near.constrained.emplace_back(a, b);
    return near;
}

bool Triangulation::shortens(int a, int b, int vertex) const {
    const GridPoint &pa = at(grid_, a), &pb = at(grid_, b), &pv = at(grid_, vertex);
    return isCloser(pa, pv, pb) && isCloser(pb, pv, pa);
}

}  // namespace underfoot
