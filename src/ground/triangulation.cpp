#include "ground/triangulation.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "ground/delaunay.h"
#include "ground/hilbert.h"
#include "ground/triangulation_index.h"

namespace underfoot {

using triangulation_index::at;
using triangulation_index::next;
using triangulation_index::previous;

namespace {

bool inReach(glm::dvec2 p) {
    return std::fabs(p.x) <= gridReach && std::fabs(p.y) <= gridReach;
}

}  // namespace

Triangulation Triangulation::ofPoints(std::span<const glm::dvec2> points, std::vector<int>* vertexOf) {
    assert(std::all_of(points.begin(), points.end(), inReach));
    std::vector<GridPoint> snapped(points.size());
    std::transform(points.begin(), points.end(), snapped.begin(), toGrid);
    if (vertexOf) vertexOf->assign(points.size(), -1);

    Triangulation result;
    result.grid_.reserve(points.size());
    for (const uint32_t i : hilbertOrder(snapped)) {
        if (result.grid_.empty() || !(result.grid_.back() == snapped[i])) result.grid_.push_back(snapped[i]);
        if (vertexOf) (*vertexOf)[i] = static_cast<int>(result.grid_.size()) - 1;
    }
    result.vertices_.resize(result.grid_.size());
    std::transform(result.grid_.begin(), result.grid_.end(), result.vertices_.begin(), fromGrid);
    result.triangles_ = delaunayTriangles(result.grid_);
    result.triangleOf_.assign(result.grid_.size(), -1);
    for (int t = 0; t < static_cast<int>(result.triangles_.size()); t++) {
        for (const int vertex : at(result.triangles_, t).v) at(result.triangleOf_, vertex) = t;
    }
    return result;
}

Triangulation Triangulation::ofBox(glm::dvec2 low, glm::dvec2 high) {
    assert(inReach(low) && inReach(high));
    Triangulation result;
    const GridPoint from = toGrid(low), to = toGrid(high);
    assert(from.x < to.x && from.y < to.y);
    for (const GridPoint corner : {from, GridPoint{to.x, from.y}, to, GridPoint{from.x, to.y}}) {
        result.addVertex(corner);
    }
    result.triangles_.resize(2);
    result.triangles_[0].v = {0, 1, 2};
    result.triangles_[0].neighbour = {-1, 1, -1};
    result.triangles_[1].v = {0, 2, 3};
    result.triangles_[1].neighbour = {-1, -1, 0};
    result.triangleOf_ = {0, 0, 0, 1};
    return result;
}

void Triangulation::reserve(size_t points) {
    const size_t vertices = vertices_.size() + points;
    // Growing by single points must stay in proportion to their number, however often this is called.
    if (vertices <= vertices_.capacity()) return;
    const size_t room = std::max(vertices, 2 * vertices_.capacity());
    vertices_.reserve(room);
    grid_.reserve(room);
    triangleOf_.reserve(room);
    triangles_.reserve(2 * room);
}

std::vector<int> Triangulation::hull() const {
    std::vector<int> following(grid_.size(), -1);
    int first = -1;
    for (const Triangle& t : triangles_) {
        for (int i = 0; i < 3; i++) {
            if (at(t.neighbour, i) >= 0) continue;
            const int from = at(t.v, next(i));
            at(following, from) = at(t.v, previous(i));
            if (first < 0 || from < first) first = from;
        }
    }
    std::vector<int> corners;
    for (int v = first; v >= 0; v = at(following, v)) {
        if (v == first && !corners.empty()) break;
        corners.push_back(v);
    }
    return corners;
}

}  // namespace underfoot
