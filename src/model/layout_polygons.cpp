#include "model/layout_polygons.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <limits>

#include "ground/tolerance.h"
#include "measure/cross.h"

namespace underfoot::layout {

namespace {

/// A unit whose sides differ by no more than this is square. Metres.
constexpr double squareWithin = 1e-9;

}  // namespace

double distance(glm::dvec2 a, glm::dvec2 b) {
    return std::hypot(b.x - a.x, b.y - a.y);
}

glm::dvec2 direction(glm::dvec2 a, glm::dvec2 b) {
    const double length = distance(a, b);
    return length > 0 ? (b - a) / length : glm::dvec2{1, 0};
}

double ringArea(const Polygon& ring) {
    double twice = 0;
    for (size_t i = 1; i + 1 < ring.size(); ++i) twice += cross(ring[i] - ring[0], ring[i + 1] - ring[0]);
    return 0.5 * twice;
}

UnitFrame frameOf(const Polygon& rectangle) {
    assert(rectangle.size() == 4);
    const double first = distance(rectangle[0], rectangle[1]), second = distance(rectangle[1], rectangle[2]);
    const size_t from = second > first + squareWithin ? 1 : 0;
    return {rectangle[from], direction(rectangle[from], rectangle[from + 1]), std::max(first, second),
            std::min(first, second)};
}

double ringLength(const Polygon& ring) {
    double sum = 0;
    for (size_t i = 0; i < ring.size(); ++i) sum += distance(ring[i], ring[(i + 1) % ring.size()]);
    return sum;
}

namespace {

/// Lower or upper chain of the hull of sorted points, its last point left off.
void addChain(const Polygon& sorted, Polygon& hull) {
    const size_t base = hull.size();
    for (const glm::dvec2& p : sorted) {
        while (hull.size() >= base + 2 && cross(hull.back() - hull[hull.size() - 2], p - hull.back()) <= 0)
            hull.pop_back();
        hull.push_back(p);
    }
    hull.pop_back();
}

}  // namespace

Polygon convexHull(Polygon points) {
    const auto less = [](glm::dvec2 a, glm::dvec2 b) { return a.x != b.x ? a.x < b.x : a.y < b.y; };
    std::sort(points.begin(), points.end(), less);
    points.erase(std::unique(points.begin(), points.end()), points.end());
    if (points.size() < 3) return points;
    Polygon hull;
    addChain(points, hull);
    std::reverse(points.begin(), points.end());
    addChain(points, hull);
    return hull;
}

double leastWidth(const Polygon& points) {
    const Polygon hull = convexHull(points);
    if (hull.size() < 3) return 0;
    double least = std::numeric_limits<double>::infinity();
    for (size_t i = 0; i < hull.size(); ++i) {
        const glm::dvec2 along = direction(hull[i], hull[(i + 1) % hull.size()]);
        double away = 0;
        for (const glm::dvec2& p : hull) away = std::max(away, cross(along, p - hull[i]));
        least = std::min(least, away);
    }
    return least;
}

Polygon keepLeft(const Polygon& ring, glm::dvec2 at, glm::dvec2 along) {
    Polygon out;
    for (size_t i = 0; i < ring.size(); ++i) {
        const glm::dvec2 a = ring[i], b = ring[(i + 1) % ring.size()];
        const double sa = cross(along, a - at), sb = cross(along, b - at);
        if (sa >= 0) out.push_back(a);
        if ((sa > 0 && sb < 0) || (sa < 0 && sb > 0)) out.push_back(a + (b - a) * (sa / (sa - sb)));
    }
    return out;
}

Polygon tidy(const Polygon& ring, double closest) {
    Polygon out = ring;
    for (size_t i = 0; out.size() >= 3 && i < out.size();) {
        const glm::dvec2 before = out[(i + out.size() - 1) % out.size()], next = out[(i + 1) % out.size()];
        const double off = std::abs(cross(direction(before, next), out[i] - before));
        if (distance(before, out[i]) > closest && off > closest) {
            ++i;
            continue;
        }
        out.erase(out.begin() + static_cast<std::ptrdiff_t>(i));
        i = i > 0 ? i - 1 : 0;
    }
    if (out.size() < 3) out.clear();
    return out;
}

Chords localChords(const Ring& ring, glm::dvec2 origin) {
    Chords chords = toChords(ring, tolerance::arcSagitta);
    for (glm::dvec2& corner : chords.corners) corner -= origin;
    return chords;
}

}  // namespace underfoot::layout
