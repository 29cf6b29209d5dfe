#include "study/lippage.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "ground/surface.h"
#include "measure/cross.h"
#include "plan/plan.h"
#include "study/order.h"

namespace underfoot {

namespace {

constexpr double leastShared = 0.005;  // sides that share less run past each other at a corner
constexpr double rounding = 1e-9;      // of heights

struct Bounds {
    glm::dvec2 low{1e300, 1e300}, high{-1e300, -1e300};
    void add(glm::dvec2 p) { low = glm::min(low, p), high = glm::max(high, p); }
    bool meets(const Bounds& other, double reach = 0) const {
        return low.x <= other.high.x + reach && other.low.x <= high.x + reach &&
               low.y <= other.high.y + reach && other.low.y <= high.y + reach;
    }
};

// Squares of the plan, each with what lies in it: about two of them a square.
class Buckets {
  public:
    explicit Buckets(const std::vector<Bounds>& boxes) : boxes_(boxes) {
        for (const Bounds& box : boxes)
            if (box.low.x <= box.high.x) all_.add(box.low), all_.add(box.high);
        if (all_.low.x > all_.high.x) return;
        const glm::dvec2 size = all_.high - all_.low;
        side_ = std::max(std::sqrt(size.x * size.y * 2 / static_cast<double>(boxes.size())), 0.05);
        columns_ = 1 + static_cast<size_t>(size.x / side_);
        rows_ = 1 + static_cast<size_t>(size.y / side_);
        first_.assign(columns_ * rows_ + 1, 0);
        for (const Bounds& box : boxes) each(box, [&](size_t square) { ++first_[square + 1]; });
        std::partial_sum(first_.begin(), first_.end(), first_.begin());
        what_.resize(first_.back());
        std::vector<size_t> next = first_;
        for (size_t i = 0; i < boxes.size(); ++i)
            each(boxes[i], [&](size_t square) { what_[next[square]++] = static_cast<int>(i); });
    }
    /// Whose boxes meet this one, in order, each once.
    void near(const Bounds& box, std::vector<int>& found) const {
        found.clear();
        each(box, [&](size_t square) {
            for (size_t i = first_[square]; i < first_[square + 1]; ++i)
                if (boxes_[static_cast<size_t>(what_[i])].meets(box)) found.push_back(what_[i]);
        });
        std::sort(found.begin(), found.end());
        found.erase(std::unique(found.begin(), found.end()), found.end());
    }

  private:
    template <class Take>
    void each(const Bounds& box, const Take& take) const {
        if (columns_ == 0 || !(box.low.x <= box.high.x)) return;
        const auto square = [&](double at, size_t count) {
            return static_cast<size_t>(std::clamp(at / side_, 0.0, static_cast<double>(count - 1)));
        };
        const glm::dvec2 low = box.low - all_.low, high = box.high - all_.low;
        for (size_t row = square(low.y, rows_); row <= square(high.y, rows_); ++row)
            for (size_t column = square(low.x, columns_); column <= square(high.x, columns_); ++column)
                take(row * columns_ + column);
    }
    const std::vector<Bounds>& boxes_;
    Bounds all_;
    double side_ = 1;
    size_t columns_ = 0, rows_ = 0;
    std::vector<size_t> first_;
    std::vector<int> what_;
};

using Ring = std::vector<glm::dvec2>;

Ring ringOfUnit(const Model& model, const UnitPiece& unit) {
    const auto first = model.unitCorners.begin() + unit.firstCorner;
    return {first, first + unit.corners};
}

// What of `part` lies in the piece; `spare` is room to work in.
void clip(Ring& part, const HeightPiece& piece, Ring& spare) {
    for (size_t e = 0; e < 3 && !part.empty(); ++e) {
        const glm::dvec2 a = piece.at[e], run = piece.at[(e + 1) % 3] - a;
        const auto inside = [&](glm::dvec2 p) { return cross(run, p - a); };
        if (std::all_of(part.begin(), part.end(), [&](glm::dvec2 p) { return inside(p) >= 0; })) continue;
        spare.clear();
        glm::dvec2 p = part.back();
        double sp = inside(p);
        for (const glm::dvec2 q : part) {
            const double sq = inside(q);
            if ((sp > 0 && sq < 0) || (sp < 0 && sq > 0)) spare.push_back(p + (q - p) * (sp / (sp - sq)));
            if (sq >= 0) spare.push_back(q);
            p = q, sp = sq;
        }
        part.swap(spare);
    }
}

// Integrals over an outline of 1, x, y, their products, and of the height times 1, x, y.
struct Integrals {
    double one = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0, z = 0, xz = 0, yz = 0;

    // Over a triangle, exact for products of two linear functions: area/12 (sum a_i b_i + sum a_i sum b_i).
    void addTriangle(const std::array<glm::dvec2, 3>& p, const std::array<double, 3>& v) {
        const double area = 0.5 * cross(p[1] - p[0], p[2] - p[0]);
        const glm::dvec2 sum = p[0] + p[1] + p[2];
        const double heights = v[0] + v[1] + v[2];
        one += area, x += area * sum.x / 3, y += area * sum.y / 3, z += area * heights / 3;
        double sxx = sum.x * sum.x, sxy = sum.x * sum.y, syy = sum.y * sum.y;
        double sxz = sum.x * heights, syz = sum.y * heights;
        for (size_t i = 0; i < 3; ++i) {
            sxx += p[i].x * p[i].x, sxy += p[i].x * p[i].y, syy += p[i].y * p[i].y;
            sxz += p[i].x * v[i], syz += p[i].y * v[i];
        }
        xx += area / 12 * sxx, xy += area / 12 * sxy, yy += area / 12 * syy;
        xz += area / 12 * sxz, yz += area / 12 * syz;
    }

    std::optional<PlaneHeight> fit(glm::dvec2 origin) const {
        if (one <= 1e-9) return {};
        const double mx = x / one, my = y / one, mz = z / one;
        const double cxx = xx / one - mx * mx, cxy = xy / one - mx * my, cyy = yy / one - my * my;
        const double cxz = xz / one - mx * mz, cyz = yz / one - my * mz, det = cxx * cyy - cxy * cxy;
        PlaneHeight plane{origin + glm::dvec2{mx, my}, mz, {0, 0}};
        if (det > 1e-9 * (cxx + cyy) * (cxx + cyy))
            plane.gradient = {(cxz * cyy - cyz * cxy) / det, (cyz * cxx - cxz * cxy) / det};
        return plane;
    }
};

std::optional<PlaneHeight> planeUnder(const Ring& ring, const HeightField& finish,
                                      const std::vector<int>& pieces) {
    Integrals sums;
    Ring part, spare;
    const glm::dvec2 origin = ring.front();
    for (const int i : pieces) {
        const HeightPiece& piece = finish[static_cast<size_t>(i)];
        part = ring;
        clip(part, piece, spare);
        if (part.size() < 3) continue;
        const PlaneHeight plane = planeThrough({piece.at[0], piece.value[0]}, {piece.at[1], piece.value[1]},
                                               {piece.at[2], piece.value[2]});
        for (size_t k = 1; k + 1 < part.size(); ++k) {
            sums.addTriangle({part[0] - origin, part[k] - origin, part[k + 1] - origin},
                             {plane.height(part[0]), plane.height(part[k]), plane.height(part[k + 1])});
        }
    }
    return sums.fit(origin);
}

struct LaidUnit {
    Ring ring;
    std::vector<glm::dvec2> along;  // of its sides, of length 1
    std::vector<double> run;        // their lengths
    Bounds box;
    std::optional<PlaneHeight> plane;
};

std::vector<LaidUnit> layUnits(const Model& model, const HeightField& finish) {
    std::vector<Bounds> boxes(finish.size());
    for (size_t i = 0; i < finish.size(); ++i)
        for (const glm::dvec2 p : finish[i].at) boxes[i].add(p);
    const Buckets buckets(boxes);
    std::vector<int> pieces;
    std::vector<LaidUnit> laid;
    for (const UnitPiece& unit : model.units) {
        LaidUnit one;
        one.ring = ringOfUnit(model, unit);
        for (size_t i = 0; i < one.ring.size(); ++i) {
            const glm::dvec2 side = one.ring[i + 1 < one.ring.size() ? i + 1 : 0] - one.ring[i];
            one.run.push_back(glm::length(side));
            one.along.push_back(side / std::max(one.run.back(), 1e-300));
            one.box.add(one.ring[i]);
        }
        buckets.near(one.box, pieces);
        one.plane = planeUnder(one.ring, finish, pieces);
        laid.push_back(std::move(one));
    }
    return laid;
}

// The steps where one side of a unit runs along one of another.
void stepAlong(const LaidUnit& mine, size_t side, const LaidUnit& other, size_t otherSide, double reach,
               Step& worst) {
    const glm::dvec2 along = mine.along[side], outward{along.y, -along.x};
    const double run = mine.run[side];
    if (run < leastShared || other.run[otherSide] < leastShared) return;
    if (glm::dot(along, other.along[otherSide]) > -0.99) return;
    const glm::dvec2 a = mine.ring[side], c = other.ring[otherSide],
                     d = other.ring[(otherSide + 1) % other.ring.size()];
    const double from = std::max(0.0, glm::dot(d - a, along)), to = std::min(run, glm::dot(c - a, along));
    if (to - from < leastShared) return;
    for (const double at : {from, to}) {
        const double ratio =
            (at - glm::dot(d - a, along)) / (glm::dot(c - a, along) - glm::dot(d - a, along));
        const glm::dvec2 onMine = a + along * at, onOther = d + (c - d) * ratio;
        const double apart = glm::dot(onOther - onMine, outward);
        if (apart < -0.001 || apart > reach) return;
        const glm::dvec2 middle = (onMine + onOther) * 0.5;
        double step = mine.plane->height(middle) - other.plane->height(middle);
        if (std::abs(step) <= rounding) step = 0;
        if (worst.low >= 0 && std::abs(step) <= std::abs(worst.height) + rounding) continue;
        worst.height = step, worst.at = middle, worst.low = 0;
    }
}

double reachOf(const Model& model, const UnitPiece& unit) {
    const auto& units = model.plan.areas[static_cast<size_t>(unit.area)].units;
    return (units ? units->joint : 0.0) * 1.5 + 0.002;
}

std::optional<Step> stepBetween(const std::vector<LaidUnit>& laid, int mine, int other, double reach) {
    const LaidUnit &a = laid[static_cast<size_t>(mine)], &b = laid[static_cast<size_t>(other)];
    if (!a.plane || !b.plane || !a.box.meets(b.box, reach)) return {};
    Step step;
    for (size_t i = 0; i < a.ring.size(); ++i)
        for (size_t j = 0; j < b.ring.size(); ++j) stepAlong(a, i, b, j, reach, step);
    if (step.low < 0) return {};
    step.high = step.height >= 0 ? mine : other;
    step.low = step.height >= 0 ? other : mine;
    step.height = std::abs(step.height);
    return step;
}

AreaSteps& areaOf(Lippage& all, int area) {
    for (AreaSteps& one : all.areas)
        if (one.area == area) return one;
    all.areas.push_back({area, 0, 0, 0, 0});
    return all.areas.back();
}

}  // namespace

Lippage lippage(const Model& model, const HeightField& finish, double limit) {
    Lippage all;
    const std::vector<LaidUnit> laid = layUnits(model, finish);
    std::vector<Bounds> boxes;
    boxes.reserve(laid.size());
    for (const LaidUnit& unit : laid) boxes.push_back(unit.box);
    const Buckets buckets(boxes);
    std::vector<int> others;
    for (size_t i = 0; i < laid.size(); ++i) {
        AreaSteps& area = areaOf(all, model.units[i].area);
        ++area.units;
        const double reach = reachOf(model, model.units[i]);
        buckets.near({laid[i].box.low - reach, laid[i].box.high + reach}, others);
        for (const int other : others) {
            if (other <= static_cast<int>(i)) continue;
            const auto step = stepBetween(laid, static_cast<int>(i), other, reach);
            if (!step) continue;
            ++area.joints;
            area.greatest = std::max(area.greatest, step->height);
            if (step->height > limit) ++area.over, ++all.over;
            all.steps.push_back(*step);
        }
    }
    sortGreatestFirst(all.steps, rounding, [](const Step& step) { return step.height; });
    return all;
}

}  // namespace underfoot
