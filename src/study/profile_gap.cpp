#include "study/profile_gap.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace underfoot {

// How steeply a line from a place up to `height` over r has to climb less how steeply it does: the chord from
// p to q stands over `height` at r where the sum of both places' rises is above nothing. Along a straight
// part the rise has no top but at the ends.
double Profile::riseOf(Place place, Place r, double height) {
    const double run = std::abs(place.x - r.x), over = place.z - height;
    return run > 0 ? over / run : over > 0 ? 1e300 : -1e300;
}

// Parts within the length of r, cut there; parts that hold r end there on both sides. False where no chord
// can pass the height.
bool Profile::window(Place r, double length, double height) {
    near_.clear();
    most_ = {-1e300, -1e300};
    for (ProfilePart part : on_) {
        if (part.from > r.x + length || part.to < r.x - length) continue;
        part.from = std::max(part.from, r.x - length);
        part.to = std::min(part.to, r.x + length);
        Near near{part, -1e300, -1e300};
        const auto take = [&](double x, double& rise) {
            rise = std::max(rise, riseOf({x, part.at(x)}, r, height));
        };
        if (part.from <= r.x) take(part.from, near.before), take(std::min(part.to, r.x), near.before);
        if (part.to >= r.x) take(part.to, near.after), take(std::max(part.from, r.x), near.after);
        most_ = {std::max(most_.before, near.before), std::max(most_.after, near.after)};
        near_.push_back(near);
    }
    return most_.before + most_.after > 0;
}

// Ends of parts from which a chord may pass the height.
void Profile::gatherEnds(Place r, double height) {
    before_.clear();
    after_.clear();
    const auto take = [&](const ProfilePart& part, double x, double other, std::vector<End>& ends) {
        const Place place{x, part.at(x)};
        if (riseOf(place, r, height) + other > 0) ends.push_back({std::abs(x - r.x), x, place.z, 0});
    };
    for (const Near& near : near_) {
        const ProfilePart& part = near.part;
        if (near.before + most_.after > 0)
            for (const double x : {part.from, std::min(part.to, r.x)}) take(part, x, most_.after, before_);
        if (near.after + most_.before > 0)
            for (const double x : {std::max(part.from, r.x), part.to}) take(part, x, most_.before, after_);
    }
    std::sort(before_.begin(), before_.end());
    std::sort(after_.begin(), after_.end());
}

// The two ends no farther apart than the length that pass the height by the most of both rises.
bool Profile::bestPair(Place r, double length, double height, size_t& p, size_t& q) {
    for (std::vector<End>* ends : {&before_, &after_})
        for (End& end : *ends) end.rise = riseOf({end.x, end.z}, r, height);
    steepest_.resize(after_.size());
    for (size_t i = 0; i < after_.size(); ++i) {
        const size_t last = i > 0 ? steepest_[i - 1] : i;
        steepest_[i] = after_[i].rise > after_[last].rise ? i : last;
    }
    double most = 0;
    size_t reached = after_.size();
    for (size_t i = 0; i < before_.size(); ++i) {
        while (reached > 0 && after_[reached - 1].x - before_[i].x > length) --reached;
        if (reached == 0) break;
        const size_t other = steepest_[reached - 1];
        if (before_[i].rise + after_[other].rise <= most) continue;
        most = before_[i].rise + after_[other].rise;
        p = i, q = other;
    }
    return most > 0;
}

// Newton's rule from below: each height is that of the best chord over the one before.
bool Profile::tryPairs(Place r, double length, ProfileGap& best) {
    bool found = false;
    size_t i = 0, j = 0;
    while (bestPair(r, length, r.z + best.gap, i, j)) {
        const End &p = before_[i], &q = after_[j];
        const double run = q.x - p.x;
        const double gap =
            (run > 0 ? ((q.x - r.x) * p.z + (r.x - p.x) * q.z) / run : std::max(p.z, q.z)) - r.z;
        if (gap <= best.gap) break;
        best = {gap, p.x, q.x, r.x};
        found = true;
    }
    return found;
}

// With the whole length between the ends the gap is a parabola in the place of the first.
void Profile::tryWholeLength(Place r, double length, ProfileGap& best) const {
    for (const Near& first : near_) {
        const ProfilePart& i = first.part;
        if (i.from > r.x) break;
        if (first.before + most_.after <= 0) continue;
        for (const Near& last : near_) {
            const ProfilePart& j = last.part;
            if (j.from > i.to + length) break;
            if (j.to < i.from + length || first.before + last.after <= 0) continue;
            const double low = std::max({i.from, j.from - length, r.x - length});
            const double high = std::min({i.to, j.to - length, r.x});
            if (low > high) continue;
            const auto gapAt = [&](double p) {
                const double q = p + length;
                return ((q - r.x) * i.at(p) + (r.x - p) * j.at(q)) / length - r.z;
            };
            const auto take = [&](double p) {
                const double gap = gapAt(p);
                if (gap > best.gap) best = {gap, p, p + length, r.x};
            };
            take(low);
            take(high);
            // The square's factor is (i.slope - j.slope) / length: a top only where it is negative.
            const double square = (i.slope - j.slope) / length;
            if (square >= 0) continue;
            const double linear = gapAt(1) - gapAt(0) - square;
            const double top = -linear / (2 * square);
            if (top > low && top < high) take(top);
        }
    }
}

void Profile::tryOver(Place r, double length, ProfileGap& best) {
    const double height = r.z + best.gap;
    if (!window(r, length, height)) return;
    gatherEnds(r, height);
    if (tryPairs(r, length, best) && !window(r, length, r.z + best.gap)) return;
    tryWholeLength(r, length, best);
}

ProfileGap Profile::greatestOver(double at, double height, double length, double floor) {
    ProfileGap best;
    best.gap = floor;
    if (!std::exchange(sorted_, true))
        std::sort(on_.begin(), on_.end(),
                  [](const ProfilePart& a, const ProfilePart& b) { return a.from < b.from; });
    tryOver({at, height}, length, best);
    return best;
}

}  // namespace underfoot
