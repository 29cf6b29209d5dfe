#pragma once
// Flat parts of a surface in the squares of a grid, and heights over squares that grow twofold from level to
// level. Internal to study.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

#include <glm/vec2.hpp>

#include "study/plane_parts.h"

namespace underfoot {

/// How heights of the parts are taken: held between two bounds, or less a plane that falls from the parts'
/// middle on.
struct HeldHeights {
    double low = -1e300, high = 1e300;
    glm::dvec2 fall{0, 0};  ///< none where heights are held
    double held(double height) const { return height < low ? low : height > high ? high : height; }
};

/// A narrow straight stretch of the plan about a middle line, in squares: from -reach to reach along it from
/// a place, `aside` + `turn` * |distance| to either side.
struct PlanStrip {
    glm::dvec2 at{0, 0}, along{1, 0};
    double reach = 0, aside = 0, turn = 0;
    double half(double distance) const { return aside + distance * turn; }
};

class PartGrid {
  public:
    /// About as many squares as parts.
    PartGrid(const PlaneParts& flat, double length);

    struct Range {
        int low = 0, high = -1;  ///< both of them in it
    };
    double side() const { return side_; }
    glm::dvec2 low() const { return low_; }
    int columns() const { return columns_; }
    int rows() const { return rows_; }
    std::span<const uint32_t> partsIn(int column, int row) const {
        const size_t square =
            static_cast<size_t>(row) * static_cast<size_t>(columns_) + static_cast<size_t>(column);
        return {parts_.data() + first_[square], first_[square + 1] - first_[square]};
    }
    /// Squares of a level (0: the grid's own) that a stretch of coordinates touches.
    Range columnsAt(int level, double from, double to) const {
        return rangeOf((from - low_.x) / sideAt(level), (to - low_.x) / sideAt(level), columns_, level);
    }
    Range rowsAt(int level, double from, double to) const {
        return rangeOf((from - low_.y) / sideAt(level), (to - low_.y) / sideAt(level), rows_, level);
    }
    double sideAt(int level) const { return side_ * static_cast<double>(1 << level); }

    /// Calls `take(column, row)` for every square of a level that the strip may touch.
    template <class Take>
    void over(const PlanStrip& strip, int level, const Take& take) const;

  private:
    static Range rangeOf(double from, double to, int count, int level);
    template <class Take>
    void eachSquare(const PlaneParts& flat, const PlanePart& part, const Take& take) const;

    glm::dvec2 low_{0, 0};
    double side_ = 1;
    int columns_ = 0, rows_ = 0;
    std::vector<uint32_t> first_, parts_;
};

/// The least and greatest height in every square of a level: 1e300 and -1e300 where no part lies.
struct HeightLevel {
    int columns = 0, rows = 0;
    std::vector<double> low, high;
    size_t square(int column, int row) const {
        return static_cast<size_t>(row) * static_cast<size_t>(columns) + static_cast<size_t>(column);
    }
};
/// From the grid's own squares up to those of `largest` side.
std::vector<HeightLevel> heightLevels(const PlaneParts& flat, const PartGrid& grid, const HeldHeights& held,
                                      double largest);

template <class Take>
void PartGrid::over(const PlanStrip& strip, int level, const Take& take) const {
    // Along the axis that the strip runs along more than across, square by square; beside it, as far as the
    // strip reaches there.
    const bool byColumn = std::abs(strip.along.x) >= std::abs(strip.along.y);
    const double major = std::abs(byColumn ? strip.along.x : strip.along.y);
    const double minor = std::abs(byColumn ? strip.along.y : strip.along.x);
    const double slope = byColumn ? strip.along.y / strip.along.x : strip.along.x / strip.along.y;
    const double at = byColumn ? strip.at.x : strip.at.y, beside = byColumn ? strip.at.y : strip.at.x;
    const double farthest = strip.reach * major + strip.half(strip.reach) * minor;
    const double side = sideAt(level), low = byColumn ? low_.x : low_.y;
    const Range run = byColumn ? columnsAt(level, at - farthest, at + farthest)
                               : rowsAt(level, at - farthest, at + farthest);
    for (int i = run.low; i <= run.high; ++i) {
        const double from = std::max(low + side * i - at, -farthest),
                     to = std::min(low + side * (i + 1) - at, farthest);
        const double far = std::max(std::abs(from), std::abs(to));
        // |distance along| <= (far + half * minor) / major, with half = aside + turn * that distance.
        const double along =
            std::min(strip.reach, (far + strip.aside * minor) / std::max(major - strip.turn * minor, 0.1));
        const double half = strip.half(along) / major;
        const double a = beside + std::min(from * slope, to * slope) - half,
                     b = beside + std::max(from * slope, to * slope) + half;
        const Range cross = byColumn ? rowsAt(level, a, b) : columnsAt(level, a, b);
        for (int j = cross.low; j <= cross.high; ++j) byColumn ? take(i, j) : take(j, i);
    }
}

}  // namespace underfoot
