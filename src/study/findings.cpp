#include "study/findings.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "measure/length.h"
#include "measure/side_by_side.h"
#include "measure/slope.h"
#include "measure/words.h"
#include "plan/plan.h"
#include "study/finding_tools.h"

namespace underfoot {

namespace {

struct Kind {
    FindingKind kind;
    const char* name;
};

// Worst first: water against the house, then what can't be mended later, then what is only to be looked at.
constexpr std::array<Kind, 24> kinds{{{FindingKind::FallsTowardHouse, "falls toward the house"},
                                      {FindingKind::StandsProud, "stands proud"},
                                      {FindingKind::BeddingThin, "bedding thin"},
                                      {FindingKind::BeddingThick, "bedding thick"},
                                      {FindingKind::LayerThin, "layer thin"},
                                      {FindingKind::LayerThick, "layer thick"},
                                      {FindingKind::FinishDeviates, "finish deviates"},
                                      {FindingKind::LayerOutOfFlat, "layer out of flat"},
                                      {FindingKind::FinishOutOfFlat, "finish out of flat"},
                                      {FindingKind::UnitsStep, "units step"},
                                      {FindingKind::LevelChange, "change in level"},
                                      {FindingKind::SlopeUnder, "slope too small"},
                                      {FindingKind::SlopeOver, "slope too great"},
                                      {FindingKind::WaterStands, "water stands"},
                                      {FindingKind::FormationHoldsWater, "formation holds water"},
                                      {FindingKind::SpikeReachesPipe, "spike reaches pipe"},
                                      {FindingKind::PipeFallSmall, "pipe fall small"},
                                      {FindingKind::EdgingWithoutBase, "edging without base"},
                                      {FindingKind::BaseStopsShort, "base stops short"},
                                      {FindingKind::PipeCoverSmall, "pipe cover small"},
                                      {FindingKind::CutUnitSmall, "cut unit small"},
                                      {FindingKind::ScanDeviates, "scan deviates"},
                                      {FindingKind::GroundAssumed, "ground assumed"},
                                      {FindingKind::GroundExtended, "ground extended"}}};

size_t rankOf(FindingKind kind) {
    const auto at =
        std::find_if(kinds.begin(), kinds.end(), [kind](const Kind& k) { return k.kind == kind; });
    assert(at != kinds.end());
    return static_cast<size_t>(at - kinds.begin());
}

bool before(const Finding& a, const Finding& b) {
    if (a.kind != b.kind) return rankOf(a.kind) < rankOf(b.kind);
    if (a.station != b.station) return a.station < b.station;
    return a.offset < b.offset;
}

}  // namespace

const char* findingName(FindingKind kind) {
    return kinds[rankOf(kind)].name;
}

std::vector<Finding> findings(const Model& model, const Catalogue& catalogue) {
    // Those that take longest first.
    constexpr std::array finders{
        findStandingWater, findOutOfFlat,         findLayerThickness, findSlopes,
        findScans,         findFinishDeviations,  findCutUnits,       findPipeCover,
        findPipeFaults,    findEdgingWithoutBase, findBaseStopsShort, findGroundNotShot};
    const AreaParts parts(model);
    std::array<std::vector<Finding>, finders.size()> found;
    sideBySide(finders.size(), [&](size_t i) {
        FindingWriter writer(model, catalogue, parts, found[i]);
        finders[i](writer);
    });
    std::vector<Finding> all;
    for (std::vector<Finding>& some : found)
        all.insert(all.end(), std::make_move_iterator(some.begin()), std::make_move_iterator(some.end()));
    std::stable_sort(all.begin(), all.end(), before);
    return all;
}

AreaParts::AreaParts(const Model& model) : cells(model.plan.areas.size()), columns(model.plan.areas.size()) {
    const auto add = [&](const Column& column, std::vector<std::vector<int>>& lists, size_t i) {
        if (insideArea(column) && static_cast<size_t>(column.area) < lists.size())
            lists[static_cast<size_t>(column.area)].push_back(static_cast<int>(i));
    };
    for (size_t i = 0; i < model.columns.size(); ++i) add(model.columns[i], columns, i);
    for (size_t i = 0; i < model.cells.size(); ++i) add(model.columnOf(model.cells[i]), cells, i);
}

// ---------------------------------------------------------------- words

std::string FindingWords::where(glm::dvec2 local) const {
    return "at " + place(local);
}

std::string FindingWords::place(glm::dvec2 local) const {
    const glm::dvec2 so = model.stationOffset(local);
    const LengthFormat& show = model.plan.show;
    const bool metres = show.style == LengthStyle::Metres;
    const double tenths = metres ? std::abs(so.y) : std::abs(so.y) / metresPerFoot;
    const std::string offset = metres ? fmt::format("{:.2f} m", tenths) : fmt::format("{:.1f} ft", tenths);
    return fmt::format("{}, {} {}", formatStation(so.x, show), offset,
                       so.y < 0 ? "behind the baseline" : "out");
}

std::string FindingWords::thickness(double metres) const {
    return formatThickness(metres, model.plan.show);
}
std::string FindingWords::amount(double metres) const {
    const std::string text = thickness(metres);
    if (metres <= 0 || text != thickness(0)) return text;
    const LengthFormat& show = model.plan.show;
    return show.style == LengthStyle::FeetInches ? "less than " + thickness(metresPerInch / show.denominator)
                                                 : "a trace";
}
std::string FindingWords::length(double metres) const {
    return formatLength(metres, model.plan.show);
}
std::string FindingWords::slope(double ratio) const {
    return formatSlope(ratio, model.plan.show);
}
std::string FindingWords::area(double squareMetres) const {
    return formatArea(squareMetres, model.plan.show);
}

const std::string& FindingWords::areaName(int area) const {
    return model.plan.areas[static_cast<size_t>(area)].name;
}

std::string FindingWords::layerTitle(LayerId layer) const {
    const ModelLayer& record = model.layers[static_cast<size_t>(layer)];
    if (record.role == Role::Bedding) return "Bed";
    return capitalised(record.name);
}

std::string FindingWords::valueOf(const Limit& limit, double value) const {
    if (limit.unit == "m") return thickness(value);
    if (limit.unit == "slope") return slope(value);
    return fmt::format("{:.3g}", value);
}

std::string FindingWords::sourceOf(const Limit& limit) const {
    if (limit.reason.empty() && limit.value == limit.published) return limit.source;
    return fmt::format("the plan's own {} ({}); published: {} ({})", valueOf(limit, limit.value),
                       limit.reason.empty() ? "no reason given" : limit.reason,
                       valueOf(limit, limit.published), limit.source);
}

Finding& FindingWriter::add(FindingKind kind, int area, glm::dvec2 at) {
    Finding finding;
    finding.kind = kind;
    finding.area = area;
    finding.at = at;
    const glm::dvec2 so = model.stationOffset(at);
    finding.station = so.x;
    finding.offset = so.y;
    findings_.push_back(std::move(finding));
    return findings_.back();
}

void FindingWriter::setRule(Finding& finding, const Limit& limit) const {
    finding.rule = limit.rule;
    finding.wanted = limit.value;
    finding.source = sourceOf(limit);
}

}  // namespace underfoot
