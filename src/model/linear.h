#pragma once
// A height that is flat over a cell, and sums of such heights.

#include <glm/vec2.hpp>

#include "ground/surface.h"

namespace underfoot {

/// z = constant + gradient . p, in local plan coordinates.
struct Linear {
    double constant = 0;
    glm::dvec2 gradient{0, 0};

    double at(glm::dvec2 p) const { return constant + gradient.x * p.x + gradient.y * p.y; }

    friend Linear operator+(Linear a, const Linear& b) {
        return {a.constant + b.constant, a.gradient + b.gradient};
    }
    friend Linear operator-(Linear a, const Linear& b) {
        return {a.constant - b.constant, a.gradient - b.gradient};
    }
    friend Linear operator+(Linear a, double b) { return {a.constant + b, a.gradient}; }
    friend Linear operator-(Linear a, double b) { return {a.constant - b, a.gradient}; }
    friend Linear operator*(Linear a, double k) { return {a.constant * k, a.gradient * k}; }
};

inline Linear level(double height) {
    return {height, {0, 0}};
}
inline Linear toLinear(const PlaneHeight& plane) {
    return {plane.level - plane.gradient.x * plane.at.x - plane.gradient.y * plane.at.y, plane.gradient};
}

}  // namespace underfoot
