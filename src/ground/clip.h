#pragma once
// Straight lines cut to a box in plan.

#include <optional>
#include <utility>

#include <glm/vec2.hpp>

namespace underfoot {

/// Stretch of the line at + t along, as t from `from` to `to`.
struct Stretch {
    glm::dvec2 at;
    glm::dvec2 along;
    double from;
    double to;
};

/// Keeps the t at which value + slope t >= 0. False when nothing is left.
bool keepWherePositive(Stretch& stretch, double value, double slope);

/// Keeps what lies in the closed box. False when nothing is left.
bool keepInBox(Stretch& stretch, glm::dvec2 low, glm::dvec2 high);

/// Whether a place lies in the closed box.
inline bool inBox(glm::dvec2 p, glm::dvec2 low, glm::dvec2 high) {
    return p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y;
}

/// The place at t, moved into the box where rounding has carried it out.
glm::dvec2 placeAt(const Stretch& stretch, double t, glm::dvec2 low, glm::dvec2 high);

/// The part of a-b in the closed box; ends that lie in the box stay bit for bit. None when it is empty or a
/// point.
std::optional<std::pair<glm::dvec2, glm::dvec2>> clippedToBox(glm::dvec2 a, glm::dvec2 b, glm::dvec2 low,
                                                              glm::dvec2 high);

}  // namespace underfoot
