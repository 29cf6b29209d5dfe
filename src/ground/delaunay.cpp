#include "ground/delaunay.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <utility>

namespace underfoot {
namespace {

// The corner at infinity: each hull edge has a triangle with it, so that the plane is covered and a point
// outside the hull is inserted like any other.
constexpr int beyond = -1;

// Half-edge e lies opposite corner e % 3 of triangle e / 3.
int after(int e) {
    return e % 3 == 2 ? e - 2 : e + 1;
}
int before(int e) {
    return e % 3 == 0 ? e + 2 : e - 1;
}

uint64_t scramble(uint64_t x) {
    x += 0x9e3779b97f4a7c15u;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
    return x ^ (x >> 31);
}

// Rounds of growing random samples, each along the curve: short walks and, unlike the bare curve, no long
// thin triangles at an advancing front.
std::vector<int> insertionOrder(size_t count) {
    constexpr int rounds = 12;
    std::vector<uint8_t> round(count);
    std::array<size_t, rounds + 1> start{};
    for (size_t i = 0; i < count; i++) {
        const int zeros = std::min(std::countr_zero(scramble(i)) / 2, rounds - 1);
        round[i] = static_cast<uint8_t>(rounds - 1 - zeros);
        start[round[i] + 1u]++;
    }
    for (size_t r = 1; r < start.size(); r++) start[r] += start[r - 1];
    std::vector<int> order(count);
    for (size_t i = 0; i < count; i++) order[start[round[i]]++] = static_cast<int>(i);
    return order;
}

class Builder {
  public:
    explicit Builder(std::span<const GridPoint> points) : points_(points) {
        corner_.reserve(6 * points.size());
        twin_.reserve(6 * points.size());
    }

    std::vector<Triangle> build() {
        std::vector<int> order = insertionOrder(points_.size());
        if (!moveStartForward(order)) return {};
        start(order[0], order[1], order[2]);
        for (size_t i = 3; i < order.size(); i++) insert(order[i]);
        return finished();
    }

  private:
    struct Place {
        int triangle;
        int onEdge;  // half-edge, -1 when strictly inside
    };

    int& corner(int e) { return corner_[static_cast<size_t>(e)]; }
    int& twin(int e) { return twin_[static_cast<size_t>(e)]; }
    const GridPoint& at(int vertex) const { return points_[static_cast<size_t>(vertex)]; }
    int turn(int a, int b, int c) const { return orientation(at(a), at(b), at(c)); }

    void link(int e, int f) {
        twin(e) = f;
        twin(f) = e;
    }

    int add(int a, int b, int c) {
        const int first = static_cast<int>(corner_.size());
        corner_.insert(corner_.end(), {a, b, c});
        twin_.insert(twin_.end(), {-1, -1, -1});
        return first;
    }

    // Three points that turn left come first.
    bool moveStartForward(std::vector<int>& order) const {
        for (size_t i = 2; i < order.size(); i++) {
            const int way = turn(order[0], order[1], order[i]);
            if (way == 0) continue;
            std::swap(order[2], order[i]);
            if (way < 0) std::swap(order[0], order[1]);
            return true;
        }
        return false;
    }

    void start(int a, int b, int c) {
        const std::array<int, 3> v{a, b, c};
        add(a, b, c);
        for (size_t i = 0; i < 3; i++) add(v[(i + 2) % 3], v[(i + 1) % 3], beyond);
        for (int i = 0; i < 3; i++) {
            link(i, 3 + 3 * i + 2);
            link(3 + 3 * i + 1, 3 + 3 * ((i + 1) % 3));
        }
    }

    int beyondCorner(int triangle) {
        for (int e = 3 * triangle; e < 3 * triangle + 3; e++) {
            if (corner(e) == beyond) return e;
        }
        return -1;
    }

    Place find(int p) {
        int triangle = last_;
        if (const int e = beyondCorner(triangle); e >= 0) triangle = twin(e) / 3;
        int entered = -1;
        while (true) {
            int onEdge = -1, leave = -1;
            for (int e = 3 * triangle; e < 3 * triangle + 3; e++) {
                if (e == entered) continue;
                const int way = turn(corner(after(e)), corner(before(e)), p);
                if (way == 0) onEdge = e;
                if (way < 0) {
                    leave = e;
                    break;
                }
            }
            if (leave < 0) return {triangle, onEdge};
            entered = twin(leave);
            triangle = entered / 3;
            if (corner(entered) == beyond) return {triangle, -1};
        }
    }

    void insert(int p) {
        const Place place = find(p);
        if (place.onEdge < 0) {
            splitTriangle(3 * place.triangle, p);
        } else {
            splitEdge(place.onEdge, p);
        }
        last_ = place.triangle;
        while (!suspect_.empty()) {
            const int e = suspect_.back();
            suspect_.pop_back();
            if (conflicts(e, p)) flip(e);
        }
    }

    void splitTriangle(int e, int p) {
        const int a = corner(e), b = corner(e + 1), c = corner(e + 2);
        const int besideB = twin(e + 1), besideC = twin(e + 2);
        const int f = add(p, c, a), g = add(p, a, b);
        corner(e) = p;
        link(f, besideB);
        link(g, besideC);
        link(e + 1, f + 2);
        link(f + 1, g + 2);
        link(g + 1, e + 2);
        suspect_ = {e, f, g};
    }

    void splitEdge(int e, int p) {
        const int f = twin(e);
        const int e1 = after(e), e2 = before(e), f1 = after(f), f2 = before(f);
        const int a = corner(e), u = corner(e1), w = corner(e2), b = corner(f);
        const int besideU = twin(e1), besideW = twin(f1);
        // (a,u,w) and (b,w,u) become (a,u,p) and (b,w,p); the other halves are new.
        const int g = add(a, p, w), h = add(b, p, u);
        corner(e2) = p;
        corner(f2) = p;
        link(g + 1, besideU);
        link(h + 1, besideW);
        link(e1, g + 2);
        link(f1, h + 2);
        link(e, h);
        link(f, g);
        suspect_ = {e2, f2, g + 1, h + 1};
    }

    // Is p, corner e of its triangle, inside the circle of the triangle across e? That of a hull edge and
    // infinity is the half plane outside.
    bool conflicts(int e, int p) {
        const int f = twin(e);
        const int q = corner(f), w = corner(after(f)), u = corner(before(f));
        if (q == beyond) return false;
        if (w == beyond) return turn(u, q, p) > 0;
        if (u == beyond) return turn(q, w, p) > 0;
        return inCircle(at(q), at(w), at(u), at(p)) > 0;
    }

    void flip(int e) {
        const int f = twin(e);
        const int e1 = after(e), e2 = before(e), f1 = after(f), f2 = before(f);
        const int acrossE = twin(f1), acrossF = twin(e1);
        corner(e2) = corner(f);
        corner(f2) = corner(e);
        link(e, acrossE);
        link(f, acrossF);
        link(e1, f1);
        suspect_.push_back(e);
        suspect_.push_back(f2);
    }

    std::vector<int> placesByLowestCorner(size_t count) {
        std::vector<int> start(points_.size() + 1, 0);
        std::vector<int> lowest(count, -1);
        for (size_t t = 0; t < count; t++) {
            lowest[t] = std::min({corner_[3 * t], corner_[3 * t + 1], corner_[3 * t + 2]});
            if (lowest[t] != beyond) start[static_cast<size_t>(lowest[t]) + 1]++;
        }
        for (size_t i = 1; i < start.size(); i++) start[i] += start[i - 1];
        for (size_t t = 0; t < count; t++) {
            if (lowest[t] != beyond) lowest[t] = start[static_cast<size_t>(lowest[t])]++;
        }
        return lowest;
    }

    std::vector<Triangle> finished() {
        const size_t count = corner_.size() / 3;
        const std::vector<int> place = placesByLowestCorner(count);
        std::vector<Triangle> triangles(
            static_cast<size_t>(std::count_if(place.begin(), place.end(), [](int p) { return p >= 0; })));
        for (size_t t = 0; t < count; t++) {
            if (place[t] < 0) continue;
            Triangle& triangle = triangles[static_cast<size_t>(place[t])];
            for (size_t i = 0; i < 3; i++) {
                triangle.v[i] = corner_[3 * t + i];
                triangle.neighbour[i] = place[static_cast<size_t>(twin_[3 * t + i] / 3)];
            }
        }
        return triangles;
    }

    std::span<const GridPoint> points_;
    std::vector<int> corner_, twin_;
    std::vector<int> suspect_;
    int last_ = 0;
};

}  // namespace

std::vector<Triangle> delaunayTriangles(std::span<const GridPoint> points) {
    return points.size() < 3 ? std::vector<Triangle>{} : Builder(points).build();
}

}  // namespace underfoot
