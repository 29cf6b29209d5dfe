#include "study/round_gaps.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

#include <glm/geometric.hpp>

#include "measure/cross.h"
#include "study/index.h"

namespace underfoot {

namespace {

// Metres: a line along the surface's edge is on it, whichever way it is rounded.
constexpr double hair = 1e-9;
constexpr size_t steps = 256;  // of a whole turn

// How far round a way points, from 0 to 4: the angle as it were on a square stood on its corner.
double roundness(glm::dvec2 way) {
    const double sum = std::abs(way.x) + std::abs(way.y);
    const double part = sum > 0 ? way.y / sum : 0;
    return way.x < 0 ? 2 - part : way.y < 0 ? 4 + part : part;
}

}  // namespace

// The greater of its two ends': along a straight piece the rise has no top between them.
double RoundGaps::Rest::rise(double height) const {
    const auto riseOf = [](double run, double over) {
        return run > 0 ? over / run : over > 0 ? 1e300 : -1e300;
    };
    return std::max(riseOf(from, z0 - height), riseOf(to, z1 - height));
}

RoundGaps::RoundGaps(const PlaneParts& flat, const PartGrid& grid, const std::vector<HeightLevel>& levels,
                     const std::vector<double>& tops, double length, const HeldHeights& held, int directions)
    : flat_(flat),
      grid_(grid),
      levels_(levels),
      tops_(tops),
      length_(length),
      held_(held),
      directions_(index(directions)),
      rays_(2 * directions_),
      startAt_(steps + 1, 0),
      seen_(flat.parts.size(), 0) {
    for (size_t i = 0; i < rays_.size(); ++i) {
        const double angle = std::numbers::pi * static_cast<double>(i) / static_cast<double>(directions_);
        rays_[i].along = {std::cos(angle), std::sin(angle)};
    }
    for (size_t i = 0; i < directions_; ++i) rays_[i + directions_].along = -rays_[i].along;
    for (size_t step = 0, ray = 0; step <= steps; ++step) {
        const double round = 4.0 * static_cast<double>(step) / steps;
        while (ray + 1 < rays_.size() && roundness(rays_[ray + 1].along) <= round) ++ray;
        startAt_[step] = ray;
    }
}

// The last ray that a way does not lie before, going round to the left.
size_t RoundGaps::rayBefore(glm::dvec2 way) const {
    const double round = roundness(way);
    size_t ray = startAt_[std::min(static_cast<size_t>(round * (steps / 4.0)), steps)];
    while (ray + 1 < rays_.size() && roundness(rays_[ray + 1].along) <= round) ++ray;
    return ray;
}

// First and how many rays a part may lie on.
std::pair<size_t, size_t> RoundGaps::raysOf(const PlanePart& part) const {
    // Round the place, or so near that it may be.
    const glm::dvec2 middle = part.centre - at_;
    if (glm::dot(middle, middle) <= (part.radius + hair) * (part.radius + hair)) return {0, rays_.size()};
    const auto corner = flat_.corners.begin() + part.firstCorner;
    glm::dvec2 left = corner[0] - at_, right = left;
    for (int i = 1; i < part.corners; ++i) {
        const glm::dvec2 way = corner[i] - at_;
        if (cross(left, way) > 0) left = way;
        if (cross(right, way) < 0) right = way;
    }
    const size_t before = rayBefore(right), last = rayBefore(left), all = rays_.size();
    const auto on = [&](size_t ray, glm::dvec2 way) {
        return std::abs(cross(rays_[ray].along, way)) <= hair;
    };
    const size_t first = on(before, right) ? before : before + 1;
    const size_t end = on((last + 1) % all, left) ? last + 2 : last + 1;
    // Counted on past the last ray where the part lies over the first.
    return {first, last < before ? end + all - first : end - first};
}

// What of a part lies on the line through the place, to either side.
RoundGaps::Stretch RoundGaps::stretchOn(const PlanePart& part, glm::dvec2 along) const {
    Stretch on;
    const auto take = [&](double x) { on.low = std::min(on.low, x), on.high = std::max(on.high, x); };
    const auto corner = flat_.corners.begin() + part.firstCorner;
    const auto seen = [&](glm::dvec2 p) {
        const glm::dvec2 way = p - at_;
        return glm::dvec2{glm::dot(way, along), cross(along, way)};
    };
    glm::dvec2 a = seen(corner[part.corners - 1]);
    for (int i = 0; i < part.corners; ++i) {
        const glm::dvec2 b = seen(corner[i]);
        if (std::abs(b.y) <= hair) take(b.x);
        if ((a.y < 0) != (b.y < 0)) take(a.x + (b.x - a.x) * (a.y / (a.y - b.y)));
        a = b;
    }
    return on;
}

// The part's heights along a ray, over what of the stretch lies on it within reach.
bool RoundGaps::cutTo(const PlanePart& part, const Stretch& stretch, glm::dvec2 along, Rest& rest) const {
    const double low = std::max(stretch.low, 0.0), high = std::min(stretch.high, length_ + hair);
    if (low > high) return false;
    const glm::dvec2 gradient = part.gradient - held_.fall;
    const double level = part.level + glm::dot(gradient, at_), slope = glm::dot(gradient, along);
    rest = {low, high, level + slope * low, level + slope * high};
    return true;
}

bool RoundGaps::clip(const PlanePart& part, const Ray& ray, Rest& rest) const {
    return cutTo(part, stretchOn(part, ray.along), ray.along, rest);
}

// Held heights bend where they reach a bound.
template <class Take>
void RoundGaps::takeHeld(const Rest& rest, const Take& take) const {
    Rest left = rest;
    const auto bend = [&](double bound) {
        if ((left.z0 - bound) * (left.z1 - bound) >= 0) return;
        const double at = left.from + (left.to - left.from) * ((bound - left.z0) / (left.z1 - left.z0));
        take(Rest{left.from, at, held_.held(left.z0), bound});
        left.from = at, left.z0 = bound;
    };
    const bool rises = rest.z0 <= rest.z1;
    bend(rises ? held_.low : held_.high);
    bend(rises ? held_.high : held_.low);
    take(Rest{left.from, left.to, held_.held(left.z0), held_.held(left.z1)});
}

// ---------------------------------------------------------------- sectors

RoundGaps::Spread RoundGaps::spreadOf(glm::dvec2 middle, double radius) const {
    const double away = glm::length(middle);
    Spread spread{std::max(away - radius, 0.0), std::min(away + radius, length_ + hair), 0, sectors};
    if (away <= 2 * radius) return spread;
    // A square stood on its corner turns by no more than the circle in it; arcsine x < 1.05 x up to a half.
    constexpr double each = sectors / 4.0;
    const double round = roundness(middle) * each, half = 1.05 * each * radius / away + 1e-6;
    const int first = static_cast<int>(std::floor(round - half)),
              last = static_cast<int>(std::floor(round + half));
    spread.first = index(first + static_cast<int>(sectors)) % sectors;
    spread.count = std::min(index(last - first + 1), sectors);
    return spread;
}

void RoundGaps::measureSquare(int level, int column, int row, double height) {
    const HeightLevel& heights = levels_[index(level)];
    const double high = heights.high[heights.square(column, row)], side = grid_.sideAt(level);
    if (high <= -1e300) return;
    const glm::dvec2 middle = grid_.low() + side * glm::dvec2{column + 0.5, row + 0.5} - at_;
    ++visits_;
    const Spread spread = spreadOf(middle, 0.7072 * side);
    if (spread.nearest > length_ + hair) return;
    // What is near is looked at more closely.
    if (level > 0 && spread.nearest < side) {
        const HeightLevel& finer = levels_[index(level - 1)];
        for (int j = 2 * row; j < std::min(2 * row + 2, finer.rows); ++j)
            for (int i = 2 * column; i < std::min(2 * column + 2, finer.columns); ++i)
                measureSquare(level - 1, i, j, height);
        return;
    }
    const double over = high - height;
    const double rise = over > 0 ? over / std::max(spread.nearest, 1e-12) : over / spread.farthest;
    const size_t bin = std::min(static_cast<size_t>(spread.nearest / length_ * bins), bins - 1);
    for (size_t k = 0; k < spread.count; ++k) {
        double& most = rises_[(spread.first + k) % sectors][bin];
        most = std::max(most, rise);
    }
}

// How many of the large squares within reach have something above the height.
int RoundGaps::squaresAbove(double height) const {
    const int level = static_cast<int>(levels_.size()) - 1;
    const HeightLevel& heights = levels_[index(level)];
    const PartGrid::Range columns = grid_.columnsAt(level, at_.x - length_, at_.x + length_),
                          rows = grid_.rowsAt(level, at_.y - length_, at_.y + length_);
    int count = 0;
    for (int row = rows.low; row <= rows.high; ++row)
        for (int column = columns.low; column <= columns.high; ++column)
            if (heights.high[heights.square(column, row)] > height) ++count;
    return count;
}

void RoundGaps::measureSectors(double height) {
    constexpr int few = 8;  // of so many squares it is quicker to look at all parts
    for (auto& sector : rises_) sector.fill(-1e300);
    if (squaresAbove(height) <= few) {
        for (auto& sector : rises_) sector.fill(1e300);
        return;
    }
    const int level = static_cast<int>(levels_.size()) - 1;
    const double reach = length_ + hair;
    const PartGrid::Range columns = grid_.columnsAt(level, at_.x - reach, at_.x + reach),
                          rows = grid_.rowsAt(level, at_.y - reach, at_.y + reach);
    for (int row = rows.low; row <= rows.high; ++row)
        for (int column = columns.low; column <= columns.high; ++column)
            measureSquare(level, column, row, height);
    for (auto& sector : rises_)
        for (size_t bin = 1; bin < bins; ++bin) sector[bin] = std::max(sector[bin], sector[bin - 1]);
}

// Of anything that the other end of a chord may rest on.
double RoundGaps::riseAcross(const Spread& spread) const {
    const double left = std::max(length_ + hair - spread.nearest, 0.0);
    const size_t bin = std::min(static_cast<size_t>(left / length_ * bins), bins - 1);
    double most = -1e300;
    for (size_t k = 0; k < spread.count; ++k)
        most = std::max(most, rises_[(spread.first + k + sectors / 2) % sectors][bin]);
    return most;
}

// ---------------------------------------------------------------- parts round the place

// Calls take(part) once for every part in squares that are wanted: wants(spread, highest).
template <class Wants, class Take>
void RoundGaps::partsRound(const Wants& wants, const Take& take) {
    const int largest = static_cast<int>(levels_.size()) - 1;
    const double reach = length_ + hair;
    const PartGrid::Range columns = grid_.columnsAt(largest, at_.x - reach, at_.x + reach),
                          rows = grid_.rowsAt(largest, at_.y - reach, at_.y + reach);
    ++turn_;
    const auto look = [&](const auto& self, int level, int column, int row) -> void {
        const HeightLevel& heights = levels_[index(level)];
        if (column >= heights.columns || row >= heights.rows) return;
        const double side = grid_.sideAt(level);
        const glm::dvec2 middle = grid_.low() + side * glm::dvec2{column + 0.5, row + 0.5} - at_;
        ++visits_;
        if (!wants(middle, 0.7072 * side, heights.high[heights.square(column, row)])) return;
        if (level > 0) {
            for (int k = 0; k < 4; ++k) self(self, level - 1, 2 * column + k % 2, 2 * row + k / 2);
            return;
        }
        for (const uint32_t part : grid_.partsIn(column, row))
            if (std::exchange(seen_[part], turn_) != turn_) ++visits_, take(part);
    };
    for (int row = rows.low; row <= rows.high; ++row)
        for (int column = columns.low; column <= columns.high; ++column) look(look, largest, column, row);
}

void RoundGaps::gatherHigh(double height) {
    for (Ray& ray : rays_) ray.high.clear(), ray.low.clear();
    measureSectors(height);
    const auto wants = [&](glm::dvec2 middle, double radius, double high) {
        const double over = high - height;
        if (over <= 0) return false;
        const Spread spread = spreadOf(middle, radius);
        return spread.nearest <= length_ + hair &&
               over / std::max(spread.nearest, 1e-12) + riseAcross(spread) > 0;
    };
    partsRound(wants, [&](uint32_t i) {
        const PlanePart& part = flat_.parts[i];
        if (!wants(part.centre - at_, part.radius, tops_[i])) return;
        const auto [first, count] = raysOf(part);
        Rest rest;
        for (size_t k = 0; k < count; ++k) {
            Ray& ray = rays_[(first + k) % rays_.size()];
            if (clip(part, ray, rest)) takeHeld(rest, [&](const Rest& one) { ray.high.push_back(one); });
        }
    });
}

// The steepest rise on each ray to what stands above the height.
bool RoundGaps::measureRises(double height) {
    bool any = false;
    for (Ray& ray : rays_) {
        ray.rise = 0;
        ray.nearest = length_ + hair;
        for (const Rest& rest : ray.high) {
            const double rise = rest.rise(height);
            if (rise <= 0) continue;
            ray.rise = std::max(ray.rise, rise);
            ray.nearest = std::min(ray.nearest, rest.from);
        }
        any = any || ray.rise > 0;
    }
    return any;
}

// What stands no higher than `above`, and rises to the height by more than nothing together with what lies
// across: along each ray across from which anything stands higher.
void RoundGaps::gatherLow(double above, double height) {
    for (size_t at = 0; at < rays_.size(); ++at) {
        const Ray& other = rays_[across(at)];
        const double rise = other.rise, reach = length_ + hair - other.nearest;
        if (rise <= 0) continue;
        Ray& ray = rays_[at];
        partsAlong(ray.along, 0, reach, height - rise * reach, [&](const PlanePart& part, double top) {
            const double farthest = std::min(glm::dot(part.centre - at_, ray.along) + part.radius, reach);
            Rest rest;
            if (top > above || top - height + rise * farthest <= 0 || !clip(part, ray, rest)) return;
            takeHeld(rest, [&](const Rest& one) {
                if (one.rise(height) + rise > 0) ray.low.push_back(one);
            });
        });
    }
}

// ---------------------------------------------------------------- lines through the place

// The lines that rise most first; of those where something low counts too, or of all.
void RoundGaps::tryLines(double height, bool withLow, Found& found) {
    order_.clear();
    for (size_t i = 0; i < directions_; ++i) {
        const Ray &one = rays_[i], &other = rays_[across(i)];
        if (one.rise <= 0 && other.rise <= 0) continue;
        if (!withLow || !one.low.empty() || !other.low.empty()) order_.push_back({-one.rise - other.rise, i});
    }
    std::sort(order_.begin(), order_.end());
    for (const auto& [rise, i] : order_) tryLine(i, height, found);
}

void RoundGaps::tryLine(size_t direction, double height, Found& found) {
    const auto add = [&](const std::vector<Rest>& rests, double way) {
        for (const Rest& rest : rests) {
            const double slope = rest.to > rest.from ? (rest.z1 - rest.z0) / (rest.to - rest.from) : 0.0;
            const double from = way * rest.from, to = way * rest.to;
            profile_.add({std::min(from, to), std::max(from, to), rest.z0 - slope * rest.from, way * slope});
        }
    };
    const Ray &one = rays_[direction], &other = rays_[across(direction)];
    profile_.clear();
    add(one.high, 1), add(one.low, 1);
    add(other.high, -1), add(other.low, -1);
    const ProfileGap gap = profile_.greatestOver(0, height, length_, found.gap.gap);
    if (gap.gap > found.gap.gap) found = {gap, static_cast<int>(direction), one.along};
}

// Calls take(part, top) once for every part on a line through the place between two distances that stands
// above `least`.
template <class Take>
void RoundGaps::partsAlong(glm::dvec2 along, double from, double to, double least, const Take& take) {
    const HeightLevel& heights = levels_.front();
    ++turn_;
    const PlanStrip strip{at_ + along * (0.5 * (from + to)), along, 0.5 * (to - from), hair, 0};
    grid_.over(strip, 0, [&](int column, int row) {
        if (heights.high[heights.square(column, row)] <= least) return;
        for (const uint32_t i : grid_.partsIn(column, row)) {
            const PlanePart& part = flat_.parts[i];
            if (tops_[i] <= least || std::exchange(seen_[i], turn_) == turn_) continue;
            ++visits_;
            if (std::abs(cross(along, part.centre - at_)) <= part.radius + hair) take(part, tops_[i]);
        }
    });
}

// Along one line everything counts, whatever its height.
void RoundGaps::tryLikely(size_t direction, double height, Found& found) {
    Ray &one = rays_[direction], &other = rays_[across(direction)];
    for (Ray* ray : {&one, &other}) ray->high.clear(), ray->low.clear();
    partsAlong(one.along, -length_ - hair, length_ + hair, -1e300, [&](const PlanePart& part, double) {
        Rest rest;
        const Stretch on = stretchOn(part, one.along);
        if (cutTo(part, on, one.along, rest))
            takeHeld(rest, [&](const Rest& held) { one.high.push_back(held); });
        if (cutTo(part, {-on.high, -on.low}, other.along, rest))
            takeHeld(rest, [&](const Rest& held) { other.high.push_back(held); });
    });
    tryLine(direction, height, found);
}

RoundGaps::Found RoundGaps::greatest(glm::dvec2 at, double height, double floor, int likely) {
    at_ = at;
    Found found;
    found.gap.gap = floor;
    if (squaresAbove(height + floor) == 0) return found;
    if (likely >= 0) tryLikely(index(likely), height, found);
    const double above = height + found.gap.gap, before = found.gap.gap;
    gatherHigh(above);
    if (!measureRises(above)) return found;
    tryLines(height, false, found);
    if (found.gap.gap > before && !measureRises(height + found.gap.gap)) return found;
    gatherLow(above, height + found.gap.gap);
    tryLines(height, true, found);
    return found;
}

}  // namespace underfoot
