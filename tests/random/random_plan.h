#pragma once
// Plans drawn by lot: every seed gives one plan, the same on every machine.

#include <cmath>
#include <cstdint>

#include <glm/common.hpp>

#include "model/make_plan.h"

namespace underfoot::testing {

/// splitmix64: the same numbers everywhere.
class Lot {
  public:
    explicit Lot(uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
    uint64_t next() {
        uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    double real(double low, double high) {
        return low + (high - low) * static_cast<double>(next() >> 11) * 0x1.0p-53;
    }
    int whole(int low, int high) {
        return low + static_cast<int>(next() % static_cast<uint64_t>(high - low + 1));
    }
    bool chance(double part) { return real(0, 1) < part; }

  private:
    uint64_t state_;
};

/// An outline inside a box: rectangle, L, regular polygon, circle, or a star-shaped ring with some arcs. A
/// box filled to its sides makes neighbours share edges and corners stand on edges.
inline Ring randomRing(Lot& lot, glm::dvec2 low, glm::dvec2 high) {
    const glm::dvec2 size = high - low, middle = (low + high) * 0.5;
    const double radius = 0.5 * std::min(size.x, size.y);
    switch (lot.whole(0, 4)) {
        case 0:
            return rectangle(low, high);
        case 1: {
            const glm::dvec2 notch = low + size * glm::dvec2(lot.real(0.3, 0.7), lot.real(0.3, 0.7));
            return ringOf(
                {low, {high.x, low.y}, {high.x, notch.y}, notch, {notch.x, high.y}, {low.x, high.y}});
        }
        case 2: {
            std::vector<glm::dvec2> corners;
            const int sides = lot.whole(3, 9);
            const double turn = lot.real(0, 6);
            for (int i = 0; i < sides; ++i) {
                const double a = turn + 2 * M_PI * i / sides;
                corners.push_back(middle + radius * glm::dvec2(std::cos(a), std::sin(a)));
            }
            return ringOf(corners);
        }
        case 3: {
            Ring ring;
            ring.start = middle + glm::dvec2(radius, 0);
            ring.edges.push_back({middle - glm::dvec2(radius, 0), middle + glm::dvec2(0, radius), {}});
            ring.edges.push_back({ring.start, middle - glm::dvec2(0, radius), {}});
            return ring;
        }
        default: {
            std::vector<glm::dvec2> corners;
            const int sides = lot.whole(5, 12);
            for (int i = 0; i < sides; ++i) {
                const double a = 2 * M_PI * (i + lot.real(-0.2, 0.2)) / sides;
                corners.push_back(middle + radius * lot.real(0.45, 1) * glm::dvec2(std::cos(a), std::sin(a)));
            }
            Ring ring = ringOf(corners);
            for (size_t i = 0; i < ring.edges.size(); i += 3) {
                const glm::dvec2 a = corners[i], b = corners[(i + 1) % corners.size()], along = b - a;
                // A shallow arc outward, well inside the next corner's sector.
                ring.edges[i].through = (a + b) * 0.5 + 0.04 * glm::dvec2(along.y, -along.x);
            }
            return ring;
        }
    }
}

inline Ring reversed(const Ring& ring) {
    Ring back;
    back.start = ring.start;
    for (size_t i = ring.edges.size(); i-- > 0;)
        back.edges.push_back({i == 0 ? ring.start : ring.edges[i - 1].to, ring.edges[i].through, {}});
    return back;
}

inline std::vector<Shot> randomShots(Lot& lot, int count, glm::dvec2 low, glm::dvec2 high, double height,
                                     double rough) {
    std::vector<Shot> shots;
    const double gx = lot.real(-0.08, 0.08), gy = lot.real(-0.08, 0.08);
    auto add = [&](glm::dvec2 p) {
        for (const Shot& s : shots)
            if (s.at == p) return;
        shots.push_back(shot(p.x, p.y, height + gx * p.x + gy * p.y + lot.real(-rough, rough)));
    };
    add(low);
    add({high.x, low.y});
    add(high);
    const int kind = lot.whole(0, 3);
    for (int i = 0; i < count; ++i) {
        const glm::dvec2 p = low + (high - low) * glm::dvec2(lot.real(0, 1), lot.real(0, 1));
        if (kind == 0)
            add(glm::round(p));  // ties: many on one circle, many in line
        else if (kind == 1 && i % 5 == 1)
            add(shots.back().at + glm::dvec2(lot.real(-1, 1) * 3e-7, 1e-7));  // nearly one place
        else if (kind == 2 && i % 2)
            add({p.x, low.y + 0.25 * (high.y - low.y)});  // many in line
        else
            add(p);
    }
    return shots;
}

inline BuildUp randomBuildUp(Lot& lot, std::string name, int layers) {
    static const Role roles[] = {Role::Underlayment,   Role::Base, Role::Geotextile,
                                 Role::ProtectiveSand, Role::Base, Role::Base};
    BuildUp made{name, {layer("units", Role::Units, lot.real(0.03, 0.08))}, {}};
    made.layers.push_back(layer("bedding", Role::Bedding, lot.real(0.01, 0.04),
                                lot.chance(0.3) ? lot.real(-0.1, 0.15) : 0, lot.chance(0.8)));
    for (int i = 2; i < layers; ++i) {
        Layer next = layer("layer " + std::to_string(i), roles[lot.whole(0, 5)], lot.real(0.002, 0.15));
        if (lot.chance(0.5)) next.beyond = lot.chance(0.2) ? -0.05 : 0.05 * lot.whole(1, 5);
        if (lot.chance(0.3)) next.corners = CornerStyle::Round;
        if (lot.chance(0.3)) next.lift = next.thickness / lot.whole(1, 3);
        made.layers.push_back(next);
    }
    if (lot.chance(0.5)) {
        made.layers.push_back(layer("fill", Role::Fill, 0));
        made.layers.back().lift = lot.chance(0.5) ? lot.real(0.05, 0.2) : 0;
    }
    return made;
}

inline Finish randomFinish(Lot& lot, double level) {
    Finish finish;
    const int planes = lot.whole(1, 3);
    finish.join = lot.chance(0.5) ? PlaneJoin::Ridge : PlaneJoin::Valley;
    for (int i = 0; i < planes; ++i)
        finish.planes.push_back(
            {{lot.real(0, 6), lot.real(0, 6)}, level, lot.real(-0.03, 0.03), lot.real(-0.02, 0.02), {}});
    return finish;
}

inline Plan randomPlan(uint64_t seed) {
    Lot lot(seed);
    Plan plan;
    plan.file = "random.toml";
    plan.bareUnit = LengthUnit::Metre;
    plan.show.style = LengthStyle::Metres;
    const double level = lot.real(-5, 300);
    plan.finishes.push_back(randomFinish(lot, level));
    const int buildUps = lot.whole(1, 2);
    for (int i = 0; i < buildUps; ++i)
        plan.buildUps.push_back(randomBuildUp(lot, "build-up " + std::to_string(i), lot.whole(3, 9)));
    const int areas = lot.whole(1, 6);
    for (int i = 0; i < areas; ++i) {
        Area area;
        area.name = std::string(1, static_cast<char>('a' + i));
        area.buildUp = plan.buildUps[static_cast<size_t>(lot.whole(0, buildUps - 1))].name;
        const glm::dvec2 low{3.0 * (i % 3), 3.0 * (i / 3)};
        area.outline = randomRing(lot, low, low + glm::dvec2(3));
        if (lot.chance(0.25)) area.againstWall = {0};
        if (lot.chance(0.3)) {
            const glm::dvec2 middle = low + glm::dvec2(1.1, 1.1);
            area.openings.push_back(reversed(randomRing(lot, middle, middle + glm::dvec2(0.25))));
        }
        plan.areas.push_back(area);
    }
    if (lot.chance(0.3)) {
        Area hearth = plan.areas[0];
        hearth.openings.clear();
        hearth.name = "hearth";
        hearth.outline = rectangle({1.4, 0.9}, {1.9, 1.4});
        plan.areas[0].around = {"hearth"};
        plan.areas[0].openings.clear();
        // Only where it lies within the area it is cut out of.
        if (plan.areas[0].outline.edges.size() == 4)
            plan.areas.push_back(hearth);
        else
            plan.areas[0].around.clear();
    }
    if (lot.chance(0.85)) {
        const double beside = level + lot.real(-0.8, 0.3);
        plan.ground.shots = randomShots(lot, lot.chance(0.1) ? 500 : lot.whole(0, 60), {-2, -2}, {11, 8},
                                        beside, lot.real(0, 0.3));
    }
    plan.ground.extend = lot.chance(0.5) ? Extend::Nearest : Extend::Plane;
    plan.ground.strip = lot.chance(0.5) ? lot.real(0, 0.15) : 0;
    plan.ground.fillLift = lot.chance(0.5) ? lot.real(0.05, 0.2) : 0;
    plan.ground.fillLifts = lot.chance(0.5) ? FillLifts::Level : FillLifts::Parallel;
    plan.ground.sideSlope = lot.real(0.3, 1.5);
    plan.ground.shoulder = lot.chance(0.4) ? lot.real(0.05, 0.4) : 0;
    if (lot.chance(0.6)) {
        const BuildUp& buildUp = plan.buildUps[0];
        const size_t at = static_cast<size_t>(lot.whole(1, static_cast<int>(buildUp.layers.size()) - 1));
        double above = 0;
        for (size_t i = 0; i < at; ++i) above += buildUp.layers[i].thickness;
        MeasuredTop top{
            buildUp.layers[at].name,
            randomShots(lot, lot.whole(0, 40), {-0.5, -0.5}, {9, 6}, level - above, lot.real(0, 0.06)),
            Extend::Nearest,
            {}};
        plan.measuredTops.push_back(top);
    }
    return plan;
}

}  // namespace underfoot::testing
