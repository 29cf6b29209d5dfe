#pragma once
// The cross product in plan.

#include <glm/vec2.hpp>

namespace underfoot {

/// Twice the area of the triangle that two vectors span; above 0 where the second turns left of the first.
inline double cross(glm::dvec2 a, glm::dvec2 b) {
    return a.x * b.y - a.y * b.x;
}

}  // namespace underfoot
