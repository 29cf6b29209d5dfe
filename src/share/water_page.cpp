#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/length.h"
#include "measure/slope.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/page.h"
#include "share/water_tables.h"
#include "study/drains.h"
#include "study/water.h"
#include "study/water_flow.h"
#include "study/water_surface.h"

namespace underfoot {

namespace {

std::string depthText(const Model& model, double metres) {
    const std::string text = formatThickness(metres, model.plan.show);
    return metres > 0 ? orTrace(text, formatThickness(0, model.plan.show)) : text;
}

/// "away from the house", "away from the house and up the stations", …: the nearest of eight.
std::string wayText(const Model& model, glm::dvec2 down) {
    if (down.x == 0 && down.y == 0) return "level";
    const Baseline& baseline = model.plan.baseline;
    const glm::dvec2 out = baseline.at(0, 1) - baseline.at(0, 0),
                     along = baseline.at(1, 0) - baseline.at(0, 0);
    const double away = out.x * down.x + out.y * down.y, up = along.x * down.x + along.y * down.y;
    constexpr double part = 0.3826834323650898;  // sine of 22.5 degrees
    std::string text;
    if (away > part) text = "away from the house";
    if (away < -part) text = "toward the house";
    if (std::abs(up) <= part) return text;
    return text + (text.empty() ? "" : " and ") + (up > 0 ? "up the stations" : "down the stations");
}

/// The way that it falls, or "level" where its fall shows as none.
std::string fallsText(const Model& model, const FlatPiece& piece) {
    return formatPercent(piece.slope) == formatPercent(0) ? "level" : wayText(model, piece.down);
}

/// A piece steeper than the least fall that is under it falls too little away from the house: by how much.
std::string saysText(const FlatPiece& piece, double leastFall) {
    std::string text;
    for (const FallVerdict verdict : piece.verdicts) {
        text += (text.empty() ? "" : "; ") + std::string(verdictName(verdict));
        if (verdict == FallVerdict::Under && piece.slope > leastFall)
            text += fmt::format(", {} away from the house", formatPercent(piece.away));
    }
    return text;
}

PageMark pointMark(glm::dvec2 at) {
    PageMark mark;
    mark.points = {at};
    return mark;
}

/// An arrow down the slope, as long as the piece lets it be.
PageMark fallMark(const FlatPiece& piece) {
    PageMark mark;
    const double half = std::min(0.45, 0.3 * std::sqrt(piece.planArea));
    if (piece.down.x == 0 && piece.down.y == 0)
        mark.points = {piece.middle};
    else
        mark.lines = {{piece.middle - piece.down * half, piece.middle + piece.down * half}};
    mark.arrow = true;
    mark.label = formatPercent(piece.slope);
    mark.always = true;
    return mark;
}

const std::string& areaText(const Model& model, int area) {
    static const std::string ground = "ground";
    return area < 0 ? ground : model.plan.areas[static_cast<size_t>(area)].name;
}

void listedPieces(Page& page, const Model& model, const WaterReport& report, size_t most) {
    const LengthFormat& show = model.plan.show;
    const bool broken = std::any_of(report.pieces.begin(), report.pieces.end(),
                                    [](const FlatPiece& piece) { return !piece.verdicts.empty(); });
    PageTable table{{"Area", "Plan area", "Fall", "Middle", "Falls"}, 3, {3}, {}};
    if (broken) table.heads.push_back("By the rules");
    const Catalogue catalogue = loadCatalogue(model.plan);
    const Limit* limit = catalogue.findLimit("slope.least");
    const double least = limit ? limit->value : std::numeric_limits<double>::infinity();
    const std::string nothing = formatArea(0, show);
    size_t told = 0;  // the largest come first
    while (told < std::min(most, report.pieces.size()) &&
           (told == 0 || formatArea(report.pieces[told].planArea, show) != nothing))
        ++told;
    for (size_t i = 0; i < told; ++i) {
        const FlatPiece& piece = report.pieces[i];
        std::vector<std::string> cells{areaText(model, piece.area), formatArea(piece.planArea, show),
                                       formatSlope(piece.slope, show), shortPlace(model, piece.middle),
                                       fallsText(model, piece)};
        if (broken) cells.push_back(piece.verdicts.empty() ? "as wanted" : saysText(piece, least));
        table.add(std::move(cells), fallMark(piece));
    }
    page.add(std::move(table));
    if (const size_t rest = report.pieces.size() - told; rest > 0)
        page.say(fmt::format("  and {} smaller {} (all of them with --csv or --json)", rest,
                             rest == 1 ? "piece" : "pieces"));
    const bool ruled = report.on == WaterOn::Finish || report.on == WaterOn::DesignedFinish;
    if (ruled && !broken) page.say("Every piece falls as the rules want it to.");
}

/// Ground of many small faces: what there is of each area, and where it lies flattest.
void piecesByArea(Page& page, const Model& model, const WaterReport& report, size_t most) {
    const LengthFormat& show = model.plan.show;
    struct Sum {
        double planArea = 0;
        size_t count = 0;
        const FlatPiece *flattest = nullptr, *steepest = nullptr;
        PageMark mark;
    };
    const double small = show.style == LengthStyle::Metres ? 0.1 : metresPerFoot * metresPerFoot;
    std::map<int, Sum> sums;
    for (size_t i = 0; i < report.pieces.size(); ++i) {
        const FlatPiece& piece = report.pieces[i];
        Sum& sum = sums[piece.area];
        sum.planArea += piece.planArea;
        ++sum.count;
        if (i < most) {
            const PageMark arrow = fallMark(piece);
            sum.mark.lines.insert(sum.mark.lines.end(), arrow.lines.begin(), arrow.lines.end());
        }
        if (sum.flattest && piece.planArea < small) continue;  // the largest come first
        if (!sum.flattest || piece.slope < sum.flattest->slope) sum.flattest = &piece;
        if (!sum.steepest || piece.slope > sum.steepest->slope) sum.steepest = &piece;
    }
    PageTable table{
        {"Area", "Plan area", "Pieces", "Least fall", "Greatest fall", "Flattest at", "Falls there"},
        5,
        {2, 6},
        {}};
    for (auto& [area, sum] : sums) {
        sum.mark.arrow = sum.mark.always = true;
        sum.mark.points = {sum.flattest->middle};
        table.add({areaText(model, area), formatArea(sum.planArea, show), fmt::format("{}", sum.count),
                   formatSlope(sum.flattest->slope, show), formatSlope(sum.steepest->slope, show),
                   shortPlace(model, sum.flattest->middle), fallsText(model, *sum.flattest)},
                  std::move(sum.mark));
    }
    page.add(std::move(table));
    page.say(fmt::format("  Falls are of pieces of {} or more; --csv and --json tell every piece.",
                         formatArea(small, show)));
}

void piecesPart(Page& page, const Model& model, const WaterReport& report, size_t most) {
    constexpr size_t many = 20;
    const bool finish = report.on == WaterOn::Finish || report.on == WaterOn::DesignedFinish;
    if (!finish && report.pieces.size() > many) return piecesByArea(page, model, report, most);
    listedPieces(page, model, report, most);
}

std::string endText(const WaterEnd& end) {
    switch (end.kind) {
        case WaterEndKind::Leaves:
            return "over the edge";
        case WaterEndKind::House:
            return "against the house";
        case WaterEndKind::Pond:
            return fmt::format("into pond {}", end.index + 1);
        case WaterEndKind::Inlet:
            return fmt::format("into drain {}", end.index + 1);
    }
    return "";
}

void pondsPart(Page& page, const Model& model, const WaterReport& report, size_t most) {
    if (report.ponds.empty()) return page.say("Nothing stands on it.");
    const LengthFormat& show = model.plan.show;
    double volume = 0;
    for (const Pond& pond : report.ponds) volume += pond.volume;
    page.say(fmt::format("Water stands in {} {}, {} in all when full:", report.ponds.size(),
                         report.ponds.size() == 1 ? "place" : "places",
                         volumeOrTrace(volume, model.plan.show)));
    PageTable table{
        {"Pond", "Depth", "Plan area", "Holds", "Drains into it", "Deepest at", "Spills at", "Then"},
        5,
        {6, 7},
        {}};
    for (size_t i = 0; i < std::min(most, report.ponds.size()); ++i) {
        const Pond& pond = report.ponds[i];
        PageMark mark = pointMark(pond.deepest);
        mark.rings = pond.rings;
        mark.label = depthText(model, pond.depth);
        mark.always = true;
        table.add({fmt::format("{}", i + 1), depthText(model, pond.depth), formatArea(pond.planArea, show),
                   volumeOrTrace(pond.volume, show), formatArea(pond.catchment, show),
                   shortPlace(model, pond.deepest), shortPlace(model, pond.spill), endText(pond.overflow)},
                  std::move(mark));
    }
    page.add(std::move(table));
    if (report.ponds.size() > most)
        page.say(fmt::format("  and {} shallower {}", report.ponds.size() - most,
                             report.ponds.size() - most == 1 ? "one" : "ones"));
}

/// Drains that nothing runs to, and ponds beside a drain that spill into it.
void drainsPart(Page& page, const Model& model, const WaterReport& report) {
    std::vector<double> takes = report.inletCatchments;
    for (size_t i = 0; i < report.ponds.size(); ++i) {
        WaterEnd end = report.ponds[i].overflow;
        if (end.kind == WaterEndKind::Inlet)
            page.say(
                fmt::format("  Pond {} spills into drain {}: the drain belongs where it is deepest, at {}.",
                            i + 1, end.index + 1, shortPlace(model, report.ponds[i].deepest)),
                pointMark(report.ponds[i].deepest));
        for (size_t step = 0; end.kind == WaterEndKind::Pond && step < report.ponds.size(); ++step)
            end = report.ponds[static_cast<size_t>(end.index)].overflow;
        if (end.kind == WaterEndKind::Inlet)
            takes[static_cast<size_t>(end.index)] += report.ponds[i].catchment;
    }
    const double nothing = 1e-4 * report.planArea;
    const auto dry =
        std::count_if(takes.begin(), takes.end(), [nothing](double drained) { return drained < nothing; });
    if (dry > 0)
        page.say(
            fmt::format("  {} of no use there: the water runs past it. A drain wants a low place, or a "
                        "fall made toward it.",
                        dry == 1 && report.inlets.size() == 1 ? "The drain is"
                        : dry == 1                            ? "One drain is"
                                                              : fmt::format("{} drains are", dry)));
}

void edgesPart(Page& page, const Model& model, const WaterReport& report) {
    const LengthFormat& show = model.plan.show;
    PageTable table{{"Water leaves over", "Drains there", "Length", "From", "To"}, 3, {4}, {}};
    for (const DrainedEdge& edge : report.edges) {
        const bool apart = edge.area >= 0 && edge.from != edge.to;  // else all round
        const std::string house = edge.kind == WaterEndKind::House ? ", against the house" : "";
        PageMark mark;
        mark.lines = {{edge.from, edge.to}};
        table.add({drainedEdgeName(model, edge) + house, areaOrTrace(edge.catchment, model.plan.show),
                   formatLength(edge.length, show), apart ? shortPlace(model, edge.from) : "",
                   apart ? shortPlace(model, edge.to) : ""},
                  std::move(mark));
    }
    for (size_t i = 0; i < report.inlets.size(); ++i)
        table.add({fmt::format("drain {}", i + 1), areaOrTrace(report.inletCatchments[i], model.plan.show),
                   "", shortPlace(model, report.inlets[i].at), ""},
                  pointMark(report.inlets[i].at));
    double ponds = 0;
    for (const Pond& pond : report.ponds) ponds += pond.catchment;
    if (ponds > 0) table.add({"ponds, until they spill", formatArea(ponds, show), "", "", ""});
    page.add(std::move(table));
    drainsPart(page, model, report);
    page.say("  What lies beyond an open edge is taken to be lower; openings let water in.");
}

void pathPart(Page& page, const Model& model, const FlowPath& path) {
    const auto place = [&](const glm::dvec3& p) {
        return fmt::format("{} ({})", shortPlace(model, {p.x, p.y}), formatLength(p.z, model.plan.show));
    };
    PageMark mark;
    mark.lines.emplace_back();
    for (const glm::dvec3& p : path.points) mark.lines.back().emplace_back(p.x, p.y);
    mark.arrow = true;
    mark.always = true;
    page.gap();
    page.say(fmt::format("From {} water runs {} to {} and goes {}.", place(path.points.front()),
                         formatLength(path.length(), model.plan.show), place(path.points.back()),
                         endText(path.end)),
             std::move(mark));
}

std::string cutsText(const Model& model, const PipeLeg& leg) {
    std::string text;
    for (const LayerId layer : leg.cuts)
        text += (text.empty() ? "" : ", ") + model.layers[static_cast<size_t>(layer)].name;
    return text.empty() ? "nothing" : text;
}

PageTable legsTable(const Model& model, const PipeReport& pipe) {
    const LengthFormat& show = model.plan.show;
    PageTable table{{"Leg", "Length", "Fall to the outlet", "Least cover", "There", "Cuts into"}, 4, {4}, {}};
    for (const PipeLeg& leg : pipe.legs) {
        const double fall = pipe.fromLast ? -leg.fall : leg.fall;
        PageMark mark;
        mark.lines = {{leg.from, leg.to}};
        if (leg.leastCover) mark.points = {leg.leastCoverAt};
        table.add({fmt::format("{}", leg.leg + 1), formatLength(leg.length, show),
                   fall < 0 ? formatSlope(-fall, show) + " back" : formatSlope(fall, show),
                   leg.leastCover ? formatThickness(*leg.leastCover, show) : "not under the patio",
                   leg.leastCover ? shortPlace(model, leg.leastCoverAt) : "", cutsText(model, leg)},
                  std::move(mark));
    }
    return table;
}

void pipePart(Page& page, const Model& model, const PipeReport& pipe) {
    const LengthFormat& show = model.plan.show;
    const BuriedRun& run = model.plan.buriedRuns[static_cast<size_t>(pipe.run)];
    page.gap();
    page.say(fmt::format("Pipe \"{}\": outlet at {}, invert {}.", run.name, shortPlace(model, pipe.outletAt),
                         formatLength(pipe.outlet, show)));
    page.add(legsTable(model, pipe));
    const auto reach = std::count_if(pipe.spikes.begin(), pipe.spikes.end(),
                                     [](const SpikeNearPipe& spike) { return spike.clear <= 0; });
    if (reach == 0) return page.say("  No spike of the edging reaches it.");
    page.say(fmt::format("  {} of the edging {} it, the worst at {}.",
                         reach == 1 ? "One spike" : fmt::format("{} spikes", reach),
                         reach == 1 ? "reaches" : "reach", shortPlace(model, pipe.spikes.front().at)),
             pointMark(pipe.spikes.front().at));
}

}  // namespace

Page waterPage(const Model& model, const WaterAnswer& answer, size_t most) {
    const WaterReport& report = answer.report;
    Page page;
    page.say(fmt::format("Water on the {}, {}", waterOnName(report.on),
                         formatArea(report.planArea, model.plan.show)));
    page.gap();
    piecesPart(page, model, report, most);
    page.gap();
    pondsPart(page, model, report, most);
    page.gap();
    edgesPart(page, model, report);
    if (report.path) pathPart(page, model, *report.path);
    for (const PipeReport& pipe : answer.pipes) pipePart(page, model, pipe);
    return page;
}

}  // namespace underfoot
