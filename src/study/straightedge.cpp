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
#include <glm/vec2.hpp>

#include "study/height_field.h"
#include "study/index.h"
#include "study/part_grid.h"
#include "study/plane_parts.h"
#include "study/profile_gap.h"
#include "study/round_gaps.h"
#include "study/straightedge_surface.h"
#include "study/strip_gaps.h"

namespace underfoot {

namespace {

constexpr double pi = std::numbers::pi;
constexpr size_t turns = 8;  // fans that all directions begin with
// Where there are more squares than can all be looked round, and the bound has not come down in so many
// boxes, it will not.
constexpr size_t hopeless = 150;

struct Box {
    double bound = 0;
    LineFan lines;
    double lowest = 0;      // of the square about the lines' middle that gaps are over
    bool allRound = false;  // all directions, not yet looked along
    int divided = 0;        // so often
    std::shared_ptr<const FanParts> parts;
    bool operator<(const Box& other) const { return bound < other.bound; }
};

// The greatest of a grid's values within `reach` squares of each, along rows and columns alike.
std::vector<double> widened(const HeightLevel& level, int reach) {
    std::vector<double> rows(level.high.size(), -1e300), all(level.high.size(), -1e300);
    const auto widen = [&](const std::vector<double>& from, std::vector<double>& to, int count, int lines,
                           const auto& at) {
        for (int line = 0; line < lines; ++line)
            for (int i = 0; i < count; ++i)
                for (int k = std::max(0, i - reach); k <= std::min(count - 1, i + reach); ++k)
                    to[at(i, line)] = std::max(to[at(i, line)], from[at(k, line)]);
    };
    widen(level.high, rows, level.columns, level.rows, [&](int i, int row) { return level.square(i, row); });
    widen(rows, all, level.rows, level.columns, [&](int i, int column) { return level.square(column, i); });
    return all;
}

class Search {
  public:
    Search(const PlaneParts& flat, const PartGrid& grid, double length, const HeldHeights& held,
           const StraightedgeEffort& effort)
        : flat_(flat),
          grid_(grid),
          length_(length),
          held_(held),
          effort_(effort),
          gaps_(flat, grid, length, held) {}

    /// `apart`: no gap is greater.
    StraightedgeGap greatest(double apart) {
        start();
        const double first = boxes_.empty() ? 0 : boxes_.top().bound;
        const bool many = boxes_.size() * turns > effort_.most;
        while (!boxes_.empty() && !enough() && best_.looked < effort_.most &&
               gaps_.visits() < effort_.mostVisits && boxes_.top().bound > bar()) {
            if (many && best_.looked > hopeless && boxes_.top().bound > first - effort_.sure) break;
            const Box box = boxes_.top();
            boxes_.pop();
            if (box.allRound) {
                lookAllRound(box);
                continue;
            }
            // The best line is mostly known from the start: it is enough to try every other box's.
            if (box.divided % 2 == 0)
                tryLine({box.lines.at, box.lines.angle, 0, box.lines.distance, 0}, *box.parts);
            if (box.bound > bar()) divide(box.lines, box);
        }
        // What was left out, and what is left, lies below the bar or the greatest bound.
        const double left = boxes_.empty() ? 0 : boxes_.top().bound;
        best_.atMost = std::max(best_.gap, std::min(apart, std::max(left, bar())));
        return best_;
    }

  private:
    bool enough() const { return effort_.past > 0 && best_.gap > effort_.past; }
    double bar() const { return std::max({best_.gap + effort_.sure, effort_.past, effort_.least}); }

    // Squares of the plan with what stands highest within the length of them; over the lowest places of those
    // with the most between a few lines to begin with.
    void start() {
        const int last = static_cast<int>(gaps_.levels().size()) - 1;
        const HeightLevel& level = gaps_.levels().back();
        const double side = grid_.sideAt(last);
        half_ = 0.5 * side;
        const auto highest = widened(level, static_cast<int>(length_ / side) + 1);
        const auto none = std::make_shared<const FanParts>();
        std::vector<Box> squares;
        for (int row = 0; row < level.rows; ++row)
            for (int column = 0; column < level.columns; ++column) {
                const size_t square = level.square(column, row);
                const double most = highest[square] - level.low[square];
                if (level.low[square] >= 1e300 || most <= bar()) continue;
                const glm::dvec2 middle = grid_.low() + side * glm::dvec2{column + 0.5, row + 0.5};
                squares.push_back(
                    {most, {middle, 0, pi / 2, 0, half_ * 1.415}, level.low[square], true, -1, none});
            }
        std::stable_sort(squares.begin(), squares.end(),
                         [](const Box& a, const Box& b) { return a.bound > b.bound; });
        startOverPlaces(true, highest, level, side);
        if (held_.low > -1e300 && !enough()) startOverPlaces(false, highest, level, side);
        for (const Box& box : squares)
            if (box.bound > bar()) boxes_.push(box);
    }

    struct Place {
        double most = 0, height = 0;
        glm::dvec2 at{0, 0};
    };

    // Asked whether any gap passes a bound, one that does may be found beside one that nearly does.
    double nearly() const { return std::max(0.9 * effort_.past, effort_.least); }

    /// Corners of parts, or where held heights reach the lower bound along their sides.
    template <class Take>
    void eachPlace(bool corners, const Take& take) const {
        for (const PlanePart& part : flat_.parts) {
            const auto corner = flat_.corners.begin() + part.firstCorner;
            const auto heightAt = [&](glm::dvec2 at) {
                return part.level + glm::dot(part.gradient - held_.fall, at);
            };
            for (int i = 0; i < part.corners; ++i) {
                const glm::dvec2 a = corner[i], b = corner[i + 1 < part.corners ? i + 1 : 0];
                if (corners) {
                    take(a, held_.held(heightAt(a)));
                    continue;
                }
                const double over = heightAt(a) - held_.low, next = heightAt(b) - held_.low;
                if (over * next < 0) take(a + (b - a) * (over / (over - next)), held_.low);
            }
        }
    }

    /// The greatest gap over some places in a few directions: from those that the most stands above on, until
    /// no other has more above it than the gap found.
    void startOverPlaces(bool corners, const std::vector<double>& highest, const HeightLevel& level,
                         double side) {
        constexpr int directions = 36;
        std::vector<Place> places;
        eachPlace(corners, [&](glm::dvec2 at, double height) {
            const glm::dvec2 in = (at - grid_.low()) / side;
            const double most = highest[level.square(std::clamp(static_cast<int>(in.x), 0, level.columns - 1),
                                                     std::clamp(static_cast<int>(in.y), 0, level.rows - 1))];
            if (most - height > std::max(best_.gap, nearly())) places.push_back({most - height, height, at});
        });
        // Few of very many are come to: they are put in order as they are.
        const auto later = [](const Place& a, const Place& b) {
            return std::tie(a.most, b.at.x, b.at.y) < std::tie(b.most, a.at.x, a.at.y);
        };
        std::make_heap(places.begin(), places.end(), later);
        RoundGaps round(flat_, grid_, gaps_.levels(), gaps_.tops(), length_, held_, directions);
        glm::dvec2 last(1e300);
        for (; !places.empty(); places.pop_back()) {
            std::pop_heap(places.begin(), places.end(), later);
            const Place& place = places.back();
            if (std::exchange(last, place.at) == place.at) continue;  // the corner of another part
            const double from = std::max(best_.gap, nearly());
            if (enough() || place.most <= from || round.visits() > effort_.mostVisits) break;
            const RoundGaps::Found found = round.greatest(place.at, place.height, from);
            if (found.direction >= 0) take(found.gap, place.at, found.along);
        }
        climb();
    }

    /// From the best line found to better ones beside it.
    void climb() {
        constexpr double finest = 0.003;  // radians
        if (best_.gap <= 0) return;
        double step = pi / 72;
        while (step > finest && !enough()) {
            const double before = best_.gap;
            const glm::dvec2 at = best_.at - flat_.middle, way = best_.to - best_.from;
            const double angle = std::atan2(way.y, way.x), aside = 0.25 * length_ * step;
            for (const LineFan& line :
                 {LineFan{at, angle - step, 0, 0, 0}, LineFan{at, angle + step, 0, 0, 0},
                  LineFan{at, angle, 0, -aside, 0}, LineFan{at, angle, 0, aside, 0}})
                tryLine(line, {});
            if (best_.gap <= before) step *= 0.5;
        }
    }

    /// Into four at once: the bounds between are not worth what they take.
    void divide(const LineFan& lines, const Box& in, int times = 2) {
        if (times == 0) return look(lines, in);
        for (const LineFan& half : halves(lines)) divide(half, in, times - 1);
    }
    std::array<LineFan, 2> halves(const LineFan& all) const {
        const bool turn = 0.5 * length_ * all.halfAngle > all.halfDistance;
        std::array<LineFan, 2> two{all, all};
        for (size_t i = 0; i < 2; ++i) {
            double &middle = turn ? two[i].angle : two[i].distance,
                   &half = turn ? two[i].halfAngle : two[i].halfDistance;
            half *= 0.5;
            middle += i == 0 ? -half : half;
        }
        return two;
    }

    void lookAllRound(Box box) {
        constexpr size_t most = 300;  // parts; of more, squares are looked at first
        auto parts = std::make_shared<FanParts>();
        if (!gaps_.partsRound(box.lines.at, glm::dvec2(half_), box.lowest, bar(), most, *parts)) return;
        box.parts = std::move(parts);
        for (size_t i = 0; i < turns; ++i)
            look({box.lines.at, pi * (static_cast<double>(i) + 0.5) / turns, pi / turns / 2, 0,
                  box.lines.halfDistance},
                 box);
    }

    void look(const LineFan& lines, const Box& in) {
        ++best_.looked;
        auto kept = std::make_shared<FanParts>();
        const double bound =
            gaps_.gapUnder(lines, glm::dvec2(half_), in.lowest, bar(), *in.parts, kept.get()).gap;
        if (bound > bar()) boxes_.push({bound, lines, in.lowest, false, in.divided + 1, std::move(kept)});
    }

    void tryLine(const LineFan& line, const FanParts& parts) {
        const ProfileGap gap = gaps_.gapUnder(line, glm::dvec2(half_), 0, best_.gap, parts);
        const glm::dvec2 along{std::cos(line.angle), std::sin(line.angle)};
        take(gap, line.at + line.distance * glm::dvec2{-along.y, along.x}, along);
    }
    void take(const ProfileGap& gap, glm::dvec2 foot, glm::dvec2 along) {
        if (gap.gap <= best_.gap) return;
        best_.gap = gap.gap;
        best_.from = flat_.middle + foot + along * gap.from;
        best_.to = flat_.middle + foot + along * gap.to;
        best_.at = flat_.middle + foot + along * gap.at;
    }

    const PlaneParts& flat_;
    const PartGrid& grid_;
    double length_;
    HeldHeights held_;
    StraightedgeEffort effort_;
    StripGaps gaps_;
    double half_ = 0;  // of the squares
    std::priority_queue<Box> boxes_;
    StraightedgeGap best_;
};

glm::dvec2 meanFall(const HeightField& field) {
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

}  // namespace

Straightedge::Surface::Surface(const HeightField& ofField, double ofLength)
    : field(ofField), length(ofLength), fall(meanFall(ofField)) {
    if (field.empty()) return;
    double least = 1e300, most = -1e300;
    low = 1e300, high = -1e300;
    for (const HeightPiece& piece : field)
        for (size_t i = 0; i < 3; ++i) {
            const double over = piece.value[i] - glm::dot(fall, piece.at[i] - field[0].at[0]);
            least = std::min(least, over), most = std::max(most, over);
            low = std::min(low, piece.value[i]), high = std::max(high, piece.value[i]);
        }
    apart = most - least;
}

const PlaneParts& Straightedge::Surface::parts() {
    // Joining takes longer than it saves where there are very many.
    constexpr size_t many = 50'000;
    std::call_once(partsMade_, [this] {
        parts_ = std::make_unique<PlaneParts>(field.size() > many ? unjoinedParts(field) : planeParts(field));
    });
    return *parts_;
}
const PartGrid& Straightedge::Surface::grid() {
    std::call_once(gridMade_, [this] { grid_ = std::make_unique<PartGrid>(parts(), length); });
    return *grid_;
}

Straightedge::Straightedge(const HeightField& field, double length)
    : surface_(std::make_unique<Surface>(field, length)) {}
Straightedge::~Straightedge() = default;
Straightedge::Straightedge(Straightedge&&) noexcept = default;
Straightedge& Straightedge::operator=(Straightedge&&) noexcept = default;

StraightedgeGap Straightedge::greatest(const StraightedgeEffort& effort) const {
    Surface& on = *surface_;
    StraightedgeGap little;
    little.atMost = on.apart;
    if (on.apart <= std::max({effort.sure, effort.past, effort.least})) return little;
    if (on.parts().regions == 1) {  // one plane: every place off it by no more than this
        little.atMost = std::min(on.apart, 2 * PlaneParts::samePlane);
        return little;
    }
    HeldHeights held;
    held.fall = on.fall;
    return Search(on.parts(), on.grid(), on.length, held, effort).greatest(on.apart);
}

StraightedgeGap Straightedge::greatestHeld(double low, double high, const StraightedgeEffort& effort) const {
    Surface& on = *surface_;
    if (low <= on.low && high >= on.high) return greatest(effort);
    StraightedgeGap little;
    little.atMost = std::max(0.0, std::min(high, on.high) - std::max(low, on.low));
    if (little.atMost <= std::max({effort.sure, effort.past, effort.least})) return little;
    return Search(on.parts(), on.grid(), on.length, {low, high, {0, 0}}, effort).greatest(little.atMost);
}

StraightedgeGap greatestGap(const HeightField& field, double length, const StraightedgeEffort& effort) {
    return Straightedge(field, length).greatest(effort);
}

}  // namespace underfoot
