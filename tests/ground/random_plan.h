#pragma once
// Seeded plan points for tests: the same on every machine.

#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include <glm/vec2.hpp>

namespace underfoot_test {

class Random {
  public:
    explicit Random(uint64_t seed) : state_(seed * 0x9e3779b97f4a7c15u + 1) {}
    uint64_t bits() {
        state_ ^= state_ << 13;
        state_ ^= state_ >> 7;
        state_ ^= state_ << 17;
        return state_ * 0x2545f4914f6cdd1du;
    }
    int below(int count) { return static_cast<int>((bits() >> 33) % static_cast<uint64_t>(count)); }
    double unit() { return static_cast<double>(bits() >> 11) * 0x1p-53; }
    double between(double low, double high) { return low + (high - low) * unit(); }
    glm::dvec2 inSquare(double size) {
        const double x = between(0, size);
        return {x, between(0, size)};
    }
    glm::dvec2 onIntegerGrid(int size) {
        const int x = below(size);
        return {x, below(size)};
    }

  private:
    uint64_t state_;
};

/// Corners of a star-shaped polygon about `centre`, counter-clockwise.
inline std::vector<glm::dvec2> starPolygon(Random& random, glm::dvec2 centre, double radius, int corners) {
    std::vector<glm::dvec2> polygon;
    for (int i = 0; i < corners; i++) {
        const double turn = 2 * std::numbers::pi * (i + 0.8 * random.unit()) / corners;
        const double reach = random.between(0.2 * radius, radius);
        polygon.push_back({centre.x + reach * std::cos(turn), centre.y + reach * std::sin(turn)});
    }
    return polygon;
}

/// Even-odd rule; points on an edge may be told either way.
inline bool isInside(const std::vector<glm::dvec2>& polygon, glm::dvec2 p) {
    bool inside = false;
    for (size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
        const glm::dvec2 a = polygon[i], b = polygon[j];
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
            inside = !inside;
    }
    return inside;
}

}  // namespace underfoot_test
