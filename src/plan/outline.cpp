#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "plan/plan.h"

namespace underfoot {
namespace {

double crossOf(glm::dvec2 a, glm::dvec2 b) {
    return a.x * b.y - a.y * b.x;
}

bool before(glm::dvec2 a, glm::dvec2 b) {
    return a.x < b.x || (a.x == b.x && a.y < b.y);
}

/// More chords than any drawing needs: keeps a nearly straight arc of huge radius from filling the memory.
constexpr int greatestChords = 4096;

/// Points strictly between `a` and `b` on the arc through `m`, from a to b.
std::vector<glm::dvec2> arcBetween(glm::dvec2 a, glm::dvec2 m, glm::dvec2 b, double sagitta) {
    const glm::dvec2 u = m - a, v = b - a;
    const double twice = 2 * crossOf(u, v);
    const double uu = glm::dot(u, u), vv = glm::dot(v, v);
    const double scale = std::max(uu, vv);
    if (std::fabs(twice) <= 1e-12 * scale) return {};
    const glm::dvec2 toCentre{(v.y * uu - u.y * vv) / twice, (u.x * vv - v.x * uu) / twice};
    const glm::dvec2 centre = a + toCentre;
    const double radius = glm::length(toCentre);
    const double start = std::atan2(a.y - centre.y, a.x - centre.x);
    double sweep = std::atan2(b.y - centre.y, b.x - centre.x) - start;
    const bool left = twice < 0 ? false : true;  // a, m, b turn left: the arc runs counter-clockwise
    if (left && sweep <= 0) sweep += 2 * std::numbers::pi;
    if (!left && sweep >= 0) sweep -= 2 * std::numbers::pi;
    // A chord over the angle t stands radius * (1 - cos(t / 2)) = 2 * radius * sin²(t / 4) off its arc.
    const double widest = 4 * std::asin(std::sqrt(std::min(1.0, sagitta / (2 * radius))));
    const double wanted = std::ceil(std::fabs(sweep) / std::min(widest, std::numbers::pi / 2) - 1e-9);
    const int n = static_cast<int>(std::clamp(wanted, 1.0, static_cast<double>(greatestChords)));
    std::vector<glm::dvec2> points;
    points.reserve(static_cast<size_t>(n));
    for (int i = 1; i < n; ++i) {
        const double angle = start + sweep * i / n;
        points.push_back(centre + radius * glm::dvec2{std::cos(angle), std::sin(angle)});
    }
    return points;
}

/// The same points whichever way the arc is walked, so that two areas that share it share its chords.
std::vector<glm::dvec2> arcPoints(glm::dvec2 a, glm::dvec2 m, glm::dvec2 b, double sagitta) {
    if (!before(b, a)) return arcBetween(a, m, b, sagitta);
    std::vector<glm::dvec2> points = arcBetween(b, m, a, sagitta);
    std::reverse(points.begin(), points.end());
    return points;
}

}  // namespace

glm::dvec2 Baseline::at(double station, double offset) const {
    const glm::dvec2 along = glm::normalize(to - from);
    const glm::dvec2 left{-along.y, along.x};
    return from + (station - startStation) * along + (offsetLeft ? offset : -offset) * left;
}

glm::dvec2 Baseline::stationOffset(glm::dvec2 point) const {
    const glm::dvec2 along = glm::normalize(to - from);
    const glm::dvec2 way = point - from;
    const double left = crossOf(along, way);
    return {startStation + glm::dot(along, way), offsetLeft ? left : -left};
}

Chords toChords(const Ring& ring, double sagitta) {
    assert(sagitta > 0);
    Chords chords;
    glm::dvec2 at = ring.start;
    for (size_t e = 0; e < ring.edges.size(); ++e) {
        const OutlineEdge& edge = ring.edges[e];
        chords.corners.push_back(at);
        chords.edgeOf.push_back(static_cast<int>(e));
        if (edge.through) {
            for (const glm::dvec2 p : arcPoints(at, *edge.through, edge.to, sagitta)) {
                chords.corners.push_back(p);
                chords.edgeOf.push_back(static_cast<int>(e));
            }
        }
        at = edge.to;
    }
    return chords;
}

double signedArea(const std::vector<glm::dvec2>& corners) {
    if (corners.size() < 3) return 0;
    double twice = 0;
    const glm::dvec2 origin = corners.front();
    for (size_t i = 1; i + 1 < corners.size(); ++i)
        twice += crossOf(corners[i] - origin, corners[i + 1] - origin);
    return twice / 2;
}

}  // namespace underfoot
