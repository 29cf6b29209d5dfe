#include <algorithm>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "plan/inside_ring.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/read_outline.h"
#include "plan/reading.h"
#include "plan/words.h"

namespace underfoot {
namespace {

std::vector<std::string> namesOf(const Plan& plan) {
    std::vector<std::string> names;
    for (const Area& area : plan.areas)
        if (!area.name.empty()) names.push_back(area.name);
    return names;
}

/// Outlines that follow one line may part by this much: their arcs are chorded each on its own.
constexpr double onOutline = 2 * checkSagitta;

void checkOpenings(Reading& reading, const Area& area) {
    if (area.outline.edges.empty() || area.openings.empty()) return;
    const InsideRing inside(toChords(area.outline, checkSagitta).corners);
    for (const Ring& opening : area.openings) {
        const auto out = inside.leaves(toChords(opening, checkSagitta).corners, onOutline);
        if (!out) continue;
        const SourcePlace& place = opening.edges.front().place;
        reading.report(place.line > 0 ? place : area.place,
                       fmt::format("An opening of the area {} reaches past its outline, at {}.",
                                   inQuotes(area.name), pointText(reading, *out)),
                       "Move the opening inside, or draw the outline round it.");
    }
}

/// "all" becomes the names of the areas whose outline lies within.
void resolveAll(Reading& reading, Plan& plan, Area& area) {
    if (std::find(area.around.begin(), area.around.end(), "all") == area.around.end()) return;
    if (area.around.size() > 1) {
        reading.report(
            area.place,
            fmt::format("The area {} lies around \"all\" and names others beside it.", inQuotes(area.name)),
            "Keep \"all\", or the names.");
        return;
    }
    area.around.clear();
    if (area.outline.edges.empty()) return;
    const InsideRing inside(toChords(area.outline, checkSagitta).corners);
    for (const Area& other : plan.areas) {
        if (&other == &area || other.outline.edges.empty()) continue;
        if (!inside.leaves(toChords(other.outline, checkSagitta).corners, onOutline))
            area.around.push_back(other.name);
    }
}

/// The first area of each name.
using AreasByName = std::map<std::string_view, size_t>;

AreasByName areasByName(const Plan& plan) {
    AreasByName indexOf;
    for (size_t i = 0; i < plan.areas.size(); ++i) indexOf.emplace(plan.areas[i].name, i);
    return indexOf;
}

void checkAround(Reading& reading, const Plan& plan, const AreasByName& indexOf, size_t index) {
    const Area& area = plan.areas[index];
    for (const std::string& name : area.around) {
        const auto found = indexOf.find(name);
        if (found == indexOf.end()) {
            reading.report(area.place,
                           fmt::format("The area {} lies around {}, which is not there.", inQuotes(area.name),
                                       inQuotes(name)),
                           suggestion(name, namesOf(plan)));
            continue;
        }
        const std::vector<std::string>& others = plan.areas[found->second].around;
        if (found->second == index) {
            reading.report(area.place, fmt::format("The area {} lies around itself.", inQuotes(area.name)),
                           "Delete its own name.");
        } else if (found->second < index &&
                   std::find(others.begin(), others.end(), area.name) != others.end()) {
            reading.report(area.place,
                           fmt::format("The areas {} and {} lie around each other.", inQuotes(name),
                                       inQuotes(area.name)),
                           "Keep \"around\" in the outer one.");
        }
    }
}

/// For each area the areas it lies around, by index. Names that are not there, and the area's own, are told
/// elsewhere.
std::vector<std::vector<size_t>> aroundByIndex(const Plan& plan, const AreasByName& indexOf) {
    std::vector<std::vector<size_t>> around(plan.areas.size());
    for (size_t i = 0; i < plan.areas.size(); ++i)
        for (const std::string& name : plan.areas[i].around)
            if (const auto other = indexOf.find(name); other != indexOf.end() && other->second != i)
                around[i].push_back(other->second);
    return around;
}

/// Areas that lie around each other in a ring. An area that lies around none, or only around areas set aside,
/// is set aside; what is left at the end holds a ring, and a walk from any of it runs into one.
class RingsOfAreas {
  public:
    explicit RingsOfAreas(std::vector<std::vector<size_t>> around)
        : around_(std::move(around)), within_(around_.size()), waiting_(around_.size()) {
        std::vector<size_t> free;
        for (size_t i = 0; i < around_.size(); ++i) {
            for (const size_t other : around_[i]) within_[other].push_back(i);
            waiting_[i] = around_[i].size();
            if (waiting_[i] == 0) free.push_back(i);
        }
        aside_.assign(around_.size(), 0);
        setAside(free);
    }

    /// The next ring, set aside with it; empty when there is none.
    std::vector<size_t> next() {
        const auto left = std::find(aside_.begin(), aside_.end(), 0);
        if (left == aside_.end()) return {};
        std::vector<size_t> way{static_cast<size_t>(left - aside_.begin())};
        std::map<size_t, size_t> stepOf{{way.front(), 0}};
        for (;;) {
            const size_t on = *std::find_if(around_[way.back()].begin(), around_[way.back()].end(),
                                            [&](size_t other) { return !aside_[other]; });
            const auto [seen, fresh] = stepOf.emplace(on, way.size());
            if (!fresh) {
                way.erase(way.begin(), way.begin() + static_cast<std::ptrdiff_t>(seen->second));
                break;
            }
            way.push_back(on);
        }
        setAside(way);
        return way;
    }

  private:
    void setAside(std::vector<size_t> areas) {
        while (!areas.empty()) {
            const size_t area = areas.back();
            areas.pop_back();
            if (aside_[area]) continue;
            aside_[area] = 1;
            for (const size_t outer : within_[area])
                if (--waiting_[outer] == 0) areas.push_back(outer);
        }
    }

    std::vector<std::vector<size_t>> around_;
    std::vector<std::vector<size_t>> within_;
    std::vector<size_t> waiting_;  ///< areas around which this one lies, those set aside left out
    std::vector<char> aside_;
};

void checkRingsOfAreas(Reading& reading, const Plan& plan, const AreasByName& indexOf) {
    constexpr size_t most = 6;
    RingsOfAreas rings(aroundByIndex(plan, indexOf));
    for (auto ring = rings.next(); !ring.empty(); ring = rings.next()) {
        if (ring.size() < 3) continue;  // told with the pair
        std::vector<std::string> names;
        for (size_t i = 0; i < std::min(most, ring.size()); ++i) names.push_back(plan.areas[ring[i]].name);
        reading.report(plan.areas[ring.front()].place,
                       fmt::format("The areas {}{} lie around each other in a ring.", listed(names),
                                   ring.size() > most ? fmt::format(" and {} more", ring.size() - most) : ""),
                       "Keep \"around\" in the outer ones: the innermost lies around none.");
    }
}

}  // namespace

void checkNesting(Reading& reading, Plan& plan) {
    for (const Area& area : plan.areas) {
        if (area.name == "all")
            reading.report(area.place, "An area is called \"all\", which stands for all areas within.",
                           "Give it another name.");
    }
    for (Area& area : plan.areas) resolveAll(reading, plan, area);
    const AreasByName indexOf = areasByName(plan);
    for (size_t i = 0; i < plan.areas.size(); ++i) checkAround(reading, plan, indexOf, i);
    checkRingsOfAreas(reading, plan, indexOf);
    for (const Area& area : plan.areas) checkOpenings(reading, area);
}

}  // namespace underfoot
