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

/// std::llround of what an int64_t holds, without a call: half a step goes away from nought.
inline int64_t nearestWhole(double value) {
    const auto whole = static_cast<int64_t>(value);
    const double part = value - static_cast<double>(whole);  // exact
    return whole + (part >= 0.5 ? 1 : 0) - (part <= -0.5 ? 1 : 0);
}

inline GridPoint toGrid(glm::dvec2 p) {
    return {nearestWhole(p.x / gridStep), nearestWhole(p.y / gridStep)};
}
inline glm::dvec2 fromGrid(GridPoint p) {
    return {static_cast<double>(p.x) * gridStep, static_cast<double>(p.y) * gridStep};
}
inline glm::dvec2 snap(glm::dvec2 p) {
    return fromGrid(toGrid(p));
}

/// Sign of the area of a, b, c: +1 when they turn left, 0 when in line. Exact within gridReach.
inline int orientation(GridPoint a, GridPoint b, GridPoint c) {
    __extension__ typedef __int128 Int128;
    const Int128 left = Int128{b.x - a.x} * (c.y - a.y), right = Int128{b.y - a.y} * (c.x - a.x);
    return (left > right ? 1 : 0) - (left < right ? 1 : 0);
}

namespace exactly {
int inCircle(GridPoint a, GridPoint b, GridPoint c, GridPoint d);
}

/// +1 when d lies inside the circle through a, b, c (which turn left), 0 on it, -1 outside. Exact.
inline int inCircle(GridPoint a, GridPoint b, GridPoint c, GridPoint d) {
    const double ax = static_cast<double>(a.x - d.x), ay = static_cast<double>(a.y - d.y);
    const double bx = static_cast<double>(b.x - d.x), by = static_cast<double>(b.y - d.y);
    const double cx = static_cast<double>(c.x - d.x), cy = static_cast<double>(c.y - d.y);

    const double bxcy = bx * cy, bycx = by * cx;
    const double cxay = cx * ay, cyax = cy * ax;
    const double axby = ax * by, aybx = ay * bx;
    const double al = ax * ax + ay * ay, bl = bx * bx + by * by, cl = cx * cx + cy * cy;
    const double det = al * (bxcy - bycx) + bl * (cxay - cyax) + cl * (axby - aybx);
    const double size = al * (std::fabs(bxcy) + std::fabs(bycx)) + bl * (std::fabs(cxay) + std::fabs(cyax)) +
                        cl * (std::fabs(axby) + std::fabs(aybx));
    // The first error bound of J. R. Shewchuk, "Adaptive precision floating-point arithmetic and fast robust
    // geometric predicates" (1997), which allows for rounded offsets; ours are exact.
    constexpr double half = 1.0 / (int64_t{1} << 53);
    constexpr double bound = (10 + 96 * half) * half;
    if (det > bound * size) return 1;
    if (-det > bound * size) return -1;
    return exactly::inCircle(a, b, c, d);
}

}  // namespace underfoot
