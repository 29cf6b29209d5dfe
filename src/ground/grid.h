#pragma once
// The fixed grid that plan coordinates are snapped to, so that orientation and in-circle tests are exact.

#include <cmath>
#include <cstdint>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

namespace underfoot {

/// Grid step: 2^-30 m, about a nanometre. Every snapped coordinate is exactly a double.
inline constexpr double gridStep = 1.0 / (1 << 30);
/// Greatest distance from the local origin that the exact tests are sized for: 2^12 m.
inline constexpr double gridReach = 4096.0;

/// Whether a point lies within reach of the grid and has a height.
inline bool isOnGrid(const glm::dvec3& p) {
    return std::fabs(p.x) <= gridReach && std::fabs(p.y) <= gridReach && std::isfinite(p.z);
}

struct GridPoint {
    int64_t x = 0;
    int64_t y = 0;
    friend bool operator==(const GridPoint&, const GridPoint&) = default;
};

inline GridPoint toGrid(glm::dvec2 p) {
    return {std::llround(p.x / gridStep), std::llround(p.y / gridStep)};
}
inline glm::dvec2 fromGrid(GridPoint p) {
    return {static_cast<double>(p.x) * gridStep, static_cast<double>(p.y) * gridStep};
}
inline glm::dvec2 snap(glm::dvec2 p) {
    return fromGrid(toGrid(p));
}

/// Sign of the area of a, b, c: +1 when they turn left, 0 when in line. Exact within gridReach.
int orientation(GridPoint a, GridPoint b, GridPoint c);

/// +1 when d lies inside the circle through a, b, c (which turn left), 0 on it, -1 outside. Exact.
int inCircle(GridPoint a, GridPoint b, GridPoint c, GridPoint d);

}  // namespace underfoot
