// The small changes a triangulation is made of. Each leaves the neighbours mutual and the corners turning
// left.

#include <array>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/grid.h"
#include "ground/triangulation.h"
#include "ground/triangulation_index.h"
#include "ground/triangulation_small.h"

namespace underfoot {

using triangulation_index::at;
using triangulation_index::next;
using triangulation_index::previous;

int Triangulation::addVertex(GridPoint place) {
    const int vertex = static_cast<int>(grid_.size());
    grid_.push_back(place);
    vertices_.push_back(fromGrid(place));
    triangleOf_.push_back(-1);
    return vertex;
}

void Triangulation::splitTriangle(int t, int vertex) {
    const auto [a, b, c] = at(triangles_, t).v;
    const Side besideA = side({t, 0}), besideB = side({t, 1}), besideC = side({t, 2});
    const int t1 = static_cast<int>(triangles_.size()), t2 = t1 + 1;
    triangles_.resize(triangles_.size() + 2);
    at(triangles_, t).v = {vertex, b, c};
    at(triangles_, t1).v = {vertex, c, a};
    at(triangles_, t2).v = {vertex, a, b};
    setSide({t, 0}, besideA);
    setSide({t1, 0}, besideB);
    setSide({t2, 0}, besideC);
    setInner({t, 1}, t1);
    setInner({t, 2}, t2);
    setInner({t1, 1}, t2);
    setInner({t1, 2}, t);
    setInner({t2, 1}, t);
    setInner({t2, 2}, t1);
    at(triangleOf_, vertex) = t;
    at(triangleOf_, a) = t1;
    at(triangleOf_, b) = t2;
    at(triangleOf_, c) = t;
    suspect_.insert(suspect_.end(), {{t, 0}, {t1, 0}, {t2, 0}});
    last_ = t;
}

// The vertex may lie a little off the edge (canSplitAt), so the two inner edges are suspect as well.
void Triangulation::splitEdge(Edge edge, int vertex) {
    const int t = edge.triangle, i = edge.index;
    const Triangle old = at(triangles_, t);
    const int p = at(old.v, i), u = at(old.v, next(i)), w = at(old.v, previous(i));
    const Side whole = side(edge), besideU = side({t, next(i)}), besideW = side({t, previous(i)});
    const int n = whole.neighbour, j = mirror(edge);
    const int t1 = static_cast<int>(triangles_.size()), n1 = n < 0 ? -1 : t1 + 1;
    triangles_.resize(triangles_.size() + (n < 0 ? 1 : 2));

    if (n >= 0) {
        const int q = at(at(triangles_, n).v, j);
        const Side beyondW = side({n, next(j)}), beyondU = side({n, previous(j)});
        at(triangles_, n).v = {vertex, q, w};
        at(triangles_, n1).v = {vertex, u, q};
        setSide({n, 0}, beyondU);
        setSide({n1, 0}, beyondW);
        setInner({n, 1}, t1, whole.tags, whole.constrained);
        setInner({n, 2}, n1);
        setInner({n1, 1}, n);
        setInner({n1, 2}, t, whole.tags, whole.constrained);
        at(triangleOf_, q) = n;
        suspect_.insert(suspect_.end(), {{n, 2}, {n, 0}, {n1, 0}});
    }
    at(triangles_, t).v = {vertex, p, u};
    at(triangles_, t1).v = {vertex, w, p};
    setSide({t, 0}, besideW);
    setSide({t1, 0}, besideU);
    setInner({t, 1}, n1, whole.tags, whole.constrained);
    setInner({t, 2}, t1);
    setInner({t1, 1}, t);
    setInner({t1, 2}, n, whole.tags, whole.constrained);
    at(triangleOf_, vertex) = t;
    at(triangleOf_, p) = t;
    at(triangleOf_, u) = t;
    at(triangleOf_, w) = t1;
    suspect_.insert(suspect_.end(), {{t, 2}, {t, 0}, {t1, 0}});
    last_ = t;
}

bool Triangulation::canSplitAt(Edge edge, GridPoint place) const {
    const auto fits = [&](Edge half) {
        const auto& v = at(triangles_, half.triangle).v;
        const GridPoint apex = at(grid_, at(v, half.index));
        return orientation(apex, at(grid_, at(v, next(half.index))), place) > 0 &&
               orientation(at(grid_, at(v, previous(half.index))), apex, place) > 0;
    };
    const auto& t = at(triangles_, edge.triangle);
    const int other = at(t.neighbour, edge.index);
    if (!fits(edge)) return false;
    if (other >= 0) return fits({other, mirror(edge)});
    return orientation(at(grid_, at(t.v, next(edge.index))), at(grid_, at(t.v, previous(edge.index))),
                       place) == 0;
}

// Two of the four outer edges stay with their triangle; those beyond the other two are told where they now
// lie.
void Triangulation::flip(Edge edge) {
    const int t = edge.triangle, i = edge.index;
    Triangle& here = at(triangles_, t);
    const int n = at(here.neighbour, i), j = mirror(edge);
    Triangle& there = at(triangles_, n);
    const int p = at(here.v, i), u = at(here.v, next(i)), w = at(here.v, previous(i)), q = at(there.v, j);
    const Side besideU = side({t, next(i)}), beyondW = side({n, next(j)});
    const auto keep = [](const Triangle& from, int side, Triangle& to, int index) {
        at(to.neighbour, index) = at(from.neighbour, side);
        at(to.tags, index) = at(from.tags, side);
        at(to.constrained, index) = at(from.constrained, side);
    };
    Triangle first, second;
    first.v = {p, u, q};
    second.v = {p, q, w};
    keep(here, previous(i), first, 2);
    keep(there, previous(j), second, 0);
    first.neighbour[1] = n;
    second.neighbour[2] = t;
    here = first;
    there = second;
    setSide({t, 0}, beyondW);
    setSide({n, 1}, besideU);
    at(triangleOf_, p) = at(triangleOf_, u) = t;
    at(triangleOf_, q) = at(triangleOf_, w) = n;
}

bool Triangulation::wantsFlip(Edge edge) const {
    const Triangle& t = at(triangles_, edge.triangle);
    const int n = at(t.neighbour, edge.index);
    if (n < 0 || at(t.constrained, edge.index)) return false;
    const int apex = at(at(triangles_, n).v, mirror(edge));
    return inCircle(at(grid_, t.v[0]), at(grid_, t.v[1]), at(grid_, t.v[2]), at(grid_, apex)) > 0;
}

// Lawson's flips. Every flip makes its four outer edges suspect again under their new names, so a stale entry
// never hides an edge.
void Triangulation::legalise() {
    while (!suspect_.empty()) {
        const Edge edge = suspect_.back();
        suspect_.pop_back();
        if (!wantsFlip(edge)) continue;
        const int n = at(at(triangles_, edge.triangle).neighbour, edge.index);
        flip(edge);
        suspect_.insert(suspect_.end(), {{edge.triangle, 2}, {n, 1}, {edge.triangle, 0}, {n, 0}});
    }
}

// After one vertex came into a triangulation that was Delaunay: the edges at it are, and stay so (a circle
// through both their ends holds no other vertex), so that only those opposite it, edge 0 of its triangles,
// are ever in doubt.
void Triangulation::legaliseRound() {
    while (!suspect_.empty()) {
        const Edge edge = suspect_.back();
        suspect_.pop_back();
        if (edge.index != 0 || !wantsFlip(edge)) continue;
        const int n = at(at(triangles_, edge.triangle).neighbour, 0);
        flip(edge);
        suspect_.insert(suspect_.end(), {{edge.triangle, 0}, {n, 0}});
    }
}

}  // namespace underfoot
