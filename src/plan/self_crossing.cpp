#include "plan/self_crossing.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

namespace underfoot {
namespace {

__extension__ typedef __int128 Wide;

struct Grid {
    int64_t x = 0;
    int64_t y = 0;
    bool operator==(const Grid&) const = default;
};

struct Side {
    Grid a, b;
    size_t corner = 0;
};

int turn(Grid a, Grid b, Grid c) {
    const Wide area = static_cast<Wide>(b.x - a.x) * (c.y - a.y) - static_cast<Wide>(b.y - a.y) * (c.x - a.x);
    return area > 0 ? 1 : area < 0 ? -1 : 0;
}

bool inBox(Grid a, Grid b, Grid p) {
    return std::min(a.x, b.x) <= p.x && p.x <= std::max(a.x, b.x) && std::min(a.y, b.y) <= p.y &&
           p.y <= std::max(a.y, b.y);
}

bool onSide(const Side& s, Grid p) {
    return turn(s.a, s.b, p) == 0 && inBox(s.a, s.b, p);
}

bool meet(const Side& s, const Side& t) {
    const int s1 = turn(t.a, t.b, s.a), s2 = turn(t.a, t.b, s.b), t1 = turn(s.a, s.b, t.a),
              t2 = turn(s.a, s.b, t.b);
    if (s1 * s2 < 0 && t1 * t2 < 0) return true;
    return onSide(t, s.a) || onSide(t, s.b) || onSide(s, t.a) || onSide(s, t.b);
}

/// Sides that follow one another share a corner; they meet wrongly only where one goes back along the other.
bool foldsBack(const Side& s, const Side& next) {
    if (turn(s.a, s.b, next.b) != 0) return false;
    const Wide ahead = static_cast<Wide>(s.b.x - s.a.x) * (next.b.x - next.a.x) +
                       static_cast<Wide>(s.b.y - s.a.y) * (next.b.y - next.a.y);
    return ahead < 0;
}

glm::dvec2 meetingPlace(const Side& s, const Side& t) {
    const auto point = [](Grid g) { return glm::dvec2{static_cast<double>(g.x), static_cast<double>(g.y)}; };
    for (const Grid p : {t.a, t.b})
        if (onSide(s, p)) return point(p);
    for (const Grid p : {s.a, s.b})
        if (onSide(t, p)) return point(p);
    const glm::dvec2 a = point(s.a), u = point(s.b) - a, c = point(t.a), v = point(t.b) - c;
    const double k = ((c.x - a.x) * v.y - (c.y - a.y) * v.x) / (u.x * v.y - u.y * v.x);
    return a + k * u;
}

/// Sides sorted into the squares of a coarse grid that their boxes, row by row, pass over.
class Squares {
  public:
    explicit Squares(const std::vector<Side>& sides) : sides_(sides) {
        for (const Side& s : sides) {
            for (const Grid p : {s.a, s.b}) {
                low_ = {std::min(low_.x, p.x), std::min(low_.y, p.y)};
                high_ = {std::max(high_.x, p.x), std::max(high_.y, p.y)};
            }
        }
        count_ =
            std::clamp<int64_t>(static_cast<int64_t>(std::sqrt(static_cast<double>(sides.size()))), 1, 1024);
        width_ = (high_.x - low_.x) / count_ + 1;
        height_ = (high_.y - low_.y) / count_ + 1;
        squares_.resize(static_cast<size_t>(count_ * count_));
    }

    std::optional<std::pair<const Side*, const Side*>> firstMeeting() {
        for (const Side& side : sides_)
            if (const Side* other = place(side)) return std::pair(other, &side);
        return std::nullopt;
    }

  private:
    const Side* place(const Side& side) {
        const int64_t firstRow = (std::min(side.a.y, side.b.y) - low_.y) / height_;
        const int64_t lastRow = (std::max(side.a.y, side.b.y) - low_.y) / height_;
        for (int64_t row = firstRow; row <= lastRow; ++row) {
            const auto [from, to] = columnsIn(side, row);
            for (int64_t column = from; column <= to; ++column) {
                auto& square = squares_[static_cast<size_t>(row * count_ + column)];
                for (const Side* other : square)
                    if (wrong(*other, side)) return other;
                square.push_back(&side);
            }
        }
        return nullptr;
    }

    bool wrong(const Side& earlier, const Side& later) const {
        const bool follows = next(earlier) == &later;
        const bool closes = next(later) == &earlier;
        if (follows && foldsBack(earlier, later)) return true;
        if (closes && foldsBack(later, earlier)) return true;
        if (follows || closes) return false;
        return meet(earlier, later);
    }

    const Side* next(const Side& side) const {
        const size_t i = static_cast<size_t>(&side - sides_.data()) + 1;
        return &sides_[i == sides_.size() ? 0 : i];
    }

    /// Columns that the side passes over within a row, with one column to spare for rounding.
    std::pair<int64_t, int64_t> columnsIn(const Side& side, int64_t row) const {
        double left = static_cast<double>(std::min(side.a.x, side.b.x)),
               right = static_cast<double>(std::max(side.a.x, side.b.x));
        if (side.a.y != side.b.y) {
            const double slope =
                static_cast<double>(side.b.x - side.a.x) / static_cast<double>(side.b.y - side.a.y);
            const double bottom = static_cast<double>(low_.y + row * height_ - side.a.y);
            const double x1 = static_cast<double>(side.a.x) + slope * bottom;
            const double x2 = x1 + slope * static_cast<double>(height_);
            left = std::max(left, std::min(x1, x2) - 2);
            right = std::min(right, std::max(x1, x2) + 2);
        }
        const auto column = [this](double x) {
            return std::clamp<int64_t>(
                static_cast<int64_t>((x - static_cast<double>(low_.x)) / static_cast<double>(width_)), 0,
                count_ - 1);
        };
        return {column(left), column(right)};
    }

    const std::vector<Side>& sides_;
    Grid low_{INT64_MAX / 4, INT64_MAX / 4}, high_{INT64_MIN / 4, INT64_MIN / 4};
    int64_t count_ = 1, width_ = 1, height_ = 1;
    std::vector<std::vector<const Side*>> squares_;
};

}  // namespace

std::optional<Crossing> selfCrossing(const std::vector<glm::dvec2>& corners) {
    if (corners.empty()) return std::nullopt;
    constexpr double perMetre = 1e6;
    const glm::dvec2 origin = corners.front();
    std::vector<Grid> grid;
    grid.reserve(corners.size());
    for (const glm::dvec2 p : corners)
        grid.push_back(
            {std::llround((p.x - origin.x) * perMetre), std::llround((p.y - origin.y) * perMetre)});
    std::vector<Side> sides;
    for (size_t i = 0; i < grid.size(); ++i) {
        const Grid b = grid[i + 1 == grid.size() ? 0 : i + 1];
        if (!(grid[i] == b)) sides.push_back({grid[i], b, i});
    }
    const auto found = Squares(sides).firstMeeting();
    if (!found) return std::nullopt;
    return Crossing{std::min(found->first->corner, found->second->corner),
                    std::max(found->first->corner, found->second->corner),
                    origin + meetingPlace(*found->first, *found->second) / perMetre};
}

}  // namespace underfoot
