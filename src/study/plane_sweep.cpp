#include "study/plane_sweep.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

namespace underfoot {

namespace {

// Metres: a line along the surface's edge is on it, whichever way it is rounded.
constexpr double hair = 1e-9;

}  // namespace

void PlaneSweep::lay(glm::dvec2 along, const std::vector<glm::dvec2>& places,
                     const std::vector<double>& floor,
                     const std::function<void(size_t, const ProfileGap&)>& tell) {
    along_ = along, across_ = {-along.y, along.x};
    layParts();
    std::vector<std::pair<double, size_t>> order;
    for (size_t i = 0; i < places.size(); ++i) order.push_back({glm::dot(places[i], across_), i});
    std::sort(order.begin(), order.end());
    size_t next = 0;
    under_.clear();
    for (const auto& [y, i] : order) {
        for (; next < parts_.size() && parts_[next].low.y <= y + hair; ++next) under_.push_back(parts_[next]);
        std::erase_if(under_, [y = y](const Laid& part) { return part.high.y < y - hair; });
        const ProfileGap gap = gapOver(glm::dot(places[i], along_), y, floor[i]);
        if (gap.gap > floor[i]) tell(i, gap);
    }
}

void PlaneSweep::layParts() {
    corners_.clear();
    for (const glm::dvec2 p : flat_.corners) corners_.push_back({glm::dot(p, along_), glm::dot(p, across_)});
    parts_.clear();
    for (size_t i = 0; i < flat_.parts.size(); ++i) {
        Laid laid;
        laid.part = static_cast<int>(i);
        const auto corner = corners_.begin() + flat_.parts[i].firstCorner;
        for (int k = 0; k < flat_.parts[i].corners; ++k)
            laid.low = glm::min(laid.low, corner[k]), laid.high = glm::max(laid.high, corner[k]);
        parts_.push_back(laid);
    }
    std::sort(parts_.begin(), parts_.end(), [](const Laid& a, const Laid& b) {
        return a.low.y != b.low.y ? a.low.y < b.low.y : a.part < b.part;
    });
}

ProfileGap PlaneSweep::gapOver(double x, double y, double floor) {
    stretches_.clear();
    for (const Laid& laid : under_)
        if (laid.low.x <= x + length_ && laid.high.x >= x - length_) addStretch(laid.part, y);
    joinStretches();
    profile_.clear();
    for (const Stretch& one : stretches_) profile_.add(one.part, one.part);
    return profile_.greatestOver(x, length_, floor);
}

void PlaneSweep::addStretch(int index, double y) {
    const PlanePart& part = flat_.parts[static_cast<size_t>(index)];
    const auto corner = corners_.begin() + part.firstCorner;
    Stretch stretch{part.region, {1e300, -1e300, 0, 0}};
    ProfilePart& along = stretch.part;
    glm::dvec2 a = corner[part.corners - 1];
    for (int k = 0; k < part.corners; ++k) {
        const glm::dvec2 b = corner[k];
        const auto take = [&](double x) {
            along.from = std::min(along.from, x), along.to = std::max(along.to, x);
        };
        if ((a.y < y) != (b.y < y)) take(a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)));
        if (std::abs(b.y - y) <= hair) take(b.x);
        a = b;
    }
    if (along.from > along.to) return;
    along.level = part.level + glm::dot(part.gradient, across_) * y;
    along.slope = glm::dot(part.gradient, along_);
    stretches_.push_back(stretch);
}

// Stretches of one region that meet become one.
void PlaneSweep::joinStretches() {
    std::sort(stretches_.begin(), stretches_.end(), [](const Stretch& a, const Stretch& b) {
        return a.region != b.region ? a.region < b.region : a.part.from < b.part.from;
    });
    size_t count = 0;
    for (const Stretch& next : stretches_) {
        Stretch* last = count > 0 ? &stretches_[count - 1] : nullptr;
        if (last && last->region == next.region && next.part.from <= last->part.to + 1e-9) {
            last->part.to = std::max(last->part.to, next.part.to);
        } else {
            stretches_[count++] = next;
        }
    }
    stretches_.resize(count);
}

}  // namespace underfoot
