#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numeric>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/cross.h"
#include "model/layout_polygons.h"

namespace underfoot::layout {

namespace {

constexpr double shortestEdge = 1e-7;

double turn(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c) {
    return cross(b - a, c - b);
}

bool isConvex(const Polygon& ring) {
    const size_t n = ring.size();
    for (size_t i = 0; i < n; ++i)
        if (turn(ring[i], ring[(i + 1) % n], ring[(i + 2) % n]) <= 0) return false;
    return true;
}

bool holds(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, glm::dvec2 p) {
    return cross(b - a, p - a) >= 0 && cross(c - b, p - b) >= 0 && cross(a - c, p - c) >= 0;
}

/// Greater for better shaped ears; negative for what is no ear.
double earQuality(const Polygon& ring, const std::vector<int>& left, size_t i) {
    const auto at = [&](size_t k) { return ring[static_cast<size_t>(left[k % left.size()])]; };
    const glm::dvec2 a = at(i + left.size() - 1), b = at(i), c = at(i + 1);
    const double twice = turn(a, b, c);
    if (twice <= 0) return -1;
    for (size_t k = i + 2; k < i + left.size() - 1; ++k) {
        const glm::dvec2 p = at(k);
        if (p != a && p != b && p != c && holds(a, b, c, p)) return -1;
    }
    const double longest = std::max({distance(a, b), distance(b, c), distance(c, a)});
    return twice / (longest * longest);
}

/// Index of the ear to cut next: the best shaped, or, where rounding leaves none, the corner nearest to
/// straight.
size_t bestEar(const Polygon& ring, const std::vector<int>& left) {
    size_t best = 0;
    double quality = -1;
    for (size_t i = 0; i < left.size(); ++i) {
        const double q = earQuality(ring, left, i);
        if (q > quality) quality = q, best = i;
    }
    if (quality > 0) return best;
    double flattest = std::numeric_limits<double>::infinity();
    for (size_t i = 0; i < left.size(); ++i) {
        const auto at = [&](size_t k) { return ring[static_cast<size_t>(left[k % left.size()])]; };
        const double twice = std::abs(turn(at(i + left.size() - 1), at(i), at(i + 1)));
        if (twice < flattest) flattest = twice, best = i;
    }
    return best;
}

bool segmentsMeet(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, glm::dvec2 d) {
    const auto side = [](glm::dvec2 p, glm::dvec2 q, glm::dvec2 r) { return turn(p, q, r); };
    return side(a, b, c) * side(a, b, d) <= 0 && side(c, d, a) * side(c, d, b) <= 0;
}

bool crossesItself(const Polygon& ring) {
    const size_t n = ring.size();
    for (size_t i = 0; i < n; ++i)
        for (size_t k = i + 2; k < n && k < i + n - 1; ++k)
            if (segmentsMeet(ring[i], ring[i + 1], ring[k], ring[(k + 1) % n])) return true;
    return false;
}

}  // namespace

std::vector<std::array<int, 3>> triangulate(const Polygon& ring) {
    assert(ring.size() >= 3);
    std::vector<std::array<int, 3>> out;
    const int n = static_cast<int>(ring.size());
    if (isConvex(ring)) {
        for (int i = 1; i + 1 < n; ++i) out.push_back({0, i, i + 1});
        return out;
    }
    std::vector<int> left(ring.size());
    std::iota(left.begin(), left.end(), 0);
    while (left.size() > 3) {
        const size_t i = bestEar(ring, left), m = left.size();
        out.push_back({left[(i + m - 1) % m], left[i], left[(i + 1) % m]});
        left.erase(left.begin() + static_cast<std::ptrdiff_t>(i));
    }
    out.push_back({left[0], left[1], left[2]});
    return out;
}

Polygon insetRing(const Polygon& ring, double d) {
    const size_t n = ring.size();
    Polygon out(n);
    for (size_t i = 0; i < n; ++i) {
        const glm::dvec2 before = direction(ring[(i + n - 1) % n], ring[i]);
        const glm::dvec2 after = direction(ring[i], ring[(i + 1) % n]);
        const double cosine = dot(before, after);
        if (cosine < -0.9999) return {};
        out[i] = ring[i] + (leftOf(before) + leftOf(after)) * (d / (1 + cosine));
    }
    for (size_t i = 0; i < n; ++i) {
        const glm::dvec2 along = direction(ring[i], ring[(i + 1) % n]);
        if (dot(out[(i + 1) % n] - out[i], along) < shortestEdge) return {};
    }
    if (!isConvex(out) && crossesItself(out)) return {};
    return out;
}

}  // namespace underfoot::layout
