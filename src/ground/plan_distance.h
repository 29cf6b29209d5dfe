#pragma once
// Distances on the grid: in double for tolerances, exact where termination hangs on them. Grid steps.

#include <algorithm>

#include "ground/grid.h"

namespace underfoot {

inline double squaredDistance(GridPoint a, GridPoint b) {
    const double x = static_cast<double>(b.x - a.x), y = static_cast<double>(b.y - a.y);
    return x * x + y * y;
}

inline double squaredDistanceToSegment(GridPoint p, GridPoint a, GridPoint b) {
    const double dx = static_cast<double>(b.x - a.x), dy = static_cast<double>(b.y - a.y);
    const double px = static_cast<double>(p.x - a.x), py = static_cast<double>(p.y - a.y);
    const double along = px * dx + py * dy, length = dx * dx + dy * dy;
    if (along <= 0) return px * px + py * py;
    if (along >= length) return squaredDistance(p, b);
    const double across = px * dy - py * dx;
    return across * across / length;
}

/// Is p closer to q than r is? Exact.
bool isCloser(GridPoint q, GridPoint p, GridPoint r);

/// Does the way from a lead on towards c as seen by b - a, that is, is (b - a) . (c - a) positive? Exact.
bool isAhead(GridPoint a, GridPoint b, GridPoint c);

/// Where the lines a-b and c-d cross, to within a grid step. They must not be parallel.
GridPoint crossingPoint(GridPoint a, GridPoint b, GridPoint c, GridPoint d);

}  // namespace underfoot
