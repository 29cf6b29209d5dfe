// Laying lines into a triangulation.
//
// Lines still to be laid wait in a list. Each is taken up in turn and either becomes one edge, or is replaced
// by two parts that meet at a vertex on its way; an edge that has to give way goes back to the list as two
// parts as well. Why that ends: a new vertex only appears where none is within tolerance, so there are
// finitely many, and between two new ones every replacement puts parts strictly shorter than the whole
// (`shortens`, decided exactly) in its place.

#include <algorithm>
#include <array>
#include <cassert>
#include <optional>
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
using triangulation_index::previous;

// One side of the hole that a line cuts: vertices from its start to its end with the hole on the right, and
// what lies across each step.
struct Triangulation::Chain {
    std::vector<int> vertices;
    std::vector<Side> sides;

    void append(int vertex, const Side& side) {
        vertices.push_back(vertex);
        sides.push_back(side);
    }
    void reverse() {
        std::reverse(vertices.begin(), vertices.end());
        std::reverse(sides.begin(), sides.end());
    }

    // A step that is walked out and back has the hole on both sides: the number of the other walk, -1 for
    // others.
    std::vector<int> twins() const {
        std::vector<int> twin(sides.size(), -1), open;
        for (int k = 0; k < static_cast<int>(sides.size()); k++) {
            const int top = open.empty() ? -1 : open.back();
            if (top >= 0 && at(vertices, top) == at(vertices, k + 1) &&
                at(vertices, top + 1) == at(vertices, k)) {
                at(twin, k) = top;
                at(twin, top) = k;
                open.pop_back();
            } else {
                open.push_back(k);
            }
        }
        return twin;
    }
};

int Triangulation::insertPoint(glm::dvec2 point) {
    const GridPoint p = toGrid(point);
    const Location place = locateGrid(p, last_);
    assert(place.where != Where::Outside);
    last_ = place.triangle;
    if (place.where == Where::OnVertex) return at(at(triangles_, place.triangle).v, place.index);
    const Near& near = nearTo(p, place.triangle);
    if (near.vertex >= 0) return near.vertex;
    const int vertex = insertGrid(p, place, near);
    settlePending();
    return vertex;
}

void Triangulation::insertConstraint(int a, int b, TagSet tags) {
    pending_.push_back({a, b, tags});
    settlePending();
}

void Triangulation::insertLine(glm::dvec2 a, glm::dvec2 b, TagSet tags) {
    const GridPoint from = toGrid(a), to = toGrid(b);
    if (squaredDistance(from, to) * (gridStep * gridStep) <
        tolerance::samePlanPoint * tolerance::samePlanPoint) {
        return;
    }
    const int start = insertPoint(a);
    insertConstraint(start, insertPoint(b), tags);
}

// The closest constrained edge within tolerance is split in place where that leaves proper triangles; every
// other one is laid anew through the vertex.
int Triangulation::insertGrid(GridPoint p, const Location& place, const Near& near) {
    const int vertex = addVertex(p);
    std::optional<Edge> split;
    if (place.where == Where::OnEdge) {
        split = Edge{place.triangle, place.index};
    } else if (!near.constrained.empty()) {
        split = edgeBetween(near.constrained[0].first, near.constrained[0].second);
        if (!canSplitAt(*split, p)) split.reset();
    }
    if (split) {
        splitEdge(*split, vertex);
    } else {
        splitTriangle(place.triangle, vertex);
    }
    if (split && place.where != Where::OnEdge) {
        legalise();
    } else {
        legaliseRound();
    }
    for (const auto& [a, b] : near.constrained) releaseThrough(a, b, vertex);
    return vertex;
}

// Turns counter-clockwise about the vertex; at the hull it goes back and turns the other way.
template <class Visit>
void Triangulation::aroundVertex(int vertex, Visit visit) const {
    const int start = at(triangleOf_, vertex);
    int t = start;
    do {
        const Edge corner{t, cornerOf(t, vertex)};
        if (visit(corner)) return;
        t = at(at(triangles_, t).neighbour, next(corner.index));
    } while (t >= 0 && t != start);
    if (t == start) return;
    t = at(at(triangles_, start).neighbour, previous(cornerOf(start, vertex)));
    while (t >= 0) {
        const Edge corner{t, cornerOf(t, vertex)};
        if (visit(corner)) return;
        t = at(at(triangles_, t).neighbour, previous(corner.index));
    }
}

std::optional<Triangulation::Edge> Triangulation::edgeBetween(int a, int b) const {
    std::optional<Edge> found;
    aroundVertex(a, [&](Edge corner) {
        const auto& v = at(triangles_, corner.triangle).v;
        if (at(v, next(corner.index)) == b) found = Edge{corner.triangle, previous(corner.index)};
        if (at(v, previous(corner.index)) == b) found = Edge{corner.triangle, next(corner.index)};
        return found.has_value();
    });
    return found;
}

TagSet Triangulation::release(Edge edge) {
    const TagSet tags = at(at(triangles_, edge.triangle).tags, edge.index);
    setTags(edge, 0, false);
    suspect_.push_back(edge);
    legalise();
    return tags;
}

void Triangulation::releaseThrough(int a, int b, int vertex) {
    const std::optional<Edge> edge = edgeBetween(a, b);
    if (!edge || !side(*edge).constrained || !shortens(a, b, vertex)) return;
    routeThrough({a, b, release(*edge)}, vertex);
}

void Triangulation::routeThrough(const Segment& segment, int vertex) {
    pending_.push_back({vertex, segment.b, segment.tags});
    pending_.push_back({segment.a, vertex, segment.tags});
}

void Triangulation::settlePending() {
    while (!pending_.empty()) {
        const Segment segment = pending_.back();
        pending_.pop_back();
        if (segment.a != segment.b) settle(segment);
    }
}

void Triangulation::settle(const Segment& segment) {
    const int b = segment.b;
    const GridPoint from = at(grid_, segment.a), to = at(grid_, b);
    std::optional<Edge> along, across;
    int through = -1, asked = -1, askedWay = 0;  // the corner before this one, turning left
    aroundVertex(segment.a, [&](Edge corner) {
        const auto& v = at(triangles_, corner.triangle).v;
        const int right = at(v, next(corner.index)), left = at(v, previous(corner.index));
        if (right == b) along = Edge{corner.triangle, previous(corner.index)};
        if (left == b) along = Edge{corner.triangle, next(corner.index)};
        if (along) return true;
        const int rightWay = right == asked ? askedWay : orientation(from, to, at(grid_, right));
        const int leftWay = orientation(from, to, at(grid_, left));
        asked = left;
        askedWay = leftWay;
        if (rightWay == 0 && isAhead(from, to, at(grid_, right))) through = right;
        if (leftWay == 0 && isAhead(from, to, at(grid_, left))) through = left;
        if (rightWay < 0 && leftWay > 0) across = corner;
        return through >= 0 || across.has_value();
    });
    if (along) return settleOnEdge(segment, *along);
    if (through >= 0) return routeThrough(segment, through);
    assert(across.has_value());
    settleAcross(segment, *across);
}

void Triangulation::settleOnEdge(const Segment& segment, Edge edge) {
    const Side there = side(edge);
    const TagSet tags = tagPool_.symmetricDifference(segment.tags, there.tags);
    const int apex = at(at(triangles_, edge.triangle).v, edge.index);
    const int opposite = there.neighbour < 0 ? -1 : at(at(triangles_, there.neighbour).v, there.back);
    for (const int vertex : {apex, opposite}) {
        if (vertex < 0 || !liesOn(segment.a, segment.b, vertex)) continue;
        if (there.constrained) release(edge);
        return routeThrough({segment.a, segment.b, tags}, vertex);
    }
    setTags(edge, tags, true);
    last_ = edge.triangle;
}

// Walks along the line from triangle to triangle, until a vertex or a constrained edge is in the way or the
// end is reached; then the triangles walked through are replaced.
void Triangulation::settleAcross(const Segment& segment, Edge first) {
    const GridPoint from = at(grid_, segment.a), to = at(grid_, segment.b);
    Edge crossed = first;
    for (const int corner : {next(first.index), previous(first.index)}) {
        const int vertex = at(at(triangles_, first.triangle).v, corner);
        if (liesOn(segment.a, segment.b, vertex)) return routeThrough(segment, vertex);
    }
    slots_ = {first.triangle};
    while (true) {
        const Side across = side(crossed);
        if (across.constrained) return settleCrossing(segment, crossed);
        const int t = across.neighbour, i = across.back;
        assert(t >= 0);
        slots_.push_back(t);
        const int apex = at(at(triangles_, t).v, i);
        if (apex == segment.b) break;
        const int way = orientation(from, to, at(grid_, apex));
        if (way == 0 || liesOn(segment.a, segment.b, apex)) return routeThrough(segment, apex);
        crossed = Edge{t, way < 0 ? previous(i) : next(i)};
    }
    if (slots_.size() == 2) {
        flip(first);
        setTags({first.triangle, 1}, segment.tags, true);
        last_ = first.triangle;
    } else {
        replaceCrossed(segment, first);
    }
}

// Lays triangles beside the line in place of those that it crosses: slots_, in its order, the first through
// edge `first`.
void Triangulation::replaceCrossed(const Segment& segment, Edge first) {
    const GridPoint from = at(grid_, segment.a), to = at(grid_, segment.b);
    Chain onRight{{segment.a}, {}}, onLeft{{segment.a}, {}};
    const auto& v = at(triangles_, first.triangle).v;
    onRight.append(at(v, next(first.index)), side({first.triangle, previous(first.index)}));
    onLeft.append(at(v, previous(first.index)), side({first.triangle, next(first.index)}));
    Edge crossed = first;
    for (size_t k = 1; k < slots_.size(); ++k) {
        const int t = slots_[k], i = mirror(crossed);
        assert(i >= 0);
        const int apex = at(at(triangles_, t).v, i);
        const Edge besideRight{t, next(i)}, besideLeft{t, previous(i)};
        const int way = orientation(from, to, at(grid_, apex));  // 0: it is the line's end
        if (way <= 0) onRight.append(apex, side(besideRight));
        if (way >= 0) onLeft.append(apex, side(besideLeft));
        crossed = way < 0 ? besideLeft : besideRight;
    }
    onRight.reverse();
    const Edge leftBase = fillBeside(onLeft), rightBase = fillBeside(onRight);
    assert(slots_.empty());
    setInner(leftBase, rightBase.triangle, segment.tags, true);
    setInner(rightBase, leftBase.triangle, segment.tags, true);
    last_ = leftBase.triangle;
}

// Delaunay triangles between a line and the chain beside it, after M. V. Anglada, "An improved incremental
// algorithm for constructing restricted Delaunay triangulations" (1997), with a list in place of recursion.
// Returns the base.
Triangulation::Edge Triangulation::fillBeside(const Chain& chain) {
    struct Gap {
        int from, to;
        Edge base;
    };
    const std::vector<int> twin = chain.twins();
    std::vector<Edge> placed(twin.size(), Edge{-1, 0});
    std::vector<Gap> gaps{{0, static_cast<int>(chain.sides.size()), {-1, 0}}};
    const auto point = [&](int k) { return at(grid_, at(chain.vertices, k)); };
    Edge root{-1, 2};
    while (!gaps.empty()) {
        const auto [from, to, base] = gaps.back();
        gaps.pop_back();
        if (to == from + 1) {
            const Side& beside = at(chain.sides, from);
            if (const int other = at(twin, from); other < 0) {
                setSide(base, beside);
            } else {
                const Edge back = at(placed, other);
                at(placed, from) = base;
                setInner(base, back.triangle, beside.tags, beside.constrained);
                if (back.triangle >= 0) setInner(back, base.triangle, beside.tags, beside.constrained);
            }
            continue;
        }
        int best = from + 1;
        for (int k = from + 2; k < to; k++) {
            if (inCircle(point(from), point(to), point(best), point(k)) > 0) best = k;
        }
        assert(orientation(point(from), point(to), point(best)) > 0);
        const int t = slots_.back();
        slots_.pop_back();
        at(triangles_, t).v = {at(chain.vertices, from), at(chain.vertices, to), at(chain.vertices, best)};
        for (const int vertex : at(triangles_, t).v) at(triangleOf_, vertex) = t;
        if (base.triangle < 0) {
            root.triangle = t;
        } else {
            setInner({t, 2}, base.triangle);
            setInner(base, t);
        }
        gaps.push_back({best, to, {t, 0}});
        gaps.push_back({from, best, {t, 1}});
    }
    return root;
}

void Triangulation::settleCrossing(const Segment& segment, Edge crossed) {
    const auto& v = at(triangles_, crossed.triangle).v;
    const int c = at(v, next(crossed.index)), d = at(v, previous(crossed.index));
    const int vertex = crossingVertex(segment, crossed);
    releaseThrough(c, d, vertex);
    if (vertex == segment.a || vertex == segment.b) {
        pending_.push_back(segment);
    } else {
        routeThrough(segment, vertex);
    }
}

// The vertex at which both lines are to meet: one within tolerance of the crossing, else a new one. The
// closest of all vertices always shortens the lines that it is not an end of, up to the rounding of the
// crossing; should that rounding tell otherwise, or should the rounded crossing fall outside the hull, the
// end closest to the crossing does.
int Triangulation::crossingVertex(const Segment& segment, Edge crossed) {
    const auto& v = at(triangles_, crossed.triangle).v;
    const int a = segment.a, b = segment.b, c = at(v, next(crossed.index)),
              d = at(v, previous(crossed.index));
    const auto fits = [&](int vertex) {
        return (vertex == a || vertex == b || shortens(a, b, vertex)) &&
               (vertex == c || vertex == d || shortens(c, d, vertex));
    };
    const GridPoint x = crossingPoint(at(grid_, a), at(grid_, b), at(grid_, c), at(grid_, d));
    const Near& near = nearTo(x, crossed.triangle);
    if (near.vertex >= 0 && fits(near.vertex)) return near.vertex;
    if (near.vertex < 0) {
        const Location place = locateGrid(x, crossed.triangle);
        if (place.where != Where::Outside) return insertGrid(x, place, near);
    }
    int best = -1;
    for (const int end : {a, b, c, d}) {
        if (!fits(end)) continue;
        if (best < 0 || squaredDistance(x, at(grid_, end)) < squaredDistance(x, at(grid_, best))) best = end;
    }
    assert(best >= 0);
    return best;
}

}  // namespace underfoot
