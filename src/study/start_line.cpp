#include "study/start_line.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <set>
#include <tuple>
#include <vector>

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include "ground/tolerance.h"
#include "measure/cross.h"
#include "measure/length.h"
#include "plan/plan.h"
#include "study/index.h"
#include "study/units.h"

namespace underfoot {
namespace {

constexpr double degree = std::numbers::pi / 180;
/// Shifts nearer to each other than this are one. Metres.
constexpr double sameShift = 1e-6;
/// A side of the field whose direction is off the rows' by no more than this runs along them. Radians.
constexpr double alongRows = 1e-9;
/// Units laid in all tries together, at most.
constexpr double mostLaid = 6e6;
constexpr int gridParts = 24;
constexpr int halvings = 5;
/// A start is written with as few decimals as keep its numbers.
constexpr int leastDecimals = 3, mostDecimals = 9;

/// Less is better.
std::tuple<int, int, double> rank(const LaidNumbers& n) {
    return {n.slivers, n.cut, -std::round(n.smallestPart * 1e6)};
}

double wrapped(double value, double step) {
    return value - step * std::floor(value / step);
}

struct Try {
    PatternPlace place;
    glm::dvec2 shift{0, 0};
    double angle = 0;
    LaidNumbers numbers;
};

class Search {
  public:
    Search(const Model& model, const Catalogue& catalogue, int area)
        : model_(model),
          catalogue_(catalogue),
          layout_(*model.plan.areas[index(area)].units),
          field_(layout_, model.plan.areas[index(area)], regionsOf(model, area), model.plan.baseline,
                 model.site.origin) {}

    tl::expected<StartLine, std::string> run(const StartLineWish& wish) {
        if (!field_.sound()) return tl::unexpected(std::string("Its borders leave no field of units."));
        StartLine out;
        const PatternPlace planned = field_.place();
        out.before = laidNumbers(field_.lay(planned), catalogue_);
        best_ = {planned, {0, 0}, layout_.angle, out.before};
        out.after = out.before;
        out.angle = layout_.angle;
        out.exact = true;
        if (out.before.cut == 0) return out;
        perLaying_ = std::max(1, out.before.whole + out.before.cut);
        for (const double angle : angles(wish)) {
            const PatternPlace base = turnedTo(planned, angle);
            if (wish.symmetrical) {
                if (!symmetric(base, angle)) return tl::unexpected(noMirror());
            } else {
                shifts(base, angle);
            }
        }
        if (!write(out)) return tl::unexpected(std::string("No start was found that the plan can say."));
        out.angle = best_.angle;
        out.shift = leastShift(planned);
        out.exact = exact_ && wish.turn == 0;
        out.step = out.exact ? 0 : step_;
        out.tried = tried_;
        return out;
    }

  private:
    std::string noMirror() const {
        return "Its pattern has no mirror lines that rows and joints share; ask without symmetry.";
    }

    std::vector<double> angles(const StartLineWish& wish) const {
        std::vector<double> out{layout_.angle};
        if (wish.turn <= 0 || wish.turnStep <= 0) return out;
        const int steps = static_cast<int>(std::floor(wish.turn / wish.turnStep + 1e-9));
        for (int k = 1; k <= steps; ++k)
            for (const double side : {1.0, -1.0}) out.push_back(layout_.angle + side * k * wish.turnStep);
        return out;
    }

    PatternPlace turnedTo(PatternPlace place, double angle) const {
        const double by = angle - layout_.angle, c = std::cos(by), s = std::sin(by);
        if (by == 0) return place;
        const auto turn = [&](glm::dvec2 d) { return glm::dvec2{c * d.x - s * d.y, s * d.x + c * d.y}; };
        place.x = turn(place.x);
        place.y = turn(place.y);
        return place;
    }

    static PatternPlace shifted(PatternPlace place, glm::dvec2 shift) {
        place.at = place.point(shift);
        return place;
    }

    void attempt(const PatternPlace& base, glm::dvec2 shift, double angle) {
        ++tried_;
        const PatternPlace place = shifted(base, shift);
        const LaidNumbers numbers = laidNumbers(field_.lay(place), catalogue_);
        if (rank(numbers) < rank(best_.numbers)) best_ = {place, shift, angle, numbers};
    }

    // ------------------------------------------------------------ every shift that matters

    bool squareField(const PatternPlace& base) const {
        const auto square = [&](const std::vector<glm::dvec2>& ring) {
            for (size_t i = 0; i < ring.size(); ++i) {
                const glm::dvec2 d = base.own(ring[(i + 1) % ring.size()]) - base.own(ring[i]);
                if (std::min(std::abs(d.x), std::abs(d.y)) > alongRows * std::hypot(d.x, d.y)) return false;
            }
            return true;
        };
        return std::all_of(field_.field().begin(), field_.field().end(), [&](const Region& region) {
            return square(region.outer) && std::all_of(region.holes.begin(), region.holes.end(), square);
        });
    }

    /// Where the field's sides lie along one axis of the pattern.
    std::set<long> sidesAlong(const PatternPlace& base, bool x) const {
        std::set<long> out;
        const auto add = [&](const std::vector<glm::dvec2>& ring) {
            for (const glm::dvec2& p : ring) {
                const glm::dvec2 own = base.own(p);
                out.insert(std::lround((x ? own.x : own.y) / sameShift));
            }
        };
        for (const Region& region : field_.field()) {
            add(region.outer);
            for (const auto& hole : region.holes) add(hole);
        }
        return out;
    }

    /// Shifts along one axis, within a step that the pattern repeats after, at which a count can change: a
    /// unit's end on a side of the field, or a piece there that has just the least width or part.
    std::vector<double> critical(const PatternPlace& base, bool x, double period) const {
        const double width = catalogue_.limit("cut_unit.least_width").value,
                     part = catalogue_.limit("cut_unit.least_part").value;
        std::set<long> at;
        for (const long side : sidesAlong(base, x))
            for (const PatternBox& unit : field_.repeat()) {
                const double low = x ? unit.at.x : unit.at.y, size = x ? unit.extent.x : unit.extent.y;
                for (const double inside : {0.0, size, width, size - width, part * size, (1 - part) * size})
                    at.insert(std::lround(
                        wrapped(static_cast<double>(side) * sameShift - low - inside, period) / sameShift));
            }
        std::vector<double> out;
        out.reserve(at.size());
        for (const long value : at) out.push_back(static_cast<double>(value) * sameShift);
        const size_t count = out.size();
        for (size_t i = 0; i < count; ++i) {
            const double next = i + 1 < count ? out[i + 1] : out[0] + period;
            if (next - out[i] > 2 * sameShift) out.push_back(wrapped((out[i] + next) / 2, period));
        }
        return out;
    }

    /// Along the rows joints come round again every so far in any row; 0 where they do not soon.
    double periodAlong() const {
        const glm::dvec2 a = field_.stepA(), b = field_.stepB();
        if (std::abs(a.y) > 0) return 0;
        for (int parts = 1; parts <= 4; ++parts) {
            const double turns = parts * b.x / a.x;
            if (std::abs(turns - std::round(turns)) < 1e-9) return std::abs(a.x) / parts;
        }
        return 0;
    }

    void shifts(const PatternPlace& base, double angle) {
        const double period = periodAlong();
        if (period > 0 && squareField(base)) {
            const glm::dvec2 a = field_.stepA(), b = field_.stepB();
            const std::vector<double> ys = critical(base, false, std::abs(b.y));
            std::vector<double> xs;
            for (const double x : critical(base, true, period))
                for (int k = 0; x + k * period < std::abs(a.x) - sameShift; ++k) xs.push_back(x + k * period);
            if (static_cast<double>(xs.size()) * static_cast<double>(ys.size()) * perLaying_ <= mostLaid) {
                for (const double y : ys)
                    for (const double x : xs) attempt(base, {x, y}, angle);
                return;
            }
        }
        exact_ = false;
        onGrid(base, angle);
    }

    void onGrid(const PatternPlace& base, double angle) {
        const glm::dvec2 a = field_.stepA(), b = field_.stepB();
        for (int i = 0; i < gridParts; ++i)
            for (int k = 0; k < gridParts; ++k)
                attempt(base,
                        a * (static_cast<double>(i) / gridParts) + b * (static_cast<double>(k) / gridParts),
                        angle);
        if (best_.angle != angle) return;
        double part = 1.0 / gridParts;
        for (int h = 0; h < halvings; ++h) {
            part /= 2;
            const glm::dvec2 from = best_.shift;
            for (int i = -1; i <= 1; ++i)
                for (int k = -1; k <= 1; ++k)
                    if (i != 0 || k != 0) attempt(base, from + a * (i * part) + b * (k * part), angle);
        }
        step_ = std::max(step_, part * std::max(std::hypot(a.x, a.y), std::hypot(b.x, b.y)));
    }

    // ------------------------------------------------------------ symmetry

    /// Mirrored about x or y = c of its own frame the repeat falls on itself.
    bool mirrors(bool x, double c) const {
        const glm::dvec2 a = field_.stepA(), b = field_.stepB();
        const double area = a.x * b.y - a.y * b.x;
        const auto onLattice = [&](glm::dvec2 p) {
            const double s = (p.x * b.y - p.y * b.x) / area, t = (a.x * p.y - a.y * p.x) / area;
            return std::abs(s - std::round(s)) < 1e-6 && std::abs(t - std::round(t)) < 1e-6;
        };
        const auto flip = [&](glm::dvec2 p) { return x ? glm::dvec2{-p.x, p.y} : glm::dvec2{p.x, -p.y}; };
        if (!onLattice(flip(a)) || !onLattice(flip(b))) return false;
        const std::vector<PatternBox> units = field_.repeat();
        return std::all_of(units.begin(), units.end(), [&](const PatternBox& unit) {
            glm::dvec2 at = unit.at;
            (x ? at.x : at.y) = 2 * c - (x ? at.x + unit.extent.x : at.y + unit.extent.y);
            return std::any_of(units.begin(), units.end(), [&](const PatternBox& other) {
                const glm::dvec2 off = other.extent - unit.extent;
                return std::hypot(off.x, off.y) < sameShift && onLattice(at - other.at);
            });
        });
    }

    std::vector<double> mirrorLines(bool x) const {
        std::vector<double> out;
        for (const PatternBox& one : field_.repeat())
            for (const PatternBox& two : field_.repeat()) {
                const double low = x ? one.at.x : one.at.y;
                const double high = x ? two.at.x + two.extent.x : two.at.y + two.extent.y;
                const double middle = (low + high) / 2;
                const double step = x ? field_.stepA().x : field_.stepB().y;
                for (const double c : {middle, middle + step / 2})
                    if (mirrors(x, c)) out.push_back(c);
            }
        return out;
    }

    bool symmetric(const PatternPlace& base, double angle) {
        glm::dvec2 low{HUGE_VAL}, high{-HUGE_VAL};
        for (const Region& region : field_.field())
            for (const glm::dvec2& corner : region.outer) {
                const glm::dvec2 p = base.own(corner);
                low = {std::min(low.x, p.x), std::min(low.y, p.y)};
                high = {std::max(high.x, p.x), std::max(high.y, p.y)};
            }
        const glm::dvec2 middle = (low + high) * 0.5;
        const std::vector<double> xs = mirrorLines(true), ys = mirrorLines(false);
        if (xs.empty() || ys.empty()) return false;
        if (!symmetricFound_) best_.numbers.slivers = best_.numbers.cut = 1 << 30;
        symmetricFound_ = true;
        for (const double x : xs)
            for (const double y : ys) attempt(base, middle - glm::dvec2{x, y}, angle);
        return true;
    }

    /// From the planned place to the best one, of all that lay the same the one nearest, along the rows as
    /// the angle has them and to their left.
    glm::dvec2 leastShift(const PatternPlace& planned) const {
        const PatternPlace& best = best_.place;
        const auto inPlan = [&](glm::dvec2 own) { return best.x * own.x + best.y * own.y; };
        const glm::dvec2 a = inPlan(field_.stepA()), b = inPlan(field_.stepB()), all = best.at - planned.at;
        const double area = cross(a, b);
        const double i = std::round(cross(all, b) / area), k = std::round(cross(a, all) / area);
        glm::dvec2 least = all;
        for (int di = -2; di <= 2; ++di)
            for (int dk = -2; dk <= 2; ++dk) {
                const glm::dvec2 one = all - a * (i + di) - b * (k + dk);
                if (glm::length(one) < glm::length(least) - sameShift) least = one;
            }
        const glm::dvec2 base = glm::normalize(model_.plan.baseline.to - model_.plan.baseline.from);
        const double turn =
            best_.angle + (layout_.pattern == Pattern::Herringbone45 ? std::numbers::pi / 4 : 0);
        const glm::dvec2 rows{std::cos(turn) * base.x - std::sin(turn) * base.y,
                              std::sin(turn) * base.x + std::cos(turn) * base.y};
        return {glm::dot(least, rows), cross(rows, least)};
    }

    // ------------------------------------------------------------ for the plan

    /// A corner that the plan can name so that the same pattern is laid: of those that do, the one nearest to
    /// the corner that the plan starts in.
    bool write(StartLine& out) {
        const glm::dvec2 a = field_.stepA(), b = field_.stepB();
        const double reach = fieldReach(), step = std::min(std::abs(a.x) + std::abs(a.y), std::abs(b.y));
        const int most = std::min(400, static_cast<int>(std::ceil(reach / std::max(step, 1e-3))) + 2);
        for (int ring = 0; ring <= most; ++ring)
            for (int i = -ring; i <= ring; ++i)
                for (int k = -ring; k <= ring; ++k) {
                    if (std::max(std::abs(i), std::abs(k)) != ring) continue;
                    const glm::dvec2 corner =
                        best_.place.point(a * static_cast<double>(i) + b * static_cast<double>(k));
                    if (startsAlike(corner) && writeAt(corner, out)) return true;
                }
        return false;
    }

    double fieldReach() const {
        glm::dvec2 low{HUGE_VAL}, high{-HUGE_VAL};
        for (const Region& region : field_.field())
            for (const glm::dvec2& p : region.outer) {
                low = {std::min(low.x, p.x), std::min(low.y, p.y)};
                high = {std::max(high.x, p.x), std::max(high.y, p.y)};
            }
        return std::hypot(high.x - low.x, high.y - low.y);
    }

    bool startsAlike(glm::dvec2 corner) const {
        const PatternPlace there = field_.placeAt(corner, best_.angle);
        const auto near = [](glm::dvec2 p, glm::dvec2 q) { return std::hypot(p.x - q.x, p.y - q.y) < 1e-9; };
        return near(there.x, best_.place.x) && near(there.y, best_.place.y);
    }

    bool writeAt(glm::dvec2 corner, StartLine& out) const {
        const double unit = metresPer(model_.plan.bareUnit);
        for (int decimals = leastDecimals; decimals <= mostDecimals; ++decimals) {
            const double tens = std::pow(10.0, decimals);
            const glm::dvec2 plan = model_.toPlan(corner);
            const glm::dvec2 written{std::round(plan.x / unit * tens) / tens + 0.0,
                                     std::round(plan.y / unit * tens) / tens + 0.0};
            const glm::dvec2 start = written * unit;
            const LaidNumbers numbers =
                laidNumbers(field_.lay(field_.placeAt(model_.toLocal(start), best_.angle)), catalogue_);
            if (numbers.slivers != best_.numbers.slivers || numbers.cut != best_.numbers.cut ||
                numbers.whole != best_.numbers.whole)
                continue;
            out.start = start;
            out.after = numbers;
            out.planText = fmt::format("start = [{}, {}]", written.x, written.y);
            if (best_.angle != layout_.angle)
                out.planText += fmt::format(", angle = {:.6g}", best_.angle / degree);
            return true;
        }
        return false;
    }

    const Model& model_;
    const Catalogue& catalogue_;
    UnitLayout layout_;
    FieldLayout field_;
    Try best_;
    double perLaying_ = 1;
    double step_ = 0;
    bool exact_ = true;
    bool symmetricFound_ = false;
    int tried_ = 0;
};

}  // namespace

LaidNumbers laidNumbers(const UnitPlan& laid, const Catalogue& catalogue) {
    const double width = catalogue.limit("cut_unit.least_width").value - tolerance::lengthCompare,
                 part = catalogue.limit("cut_unit.least_part").value - 1e-9;
    LaidNumbers out;
    for (const UnitPiece& piece : laid.pieces) {
        if (piece.whole) {
            ++out.whole;
            continue;
        }
        const double keeps = piece.planArea / piece.wholeArea;
        if (keeps < part || piece.leastWidth < width) ++out.slivers;
        out.smallestPart = std::min(out.smallestPart, keeps);
        out.narrowest = out.cut == 0 ? piece.leastWidth : std::min(out.narrowest, piece.leastWidth);
        ++out.cut;
    }
    return out;
}

tl::expected<StartLine, std::string> startLine(const Model& model, const Catalogue& catalogue, int area,
                                               const StartLineWish& wish) {
    if (!model.plan.areas[index(area)].units)
        return tl::unexpected(std::string("No units are laid out in this area."));
    return Search(model, catalogue, area).run(wish);
}

}  // namespace underfoot
