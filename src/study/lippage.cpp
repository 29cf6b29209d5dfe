#include "study/lippage.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include <glm/geometric.hpp>

namespace underfoot {

namespace {

constexpr double leastShared = 0.005;  // sides that share less run past each other at a corner

double cross(glm::dvec2 a, glm::dvec2 b) {
    return a.x * b.y - a.y * b.x;
}

// Squares of the plan, each with what lies in it.
class Buckets {
  public:
    explicit Buckets(double side) : side_(side) {}
    void add(glm::dvec2 low, glm::dvec2 high, int what) {
        each(low, high, [&](std::pair<long, long> key) { squares_[key].push_back(what); });
    }
    std::vector<int> near(glm::dvec2 low, glm::dvec2 high) const {
        std::vector<int> found;
        each(low, high, [&](std::pair<long, long> key) {
            const auto at = squares_.find(key);
            if (at != squares_.end()) found.insert(found.end(), at->second.begin(), at->second.end());
        });
        std::sort(found.begin(), found.end());
        found.erase(std::unique(found.begin(), found.end()), found.end());
        return found;
    }

  private:
    template <class Take>
    void each(glm::dvec2 low, glm::dvec2 high, const Take& take) const {
        for (long i = std::lround(std::floor(low.x / side_)); static_cast<double>(i) * side_ <= high.x; ++i)
            for (long j = std::lround(std::floor(low.y / side_)); static_cast<double>(j) * side_ <= high.y;
                 ++j)
                take({i, j});
    }
    double side_;
    std::map<std::pair<long, long>, std::vector<int>> squares_;
};

struct Bounds {
    glm::dvec2 low{1e300, 1e300}, high{-1e300, -1e300};
    void add(glm::dvec2 p) { low = glm::min(low, p), high = glm::max(high, p); }
};

using Ring = std::vector<glm::dvec2>;

Ring ringOfUnit(const Model& model, const UnitPiece& unit) {
    const auto first = model.unitCorners.begin() + unit.firstCorner;
    return {first, first + unit.corners};
}

Ring clipped(const Ring& ring, const HeightPiece& piece) {
    Ring part = ring;
    for (size_t e = 0; e < 3 && !part.empty(); ++e) {
        const glm::dvec2 a = piece.at[e], run = piece.at[(e + 1) % 3] - a;
        Ring next;
        for (size_t i = 0; i < part.size(); ++i) {
            const glm::dvec2 p = part[i], q = part[(i + 1) % part.size()];
            const double sp = cross(run, p - a), sq = cross(run, q - a);
            if (sp >= 0) next.push_back(p);
            if ((sp > 0 && sq < 0) || (sp < 0 && sq > 0)) next.push_back(p + (q - p) * (sp / (sp - sq)));
        }
        part = std::move(next);
    }
    return part;
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
    const glm::dvec2 origin = ring.front();
    for (const int i : pieces) {
        const HeightPiece& piece = finish[static_cast<size_t>(i)];
        const Ring part = clipped(ring, piece);
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
    Bounds box;
    std::optional<PlaneHeight> plane;
};

std::vector<LaidUnit> layUnits(const Model& model, const HeightField& finish) {
    Buckets buckets(0.5);
    for (size_t i = 0; i < finish.size(); ++i) {
        Bounds box;
        for (const glm::dvec2 p : finish[i].at) box.add(p);
        buckets.add(box.low, box.high, static_cast<int>(i));
    }
    std::vector<LaidUnit> laid;
    for (const UnitPiece& unit : model.units) {
        LaidUnit one;
        one.ring = ringOfUnit(model, unit);
        for (const glm::dvec2 p : one.ring) one.box.add(p);
        one.plane = planeUnder(one.ring, finish, buckets.near(one.box.low, one.box.high));
        laid.push_back(std::move(one));
    }
    return laid;
}

// The steps where one side of a unit runs along one of another.
void stepAlong(const LaidUnit& mine, size_t side, const LaidUnit& other, size_t otherSide, double reach,
               Step& worst) {
    const glm::dvec2 a = mine.ring[side], b = mine.ring[(side + 1) % mine.ring.size()];
    const glm::dvec2 c = other.ring[otherSide], d = other.ring[(otherSide + 1) % other.ring.size()];
    const double run = glm::distance(a, b), otherRun = glm::distance(c, d);
    if (run < leastShared || otherRun < leastShared) return;
    const glm::dvec2 along = (b - a) / run, outward{along.y, -along.x};
    if (glm::dot(along, (d - c) / otherRun) > -0.99) return;
    const double from = std::max(0.0, glm::dot(d - a, along)), to = std::min(run, glm::dot(c - a, along));
    if (to - from < leastShared) return;
    for (const double at : {from, to}) {
        const double ratio =
            (at - glm::dot(d - a, along)) / (glm::dot(c - a, along) - glm::dot(d - a, along));
        const glm::dvec2 onMine = a + along * at, onOther = d + (c - d) * ratio;
        const double apart = glm::dot(onOther - onMine, outward);
        if (apart < -0.001 || apart > reach) return;
        const glm::dvec2 middle = (onMine + onOther) * 0.5;
        const double step = mine.plane->height(middle) - other.plane->height(middle);
        if (worst.low >= 0 && std::abs(step) <= std::abs(worst.height)) continue;
        worst.height = step, worst.at = middle, worst.low = 0;
    }
}

double reachOf(const Model& model, const UnitPiece& unit) {
    const auto& units = model.plan.areas[static_cast<size_t>(unit.area)].units;
    return (units ? units->joint : 0.0) * 1.5 + 0.002;
}

std::optional<Step> stepBetween(const std::vector<LaidUnit>& laid, int mine, int other, double reach) {
    const LaidUnit &a = laid[static_cast<size_t>(mine)], &b = laid[static_cast<size_t>(other)];
    if (!a.plane || !b.plane) return {};
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
    Buckets buckets(0.5);
    for (size_t i = 0; i < laid.size(); ++i)
        buckets.add(laid[i].box.low, laid[i].box.high, static_cast<int>(i));
    for (size_t i = 0; i < laid.size(); ++i) {
        AreaSteps& area = areaOf(all, model.units[i].area);
        ++area.units;
        const double reach = reachOf(model, model.units[i]);
        for (const int other : buckets.near(laid[i].box.low - reach, laid[i].box.high + reach)) {
            if (other <= static_cast<int>(i)) continue;
            const auto step = stepBetween(laid, static_cast<int>(i), other, reach);
            if (!step) continue;
            ++area.joints;
            area.greatest = std::max(area.greatest, step->height);
            if (step->height > limit) ++area.over, ++all.over;
            all.steps.push_back(*step);
        }
    }
    std::stable_sort(all.steps.begin(), all.steps.end(),
                     [](const Step& a, const Step& b) { return a.height > b.height; });
    return all;
}

}  // namespace underfoot
