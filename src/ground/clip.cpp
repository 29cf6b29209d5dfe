#include "ground/clip.h"

#include <algorithm>

namespace underfoot {

bool keepWherePositive(Stretch& s, double value, double slope) {
    if (slope > 0) {
        s.from = std::max(s.from, -value / slope);
    } else if (slope < 0) {
        s.to = std::min(s.to, -value / slope);
    } else if (value < 0) {
        s.to = s.from - 1;
    }
    return s.from <= s.to;
}

bool keepInBox(Stretch& s, glm::dvec2 low, glm::dvec2 high) {
    return keepWherePositive(s, s.at.x - low.x, s.along.x) &&
           keepWherePositive(s, high.x - s.at.x, -s.along.x) &&
           keepWherePositive(s, s.at.y - low.y, s.along.y) &&
           keepWherePositive(s, high.y - s.at.y, -s.along.y);
}

glm::dvec2 placeAt(const Stretch& s, double t, glm::dvec2 low, glm::dvec2 high) {
    const glm::dvec2 p = s.at + t * s.along;
    return {std::clamp(p.x, low.x, high.x), std::clamp(p.y, low.y, high.y)};
}

std::optional<std::pair<glm::dvec2, glm::dvec2>> clippedToBox(glm::dvec2 a, glm::dvec2 b, glm::dvec2 low,
                                                              glm::dvec2 high) {
    if (inBox(a, low, high) && inBox(b, low, high))
        return a == b ? std::nullopt : std::optional(std::pair{a, b});
    Stretch s{a, b - a, 0, 1};
    if (!keepInBox(s, low, high)) return std::nullopt;
    const glm::dvec2 from = s.from == 0 ? a : placeAt(s, s.from, low, high);
    const glm::dvec2 to = s.to == 1 ? b : placeAt(s, s.to, low, high);
    if (from == to) return std::nullopt;
    return std::pair{from, to};
}

}  // namespace underfoot
