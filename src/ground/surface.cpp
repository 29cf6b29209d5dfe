#include "ground/surface.h"

#include <cassert>
#include <cmath>
#include <cstdint>
#include <limits>
#include <unordered_map>

#include "ground/clip.h"
#include "ground/grid.h"

namespace underfoot {
namespace {

// a d - b c to the last bit (W. Kahan): slivers of triangles keep an area that is not zero.
double difference(double a, double d, double b, double c) {
    const double bc = b * c;
    return std::fma(a, d, -bc) + std::fma(-b, c, bc);
}

class FlatSurface final : public Surface {
  public:
    explicit FlatSurface(const PlaneHeight& plane) : plane_(plane) {}
    PlaneHeight pieceAt(glm::dvec2, int&) const override { return plane_; }
    std::vector<BreakLine> breakLines(glm::dvec2, glm::dvec2) const override { return {}; }

  private:
    PlaneHeight plane_;
};

class JoinedPlanes final : public Surface {
  public:
    JoinedPlanes(std::vector<PlaneHeight> planes, Join join) : planes_(std::move(planes)), join_(join) {}

    PlaneHeight pieceAt(glm::dvec2 p, int&) const override {
        const PlaneHeight* rules = &planes_[0];
        for (const PlaneHeight& plane : planes_) {
            if (above(*rules, plane, p) > 0) rules = &plane;
        }
        return *rules;
    }

    std::vector<BreakLine> breakLines(glm::dvec2 low, glm::dvec2 high) const override {
        std::vector<BreakLine> lines;
        for (size_t i = 0; i < planes_.size(); i++) {
            for (size_t j = i + 1; j < planes_.size(); j++) {
                if (const auto line = jointOf(i, j, low, high)) lines.push_back(*line);
            }
        }
        return lines;
    }

  private:
    // How far `loser` is on the wrong side of `winner` for this join.
    double above(const PlaneHeight& loser, const PlaneHeight& winner, glm::dvec2 p) const {
        const double rise = loser.height(p) - winner.height(p);
        return join_ == Join::Lowest ? rise : -rise;
    }

    std::optional<BreakLine> jointOf(size_t i, size_t j, glm::dvec2 low, glm::dvec2 high) const {
        // Gradients closer than this part by less than a nanometre over a kilometre.
        constexpr double parallel = 1e-12;
        // Planes that meet in one line are to keep it, for all the rounding of heights.
        constexpr double rounding = 1e-11;
        constexpr double far = std::numeric_limits<double>::infinity();
        const glm::dvec2 centre = (low + high) / 2.0;
        const glm::dvec2 fall = planes_[i].gradient - planes_[j].gradient;
        const double steepness = std::hypot(fall.x, fall.y);
        if (steepness < parallel) return std::nullopt;
        const double rise = planes_[i].height(centre) - planes_[j].height(centre);
        Stretch s{centre - fall * (rise / (steepness * steepness)),
                  {-fall.y / steepness, fall.x / steepness},
                  -far,
                  far};
        if (!keepInBox(s, low, high)) return std::nullopt;
        const double sign = join_ == Join::Lowest ? 1 : -1;
        for (size_t k = 0; k < planes_.size(); k++) {
            if (k == i || k == j) continue;
            const glm::dvec2 gradient = sign * (planes_[k].gradient - planes_[i].gradient);
            const double slope = gradient.x * s.along.x + gradient.y * s.along.y;
            const double value = above(planes_[k], planes_[i], s.at) + rounding;
            if (!keepWherePositive(s, value, std::fabs(slope) < parallel ? 0 : slope)) return std::nullopt;
        }
        const std::pair line{placeAt(s, s.from, low, high), placeAt(s, s.to, low, high)};
        if (line.first == line.second) return std::nullopt;
        return line;
    }

    std::vector<PlaneHeight> planes_;
    Join join_;
};

}  // namespace

PlaneHeight planeThrough(const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c) {
    const glm::dvec3 ab = b - a, ac = c - a;
    const double area2 = difference(ab.x, ac.y, ab.y, ac.x);
    assert(area2 != 0);
    return {{a.x, a.y},
            a.z,
            {difference(ab.z, ac.y, ab.y, ac.z) / area2, difference(ab.x, ac.z, ab.z, ac.x) / area2}};
}

PlaneHeight planeFit(std::span<const glm::dvec3> points) {
    if (points.empty()) return {};
    glm::dvec3 mean{0, 0, 0};
    for (const glm::dvec3& p : points) mean += p;
    mean /= static_cast<double>(points.size());
    double xx = 0, xy = 0, yy = 0, xz = 0, yz = 0;
    for (const glm::dvec3& p : points) {
        const glm::dvec3 d = p - mean;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
        xz += d.x * d.z;
        yz += d.y * d.z;
    }
    PlaneHeight plane{{mean.x, mean.y}, mean.z, {0, 0}};
    constexpr double inLine = 1e-6;
    const double det = xx * yy - xy * xy;
    if (det <= inLine * inLine * (xx + yy) * (xx + yy)) return plane;
    plane.gradient = {(xz * yy - yz * xy) / det, (yz * xx - xz * xy) / det};
    return plane;
}

namespace {

struct GridPointHash {
    size_t operator()(const GridPoint& p) const {
        const uint64_t mixed = static_cast<uint64_t>(p.x) * 0x9E3779B97F4A7C15u + static_cast<uint64_t>(p.y);
        return static_cast<size_t>((mixed ^ (mixed >> 29)) * 0xBF58476D1CE4E5B9u >> 17);
    }
};

}  // namespace

LineNet netOf(std::span<const BreakLine> lines) {
    LineNet net;
    net.lines.reserve(lines.size());
    std::unordered_map<GridPoint, int, GridPointHash> known;
    known.reserve(lines.size());
    const auto placeOf = [&](glm::dvec2 p) {
        const auto [found, fresh] = known.try_emplace(toGrid(p), static_cast<int>(net.places.size()));
        if (fresh) net.places.push_back(p);
        return found->second;
    };
    for (const auto& [a, b] : lines) {
        const int from = placeOf(a), to = placeOf(b);
        net.lines.push_back({from, to});
    }
    return net;
}

BreakLine Surface::boxRound(glm::dvec2 a, glm::dvec2 b) {
    constexpr double room = 1e-3;
    return {{std::fmin(a.x, b.x) - room, std::fmin(a.y, b.y) - room},
            {std::fmax(a.x, b.x) + room, std::fmax(a.y, b.y) + room}};
}

std::vector<double> Surface::breaksBetween(glm::dvec2 a, glm::dvec2 b) const {
    const auto [low, high] = boxRound(a, b);
    return breaksOf(breakLines(low, high), a, b);
}

std::vector<double> Surface::breaksOf(std::span<const BreakLine> lines, glm::dvec2 a, glm::dvec2 b) {
    constexpr double parallel = 1e-12, atEnd = 1e-6;
    const auto cross = [](glm::dvec2 u, glm::dvec2 v) { return u.x * v.y - u.y * v.x; };
    std::vector<double> breaks;
    for (const auto& [c, d] : lines) {
        const double denominator = cross(b - a, d - c);
        if (std::fabs(denominator) < parallel) continue;
        const double t = cross(c - a, d - c) / denominator;
        const double u = cross(c - a, b - a) / denominator;
        if (t > atEnd && t < 1 - atEnd && u >= 0 && u <= 1) breaks.push_back(t);
    }
    return breaks;
}

double Surface::height(glm::dvec2 p) const {
    int hint = -1;
    return pieceAt(p, hint).height(p);
}

std::unique_ptr<Surface> planeSurface(const PlaneHeight& plane) {
    return std::make_unique<FlatSurface>(plane);
}

std::unique_ptr<Surface> joinedPlanes(std::vector<PlaneHeight> planes, Join join) {
    assert(!planes.empty());
    return std::make_unique<JoinedPlanes>(std::move(planes), join);
}

}  // namespace underfoot
