#include "study/strip_gaps.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "measure/cross.h"
#include "study/index.h"

namespace underfoot {

namespace {

// Metres: a line along the surface's edge is on it, whichever way it is rounded.
constexpr double hair = 1e-9;
// A strip over no more squares than this is looked at part by part where their heights cannot rule it out.
constexpr double fewSquares = 300;

}  // namespace

StripGaps::StripGaps(const PlaneParts& flat, const PartGrid& grid, double length, const HeldHeights& held)
    : flat_(flat),
      grid_(grid),
      length_(length),
      held_(held),
      levels_(heightLevels(flat, grid, held, length / 4)),
      seen_(flat.parts.size(), 0) {
    for (const PlanePart& part : flat.parts) {
        double top = -1e300;
        for (int k = 0; k < part.corners; ++k)
            top = std::max(top, part.level + glm::dot(part.gradient - held.fall,
                                                      flat.corners[index(part.firstCorner + k)]));
        tops_.push_back(held.held(top));
    }
}

// ---------------------------------------------------------------- the lowest place

double StripGaps::lowestAt(glm::dvec2 at) const {
    const PartGrid::Range columns = grid_.columnsAt(0, at.x, at.x), rows = grid_.rowsAt(0, at.y, at.y);
    const HeightLevel& heights = levels_.front();
    double lowest = 1e300;
    for (int row = rows.low; row <= rows.high; ++row)
        for (int column = columns.low; column <= columns.high; ++column) {
            if (heights.low[heights.square(column, row)] >= lowest) continue;
            for (const uint32_t i : grid_.partsIn(column, row)) {
                const PlanePart& part = flat_.parts[i];
                const double z = held_.held(part.level + glm::dot(part.gradient - held_.fall, at));
                if (z < lowest && holds(part, at)) lowest = z;
            }
        }
    return lowest;
}

// Within a hair of all its sides.
bool StripGaps::holds(const PlanePart& part, glm::dvec2 at) const {
    const auto corner = flat_.corners.begin() + part.firstCorner;
    glm::dvec2 a = corner[part.corners - 1];
    for (int i = 0; i < part.corners; ++i) {
        const glm::dvec2 b = corner[i], side = b - a;
        const double in = cross(side, at - a);
        if (in < 0 && in * in > hair * hair * glm::dot(side, side)) return false;
        a = b;
    }
    return true;
}

// ---------------------------------------------------------------- what lies in a strip

// Held heights bend where they reach a bound.
void StripGaps::addRest(double from, double to, double z0, double z1, std::vector<Rest>& rests) const {
    double at = from, z = z0;
    const auto bend = [&](double bound) {
        if ((z - bound) * (z1 - bound) >= 0) return;
        const double next = at + (to - at) * ((bound - z) / (z1 - z));
        rests.push_back({at, next, held_.held(z), bound});
        at = next, z = bound;
    };
    bend(z0 <= z1 ? held_.low : held_.high);
    bend(z0 <= z1 ? held_.high : held_.low);
    rests.push_back({at, to, held_.held(z), held_.held(z1)});
}

// What of a part lies in the strip, along and across it.
bool StripGaps::clip(const Strip& strip, const PlanePart& part, double reach, glm::dvec2& low,
                     glm::dvec2& high) const {
    const PlanStrip& plan = strip.plan;
    const glm::dvec2 centre = part.centre - plan.at;
    const double x = glm::dot(centre, plan.along), y = glm::dot(centre, strip.across);
    const double half = plan.half(std::min(reach, std::abs(x) + part.radius));
    if (std::abs(y) > half + part.radius + hair || std::abs(x) > reach + part.radius) return false;
    low = glm::dvec2(1e300), high = glm::dvec2(-1e300);
    const auto take = [&](glm::dvec2 p) { low = glm::min(low, p), high = glm::max(high, p); };
    const auto corner = flat_.corners.begin() + part.firstCorner;
    const auto seen = [&](glm::dvec2 p) {
        return glm::dvec2{glm::dot(p - plan.at, plan.along), glm::dot(p - plan.at, strip.across)};
    };
    glm::dvec2 a = seen(corner[part.corners - 1]);
    for (int i = 0; i < part.corners; ++i) {
        const glm::dvec2 b = seen(corner[i]);
        if (std::abs(b.y) <= half + hair) take(b);
        for (const double edge : {-half, half})
            if ((a.y < edge) != (b.y < edge)) take({a.x + (b.x - a.x) * ((edge - a.y) / (b.y - a.y)), edge});
        a = b;
    }
    low.x = std::max(low.x, -reach), high.x = std::min(high.x, reach);
    return low.x <= high.x;
}

void StripGaps::addPart(const Strip& strip, int number, double reach, std::vector<int>& met) {
    const PlanePart& part = flat_.parts[index(number)];
    glm::dvec2 low, high;
    if (!clip(strip, part, reach, low, high)) return;
    met.push_back(number);
    const glm::dvec2 gradient = part.gradient - held_.fall;
    stretches_.push_back({part.region, low.x, high.x, part.level + glm::dot(gradient, strip.plan.at),
                          glm::dot(gradient, strip.plan.along), glm::dot(gradient, strip.across) - strip.tilt,
                          low.y, high.y});
}

// Stretches of one plane that meet become one.
void StripGaps::joinStretches() {
    std::sort(stretches_.begin(), stretches_.end(), [](const Stretch& a, const Stretch& b) {
        return a.region != b.region ? a.region < b.region : a.from < b.from;
    });
    size_t count = 0;
    for (const Stretch& next : stretches_) {
        Stretch* last = count > 0 ? &stretches_[count - 1] : nullptr;
        if (last && last->region == next.region && next.from <= last->to + hair) {
            last->to = std::max(last->to, next.to);
            last->low = std::min(last->low, next.low), last->high = std::max(last->high, next.high);
        } else {
            stretches_[count++] = next;
        }
    }
    stretches_.resize(count);
}

// As high as they are anywhere across, or as low.
void StripGaps::turnStretches(bool rested, std::vector<Rest>& rests) {
    joinStretches();
    for (const Stretch& s : stretches_) {
        const double a = s.aside * s.low, b = s.aside * s.high;
        const double level = s.level + (rested ? std::max(a, b) : std::min(a, b));
        addRest(s.from, s.to, level + s.slope * s.from, level + s.slope * s.to, rests);
    }
    stretches_.clear();
}

void StripGaps::gatherParts(const Strip& strip, double height, const FanParts& from) {
    const PlanStrip& plan = strip.plan;
    rests_.clear();
    low_.clear();
    met_.rested.clear();
    const double over = std::abs(strip.tilt) * plan.half(plan.reach);
    const auto take = [&](int i) {
        ++visits_;
        if (tops_[index(i)] + over > height) {
            addPart(strip, i, plan.reach, met_.rested);
            return;
        }
        const PlanePart& part = flat_.parts[index(i)];
        const double x = glm::dot(part.centre - plan.at, plan.along);
        low_.push_back({x - part.radius, x + part.radius, tops_[index(i)] + over, i});
    };
    if (from.known) {
        for (size_t i = 0; i < from.rested.size(); ++i) {
            if (i == from.high && stretches_.empty()) return;
            take(from.rested[i]);
        }
    } else {
        // What stands high first: without it there is nothing to look for.
        ++turn_;
        const std::vector<double>& high = levels_.front().high;
        const auto takeSquare = [&](int column, int row) {
            for (const uint32_t i : grid_.partsIn(column, row))
                if (std::exchange(seen_[i], turn_) != turn_) take(static_cast<int>(i));
        };
        squares_.clear();
        grid_.over(plan, 0, [&](int column, int row) {
            if (high[levels_.front().square(column, row)] + over > height)
                takeSquare(column, row);
            else
                squares_.push_back({column, row});
        });
        if (stretches_.empty()) return;
        met_.high = met_.rested.size();
        turnStretches(true, rests_);
        const Rises most = highRises(strip.near, height);
        const double least = height - over - std::max(most.before, most.after) * (plan.reach + strip.near);
        for (const auto& [column, row] : squares_)
            if (high[levels_.front().square(column, row)] >= least) takeSquare(column, row);
        addLow(strip, height);
        return;
    }
    met_.high = met_.rested.size();
    turnStretches(true, rests_);
    if (!rests_.empty()) addLow(strip, height);
}

int StripGaps::levelFor(const Strip& strip) const {
    int level = 0;
    while (level + 1 < static_cast<int>(levels_.size()) &&
           grid_.sideAt(level + 1) <= 0.75 * strip.plan.half(0.5 * length_))
        ++level;
    return level;
}

void StripGaps::gatherSquares(const Strip& strip, double height) {
    const PlanStrip& plan = strip.plan;
    rests_.clear();
    low_.clear();
    const int level = levelFor(strip);
    const HeightLevel& heights = levels_[index(level)];
    const double side = grid_.sideAt(level);
    const double half = 0.5 * side * (std::abs(plan.along.x) + std::abs(plan.along.y)) + hair;
    grid_.over(plan, level, [&](int column, int row) {
        ++visits_;
        const double z = heights.high[heights.square(column, row)];
        if (z <= -1e300) return;
        const glm::dvec2 middle = grid_.low() + side * glm::dvec2{column + 0.5, row + 0.5} - plan.at;
        const double x = glm::dot(middle, plan.along);
        const double from = std::max(x - half, -plan.reach), to = std::min(x + half, plan.reach);
        if (from > to) return;
        if (z > height)
            rests_.push_back({from, to, z, z});
        else
            low_.push_back({from, to, z, -1});
    });
    if (!rests_.empty()) addLow(strip, height);
}

// Of what stands over the height, on either side.
StripGaps::Rises StripGaps::highRises(double near, double height) const {
    Rises most{-1e300, -1e300};
    for (const Rest& rest : rests_) {
        const double over = std::max(rest.z0, rest.z1) - height;
        if (over <= 0) continue;
        const auto take = [&](double nearest, double farthest, double& rise) {
            if (farthest >= -near) rise = std::max(rise, over / std::max(nearest - near, 1e-12));
        };
        take(rest.from, rest.to, most.after);
        take(-rest.to, -rest.from, most.before);
    }
    return most;
}

// What lies low falls least where it is farthest.
void StripGaps::addLow(const Strip& strip, double height) {
    const Rises high = highRises(strip.near, height);
    for (const Low& low : low_) {
        const auto reaches = [&](double farthest, double other) {
            return farthest + strip.near > 0 && (low.top - height) / (farthest + strip.near) + other > 0;
        };
        if (!reaches(low.to, high.before) && !reaches(-low.from, high.after)) continue;
        if (low.part >= 0)
            addPart(strip, low.part, strip.plan.reach, met_.rested);
        else
            rests_.push_back({low.from, low.to, low.top, low.top});
    }
    turnStretches(true, rests_);
}

// ---------------------------------------------------------------- chords over the places of a strip

// For each step of distance before and behind, the greatest rise of what is rested on there. A place lies up
// to `near` nearer to what stands above the height, or farther from what lies below it.
void StripGaps::fillEnds(double near, double height) {
    before_.assign(steps_, {});
    after_.assign(steps_, {});
    const auto add = [&](std::vector<End>& ends, double a, double za, double b, double zb) {
        if (b < -near) return;
        if (a < -near) za += (zb - za) * ((-near - a) / (b - a)), a = -near;
        const auto endAt = [&](double x, double z) {
            const double run = z > height ? std::max(x - near, 1e-12) : x + near;
            return End{run > 0 ? (z - height) / run : -1e300, run, z};
        };
        const auto stepOf = [&](double x) {
            return std::min(static_cast<size_t>((x + near) / step_), steps_ - 1);
        };
        const size_t last = stepOf(b);
        End from = endAt(a, za);
        for (size_t i = stepOf(a);; ++i) {
            const double x = step_ * static_cast<double>(i + 1) - near;
            const End to =
                i >= last ? endAt(b, zb) : endAt(x, b > a ? za + (zb - za) * ((x - a) / (b - a)) : zb);
            End& held = ends[i];
            if (from.rise > held.rise) held = from;
            if (to.rise > held.rise) held = to;
            if (i >= last) break;
            from = to;
        }
    };
    for (const Rest& rest : rests_) {
        add(after_, rest.from, rest.z0, rest.to, rest.z1);
        add(before_, -rest.to, rest.z1, -rest.from, rest.z0);
    }
}

// Whether two ends pass the height, and the height over the place that the best two of them reach.
bool StripGaps::bestChord(double near, double height, double& passed) {
    fillEnds(near, height);
    for (size_t i = 1; i < steps_; ++i)
        if (after_[i].rise < after_[i - 1].rise) after_[i] = after_[i - 1];
    const size_t whole = steps_;
    double best = 0;
    for (size_t i = 0; i < steps_; ++i) {
        const End& p = before_[i];
        if (p.rise <= -1e300 || i > whole) continue;
        const End& q = after_[std::min(whole - i, steps_ - 1)];
        if (p.rise + q.rise <= best || q.rise <= -1e300) continue;
        best = p.rise + q.rise;
        passed = (p.z * q.run + q.z * p.run) / (p.run + q.run);
    }
    return best > 0;
}

double StripGaps::boundOnSquares(const Strip& strip, double lowest, double floor) {
    const double near = strip.near;
    double height = lowest + floor, highest = height;
    gatherSquares(strip, height);
    for (const Rest& rest : rests_) {
        highest = std::max(highest, rest.z0);
        if (rest.from <= near && rest.to >= -near) height = std::max(height, rest.z0);
    }
    if (highest <= height) return height - lowest;
    constexpr size_t steps = 32;
    steps_ = steps;
    step_ = (length_ + 2 * near) / static_cast<double>(steps);
    constexpr int most = 8;
    constexpr double settled = 1e-7;
    for (int i = 0; i < most; ++i) {
        double passed = height;
        if (!bestChord(near, height, passed)) return height - lowest;
        height = std::max(height, passed) + settled;
    }
    return highest - lowest;
}

// ---------------------------------------------------------------- all round

// Squares within reach of a place, as take(column, row, highest) says whether to look into those four by
// four.
template <class Take>
void StripGaps::squaresRound(glm::dvec2 at, double reach, const Take& take) const {
    const int coarse = std::min(2, static_cast<int>(levels_.size()) - 1), each = 1 << coarse;
    const HeightLevel &above = levels_[index(coarse)], &fine = levels_.front();
    const PartGrid::Range columns = grid_.columnsAt(coarse, at.x - reach, at.x + reach),
                          rows = grid_.rowsAt(coarse, at.y - reach, at.y + reach);
    for (int row = rows.low; row <= rows.high; ++row)
        for (int column = columns.low; column <= columns.high; ++column) {
            if (!take.wants(above.high[above.square(column, row)])) continue;
            for (int j = row * each; j < std::min((row + 1) * each, fine.rows); ++j)
                for (int i = column * each; i < std::min((column + 1) * each, fine.columns); ++i)
                    if (take.wants(fine.high[fine.square(i, j)])) take.look(i, j);
        }
}

namespace {

template <class Wants, class Look>
struct SquareTake {
    Wants wants;
    Look look;
};
template <class Wants, class Look>
SquareTake(Wants, Look) -> SquareTake<Wants, Look>;

}  // namespace

bool StripGaps::partsRound(glm::dvec2 at, glm::dvec2 half, double lowest, double floor, size_t most,
                           FanParts& found) {
    const double height = lowest + floor, near = glm::length(half), reach = length_ + near + hair;
    found.known = false;
    found.rested.clear();
    found.under.clear();
    double rise = -1e300;
    squaresRound(at, reach,
                 SquareTake{[&](double high) { return high > height; },
                            [&](int column, int row) {
                                for (const uint32_t i : grid_.partsIn(column, row)) {
                                    const PlanePart& part = flat_.parts[i];
                                    const double over = tops_[i] - height;
                                    const double away = glm::distance(part.centre, at) - part.radius;
                                    if (over <= 0 || away > reach) continue;
                                    rise = std::max(rise, over / std::max(away - near, 1e-12));
                                }
                            }});
    if (rise <= 0) return false;
    // The lower end of a chord falls least where it is farthest.
    const double least = std::max(height - rise * (reach + near), -1e299);
    ++turn_;
    squaresRound(
        at, reach,
        SquareTake{[&](double high) { return high >= least; },
                   [&](int column, int row) {
                       if (found.rested.size() > most) return;
                       for (const uint32_t i : grid_.partsIn(column, row)) {
                           if (std::exchange(seen_[i], turn_) == turn_) continue;
                           const PlanePart& part = flat_.parts[i];
                           const double away = glm::distance(part.centre, at);
                           if (away - part.radius > reach) continue;
                           const double over = tops_[i] - height;
                           if (over <= 0 && over + rise * (std::min(away + part.radius, reach) + near) <= 0)
                               continue;
                           found.rested.push_back(static_cast<int>(i));
                       }
                   }});
    visits_ += found.rested.size();
    if (found.rested.size() > most) {
        found.rested.clear();
        return true;
    }
    const auto middle = std::partition(found.rested.begin(), found.rested.end(),
                                       [&](int i) { return tops_[index(i)] > height; });
    found.high = static_cast<size_t>(middle - found.rested.begin());
    gatherBelow(at, half, found.under);
    found.known = true;
    return true;
}

// ---------------------------------------------------------------- along the parts

StripGaps::Strip StripGaps::stripOf(const LineFan& fan, glm::dvec2 half) const {
    Strip strip;
    PlanStrip& plan = strip.plan;
    plan.along = {std::cos(fan.angle), std::sin(fan.angle)};
    strip.across = {-plan.along.y, plan.along.x};
    plan.at = fan.at + strip.across * fan.distance;
    // Lines of the fan pass the middle up to distance + halfDistance away, and turn about their feet there.
    const double farthest = std::abs(fan.distance) + fan.halfDistance;
    plan.turn = std::tan(fan.halfAngle);
    plan.aside = fan.halfDistance + farthest * (1 / std::cos(fan.halfAngle) - 1);
    strip.near = std::abs(plan.along.x) * half.x + std::abs(plan.along.y) * half.y + hair;
    plan.reach = length_ + strip.near;
    return strip;
}

void StripGaps::gatherBelow(glm::dvec2 at, glm::dvec2 half, std::vector<int>& parts) {
    const PartGrid::Range columns = grid_.columnsAt(0, at.x - half.x, at.x + half.x),
                          rows = grid_.rowsAt(0, at.y - half.y, at.y + half.y);
    ++turn_;
    for (int row = rows.low; row <= rows.high; ++row)
        for (int column = columns.low; column <= columns.high; ++column)
            for (const uint32_t i : grid_.partsIn(column, row))
                if (std::exchange(seen_[i], turn_) != turn_) parts.push_back(static_cast<int>(i));
}

// What lies under the lines in the rectangle, and its mean fall across them.
void StripGaps::gatherUnder(Strip& strip, const LineFan& fan, glm::dvec2 half, const FanParts& from) {
    std::vector<int>& under = found_;
    under.clear();
    if (from.known)
        under = from.under;
    else
        gatherBelow(fan.at, half, under);
    visits_ += under.size();
    // Held heights may not be tilted.
    if (held_.low <= -1e300 && fan.halfDistance > 0) {
        double run = 0, falls = 0;
        for (const int i : under) {
            const PlanePart& part = flat_.parts[index(i)];
            glm::dvec2 a, b;
            if (!clip(strip, part, strip.near, a, b)) continue;
            run += b.x - a.x;
            falls += (b.x - a.x) * glm::dot(part.gradient - held_.fall, strip.across);
        }
        if (run > 0) strip.tilt = falls / run;
    }
    under_.clear();
    met_.under.clear();
    for (const int i : under) addPart(strip, i, strip.near, met_.under);
    turnStretches(false, under_);
}

void StripGaps::fillProfile() {
    profile_.clear();
    for (const Rest& rest : rests_) {
        const double slope = rest.to > rest.from ? (rest.z1 - rest.z0) / (rest.to - rest.from) : 0.0;
        profile_.add({rest.from, rest.to, rest.z0 - slope * rest.from, slope});
    }
}

// A gap to a straight part is greatest at one of its ends, under the lowest part there.
ProfileGap StripGaps::overUnder(double lowest, double floor) {
    ProfileGap best;
    best.gap = floor;
    double highest = -1e300;
    for (const Rest& rest : rests_) highest = std::max({highest, rest.z0, rest.z1});
    if (highest <= lowest + floor) return best;
    places_.clear();
    for (const Rest& one : under_) {
        for (const auto& [x, z] : {std::pair{one.from, one.z0}, {one.to, one.z1}}) {
            if (highest - z <= floor && under_.size() == 1) continue;
            double least = z;
            for (const Rest& other : under_)
                if (other.from < x && x < other.to)
                    least = std::min(least, other.z0 + (other.z1 - other.z0) *
                                                           ((x - other.from) / (other.to - other.from)));
            if (highest - least > floor) places_.push_back({least, x});
        }
    }
    std::sort(places_.begin(), places_.end());
    places_.erase(std::unique(places_.begin(), places_.end()), places_.end());
    fillProfile();
    for (const auto& [z, x] : places_) {
        if (highest - z <= best.gap) break;
        const ProfileGap gap = profile_.greatestOver(x, z, length_, best.gap);
        if (gap.gap > best.gap) best = gap;
    }
    return best;
}

ProfileGap StripGaps::gapUnder(const LineFan& fan, glm::dvec2 half, double lowest, double floor,
                               const FanParts& from, FanParts* kept) {
    Strip strip = stripOf(fan, half);
    ProfileGap none;
    none.gap = floor;
    if (wide(strip)) {
        ProfileGap coarse;
        coarse.gap = boundOnSquares(strip, lowest, floor);
        const double squares =
            2 * strip.plan.reach * 2 * strip.plan.half(0.5 * length_) / (grid_.side() * grid_.side());
        if (coarse.gap <= floor || (!from.known && squares > fewSquares)) return coarse;
    }
    gatherUnder(strip, fan, half, from);
    double least = 1e300;
    for (const Rest& one : under_) least = std::min({least, one.z0, one.z1});
    if (least >= 1e300) return none;
    gatherParts(strip, least + floor, from);
    if (rests_.empty()) return none;
    const ProfileGap found = overUnder(least, floor);
    if (kept && found.gap > floor) *kept = met_, kept->known = true;
    return found;
}

}  // namespace underfoot
