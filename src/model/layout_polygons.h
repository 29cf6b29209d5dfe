#pragma once
// Inside the model folder only: plain polygon arithmetic shared by the layout of units, edging and prisms,
// and the door to the polygon library, so that its headers stay in one file.

#include <array>
#include <memory>
#include <vector>

#include <glm/vec2.hpp>

#include "model/layout.h"
#include "plan/plan.h"

namespace underfoot::layout {

/// Corners of a ring that is not closed (no repeated corner).
using Polygon = std::vector<glm::dvec2>;

inline double dot(glm::dvec2 a, glm::dvec2 b) {
    return a.x * b.x + a.y * b.y;
}
double distance(glm::dvec2 a, glm::dvec2 b);
/// Unit vector from a to b; (1, 0) when they coincide.
glm::dvec2 direction(glm::dvec2 a, glm::dvec2 b);
/// The direction turned a quarter to the left.
inline glm::dvec2 leftOf(glm::dvec2 d) {
    return {-d.y, d.x};
}

/// Signed area: positive when the ring turns left. Summed about the first corner, so that rings far from the
/// origin lose nothing.
double ringArea(const Polygon& ring);
double ringLength(const Polygon& ring);

/// The frame of an uncut unit, a rectangle that turns left.
UnitFrame frameOf(const Polygon& rectangle);

/// The convex hull, turning left, without corners in line.
Polygon convexHull(Polygon points);

/// Least distance between two parallel lines that hold all the points (rotating calipers over the convex
/// hull). 0 for fewer than three points or points in line.
double leastWidth(const Polygon& points);

/// The part of a convex or concave ring on the left of the line through `at` along `along`. A concave ring
/// may come back with edges that run twice along the line; a convex one is exact. Corners on the line are
/// kept.
Polygon keepLeft(const Polygon& ring, glm::dvec2 at, glm::dvec2 along);

/// Drops corners that repeat the one before within `closest`, and corners that lie within `closest` of the
/// line between their neighbours. Empty when fewer than three are left.
Polygon tidy(const Polygon& ring, double closest);

/// Triangles of a simple ring that turns left, as indices, turning left, corners.size() - 2 of them: a fan
/// where it is convex, else ears. Corners in line are used too, so that neighbours on the ring keep their
/// edge.
std::vector<std::array<int, 3>> triangulate(const Polygon& ring);

/// The ring moved to its left by d along every edge with mitred corners, corner by corner. Empty when an edge
/// would vanish or turn round, or the result would cross itself: the ring is too narrow there.
Polygon insetRing(const Polygon& ring, double d);

/// The chorded outline of an area in local coordinates, the same corners as its regions have.
Chords localChords(const Ring& ring, glm::dvec2 origin);

/// All of what simple polygons cover.
Regions uniteAll(const std::vector<Polygon>& polygons);

/// Cuts polygons by a fixed set of regions.
class Clipper {
  public:
    explicit Clipper(const Regions& regions);
    ~Clipper();
    Clipper(const Clipper&) = delete;
    Clipper& operator=(const Clipper&) = delete;

    /// What of the polygon (turning left) lies in the regions, slivers dropped.
    Regions clip(const Polygon& polygon) const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace underfoot::layout
