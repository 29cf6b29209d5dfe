// Cut units, pipes, edging, and how much of the ground was really shot.

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "measure/words.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/index.h"
#include "study/section.h"
#include "study/thickness.h"

namespace underfoot {

namespace {

constexpr double samePart = 1e-9;  // two parts of a unit closer than this are the same part

glm::dvec2 middleOf(const Model& model, const UnitPiece& unit) {
    glm::dvec2 sum{0, 0};
    for (int i = 0; i < unit.corners; ++i) sum += model.unitCorners[index(unit.firstCorner + i)];
    return sum / static_cast<double>(std::max(unit.corners, 1));
}

}  // namespace

// ---------------------------------------------------------------- cut units

namespace {

/// The cut units of one area that fall short of one rule.
struct SmallCuts {
    const UnitPiece* worst = nullptr;
    double measured = 0;
    int count = 0;

    void include(const UnitPiece& unit, double value) {
        ++count;
        if (worst && value >= measured) return;
        worst = &unit;
        measured = value;
    }
};

std::string partOfWhole(double part) {
    return part < 0.01 ? "less than 1 %" : fmt::format("{:.0f} %", 100 * part);
}

Finding& addCuts(FindingWriter& writer, int area, const SmallCuts& cuts, const Limit& limit) {
    Finding& finding = writer.add(FindingKind::CutUnitSmall, area, middleOf(writer.model, *cuts.worst));
    finding.layer = cuts.worst->layer;
    writer.setRule(finding, limit);
    finding.measured = cuts.measured;
    finding.remedy = "Shift or turn the pattern, or share the cut with the unit beside it.";
    return finding;
}

void addNarrowCuts(FindingWriter& writer, int area, const SmallCuts& cuts, const Limit& width) {
    Finding& finding = addCuts(writer, area, cuts, width);
    const std::string least = writer.thickness(width.value), where = writer.where(finding.at);
    finding.what = cuts.count == 1 ? fmt::format("Cut unit only {} wide {}; {} is the least.",
                                                 writer.amount(cuts.measured), where, least)
                                   : fmt::format("{} cut units are less than {} wide; the narrowest, {}, {}.",
                                                 cuts.count, least, writer.amount(cuts.measured), where);
}

void addSmallCuts(FindingWriter& writer, int area, const SmallCuts& cuts, const Limit& part) {
    Finding& finding = addCuts(writer, area, cuts, part);
    const std::string where = writer.where(finding.at);
    finding.what =
        cuts.count == 1
            ? fmt::format("Cut unit keeps {} of a whole one {}; {:.0f} % is the least.",
                          partOfWhole(cuts.measured), where, 100 * part.value)
            : fmt::format("{} cut units keep less than {:.0f} % of a whole one; the least, {}, {}.",
                          cuts.count, 100 * part.value, partOfWhole(cuts.measured), where);
}

}  // namespace

/// One finding an area and rule, at the worst piece: a pattern that leaves slivers leaves a row of them.
void findCutUnits(FindingWriter& writer) {
    const Limit* part = writer.catalogue.findLimit("cut_unit.least_part");
    const Limit* width = writer.catalogue.findLimit("cut_unit.least_width");
    if (!part || !width) return;
    std::map<int, SmallCuts> narrow, small;
    for (const UnitPiece& unit : writer.model.units) {
        if (unit.whole || unit.wholeArea <= 0) continue;
        const double keeps = unit.planArea / unit.wholeArea;
        if (unit.leastWidth < width->value - tolerance::lengthCompare)
            narrow[unit.area].include(unit, unit.leastWidth);
        else if (keeps < part->value - samePart)
            small[unit.area].include(unit, keeps);
    }
    for (const auto& [area, cuts] : narrow) addNarrowCuts(writer, area, cuts, *width);
    for (const auto& [area, cuts] : small) addSmallCuts(writer, area, cuts, *part);
}

// ---------------------------------------------------------------- pipes

namespace {

struct LeastCover {
    bool any = false;
    double cover = 0;
    double at = 0;  // along the run
    int area = -1;
};

double pipeTopAt(const BuriedRun& run, const Section& section, double distance) {
    const auto after = std::upper_bound(section.lineAt.begin() + 1, section.lineAt.end() - 1, distance);
    const auto i = static_cast<size_t>(after - section.lineAt.begin());
    const double length = section.lineAt[i] - section.lineAt[i - 1];
    const double ratio = length > 0 ? std::clamp((distance - section.lineAt[i - 1]) / length, 0.0, 1.0) : 0.0;
    return run.points[i - 1].invert + (run.points[i].invert - run.points[i - 1].invert) * ratio +
           run.diameter;
}

// Surface and pipe are both straight within an interval: the least cover is at one of its ends.
LeastCover leastCover(const Model& model, const BuriedRun& run, const Section& section) {
    LeastCover least;
    for (const SectionInterval& interval : section.intervals) {
        const Column& column = model.columns[index(interval.column)];
        if (!insideArea(column)) continue;
        for (const bool end : {false, true}) {
            const double at = end ? interval.to : interval.from;
            const double cover =
                section.heights[index(interval.first + (end ? 1 : 0))] - pipeTopAt(run, section, at);
            if (least.any && cover >= least.cover) continue;
            least = {true, cover, at, column.area};
        }
    }
    return least;
}

}  // namespace

void findPipeCover(FindingWriter& writer) {
    const Limit* limit = writer.catalogue.findLimit("pipe.cover.least");
    if (!limit) return;
    for (const BuriedRun& run : writer.model.plan.buriedRuns) {
        if (run.points.size() < 2) continue;
        std::vector<glm::dvec2> line;
        for (const PipePoint& p : run.points) line.push_back(writer.model.toLocal(p.at));
        const Section section = cut(writer.model, line);
        const LeastCover least = leastCover(writer.model, run, section);
        if (!least.any || least.cover >= limit->value - tolerance::lengthCompare) continue;
        Finding& finding = writer.add(FindingKind::PipeCoverSmall, least.area, section.at(least.at));
        writer.setRule(finding, *limit);
        finding.measured = least.cover;
        finding.what = least.cover > 0 ? fmt::format("Pipe \"{}\" has only {} over it {}; {} is asked for.",
                                                     run.name, writer.thickness(least.cover),
                                                     writer.where(finding.at), writer.thickness(limit->value))
                                       : fmt::format("Pipe \"{}\" comes out of the finish {}.", run.name,
                                                     writer.where(finding.at));
        finding.remedy = "Lay the pipe deeper, lead it round, or sleeve it.";
    }
}

// ---------------------------------------------------------------- edging

namespace {

bool carriesEdging(const Model& model, glm::dvec2 point, int& hint) {
    for (const LayerAt& at : stackAtPoint(model, point, &hint)) {
        const Role role = model.layers[index(at.layer)].role;
        if ((role == Role::Base || role == Role::Slab) && at.thickness() > tolerance::zeroThickness)
            return true;
    }
    return false;
}

// The middle of a piece and places just inside its corners; where the rule asks for more, the same grown
// outward.
bool standsOnBase(const Model& model, const EdgingPiece& piece, double past, int& hint) {
    const glm::dvec2 middle = 0.25 * (piece.corner[0] + piece.corner[1] + piece.corner[2] + piece.corner[3]);
    if (!carriesEdging(model, middle, hint)) return false;
    for (const glm::dvec2 corner : piece.corner) {
        const glm::dvec2 out = corner - middle;
        const double reach = std::hypot(out.x, out.y);
        if (reach <= 0) continue;
        if (!carriesEdging(model, middle + 0.9 * out, hint)) return false;
        if (past > 0 && !carriesEdging(model, corner + out * (past / reach), hint)) return false;
    }
    return true;
}

double longestSide(const EdgingPiece& piece) {
    double longest = 0;
    for (size_t i = 0; i < 4; ++i) {
        const glm::dvec2 side = piece.corner[(i + 1) % 4] - piece.corner[i];
        longest = std::max(longest, std::hypot(side.x, side.y));
    }
    return longest;
}

// One run of edging's pieces that lack a base.
struct Bare {
    double length = 0;
    glm::dvec2 first{0, 0};
};

}  // namespace

void findEdgingWithoutBase(FindingWriter& writer) {
    const Limit* limit = writer.catalogue.findLimit("edging.base.least");
    if (!limit) return;
    std::map<std::pair<int, int>, Bare> bare;
    int hint = -1;
    for (const EdgingPiece& piece : writer.model.edging) {
        if (standsOnBase(writer.model, piece, limit->value, hint)) continue;
        Bare& run = bare[{piece.area, piece.edging}];
        if (run.length == 0)
            run.first = 0.25 * (piece.corner[0] + piece.corner[1] + piece.corner[2] + piece.corner[3]);
        run.length += longestSide(piece);
    }
    for (const auto& [key, run] : bare) {
        Finding& finding = writer.add(FindingKind::EdgingWithoutBase, key.first, run.first);
        writer.setRule(finding, *limit);
        finding.measured = run.length;
        finding.what =
            fmt::format("{} of the edging of \"{}\" has no base under its whole width, first {}.",
                        writer.length(run.length), writer.areaName(key.first), writer.where(run.first));
        finding.remedy =
            "Carry the base past the edge before the edging is set; never set it on bedding or soil.";
    }
}

namespace {

/// The uppermost base of an area's build-up.
const Layer* baseOf(const Plan& plan, const Area& area) {
    const BuildUp* buildUp = buildUpOf(plan, area);
    if (!buildUp) return nullptr;
    const auto base = std::find_if(buildUp->layers.begin(), buildUp->layers.end(),
                                   [](const Layer& layer) { return layer.role == Role::Base; });
    return base == buildUp->layers.end() ? nullptr : &*base;
}

}  // namespace

// As planned: what lies beyond the edge is covered up before anybody could measure it.
void findBaseStopsShort(FindingWriter& writer) {
    const Limit* limit = writer.catalogue.findLimit("base.beyond");
    if (!limit) return;
    const Plan& plan = writer.model.plan;
    for (size_t a = 0; a < plan.areas.size(); ++a) {
        const Layer* base = baseOf(plan, plan.areas[a]);
        const auto first =
            std::find_if(writer.model.edging.begin(), writer.model.edging.end(),
                         [a](const EdgingPiece& piece) { return piece.area == static_cast<int>(a); });
        if (!base || first == writer.model.edging.end()) continue;
        const double wanted = std::max(limit->value, base->thickness);
        if (base->beyond >= wanted - tolerance::lengthCompare) continue;
        const glm::dvec2 at =
            0.25 * (first->corner[0] + first->corner[1] + first->corner[2] + first->corner[3]);
        Finding& finding = writer.add(FindingKind::BaseStopsShort, static_cast<int>(a), at);
        writer.setRule(finding, *limit);
        finding.layer = writer.model.findLayer(base->name);
        finding.measured = base->beyond;
        finding.wanted = wanted;
        finding.what = fmt::format("{} of \"{}\" {} its edges; under edging it is to run {} past them.",
                                   capitalised(base->name), plan.areas[a].name,
                                   base->beyond < 0 ? "ends " + writer.length(-base->beyond) + " short of"
                                                    : "runs " + writer.length(base->beyond) + " past",
                                   writer.length(wanted));
        finding.remedy = "Carry the base on, or the edge settles outward and the joints open.";
    }
}

// ---------------------------------------------------------------- ground

namespace {

// The middle of the largest cell of an area whose ground was not shot, and the plan area of all of them.
struct Unshot {
    double area = 0;
    double largest = 0;
    glm::dvec2 at{0, 0};
};

std::map<int, Unshot> unshotByArea(const Model& model) {
    std::map<int, Unshot> byArea;
    for (size_t i = 0; i < model.cells.size(); ++i) {
        const Cell& cell = model.cells[i];
        const Column& column = model.columnOf(cell);
        if (!insideArea(column) || model.groundKnown[i]) continue;
        Unshot& unshot = byArea[column.area];
        const double size = model.planArea(cell);
        unshot.area += size;
        if (size <= unshot.largest) continue;
        unshot.largest = size;
        unshot.at = (model.at(cell, 0) + model.at(cell, 1) + model.at(cell, 2)) / 3.0;
    }
    return byArea;
}

}  // namespace

void findGroundNotShot(FindingWriter& writer) {
    const Model& model = writer.model;
    if (model.plan.ground.assumed()) {
        if (model.cells.empty()) return;
        Finding& finding =
            writer.add(FindingKind::GroundAssumed, -1, 0.5 * (model.site.low + model.site.high));
        finding.rule = "ground.shots";
        finding.source = "Common practice, no source: cut and fill are counted from shots.";
        finding.what =
            "No grade shots: the ground is taken to lie level with the finish, so cut and fill are not "
            "known.";
        finding.remedy = "Shoot grades inside the areas and a few feet past their edges.";
        return;
    }
    for (const auto& [area, unshot] : unshotByArea(model)) {
        Finding& finding = writer.add(FindingKind::GroundExtended, area, unshot.at);
        finding.measured = unshot.area;
        finding.rule = "ground.shots";
        finding.source = "Common practice, no source: cut and fill are counted from shots.";
        finding.what = fmt::format("Under {} of \"{}\" the ground is carried on past the shots, {}.",
                                   writer.area(unshot.area), writer.areaName(area), writer.where(unshot.at));
        finding.remedy = "Shoot grades past the edge here.";
    }
}

}  // namespace underfoot
