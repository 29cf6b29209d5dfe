#include "study/straightedge.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <queue>
#include <tuple>

#include <glm/geometric.hpp>

#include "study/profile_gap.h"

namespace underfoot {

namespace {

constexpr double pi = 3.14159265358979323846;

double cross(glm::dvec2 a, glm::dvec2 b) {
    return a.x * b.y - a.y * b.x;
}

// A flat piece, its plane over the middle of the field. Pieces of one plane are one group.
struct Piece {
    std::array<glm::dvec2, 3> at{};
    double level = 0;
    glm::dvec2 gradient{0, 0};
    glm::dvec2 centre{0, 0};
    double radius = 0;
    int group = 0;
};

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
          distance(lines.distance) {
        const double far = std::abs(lines.distance) + lines.halfDistance;
        const double sine = std::sin(lines.halfAngle), cosine = std::cos(lines.halfAngle);
        least_ = lines.halfDistance + far * sine * sine / cosine + far * (1 - cosine);
        widening_ = sine / cosine;
    }
    double half(double x) const { return least_ + std::abs(x) * widening_; }

    glm::dvec2 along, across;
    double distance;

  private:
    double least_, widening_;
};

// What of a piece lies in a strip: a stretch along it, and a range across it.
struct Stretch {
    int piece = -1;
    double from = 0, to = 0;
    double low = 0, high = 0;
};

class Search {
  public:
    Search(const HeightField& field, double length) : length_(length) {
        glm::dvec2 low(1e300), high(-1e300);
        for (const HeightPiece& piece : field)
            for (const glm::dvec2 p : piece.at) low = glm::min(low, p), high = glm::max(high, p);
        middle_ = (low + high) * 0.5;
        std::map<std::tuple<long, long, long>, int> groups;
        for (const HeightPiece& piece : field) addPiece(piece, groups);
        for (const Piece& piece : pieces_)
            reach_ = std::max(reach_, glm::length(piece.centre) + piece.radius);
    }

    StraightedgeGap greatest(const StraightedgeEffort& effort) {
        StraightedgeGap best;
        if (pieces_.empty()) return best;
        Boxes boxes;
        const auto enough = [&] { return effort.past > 0 && best.gap > effort.past; };
        const auto bar = [&] { return std::max(best.gap + effort.sure, effort.past); };
        start(bar, best, boxes);
        while (!boxes.empty() && !enough() && best.looked < effort.most && boxes.top().bound > bar()) {
            const Box box = boxes.top();
            boxes.pop();
            halve(box, bar, best, boxes);
        }
        // What was left out, and what is left, lies below the bar or the greatest bound.
        const double left = boxes.empty() ? 0 : boxes.top().bound;
        best.atMost = std::max(left, bar());
        return best;
    }

    // The greatest gap at a place under straightedges through it.
    double over(glm::dvec2 place, int directions) {
        place -= middle_;
        near_.clear();
        for (size_t i = 0; i < pieces_.size(); ++i)
            if (glm::distance(pieces_[i].centre, place) <= length_ + pieces_[i].radius)
                near_.push_back(static_cast<int>(i));
        double most = 0;
        for (int i = 0; i < directions; ++i) {
            const double angle = pi * i / directions;
            const Strip strip({angle, 0, glm::dot(place, {-std::sin(angle), std::cos(angle)}), 0});
            fillProfile(strip, near_, nullptr);
            const double at = glm::dot(place, strip.along);
            profile_.holdGapAt(at - 1e-7, at + 1e-7);
            most = std::max(most, profile_.greatest(length_, most).gap);
        }
        return most;
    }

  private:
    void addPiece(const HeightPiece& from, std::map<std::tuple<long, long, long>, int>& groups) {
        Piece piece;
        const glm::dvec2 b = from.at[1] - from.at[0], c = from.at[2] - from.at[0];
        const double zb = from.value[1] - from.value[0], zc = from.value[2] - from.value[0], d = cross(b, c);
        piece.gradient = {(zb * c.y - zc * b.y) / d, (zc * b.x - zb * c.x) / d};
        for (size_t i = 0; i < 3; ++i) piece.at[i] = from.at[i] - middle_;
        piece.level = from.value[0] - glm::dot(piece.gradient, piece.at[0]);
        piece.centre = (piece.at[0] + piece.at[1] + piece.at[2]) / 3.0;
        for (const glm::dvec2 p : piece.at)
            piece.radius = std::max(piece.radius, glm::distance(p, piece.centre));
        const auto key = std::make_tuple(std::lround(piece.gradient.x * 1e7),
                                         std::lround(piece.gradient.y * 1e7), std::lround(piece.level * 1e7));
        piece.group = groups.try_emplace(key, static_cast<int>(groups.size())).first->second;
        pieces_.push_back(piece);
    }

    using Boxes = std::priority_queue<Box>;

    // A few lines to begin with, and all lines in eight boxes.
    template <class Bar>
    void start(const Bar& bar, StraightedgeGap& best, Boxes& boxes) {
        auto all = std::make_shared<std::vector<int>>();
        for (size_t i = 0; i < pieces_.size(); ++i) all->push_back(static_cast<int>(i));
        constexpr int turns = 8, seeds = 24;
        for (int i = 0; i < turns * seeds; ++i) {
            const double distance = reach_ * (2.0 * (i % seeds) + 1 - seeds) / seeds;
            tryLine({pi * (i / seeds) / turns, 0, distance, 0}, *all, best);
        }
        for (int i = 0; i < turns; ++i)
            look({pi * (i + 0.5) / turns, pi / turns / 2, 0, reach_}, all, bar, best, boxes);
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

    static bool stretchOf(const Piece& piece, const Strip& strip, Stretch& stretch) {
        const double x0 = glm::dot(piece.centre, strip.along);
        const double y0 = glm::dot(piece.centre, strip.across) - strip.distance;
        const double half = strip.half(std::abs(x0) + piece.radius);
        if (std::abs(y0) > half + piece.radius) return false;
        std::array<glm::dvec2, 3> p{};
        for (size_t i = 0; i < 3; ++i)
            p[i] = {glm::dot(piece.at[i], strip.along), glm::dot(piece.at[i], strip.across) - strip.distance};
        stretch.from = stretch.low = 1e300, stretch.to = stretch.high = -1e300;
        const auto take = [&](double x, double y) {
            stretch.from = std::min(stretch.from, x), stretch.to = std::max(stretch.to, x);
            stretch.low = std::min(stretch.low, y), stretch.high = std::max(stretch.high, y);
        };
        for (size_t i = 0; i < 3; ++i) {
            const glm::dvec2 a = p[i], b = p[(i + 1) % 3];
            if (std::abs(a.y) <= half) take(a.x, a.y);
            for (const double y : {-half, half})
                if ((a.y < y) != (b.y < y)) take(a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)), y);
        }
        return stretch.from <= stretch.to;
    }

    void gather(const Strip& strip, const std::vector<int>& from, std::vector<int>* kept) {
        stretches_.clear();
        Stretch stretch;
        for (const int i : from) {
            if (!stretchOf(pieces_[static_cast<size_t>(i)], strip, stretch)) continue;
            if (kept) kept->push_back(i);
            stretch.piece = i;
            stretches_.push_back(stretch);
        }
        joinStretches();
    }

    // Stretches of one plane that meet become one.
    void joinStretches() {
        const auto groupOf = [this](const Stretch& s) { return pieces_[static_cast<size_t>(s.piece)].group; };
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

    void fillProfile(const Strip& strip, const std::vector<int>& from, std::vector<int>* kept) {
        gather(strip, from, kept);
        double run = 0, falls = 0;
        for (const Stretch& s : stretches_) {
            run += s.to - s.from;
            falls += (s.to - s.from) * glm::dot(pieces_[static_cast<size_t>(s.piece)].gradient, strip.across);
        }
        const double mean = run > 0 ? falls / run : 0;
        profile_.clear();
        for (const Stretch& s : stretches_) {
            const Piece& piece = pieces_[static_cast<size_t>(s.piece)];
            const double slope = glm::dot(piece.gradient, strip.along);
            const double across = glm::dot(piece.gradient, strip.across);
            const double level = piece.level + across * strip.distance;
            const double a = (across - mean) * s.low, b = (across - mean) * s.high;
            profile_.add({s.from, s.to, level + std::max(a, b), slope},
                         {s.from, s.to, level + std::min(a, b), slope});
        }
    }

    template <class Bar>
    void look(const Lines& lines, const std::shared_ptr<const std::vector<int>>& from, const Bar& bar,
              StraightedgeGap& best, Boxes& boxes) {
        ++best.looked;
        auto kept = std::make_shared<std::vector<int>>();
        fillProfile(Strip(lines), *from, kept.get());
        const double before = bar(), bound = profile_.greatest(length_, before).gap;
        if (bound <= before) return;
        tryLine({lines.angle, 0, lines.distance, 0}, *kept, best);
        if (bound > bar()) boxes.push({bound, lines, std::move(kept)});
    }

    void tryLine(const Lines& line, const std::vector<int>& from, StraightedgeGap& best) {
        const Strip strip(line);
        fillProfile(strip, from, nullptr);
        const ProfileGap gap = profile_.greatest(length_, best.gap);
        if (gap.gap <= best.gap) return;
        const glm::dvec2 foot = middle_ + strip.across * strip.distance;
        best.gap = gap.gap;
        best.from = foot + strip.along * gap.from;
        best.to = foot + strip.along * gap.to;
        best.at = foot + strip.along * gap.at;
    }

    double length_;
    glm::dvec2 middle_{0, 0};
    double reach_ = 0;
    std::vector<Piece> pieces_;
    std::vector<Stretch> stretches_;
    std::vector<int> near_;
    Profile profile_;
};

}  // namespace

StraightedgeGap greatestGap(const HeightField& field, double length, const StraightedgeEffort& effort) {
    return Search(field, length).greatest(effort);
}

HeightField gapsOver(const HeightField& field, double length) {
    constexpr int directions = 36;
    Search search(field, length);
    HeightField gaps = field;
    std::map<std::pair<double, double>, double> known;
    for (HeightPiece& piece : gaps) {
        for (size_t k = 0; k < 3; ++k) {
            const auto [at, isNew] = known.try_emplace({piece.at[k].x, piece.at[k].y}, 0.0);
            if (isNew) at->second = search.over(piece.at[k], directions);
            piece.value[k] = at->second;
        }
    }
    return gaps;
}

}  // namespace underfoot
