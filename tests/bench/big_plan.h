#pragma once
// Plans of any size for measuring: the same plan for the same numbers, on every machine.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "model/make_plan.h"

namespace underfoot::bench {

using made::layer;

/// Numbers by lot (splitmix64), the same everywhere.
class Dice {
  public:
    explicit Dice(uint64_t seed) : state_(seed << 32) {}
    double real(double low, double high) {
        uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        z ^= z >> 31;
        return low + (high - low) * static_cast<double>(z >> 11) * 0x1.0p-53;
    }

  private:
    uint64_t state_;
};

inline constexpr double siteSide = 20.0;   ///< of the square that the L is cut from, metres
inline constexpr double shotsReach = 1.0;  ///< how far shots go past it
inline constexpr double fallAway = 0.02;

/// Scattered places over the site, its four far corners first, so that every plan's shots have one hull.
inline std::vector<glm::dvec2> scatteredPlaces(int count, uint64_t seed = 1, double side = siteSide) {
    const double low = -shotsReach, high = side + shotsReach;
    std::vector<glm::dvec2> places{{low, low}, {high, low}, {high, high}, {low, high}};
    places.resize(std::min<size_t>(4, static_cast<size_t>(count)));
    Dice dice(seed);
    while (places.size() < static_cast<size_t>(count)) {
        const double x = dice.real(low, high);
        places.push_back({x, dice.real(low, high)});
    }
    return places;
}

/// Heights `below` the finish at those places, wavy by `wave` and rough by `rough`.
inline std::vector<Shot> shotsAt(const std::vector<glm::dvec2>& places, double below, double wave,
                                 double rough, uint64_t seed) {
    Dice dice(seed);
    std::vector<Shot> shots;
    shots.reserve(places.size());
    for (const glm::dvec2& p : places) {
        const double waves = wave * std::sin(0.9 * p.x) * std::cos(0.7 * p.y);
        shots.push_back(made::shot(p.x, p.y, -fallAway * p.y - below + waves + dice.real(-rough, rough)));
    }
    return shots;
}

/// Seven layers between eight surfaces, top first; the tops of "base" and "lower base" are there to be shot.
inline BuildUp sevenLayers(double beyond) {
    BuildUp made{
        "seven",
        {layer("units", Role::Units, 0.06), layer("panels", Role::Underlayment, 0.02),
         layer("sand", Role::Bedding, 0.03, 0, true), layer("base", Role::Base, 0.1, beyond),
         layer("lower base", Role::Base, 0.12, beyond), layer("drain stone", Role::Base, 0.1, beyond),
         layer("fabric", Role::Geotextile, 0.002, beyond)},
        {}};
    return made;
}

/// How the patio meets the garden: dug in with upright sides, the ground within the thickness of the units,
/// so that there is nothing but the layers; or raised on fill, base run past the edge, with side slopes.
enum class Edges { DugIn, Raised };

inline Plan emptyPlan(Edges edges = Edges::DugIn) {
    Plan plan;
    plan.file = "bench.toml";
    plan.title = "Bench";
    plan.show.style = LengthStyle::Metres;
    plan.bareUnit = LengthUnit::Metre;
    plan.buildUps.push_back(sevenLayers(edges == Edges::Raised ? 0.15 : 0));
    plan.finishes.push_back({"", {{{0, 0}, 0, fallAway, 0, {}}}, PlaneJoin::Ridge, {}, {}});
    plan.ground.extend = Extend::Nearest;
    plan.ground.strip = 0.1;
    return plan;
}

inline MeasuredTop measuredTop(const std::string& ofLayer, std::vector<Shot> shots) {
    MeasuredTop top;
    top.layer = ofLayer;
    top.shots = std::move(shots);
    return top;
}

inline Ring octagon(glm::dvec2 centre, double radius) {
    std::vector<glm::dvec2> corners;
    for (int i = 0; i < 8; ++i) {
        const double turn = (i + 0.5) * M_PI / 4;
        corners.push_back(centre + radius * glm::dvec2(std::cos(turn), std::sin(turn)));
    }
    return made::ringOf(corners);
}

inline Area ellArea() {
    const double s = siteSide;
    Area area;
    area.name = "court";
    area.buildUp = "seven";
    area.outline = made::ringOf({{0, 0}, {s, 0}, {s, 0.55 * s}, {0.6 * s, 0.55 * s}, {0.6 * s, s}, {0, s}});
    area.openings.push_back(octagon({0.3 * s, 0.55 * s}, 0.08 * s));
    return area;
}

inline std::vector<Shot> groundShots(const std::vector<glm::dvec2>& places, Edges edges) {
    return edges == Edges::DugIn ? shotsAt(places, 0.03, 0.01, 0.005, 2)
                                 : shotsAt(places, 0.6, 0.04, 0.01, 2);
}

/// An L with an octagonal opening over `shots` ground shots. The tops of base and lower base are shot at the
/// same places, so that the plan triangulation stays near two cells a shot.
inline Plan shotsPlan(int shots, Edges edges = Edges::DugIn) {
    Plan plan = emptyPlan(edges);
    plan.areas.push_back(ellArea());
    const std::vector<glm::dvec2> places = scatteredPlaces(shots);
    plan.ground.shots = groundShots(places, edges);
    plan.measuredTops.push_back(measuredTop("base", shotsAt(places, 0.11, 0.004, 0.002, 3)));
    plan.measuredTops.push_back(measuredTop("lower base", shotsAt(places, 0.21, 0.01, 0.004, 4)));
    return plan;
}

inline constexpr double unitLength = 0.2, unitWidth = 0.1, unitJoint = 0.003;
/// Of the square that so many units pave.
inline double unitsSide(int units) {
    return std::sqrt(units * (unitLength + unitJoint) * (unitWidth + unitJoint));
}

/// A square laid with about `units` units of 200 x 100 mm in running bond, over 200 ground shots.
inline Plan unitsPlan(int units, Edges edges = Edges::DugIn) {
    Plan plan = emptyPlan(edges);
    const double side = unitsSide(units);
    Area area;
    area.name = "court";
    area.buildUp = "seven";
    area.outline = made::rectangle({0, 0}, {side, side});
    UnitLayout layout;
    layout.sizes = {{unitLength, unitWidth}};
    layout.joint = unitJoint;
    area.units = layout;
    plan.areas.push_back(area);
    plan.ground.shots = groundShots(scatteredPlaces(200, 1, side), edges);
    return plan;
}

/// `count` squares of 2 m on fill, apart from each other, over 400 ground shots.
inline Plan areasPlan(int count) {
    Plan plan = emptyPlan(Edges::Raised);
    const int across = static_cast<int>(std::ceil(std::sqrt(count)));
    const double pitch = 5;
    for (int i = 0; i < count; ++i) {
        const glm::dvec2 low = pitch * glm::dvec2(i % across, i / across);
        Area area;
        area.name = "square " + std::to_string(i);
        area.buildUp = "seven";
        area.outline = made::rectangle(low, low + 2.0);
        plan.areas.push_back(area);
    }
    plan.ground.shots = groundShots(scatteredPlaces(400, 1, pitch * across), Edges::Raised);
    return plan;
}

/// Lines right across the site in plan, any bearing, each through a place inside it.
inline std::vector<std::vector<glm::dvec2>> bearings(int count, double side = siteSide) {
    Dice dice(7);
    std::vector<std::vector<glm::dvec2>> lines;
    for (int i = 0; i < count; ++i) {
        const double x = dice.real(0.1, 0.9) * side, y = dice.real(0.1, 0.9) * side,
                     turn = dice.real(0, M_PI);
        const glm::dvec2 along{std::cos(turn), std::sin(turn)};
        lines.push_back({glm::dvec2(x, y) - 2 * side * along, glm::dvec2(x, y) + 2 * side * along});
    }
    return lines;
}

/// Lines of a point file: number, northing, easting, height.
inline std::string pointFileText(const std::vector<Shot>& shots) {
    std::string text;
    text.reserve(shots.size() * 36);
    char line[96];
    for (size_t i = 0; i < shots.size(); ++i) {
        const int length = std::snprintf(line, sizeof line, "%zu,%.4f,%.4f,%.4f\n", i + 1, shots[i].at.y,
                                         shots[i].at.x, shots[i].height);
        text.append(line, static_cast<size_t>(length));
    }
    return text;
}

}  // namespace underfoot::bench
