#pragma once
// Members of a triangulation that are called more often than a call costs nothing; seen by its own files
// alone.

#include "ground/grid.h"
#include "ground/plan_distance.h"
#include "ground/tolerance.h"
#include "ground/triangulation.h"
#include "ground/triangulation_index.h"

namespace underfoot {

namespace triangulation_index {

inline constexpr double onLineSteps = tolerance::onPlanLine / gridStep;
inline constexpr double onLineSteps2 = onLineSteps * onLineSteps;

}  // namespace triangulation_index

inline int Triangulation::mirror(Edge edge) const {
    const int other =
        triangulation_index::at(triangulation_index::at(triangles_, edge.triangle).neighbour, edge.index);
    if (other < 0) return -1;
    const auto& back = triangulation_index::at(triangles_, other).neighbour;
    return back[0] == edge.triangle ? 0 : back[1] == edge.triangle ? 1 : 2;
}

inline Triangulation::Side Triangulation::side(Edge edge) const {
    const Triangle& t = triangulation_index::at(triangles_, edge.triangle);
    return {triangulation_index::at(t.neighbour, edge.index), mirror(edge),
            triangulation_index::at(t.tags, edge.index), triangulation_index::at(t.constrained, edge.index)};
}

inline void Triangulation::setInner(Edge edge, int neighbour, TagSet tags, bool constrained) {
    Triangle& t = triangulation_index::at(triangles_, edge.triangle);
    triangulation_index::at(t.neighbour, edge.index) = neighbour;
    triangulation_index::at(t.tags, edge.index) = tags;
    triangulation_index::at(t.constrained, edge.index) = constrained;
}

inline void Triangulation::setSide(Edge edge, const Side& side) {
    setInner(edge, side.neighbour, side.tags, side.constrained);
    if (side.neighbour >= 0)
        triangulation_index::at(triangulation_index::at(triangles_, side.neighbour).neighbour, side.back) =
            edge.triangle;
}

inline void Triangulation::setTags(Edge edge, TagSet tags, bool constrained) {
    const int other =
        triangulation_index::at(triangulation_index::at(triangles_, edge.triangle).neighbour, edge.index);
    const int otherIndex = mirror(edge);
    setInner(edge, other, tags, constrained);
    if (other >= 0) setInner({other, otherIndex}, edge.triangle, tags, constrained);
}

inline int Triangulation::cornerOf(int triangle, int vertex) const {
    const auto& v = triangulation_index::at(triangles_, triangle).v;
    return v[0] == vertex ? 0 : v[1] == vertex ? 1 : 2;
}

inline bool Triangulation::liesOn(int a, int b, int vertex) const {
    return squaredDistanceToSegment(triangulation_index::at(grid_, vertex), triangulation_index::at(grid_, a),
                                    triangulation_index::at(grid_, b)) < triangulation_index::onLineSteps2 &&
           shortens(a, b, vertex);
}

}  // namespace underfoot
