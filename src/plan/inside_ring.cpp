#include "plan/inside_ring.h"

#include <algorithm>
#include <cmath>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "measure/cross.h"

namespace underfoot {
namespace {

double distanceToSide(glm::dvec2 a, glm::dvec2 b, glm::dvec2 p) {
    const glm::dvec2 d = b - a;
    const double square = glm::dot(d, d);
    if (square <= 0) return glm::distance(a, p);
    return glm::distance(a + d * std::clamp(glm::dot(p - a, d) / square, 0.0, 1.0), p);
}

}  // namespace

InsideRing::InsideRing(std::vector<glm::dvec2> corners) {
    const size_t n = corners.size();
    for (size_t i = 0; i < n; ++i) sides_.push_back({corners[i], corners[(i + 1) % n]});
    if (n == 0) return;
    low_ = high_ = corners.front().y;
    for (const glm::dvec2 p : corners) {
        low_ = std::min(low_, p.y);
        high_ = std::max(high_, p.y);
    }
    bands_.resize(n);
    perBand_ = std::max((high_ - low_) / static_cast<double>(n), 1e-12);
    for (size_t i = 0; i < n; ++i) {
        const size_t first = bandOf(std::min(sides_[i].a.y, sides_[i].b.y));
        const size_t last = bandOf(std::max(sides_[i].a.y, sides_[i].b.y));
        for (size_t band = first; band <= last; ++band) bands_[band].push_back(i);
    }
}

size_t InsideRing::bandOf(double y) const {
    const double band = std::floor((y - low_) / perBand_);
    return static_cast<size_t>(std::clamp(band, 0.0, static_cast<double>(bands_.size() - 1)));
}

/// A side that lies in several bands is visited in each.
template <class Visit>
void InsideRing::forSidesBetween(double low, double high, Visit visit) const {
    if (bands_.empty() || high < low_ || low > high_) return;
    const size_t last = bandOf(high);
    for (size_t band = bandOf(low); band <= last; ++band)
        for (const size_t side : bands_[band]) visit(sides_[side]);
}

bool InsideRing::contains(glm::dvec2 p) const {
    bool in = false;
    forSidesBetween(p.y, p.y, [&](const Side& s) {
        if ((s.a.y > p.y) != (s.b.y > p.y) && p.x < s.b.x + (s.a.x - s.b.x) * (p.y - s.b.y) / (s.a.y - s.b.y))
            in = !in;
    });
    return in;
}

double InsideRing::distance(glm::dvec2 p, double most) const {
    double least = most;
    forSidesBetween(p.y - most, p.y + most,
                    [&](const Side& s) { least = std::min(least, distanceToSide(s.a, s.b, p)); });
    return least;
}

/// As parts of the way, sorted, the ends 0 and 1 among them.
std::vector<double> InsideRing::crossings(glm::dvec2 from, glm::dvec2 to) const {
    std::vector<double> parts{0, 1};
    const glm::dvec2 along = to - from;
    forSidesBetween(std::min(from.y, to.y), std::max(from.y, to.y), [&](const Side& s) {
        const glm::dvec2 side = s.b - s.a;
        const double slant = cross(along, side);
        if (slant == 0) return;
        const double part = cross(s.a - from, side) / slant, onSide = cross(s.a - from, along) / slant;
        if (part > 0 && part < 1 && onSide >= 0 && onSide <= 1) parts.push_back(part);
    });
    std::sort(parts.begin(), parts.end());
    return parts;
}

std::optional<glm::dvec2> InsideRing::leaves(const std::vector<glm::dvec2>& inner, double allowed) const {
    for (size_t i = 0; i < inner.size(); ++i) {
        const glm::dvec2 from = inner[i], to = inner[(i + 1) % inner.size()];
        const std::vector<double> parts = crossings(from, to);
        for (size_t k = 0; k + 1 < parts.size(); ++k)
            for (const double part : {parts[k], (parts[k] + parts[k + 1]) / 2}) {
                const glm::dvec2 p = glm::mix(from, to, part);
                if (!contains(p) && distance(p, 2 * allowed) > allowed) return p;
            }
    }
    return std::nullopt;
}

}  // namespace underfoot
