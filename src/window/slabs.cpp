#include "window/slabs.h"

#include <algorithm>

namespace underfoot {

namespace {

struct Side {
    glm::dvec2 left, right;
    double at(double x) const { return left.y + (right.y - left.y) * (x - left.x) / (right.x - left.x); }
};

std::vector<Side> sidesOf(std::span<const glm::dvec2> corners) {
    std::vector<Side> sides;
    for (size_t i = 0; i < corners.size(); ++i) {
        const glm::dvec2 a = corners[i], b = corners[(i + 1) % corners.size()];
        if (a.x == b.x) continue;
        sides.push_back(a.x < b.x ? Side{a, b} : Side{b, a});
    }
    std::sort(sides.begin(), sides.end(), [](const Side& a, const Side& b) { return a.left.x < b.left.x; });
    return sides;
}

}  // namespace

Slabs::Slabs(std::span<const glm::dvec2> corners) {
    if (corners.size() < 3) return;
    low_ = high_ = corners[0];
    for (const glm::dvec2& p : corners) {
        xs_.push_back(p.x);
        low_ = {std::min(low_.x, p.x), std::min(low_.y, p.y)};
        high_ = {std::max(high_.x, p.x), std::max(high_.y, p.y)};
    }
    std::sort(xs_.begin(), xs_.end());
    xs_.erase(std::unique(xs_.begin(), xs_.end()), xs_.end());
    const std::vector<Side> sides = sidesOf(corners);
    std::vector<Side> open;
    size_t next = 0;
    for (size_t i = 0; i + 1 < xs_.size(); ++i) {
        const double left = xs_[i], right = xs_[i + 1], middle = 0.5 * (left + right);
        std::erase_if(open, [&](const Side& side) { return side.right.x <= left; });
        while (next < sides.size() && sides[next].left.x <= left) open.push_back(sides[next++]);
        std::sort(open.begin(), open.end(),
                  [&](const Side& a, const Side& b) { return a.at(middle) < b.at(middle); });
        firstOf_.push_back(pieces_.size());
        for (size_t k = 0; k + 1 < open.size(); k += 2)
            pieces_.push_back({left, right, open[k].at(left), open[k].at(right), open[k + 1].at(left),
                               open[k + 1].at(right)});
    }
    firstOf_.push_back(pieces_.size());
}

bool Slabs::holds(glm::dvec2 p) const {
    if (xs_.size() < 2 || p.x < xs_.front() || p.x > xs_.back()) return false;
    const auto after = std::upper_bound(xs_.begin(), xs_.end() - 1, p.x);
    const size_t slab = static_cast<size_t>(after - xs_.begin()) - 1;
    for (size_t i = firstOf_[slab]; i < firstOf_[slab + 1]; ++i) {
        const Piece& piece = pieces_[i];
        const double part = (p.x - piece.left) / (piece.right - piece.left);
        if (p.y >= piece.lowLeft + (piece.lowRight - piece.lowLeft) * part &&
            p.y <= piece.highLeft + (piece.highRight - piece.highLeft) * part)
            return true;
    }
    return false;
}

}  // namespace underfoot
