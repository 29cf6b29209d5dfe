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

std::optional<std::pair<glm::dvec2, glm::dvec2>> clippedToBox(glm::dvec2 a, glm::dvec2 b, glm::dvec2 low,
                                                              glm::dvec2 high) {
    Stretch s{a, b - a, 0, 1};
    if (!keepInBox(s, low, high)) return std::nullopt;
    const glm::dvec2 from = s.from == 0 ? a : a + s.from * s.along;
    const glm::dvec2 to = s.to == 1 ? b : a + s.to * s.along;
    if (from == to) return std::nullopt;
    return std::pair{from, to};
}

}  // namespace underfoot
