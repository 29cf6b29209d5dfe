#include "ground/hilbert.h"

#include <algorithm>
#include <array>
#include <limits>
#include <tuple>
#include <utility>

namespace underfoot {
namespace {

struct Keyed {
    uint32_t key, index;
};

// Walks the quadrants from coarse to fine; the curve enters each one turned.
uint32_t hilbertKey(uint32_t x, uint32_t y) {
    uint32_t key = 0;
    for (uint32_t bit = 1u << 15; bit != 0; bit >>= 1) {
        const uint32_t right = (x & bit) ? 1 : 0, upper = (y & bit) ? 1 : 0;
        key = (key << 2) | ((3 * right) ^ upper);
        if (upper == 0) {
            if (right) {
                x = ~x;
                y = ~y;
            }
            std::swap(x, y);
        }
    }
    return key;
}

void sortByKey(std::vector<Keyed>& items) {
    constexpr int digit = 11;
    std::vector<Keyed> other(items.size());
    for (int shift = 0; shift < 32; shift += digit) {
        std::array<size_t, (1 << digit) + 1> start{};
        const auto bucket = [&](const Keyed& k) { return size_t{(k.key >> shift) & ((1u << digit) - 1)}; };
        for (const Keyed& k : items) start[bucket(k) + 1]++;
        for (size_t i = 1; i < start.size(); i++) start[i] += start[i - 1];
        for (const Keyed& k : items) other[start[bucket(k)]++] = k;
        items.swap(other);
    }
}

}  // namespace

HilbertSquare hilbertSquare(std::span<const GridPoint> points) {
    constexpr int64_t far = std::numeric_limits<int64_t>::max();
    GridPoint low{far, far}, high{-far, -far};
    if (points.empty()) return {};
    for (const GridPoint& p : points) {
        low = {std::min(low.x, p.x), std::min(low.y, p.y)};
        high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
    int shift = 0;
    while ((std::max(high.x - low.x, high.y - low.y) >> shift) > 0xffff) shift++;
    return {low, shift};
}

std::vector<uint32_t> hilbertOrder(std::span<const GridPoint> points) {
    if (points.empty()) return {};
    const auto [low, shift] = hilbertSquare(points);
    std::vector<Keyed> items(points.size());
    for (size_t i = 0; i < points.size(); i++) {
        const auto x = static_cast<uint32_t>((points[i].x - low.x) >> shift);
        const auto y = static_cast<uint32_t>((points[i].y - low.y) >> shift);
        items[i] = {hilbertKey(x, y), static_cast<uint32_t>(i)};
    }
    sortByKey(items);

    const auto finer = [&](const Keyed& a, const Keyed& b) {
        const GridPoint &p = points[a.index], &q = points[b.index];
        return std::tie(p.x, p.y, a.index) < std::tie(q.x, q.y, b.index);
    };
    for (auto from = items.begin(); from != items.end();) {
        auto to = from + 1;
        while (to != items.end() && to->key == from->key) ++to;
        if (to - from > 1) std::sort(from, to, finer);
        from = to;
    }
    std::vector<uint32_t> order(items.size());
    std::transform(items.begin(), items.end(), order.begin(), [](const Keyed& k) { return k.index; });
    return order;
}

}  // namespace underfoot
