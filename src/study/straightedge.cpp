#include "study/straightedge.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <numbers>
#include <queue>
#include <tuple>
#include <utility>
#include <vector>

#include <glm/geometric.hpp>

#include "study/plane_parts.h"
#include "study/plane_sweep.h"
#include "study/profile_gap.h"

namespace underfoot {

namespace {

constexpr double pi = std::numbers::pi;
constexpr size_t wideStrip = 200, manyParts = 600;  // parts

// Lines whose direction and distance lie within a half of these middles.
struct Lines {
    double angle = 0, halfAngle = 0;
    double distance = 0, halfDistance = 0;
};

struct Box {
    double bound = 0;
    Lines lines;
    std::shared_ptr<const std::vector<int>> pieces;  // that its strip may touch
    bool operator<(const Box& other) const { return bound < other.bound; }
};

// How far lines of a box lie from its middle line, at a distance along it from the foot of the field's
// middle.
class Strip {
  public:
    explicit Strip(const Lines& lines)
        : along{std::cos(lines.angle), std::sin(lines.angle)},
          across{-along.y, along.x},
          distance(lines.distance),
          aside(lines.halfDistance +
                (std::abs(lines.distance) + lines.halfDistance) * (1 / std::cos(lines.halfAngle) - 1)),
          turn(std::tan(lines.halfAngle)) {}
    double half(double x) const { return aside + std::abs(x) * turn; }

    glm::dvec2 along, across;
    double distance;
    double aside, turn;  // lines lie within aside + turn * x of the middle one
};

// What of a piece lies in a strip: a stretch along it, and a range across it.
struct Stretch {
    int piece = -1;
    double from = 0, to = 0;
    double low = 0, high = 0;
};

class Search {
  public:
    Search(const HeightField& field, double length) : length_(length), flat_(planeParts(field)) {
        for (const PlanePart& part : flat_.parts)
            reach_ = std::max(reach_, glm::length(part.centre) + part.radius);
        double low = 1e300, high = -1e300;
        const glm::dvec2 fall = meanFall(field);
        for (const HeightPiece& piece : field)
            for (size_t i = 0; i < 3; ++i) {
                const double over = piece.value[i] - glm::dot(fall, piece.at[i] - flat_.middle);
                low = std::min(low, over), high = std::max(high, over);
            }
        apart_ = std::max(0.0, high - low);
    }

    StraightedgeGap greatest(const StraightedgeEffort& effort) {
        StraightedgeGap best;
        if (flat_.parts.empty()) return best;
        if (flat_.regions == 1) {  // one plane: every place off it by no more than this
            best.atMost = 2 * PlaneParts::samePlane;
            return best;
        }
        Boxes boxes;
        const auto enough = [&] { return effort.past > 0 && best.gap > effort.past; };
        const auto bar = [&] { return std::max(best.gap + effort.sure, effort.past); };
        start(bar, best, boxes);
        while (!boxes.empty() && !enough() && best.looked < effort.most && visits_ < effort.mostVisits &&
               boxes.top().bound > bar()) {
            const Box box = boxes.top();
            boxes.pop();
            tryLine({box.lines.angle, 0, box.lines.distance, 0}, *box.pieces, best);
            if (box.bound > bar()) halve(box, bar, best, boxes);
        }
        // What was left out, and what is left, lies below the bar or the greatest bound.
        const double left = boxes.empty() ? 0 : boxes.top().bound;
        best.atMost = std::max(best.gap, std::min(apart_, std::max(left, bar())));
        return best;
    }

  private:
    static glm::dvec2 meanFall(const HeightField& field) {
        double twice = 0;
        glm::dvec2 sum{0, 0};
        for (const HeightPiece& piece : field) {
            const glm::dvec2 b = piece.at[1] - piece.at[0], c = piece.at[2] - piece.at[0];
            const double zb = piece.value[1] - piece.value[0], zc = piece.value[2] - piece.value[0];
            sum += glm::dvec2{zb * c.y - zc * b.y, zc * b.x - zb * c.x};  // gradient times twice the area
            twice += b.x * c.y - b.y * c.x;
        }
        return twice > 0 ? sum / twice : glm::dvec2{0, 0};
    }

    using Boxes = std::priority_queue<Box>;

    // A few lines to begin with, and all lines in eight boxes.
    template <class Bar>
    void start(const Bar& bar, StraightedgeGap& best, Boxes& boxes) {
        auto all = std::make_shared<std::vector<int>>();
        for (size_t i = 0; i < flat_.parts.size(); ++i) all->push_back(static_cast<int>(i));
        constexpr int turns = 8, seeds = 24;
        if (all->size() > manyParts) {
            layOverLowest(best);
        } else {
            for (int i = 0; i < turns; ++i)
                for (int k = 0; k < seeds; ++k)
                    tryLine({pi * i / turns, 0, reach_ * (2.0 * k + 1 - seeds) / seeds, 0}, *all, best);
        }
        for (int i = 0; i < turns; ++i)
            look({pi * (i + 0.5) / turns, pi / turns / 2, 0, reach_}, all, bar, best, boxes);
    }

    // Over the lowest corners.
    void layOverLowest(StraightedgeGap& best) {
        constexpr int directions = 12;
        constexpr size_t places = 250;
        std::vector<std::pair<double, glm::dvec2>> corners;
        for (const PlanePart& part : flat_.parts)
            for (int i = 0; i < part.corners; ++i) {
                const glm::dvec2 p = flat_.corners[static_cast<size_t>(part.firstCorner + i)];
                corners.push_back({part.level + glm::dot(part.gradient, p), p});
            }
        const auto lower = [](const auto& a, const auto& b) {
            return std::make_tuple(a.first, a.second.x, a.second.y) <
                   std::make_tuple(b.first, b.second.x, b.second.y);
        };
        // A corner is shared by some ten parts at most.
        const size_t some = std::min(corners.size(), 10 * places);
        std::partial_sort(corners.begin(), corners.begin() + static_cast<ptrdiff_t>(some), corners.end(),
                          lower);
        corners.resize(some);
        std::vector<glm::dvec2> lowest;
        for (const auto& [height, p] : corners)
            if (lowest.size() < places && (lowest.empty() || p != lowest.back())) lowest.push_back(p);
        PlaneSweep sweep(flat_, length_);
        for (int i = 0; i < directions; ++i) {
            const glm::dvec2 along{std::cos(pi * i / directions), std::sin(pi * i / directions)};
            const glm::dvec2 across{-along.y, along.x};
            sweep.lay(along, lowest, std::vector<double>(lowest.size(), best.gap),
                      [&](size_t place, const ProfileGap& gap) {
                          take(gap, flat_.middle + across * glm::dot(lowest[place], across), along, best);
                      });
        }
    }

    static void take(const ProfileGap& gap, glm::dvec2 foot, glm::dvec2 along, StraightedgeGap& best) {
        if (gap.gap <= best.gap) return;
        best.gap = gap.gap;
        best.from = foot + along * gap.from;
        best.to = foot + along * gap.to;
        best.at = foot + along * gap.at;
    }

    template <class Bar>
    void halve(const Box& box, const Bar& bar, StraightedgeGap& best, Boxes& boxes) {
        const bool turn = box.lines.halfAngle * reach_ * 0.5 > box.lines.halfDistance;
        for (const double side : {-0.5, 0.5}) {
            Lines half = box.lines;
            double &middle = turn ? half.angle : half.distance,
                   &reach = turn ? half.halfAngle : half.halfDistance;
            middle += side * reach;
            reach *= 0.5;
            look(half, box.pieces, bar, best, boxes);
        }
    }

    // ------------------------------------------------ strips

    const PlanePart& partAt(int i) const { return flat_.parts[static_cast<size_t>(i)]; }

    bool stretchOf(const PlanePart& piece, const Strip& strip, Stretch& stretch) const {
        const double x0 = glm::dot(piece.centre, strip.along);
        const double y0 = glm::dot(piece.centre, strip.across) - strip.distance;
        const double half = strip.half(std::abs(x0) + piece.radius);
        if (std::abs(y0) > half + piece.radius) return false;
        stretch.from = stretch.low = 1e300, stretch.to = stretch.high = -1e300;
        const auto take = [&](double x, double y) {
            stretch.from = std::min(stretch.from, x), stretch.to = std::max(stretch.to, x);
            stretch.low = std::min(stretch.low, y), stretch.high = std::max(stretch.high, y);
        };
        const auto corner = flat_.corners.begin() + piece.firstCorner;
        const auto seen = [&](glm::dvec2 p) {
            return glm::dvec2{glm::dot(p, strip.along), glm::dot(p, strip.across) - strip.distance};
        };
        glm::dvec2 a = seen(corner[piece.corners - 1]);
        for (int i = 0; i < piece.corners; ++i) {
            const glm::dvec2 b = seen(corner[i]);
            if (std::abs(b.y) <= half) take(b.x, b.y);
            for (const double y : {-half, half})
                if ((a.y < y) != (b.y < y)) take(a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)), y);
            a = b;
        }
        return stretch.from <= stretch.to;
    }

    void gather(const Strip& strip, const std::vector<int>& from, std::vector<int>* kept) {
        stretches_.clear();
        Stretch stretch;
        for (const int i : from) {
            if (!stretchOf(partAt(i), strip, stretch)) continue;
            if (kept) kept->push_back(i);
            stretch.piece = i;
            stretches_.push_back(stretch);
        }
        joinStretches();
    }

    // Stretches of one plane that meet become one.
    void joinStretches() {
        const auto groupOf = [this](const Stretch& s) { return partAt(s.piece).region; };
        std::sort(stretches_.begin(), stretches_.end(), [&](const Stretch& a, const Stretch& b) {
            const int ga = groupOf(a), gb = groupOf(b);
            return ga != gb ? ga < gb : a.from < b.from;
        });
        size_t count = 0;
        for (const Stretch& next : stretches_) {
            Stretch* last = count > 0 ? &stretches_[count - 1] : nullptr;
            if (last && groupOf(*last) == groupOf(next) && next.from <= last->to + 1e-9) {
                last->to = std::max(last->to, next.to);
                last->low = std::min(last->low, next.low), last->high = std::max(last->high, next.high);
            } else {
                stretches_[count++] = next;
            }
        }
        stretches_.resize(count);
    }

    // Along the middle line.
    void fillProfile(const Strip& strip, const std::vector<int>& from) {
        gather(strip, from, nullptr);
        profile_.clear();
        for (const Stretch& s : stretches_) {
            const PlanePart& piece = partAt(s.piece);
            const double across = glm::dot(piece.gradient, strip.across);
            const ProfilePart part{s.from, s.to, piece.level + across * strip.distance,
                                   glm::dot(piece.gradient, strip.along)};
            profile_.add(part, part);
        }
    }

    // A bound of the gaps of every line of the strip, where it passes the floor.
    double boundOver(const Strip& strip, double floor) {
        double run = 0, falls = 0;
        for (const Stretch& s : stretches_) {
            run += s.to - s.from;
            falls += (s.to - s.from) * glm::dot(partAt(s.piece).gradient, strip.across);
        }
        const double mean = run > 0 ? falls / run : 0;
        profile_.clear();
        for (const Stretch& s : stretches_) {
            const PlanePart& piece = partAt(s.piece);
            const double slope = glm::dot(piece.gradient, strip.along);
            const double across = glm::dot(piece.gradient, strip.across);
            const double level = piece.level + across * strip.distance;
            const double a = (across - mean) * s.low, b = (across - mean) * s.high;
            profile_.add({s.from, s.to, level + std::max(a, b), slope},
                         {s.from, s.to, level + std::min(a, b), slope});
        }
        return std::min(apart_, profile_.greatest(length_, floor).gap);
    }

    template <class Bar>
    void look(const Lines& lines, const std::shared_ptr<const std::vector<int>>& from, const Bar& bar,
              StraightedgeGap& best, Boxes& boxes) {
        ++best.looked;
        auto kept = std::make_shared<std::vector<int>>();
        const Strip strip(lines);
        visits_ += from->size();
        gather(strip, *from, kept.get());
        const double bound = kept->size() > wideStrip ? apart_ : boundOver(strip, bar());
        if (bound <= bar()) return;
        boxes.push({bound, lines, std::move(kept)});
    }

    void tryLine(const Lines& line, const std::vector<int>& from, StraightedgeGap& best) {
        const Strip strip(line);
        fillProfile(strip, from);
        const ProfileGap gap = profile_.greatest(length_, best.gap);
        take(gap, flat_.middle + strip.across * strip.distance, strip.along, best);
    }

    double length_;
    PlaneParts flat_;
    double reach_ = 0;
    double apart_ = 0;  // no gap is greater than heights lie apart
    size_t visits_ = 0;
    std::vector<Stretch> stretches_;
    Profile profile_;
};

}  // namespace

StraightedgeGap greatestGap(const HeightField& field, double length, const StraightedgeEffort& effort) {
    return Search(field, length).greatest(effort);
}

}  // namespace underfoot
