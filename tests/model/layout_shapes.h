#pragma once
// Shapes and plain geometric checks for the layout's tests, written apart from the code under test.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "model/layout.h"
#include "plan/plan.h"

namespace underfoot::layout_shapes {

using Points = std::vector<glm::dvec2>;

inline Points rectangle(double x0, double y0, double x1, double y1) {
    return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
}

inline Ring ringOf(const Points& corners) {
    Ring ring;
    ring.start = corners.front();
    for (size_t i = 0; i < corners.size(); ++i)
        ring.edges.push_back({corners[(i + 1) % corners.size()], {}, {}});
    return ring;
}

inline Area areaOf(const Points& corners) {
    Area area;
    area.name = "terrace";
    area.outline = ringOf(corners);
    return area;
}

/// A simple polygon round the origin, turning left: equal steps of bearing, random distances.
inline Points starPolygon(std::mt19937& random, int corners, double near, double far) {
    std::uniform_real_distribution<double> away(near, far);
    Points out;
    for (int i = 0; i < corners; ++i) {
        const double angle = 2 * std::numbers::pi * i / corners, r = away(random);
        out.push_back({r * std::cos(angle), r * std::sin(angle)});
    }
    return out;
}

inline double areaOfRing(const Points& ring) {
    double twice = 0;
    for (size_t i = 0; i < ring.size(); ++i) {
        const glm::dvec2 a = ring[i] - ring[0], b = ring[(i + 1) % ring.size()] - ring[0];
        twice += a.x * b.y - a.y * b.x;
    }
    return twice / 2;
}

inline double distanceToRing(glm::dvec2 p, const Points& ring) {
    double least = 1e300;
    for (size_t i = 0; i < ring.size(); ++i) {
        const glm::dvec2 a = ring[i], d = ring[(i + 1) % ring.size()] - a;
        const double t = std::clamp(glm::dot(p - a, d) / glm::dot(d, d), 0.0, 1.0);
        least = std::min(least, glm::length(p - a - d * t));
    }
    return least;
}

/// Even-odd rule.
inline bool isInside(glm::dvec2 p, const Points& ring) {
    bool inside = false;
    for (size_t i = 0; i < ring.size(); ++i) {
        const glm::dvec2 a = ring[i], b = ring[(i + 1) % ring.size()];
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
            inside = !inside;
    }
    return inside;
}

inline bool isInside(glm::dvec2 p, const Regions& regions) {
    bool inside = false;
    for (const Region& region : regions) {
        if (isInside(p, region.outer)) inside = !inside;
        for (const Points& hole : region.holes)
            if (isInside(p, hole)) inside = !inside;
    }
    return inside;
}

}  // namespace underfoot::layout_shapes
