#include "study/profile_gap.h"

#include <algorithm>

namespace underfoot {

void Profile::clear() {
    on_.clear();
    under_.clear();
}

void Profile::add(const ProfilePart& restedOn, const ProfilePart& under) {
    on_.push_back(restedOn);
    under_.push_back(under);
}

void Profile::holdGapAt(double from, double to) {
    std::vector<ProfilePart> held;
    for (ProfilePart part : under_) {
        part.from = std::max(part.from, from);
        part.to = std::min(part.to, to);
        if (part.from <= part.to) held.push_back(part);
    }
    under_ = std::move(held);
}

// Parts within the length of r, and where they end; parts that hold r end there on both sides.
void Profile::window(double r, double length) {
    near_.clear();
    before_.clear();
    after_.clear();
    for (ProfilePart part : on_) {
        if (part.from > r + length) break;
        if (part.to < r - length) continue;
        part.from = std::max(part.from, r - length);
        part.to = std::min(part.to, r + length);
        near_.push_back(part);
        if (part.from <= r)
            for (const double x : {part.from, std::min(part.to, r)}) before_.push_back({x, part.at(x)});
        if (part.to >= r)
            for (const double x : {std::max(part.from, r), part.to}) after_.push_back({x, part.at(x)});
    }
}

void Profile::tryPairs(Place r, double length, ProfileGap& best) {
    double highest = -1e300;
    for (const Place& q : after_) highest = std::max(highest, q.z);
    for (const Place& p : before_) {
        if (std::max(p.z, highest) - r.z <= best.gap) continue;
        for (const Place& q : after_) {
            const double run = q.x - p.x;
            if (run > length) continue;
            const double gap =
                (run > 0 ? ((q.x - r.x) * p.z + (r.x - p.x) * q.z) / run : std::max(p.z, q.z)) - r.z;
            if (gap > best.gap) best = {gap, p.x, q.x, r.x};
        }
    }
}

// With the whole length between the ends the gap is a parabola in the place of the first.
void Profile::tryWholeLength(Place r, double length, ProfileGap& best) const {
    const double least = r.z + best.gap;
    for (const ProfilePart& i : near_) {
        if (i.from > r.x) break;
        const double highI = std::max(i.at(i.from), i.at(i.to));
        for (const ProfilePart& j : near_) {
            if (j.from > i.to + length) break;
            if (j.to < i.from + length) continue;
            if (std::max({highI, j.at(j.from), j.at(j.to)}) <= least) continue;
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

ProfileGap Profile::greatest(double length, double floor) {
    ProfileGap best;
    best.gap = floor;
    const auto before = [](const ProfilePart& a, const ProfilePart& b) { return a.from < b.from; };
    std::sort(on_.begin(), on_.end(), before);
    double highest = -1e300;
    for (const ProfilePart& part : on_) highest = std::max({highest, part.at(part.from), part.at(part.to)});
    findLowest();
    for (const Place& r : lowest_) {
        if (highest - r.z <= best.gap) break;
        window(r.x, length);
        tryPairs(r, length, best);
        tryWholeLength(r, length, best);
    }
    return best;
}

// A gap to a straight part is greatest at one of its ends. An end that another part passes below is none: the
// gap to that part is greater there, and greater still at one of its own ends.
void Profile::findLowest() {
    lowest_.clear();
    for (const ProfilePart& part : under_) {
        for (const double x : {part.from, part.to}) {
            const double z = part.at(x);
            const bool passed = std::any_of(under_.begin(), under_.end(), [&](const ProfilePart& other) {
                return other.from < x && x < other.to && other.at(x) < z;
            });
            if (!passed) lowest_.push_back({x, z});
        }
    }
    std::sort(lowest_.begin(), lowest_.end(),
              [](const Place& a, const Place& b) { return a.z != b.z ? a.z < b.z : a.x < b.x; });
}

}  // namespace underfoot
