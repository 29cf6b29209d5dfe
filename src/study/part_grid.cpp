#include "study/part_grid.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

namespace underfoot {

PartGrid::Range PartGrid::rangeOf(double from, double to, int count, int level) {
    const int last = (count - 1) >> level;
    if (!(to >= 0) || !(from <= last + 1)) return {};
    // A hair more: places on a square's edge belong to both.
    constexpr double hair = 1e-6;
    return {static_cast<int>(std::clamp(std::floor(from - hair), 0.0, static_cast<double>(last))),
            static_cast<int>(std::clamp(std::floor(to + hair), 0.0, static_cast<double>(last)))};
}

// Squares that a convex part touches: those of its box, less those that lie outside one of its sides.
template <class Take>
void PartGrid::eachSquare(const PlaneParts& flat, const PlanePart& part, const Take& take) const {
    const auto corner = flat.corners.begin() + part.firstCorner;
    glm::dvec2 low(1e300), high(-1e300);
    for (int k = 0; k < part.corners; ++k) low = glm::min(low, corner[k]), high = glm::max(high, corner[k]);
    const Range columns = columnsAt(0, low.x, high.x), rows = rowsAt(0, low.y, high.y);
    const bool few = (columns.high - columns.low + 1) * (rows.high - rows.low + 1) <= 4;
    const auto outside = [&](int column, int row) {
        const glm::dvec2 middle = low_ + side_ * glm::dvec2{column + 0.5, row + 0.5};
        for (int k = 0; k < part.corners; ++k) {
            const glm::dvec2 a = corner[k], run = corner[k + 1 < part.corners ? k + 1 : 0] - a,
                             to = middle - a;
            const double reach = 0.5001 * side_ * (std::abs(run.x) + std::abs(run.y));
            if (run.x * to.y - run.y * to.x < -reach) return true;
        }
        return false;
    };
    for (int row = rows.low; row <= rows.high; ++row)
        for (int column = columns.low; column <= columns.high; ++column)
            if (few || !outside(column, row))
                take(static_cast<size_t>(row) * static_cast<size_t>(columns_) + static_cast<size_t>(column));
}

PartGrid::PartGrid(const PlaneParts& flat, double length) {
    if (flat.parts.empty()) return;
    glm::dvec2 high(-1e300);
    low_ = glm::dvec2(1e300);
    for (const glm::dvec2 p : flat.corners) low_ = glm::min(low_, p), high = glm::max(high, p);
    const glm::dvec2 size = high - low_;
    constexpr double mostSquares = 1e6;
    const double count = static_cast<double>(flat.parts.size());
    side_ = std::sqrt(std::max(size.x * size.y, 1e-6) / count);
    side_ = std::max({std::min(side_, length / 12), std::sqrt(size.x * size.y / mostSquares),
                      std::max(size.x, size.y) / mostSquares});
    columns_ = 1 + static_cast<int>(size.x / side_);
    rows_ = 1 + static_cast<int>(size.y / side_);
    first_.assign(static_cast<size_t>(columns_) * static_cast<size_t>(rows_) + 1, 0);
    for (const PlanePart& part : flat.parts)
        eachSquare(flat, part, [&](size_t square) { ++first_[square + 1]; });
    for (size_t i = 1; i < first_.size(); ++i) first_[i] += first_[i - 1];
    parts_.resize(first_.back());
    std::vector<uint32_t> next(first_.begin(), first_.end() - 1);
    for (size_t i = 0; i < flat.parts.size(); ++i)
        eachSquare(flat, flat.parts[i],
                   [&](size_t square) { parts_[next[square]++] = static_cast<uint32_t>(i); });
}

namespace {

// The heights of each part at its corners, and those of its plane on the square, bound it there.
HeightLevel finest(const PlaneParts& flat, const PartGrid& grid, const HeldHeights& held) {
    struct Reach {
        double low = 1e300, high = -1e300;
    };
    std::vector<Reach> reaches;
    reaches.reserve(flat.parts.size());
    for (const PlanePart& part : flat.parts) {
        Reach reach;
        for (int k = 0; k < part.corners; ++k) {
            const glm::dvec2 p = flat.corners[static_cast<size_t>(part.firstCorner + k)];
            const double z = part.level + glm::dot(part.gradient - held.fall, p);
            reach = {std::min(reach.low, z), std::max(reach.high, z)};
        }
        reaches.push_back(reach);
    }
    HeightLevel level{grid.columns(), grid.rows(), {}, {}};
    for (int row = 0; row < level.rows; ++row) {
        for (int column = 0; column < level.columns; ++column) {
            const glm::dvec2 middle = grid.low() + grid.side() * glm::dvec2{column + 0.5, row + 0.5};
            double low = 1e300, high = -1e300;
            for (const uint32_t i : grid.partsIn(column, row)) {
                const PlanePart& part = flat.parts[i];
                const glm::dvec2 gradient = part.gradient - held.fall;
                const double z = part.level + glm::dot(gradient, middle);
                const double half = 0.5001 * grid.side() * (std::abs(gradient.x) + std::abs(gradient.y));
                low = std::min(low, held.held(std::max(reaches[i].low, z - half)));
                high = std::max(high, held.held(std::min(reaches[i].high, z + half)));
            }
            level.low.push_back(low);
            level.high.push_back(high);
        }
    }
    return level;
}

}  // namespace

std::vector<HeightLevel> heightLevels(const PlaneParts& flat, const PartGrid& grid, const HeldHeights& held,
                                      double largest) {
    std::vector<HeightLevel> levels{finest(flat, grid, held)};
    for (int level = 1; grid.sideAt(level) <= largest; ++level) {
        const HeightLevel& fine = levels.back();
        HeightLevel next{(fine.columns + 1) / 2, (fine.rows + 1) / 2, {}, {}};
        next.low.assign(next.square(0, next.rows), 1e300);
        next.high.assign(next.square(0, next.rows), -1e300);
        for (int row = 0; row < fine.rows; ++row)
            for (int column = 0; column < fine.columns; ++column) {
                const size_t to = next.square(column / 2, row / 2), from = fine.square(column, row);
                next.low[to] = std::min(next.low[to], fine.low[from]);
                next.high[to] = std::max(next.high[to], fine.high[from]);
            }
        levels.push_back(std::move(next));
    }
    return levels;
}

}  // namespace underfoot
