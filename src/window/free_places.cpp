#include "window/free_places.h"

#include <algorithm>
#include <limits>

namespace underfoot {

namespace {

/// True when some of the line from a to b lies in the box.
bool runsThrough(const Box& box, glm::dvec2 a, glm::dvec2 b) {
    double from = 0, to = 1;
    const glm::dvec2 way = b - a;
    for (const int axis : {0, 1}) {
        if (way[axis] == 0) {
            if (a[axis] < box.low[axis] || a[axis] > box.high[axis]) return false;
            continue;
        }
        const double low = (box.low[axis] - a[axis]) / way[axis],
                     high = (box.high[axis] - a[axis]) / way[axis];
        from = std::max(from, std::min(low, high)), to = std::min(to, std::max(low, high));
    }
    return from <= to;
}

Box boxAbout(glm::dvec2 middle, glm::dvec2 size) {
    return {middle - size * 0.5, middle + size * 0.5};
}

}  // namespace

std::array<Box, 4> boxesRound(const Box& round, glm::dvec2 at, glm::dvec2 words, double gap) {
    const glm::dvec2 away = words * 0.5 + gap;
    return {boxAbout({at.x, round.low.y - away.y}, words), boxAbout({round.high.x + away.x, at.y}, words),
            boxAbout({round.low.x - away.x, at.y}, words), boxAbout({at.x, round.high.y + away.y}, words)};
}

long FreePlaces::linesThrough(const Box& box) const {
    return std::count_if(lines_.begin(), lines_.end(),
                         [&](const auto& line) { return runsThrough(box, line[0], line[1]); });
}

std::optional<Box> FreePlaces::take(const std::vector<Box>& boxes) {
    std::optional<Box> best;
    long fewest = std::numeric_limits<long>::max();
    for (const Box& box : boxes) {
        if (std::any_of(taken_.begin(), taken_.end(), [&](const Box& other) { return other.overlaps(box); }))
            continue;
        const long through = linesThrough(box);
        if (through < fewest) fewest = through, best = box;
        if (fewest == 0) break;
    }
    if (best) taken_.push_back(*best);
    return best;
}

}  // namespace underfoot
