#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/read_outline.h"
#include "plan/reading.h"
#include "plan/words.h"

namespace underfoot {
namespace {

template <class Record>
std::vector<std::string> namesOf(const std::vector<Record>& records) {
    std::vector<std::string> names;
    for (const Record& record : records)
        if (!record.name.empty()) names.push_back(record.name);
    return names;
}

template <class Record, class Name>
void checkSingle(Reading& reading, const std::vector<Record>& records, const char* kind, Name nameOf) {
    std::map<std::string, int> lines;
    for (const Record& record : records) {
        const std::string& name = nameOf(record);
        if (name.empty()) continue;
        const auto [seen, fresh] = lines.emplace(name, record.place.line);
        if (!fresh)
            reading.report(record.place,
                           fmt::format("There is a second {} {}; the first is in line {}.", kind,
                                       inQuotes(name), seen->second),
                           "Give each its own name, or delete one.");
    }
}

void checkNames(Reading& reading, const Plan& plan) {
    const auto byName = [](const auto& record) -> const std::string& { return record.name; };
    checkSingle(reading, plan.buildUps, "build-up", byName);
    checkSingle(reading, plan.areas, "area", byName);
    checkSingle(reading, plan.buriedRuns, "pipe", byName);
    checkSingle(reading, plan.fixedThings, "fixed thing", byName);
    checkSingle(reading, plan.cuts, "cut", byName);
    checkSingle(reading, plan.measuredTops, "measured top of",
                [](const MeasuredTop& top) -> const std::string& { return top.layer; });
    checkSingle(reading, plan.limits, "limit for",
                [](const LimitOverride& own) -> const std::string& { return own.rule; });
    for (const BuildUp& buildUp : plan.buildUps) checkSingle(reading, buildUp.layers, "layer", byName);
}

/// Layers of one name are one layer: they must be the same kind of thing everywhere.
void checkSharedLayers(Reading& reading, const Plan& plan) {
    std::map<std::string, const Layer*> first;
    for (const BuildUp& buildUp : plan.buildUps) {
        for (const Layer& layer : buildUp.layers) {
            const auto [seen, fresh] = first.emplace(layer.name, &layer);
            if (fresh || layer.name.empty() || seen->second->role == layer.role) continue;
            reading.report(
                layer.place,
                fmt::format("The layer {} is {} here and {} in line {}.", inQuotes(layer.name),
                            roleName(layer.role), roleName(seen->second->role), seen->second->place.line),
                "Layers of one name are one layer: give one of them another name, or both one role.");
        }
    }
}

void checkArea(Reading& reading, const Area& area, const Plan& plan) {
    const std::string owner = fmt::format("The area {}", inQuotes(area.name));
    const BuildUp* buildUp = buildUpOf(plan, area);
    if (!buildUp && !area.buildUp.empty()) {
        reading.report(
            area.place,
            fmt::format("{} has the build-up {}, which is not there.", owner, inQuotes(area.buildUp)),
            suggestion(area.buildUp, namesOf(plan.buildUps)));
    }
    const bool finish = std::any_of(plan.finishes.begin(), plan.finishes.end(),
                                    [&](const Finish& f) { return f.name == area.finish; });
    if (!finish && !area.finish.empty()) {
        reading.report(area.place,
                       fmt::format("{} has the finish {}, which is not there.", owner, inQuotes(area.finish)),
                       suggestion(area.finish, namesOf(plan.finishes)));
    } else if (!finish) {
        reading.report(area.place, fmt::format("{} takes the plan's own finish, and there is none.", owner),
                       "Write [finish] with at, level and fall, or give the area finish = \"…\".");
    }
    if (!area.units || !buildUp) return;
    const bool units = std::any_of(buildUp->layers.begin(), buildUp->layers.end(),
                                   [](const Layer& l) { return l.role == Role::Units; });
    if (!units)
        reading.report(area.units->place,
                       fmt::format("{} lays units, and its build-up {} has no layer of units.", owner,
                                   inQuotes(area.buildUp)),
                       "Add a layer with role = \"units\", or delete the units.");
}

bool usedByAnArea(const Plan& plan, const BuildUp& buildUp) {
    return std::any_of(plan.areas.begin(), plan.areas.end(),
                       [&](const Area& a) { return a.buildUp == buildUp.name; });
}

void checkUsed(Reading& reading, const Plan& plan) {
    if (plan.areas.empty()) return;
    for (const BuildUp& buildUp : plan.buildUps) {
        const auto& variants = reading.usedByVariants;
        const bool used = usedByAnArea(plan, buildUp) ||
                          std::find(variants.begin(), variants.end(), buildUp.name) != variants.end();
        if (!used && !buildUp.name.empty())
            reading.report(buildUp.place, fmt::format("No area has the build-up {}.", inQuotes(buildUp.name)),
                           "Give it to an area with build_up = …, or delete it.");
    }
}

void checkMeasuredTop(Reading& reading, const Plan& plan, const MeasuredTop& top) {
    if (top.layer.empty()) return;
    std::vector<std::string> layers;
    for (const BuildUp& buildUp : plan.buildUps)
        for (const Layer& layer : buildUp.layers)
            if (usedByAnArea(plan, buildUp) &&
                std::find(layers.begin(), layers.end(), layer.name) == layers.end())
                layers.push_back(layer.name);
    if (std::find(layers.begin(), layers.end(), top.layer) == layers.end())
        reading.report(
            top.place,
            fmt::format("A top was measured of the layer {}, which no build-up has.", inQuotes(top.layer)),
            suggestion(top.layer, layers));
}

/// Between two known surfaces one layer at most takes up. Known are the finish and every measured top; fill
/// reaches down to the ground and does not count.
void checkTakeUps(Reading& reading, const Plan& plan, const BuildUp& buildUp) {
    const Layer* above = nullptr;
    for (const Layer& layer : buildUp.layers) {
        const bool measured = std::any_of(plan.measuredTops.begin(), plan.measuredTops.end(),
                                          [&](const MeasuredTop& t) { return t.layer == layer.name; });
        if (measured) above = nullptr;
        if (!layer.takesUp || layer.role == Role::Fill) continue;
        if (above)
            reading.report(
                layer.place,
                fmt::format("In the build-up {} both {} (line {}) and {} take up between the same two known "
                            "surfaces.",
                            inQuotes(buildUp.name), inQuotes(above->name), above->place.line,
                            inQuotes(layer.name)),
                "Keep take_up in one of them, or give the measured top of a layer between them.");
        above = &layer;
    }
    const Layer* fill = nullptr;
    for (const Layer& layer : buildUp.layers) {
        if (layer.role != Role::Fill) continue;
        if (fill)
            reading.report(
                layer.place,
                fmt::format(
                    "In the build-up {} both {} (line {}) and {} are fill; only one can reach to the ground.",
                    inQuotes(buildUp.name), inQuotes(fill->name), fill->place.line, inQuotes(layer.name)),
                "Keep one of them, or make one a base with its thickness.");
        fill = &layer;
    }
}

/// The first shot at each place, places told apart to the micrometre. Open addressing: there may be millions.
class FirstShots {
  public:
    explicit FirstShots(const std::vector<Shot>& shots) : shots_(shots) {
        slots_.assign(std::bit_ceil(shots.size() * 2 + 1), {});
    }

    /// The shot that stood at the place before this one; null when this is the first.
    const Shot* addOrFind(size_t index) {
        const auto [x, y] = cellOf(shots_[index]);
        const size_t hashed = hash(x, y);
        const auto tag = static_cast<uint32_t>(hashed >> 32);
        size_t slot = hashed & (slots_.size() - 1);
        for (; slots_[slot].number != 0; slot = (slot + 1) & (slots_.size() - 1)) {
            if (slots_[slot].tag != tag) continue;
            const Shot& other = shots_[slots_[slot].number - 1];
            if (cellOf(other) == std::pair(x, y)) return &other;
        }
        slots_[slot] = {static_cast<uint32_t>(index + 1), tag};
        return nullptr;
    }

  private:
    struct Slot {
        uint32_t number;  ///< of a shot, from 1; 0: none
        uint32_t tag;     ///< part of its hash: shots themselves lie too far from each other to be looked at
    };

    static std::pair<int64_t, int64_t> cellOf(const Shot& shot) {
        return {std::llround(shot.at.x * 1e6), std::llround(shot.at.y * 1e6)};
    }
    static size_t hash(int64_t x, int64_t y) {
        uint64_t h = static_cast<uint64_t>(x) * 0x9E3779B97F4A7C15ULL;
        h = (h ^ (h >> 29) ^ static_cast<uint64_t>(y)) * 0xC2B2AE3D27D4EB4FULL;
        return static_cast<size_t>(h ^ (h >> 32));
    }

    const std::vector<Shot>& shots_;
    std::vector<Slot> slots_;
};

std::string lineOf(const Reading& reading, const SourcePlace& place) {
    return place.file == reading.file() ? fmt::format("line {}", place.line)
                                        : fmt::format("{} line {}", place.file, place.line);
}

void checkDoubles(Reading& reading, const std::vector<Shot>& shots, const std::string& owner) {
    constexpr double sameHeight = 1e-7;
    constexpr int most = 20;
    FirstShots places(shots);
    int told = 0;
    for (size_t i = 0; i < shots.size(); ++i) {
        const Shot& shot = shots[i];
        const Shot* seen = places.addOrFind(i);
        if (!seen || std::fabs(seen->height - shot.height) <= sameHeight || ++told > most) continue;
        reading.report(
            shot.place,
            fmt::format(
                "Two shots of {} stand at one place ({}) with different heights: {} in {} and {} here.",
                owner, pointText(reading, shot.at), formatLength(seen->height, reading.show),
                lineOf(reading, seen->place), formatLength(shot.height, reading.show)),
            "Keep the right one.");
    }
}

bool allInLine(const std::vector<Shot>& shots, const std::vector<glm::dvec3>& scan) {
    constexpr double flat = 1e-3;
    const glm::dvec2 a = shots.empty() ? glm::dvec2(scan.front()) : shots.front().at;
    double farthest = 0;
    glm::dvec2 far = a;
    const auto reach = [&](glm::dvec2 p) {
        const double squared = (p.x - a.x) * (p.x - a.x) + (p.y - a.y) * (p.y - a.y);
        if (squared <= farthest) return;
        farthest = squared;
        far = p;
    };
    for (const Shot& shot : shots) reach(shot.at);
    for (const glm::dvec3& point : scan) reach(glm::dvec2(point));
    const double length = std::sqrt(farthest);
    if (length < flat) return true;
    const auto beside = [&](glm::dvec2 p) {
        return std::fabs((far.x - a.x) * (p.y - a.y) - (far.y - a.y) * (p.x - a.x)) / length > flat;
    };
    return std::none_of(shots.begin(), shots.end(), [&](const Shot& s) { return beside(s.at); }) &&
           std::none_of(scan.begin(), scan.end(), [&](const glm::dvec3& p) { return beside(glm::dvec2(p)); });
}

/// Holds everything in a plan within one site: each area near those before it, all else near the areas.
class PlaceCheck {
  public:
    explicit PlaceCheck(Reading& reading) : reading_(reading) {}

    bool anyArea() const { return first_ != nullptr; }

    void area(const Area& area) {
        if (area.outline.edges.empty()) return;
        if (!first_) low_ = high_ = area.outline.start;
        if (!first_) first_ = &area;
        glm::dvec2 low = low_, high = high_;
        for (const glm::dvec2 corner : toChords(area.outline, checkSagitta).corners) {
            low = {std::min(low.x, corner.x), std::min(low.y, corner.y)};
            high = {std::max(high.x, corner.x), std::max(high.y, corner.y)};
        }
        if (std::max(high.x - low.x, high.y - low.y) > bounds::greatestSite) {
            report(area.place, fmt::format("The area {} lies more than 1 km from the area {}.",
                                           inQuotes(area.name), inQuotes(first_->name)));
            return;
        }
        low_ = low;
        high_ = high;
    }

    void shots(const std::vector<Shot>& shots, const std::string& owner) {
        const auto shot = std::find_if(shots.begin(), shots.end(), [&](const Shot& s) { return far(s.at); });
        if (shot != shots.end())
            report(shot->place, fmt::format("A shot of {} lies more than 1 km from the areas, at {}.", owner,
                                            pointText(reading_, shot->at)));
    }

    void scan(const Scan& scan, const SourcePlace& place, const std::string& owner) {
        const auto point = std::find_if(scan.points.begin(), scan.points.end(),
                                        [&](const glm::dvec3& p) { return far(glm::dvec2(p)); });
        if (point != scan.points.end())
            report(place, fmt::format("A point of the scan of {} lies more than 1 km from the areas, at {}.",
                                      owner, pointText(reading_, glm::dvec2(*point))));
    }

    void run(const BuriedRun& run) {
        for (const PipePoint& point : run.points)
            if (far(point.at))
                report(run.place, fmt::format("A point of the pipe {} lies more than 1 km from the areas.",
                                              inQuotes(run.name)));
    }

    void fixedThing(const FixedThing& thing) {
        if (!thing.outline.edges.empty() && far(thing.outline.start))
            report(thing.place, fmt::format("The fixed thing {} lies more than 1 km from the areas.",
                                            inQuotes(thing.name)));
    }

  private:
    bool far(glm::dvec2 p) const {
        return std::max({low_.x - p.x, p.x - high_.x, low_.y - p.y, p.y - high_.y}) > bounds::greatestSite;
    }

    void report(const SourcePlace& place, const std::string& what) {
        reading_.report(place, what,
                        "All of a plan lies within 1 km: check the numbers, their unit, and that all count "
                        "from one point.");
    }

    Reading& reading_;
    const Area* first_ = nullptr;
    glm::dvec2 low_{0, 0}, high_{0, 0};  ///< corners of the box round the areas so far
};

}  // namespace

void checkShots(Reading& reading, const std::vector<Shot>& shots, const Scan& scan, const std::string& owner,
                const SourcePlace& place) {
    if (shots.size() + scan.points.size() < 3) {
        reading.report(
            place,
            fmt::format("There are {} shots of {}; a surface needs three or more.", shots.size(), owner),
            "Add shots that are not in line.");
        return;
    }
    if (allInLine(shots, scan.points)) {
        reading.report(
            place, fmt::format("All shots of {} lie in one line; a surface needs three that do not.", owner),
            "Add a shot to the side of the line.");
        return;
    }
    checkDoubles(reading, shots, owner);
}

void checkReferences(Reading& reading, Plan& plan) {
    checkNames(reading, plan);
    checkSharedLayers(reading, plan);
    for (const Area& area : plan.areas) checkArea(reading, area, plan);
    checkNesting(reading, plan);
    checkUsed(reading, plan);
    for (const MeasuredTop& top : plan.measuredTops) checkMeasuredTop(reading, plan, top);
    for (const BuildUp& buildUp : plan.buildUps) checkTakeUps(reading, plan, buildUp);
}

void checkPlaces(Reading& reading, const Plan& plan) {
    PlaceCheck check(reading);
    for (const Area& area : plan.areas) check.area(area);
    if (!check.anyArea()) return;
    check.shots(plan.ground.shots, "the ground");
    check.scan(plan.ground.scan, plan.ground.place, "the ground");
    for (const MeasuredTop& top : plan.measuredTops) {
        const std::string owner = fmt::format("the measured top of {}", inQuotes(top.layer));
        check.shots(top.shots, owner);
        check.scan(top.scan, top.place, owner);
    }
    for (const BuriedRun& run : plan.buriedRuns) check.run(run);
    for (const FixedThing& thing : plan.fixedThings) check.fixedThing(thing);
}

}  // namespace underfoot
