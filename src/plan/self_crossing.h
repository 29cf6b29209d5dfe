#pragma once
// Whether a closed line of corners meets itself.

#include <optional>
#include <vector>

#include <glm/vec2.hpp>

namespace underfoot {

/// Two sides that meet where they should not, and where.
struct Crossing {
    size_t first = 0;  ///< sides by their first corner; first < second
    size_t second = 0;
    glm::dvec2 at{0, 0};
};

/// A pair of sides that cross or touch, neighbours' shared corner excepted. Corners are taken on a grid of a
/// micrometre, on which the answer is exact for lines up to 1 km across. Sides of no length are skipped. Time
/// grows a little faster than the number of corners.
std::optional<Crossing> selfCrossing(const std::vector<glm::dvec2>& corners);

}  // namespace underfoot
