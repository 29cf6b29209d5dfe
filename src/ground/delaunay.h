#pragma once
// Delaunay triangulation of many points at once.

#include <span>
#include <vector>

#include "ground/grid.h"
#include "ground/triangulation.h"

namespace underfoot {

/// Triangles over the points, corners and neighbours filled in, ordered by each triangle's lowest corner
/// index. The points must differ from each other and should come in hilbertOrder. Fewer than three, or all in
/// line: none.
std::vector<Triangle> delaunayTriangles(std::span<const GridPoint> points);

}  // namespace underfoot
