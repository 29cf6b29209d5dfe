#include "share/water_tables.h"

#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/length.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json_words.h"
#include "study/water_flow.h"

namespace underfoot {
namespace {

using Json = JsonWords::Json;
constexpr double none = std::numeric_limits<double>::quiet_NaN();

std::string areaNamed(const Model& model, int area) {
    return area < 0 ? std::string() : model.plan.areas[static_cast<size_t>(area)].name;
}

/// Degrees from the baseline's direction to the way down; not a number where it is level.
double downDegrees(const Model& model, glm::dvec2 down) {
    if (down.x == 0 && down.y == 0) return none;
    const Baseline& baseline = model.plan.baseline;
    const glm::dvec2 along = baseline.at(1, 0) - baseline.at(0, 0);
    const double angle = std::atan2(along.x * down.y - along.y * down.x, along.x * down.x + along.y * down.y);
    return angle * 180 / std::numbers::pi;
}

std::string saysOf(const FlatPiece& piece) {
    std::string says;
    for (const FallVerdict verdict : piece.verdicts)
        says += (says.empty() ? "" : "; ") + std::string(verdictName(verdict));
    return says;
}

const char* endName(WaterEndKind kind) {
    switch (kind) {
        case WaterEndKind::Leaves:
            return "leaves";
        case WaterEndKind::House:
            return "house";
        case WaterEndKind::Pond:
            return "pond";
        case WaterEndKind::Inlet:
            return "inlet";
    }
    return "";
}

struct Row {
    std::string what, area, name;
    glm::dvec2 at{0, 0};
    double slope = none, away = none, down = none, planArea = none, depth = none, level = none, volume = none,
           drains = none;
    std::string says;
};

void add(CsvTable& table, const Model& model, const Row& row) {
    const glm::dvec2 so = model.stationOffset(row.at);
    const LengthFormat& show = model.plan.show;
    table.add({row.what, row.area, row.name, csvNumber(so.x), formatStation(so.x, show), csvNumber(so.y),
               formatLength(so.y, show), csvNumber(row.slope), csvNumber(row.away), csvNumber(row.down),
               csvNumber(row.planArea), csvNumber(row.depth), csvNumber(row.level), csvNumber(row.volume),
               csvNumber(row.drains), row.says});
}

void addPieces(CsvTable& table, const Model& model, const WaterReport& report) {
    for (const FlatPiece& piece : report.pieces) {
        Row row;
        row.what = "piece", row.area = areaNamed(model, piece.area), row.at = piece.middle;
        row.slope = piece.slope, row.away = piece.away, row.down = downDegrees(model, piece.down),
        row.planArea = piece.planArea;
        row.says = saysOf(piece);
        add(table, model, row);
    }
}

void addPonds(CsvTable& table, const Model& model, const WaterReport& report) {
    for (size_t i = 0; i < report.ponds.size(); ++i) {
        const Pond& pond = report.ponds[i];
        Row row;
        row.what = "pond", row.name = fmt::format("pond {}", i + 1), row.at = pond.deepest;
        row.planArea = pond.planArea, row.depth = pond.depth, row.level = pond.level;
        row.volume = pond.volume, row.drains = pond.catchment;
        add(table, model, row);
        Row spill;
        spill.what = "spill", spill.name = row.name, spill.at = pond.spill, spill.level = pond.level;
        add(table, model, spill);
    }
}

Json saysJson(const FlatPiece& piece) {
    Json all = Json::array();
    for (const FallVerdict verdict : piece.verdicts) all.push_back(verdictName(verdict));
    return all;
}

Json pieceJson(const JsonWords& words, const Model& model, const FlatPiece& piece) {
    return {{"area", areaNamed(model, piece.area)},
            {"slope", JsonWords::number(piece.slope)},
            {"away", JsonWords::number(piece.away)},
            {"down_deg", JsonWords::number(downDegrees(model, piece.down))},
            {"plan_area", words.area(piece.planArea)},
            {"middle", words.place(piece.middle)},
            {"says", saysJson(piece)}};
}

Json endJson(const WaterEnd& end) {
    Json json = {{"kind", endName(end.kind)}};
    if (end.kind == WaterEndKind::Pond || end.kind == WaterEndKind::Inlet) json["number"] = end.index + 1;
    return json;
}

Json pondJson(const JsonWords& words, const Pond& pond) {
    return {{"level", words.length(pond.level)},      {"depth", words.thickness(pond.depth)},
            {"deepest", words.place(pond.deepest)},   {"volume", words.volume(pond.volume)},
            {"plan_area", words.area(pond.planArea)}, {"drains", words.area(pond.catchment)},
            {"spill", words.place(pond.spill)},       {"then", endJson(pond.overflow)},
            {"outline", words.rings(pond.rings)}};
}

Json legJson(const JsonWords& words, const PipeLeg& leg) {
    Json cuts = Json::array();
    for (const LayerId layer : leg.cuts) cuts.push_back(words.layer(layer));
    return {{"from", words.place(leg.from)},
            {"to", words.place(leg.to)},
            {"length", words.length(leg.length)},
            {"fall", JsonWords::number(leg.fall)},
            {"cover", leg.leastCover ? words.thickness(*leg.leastCover) : Json(nullptr)},
            {"cover_at", leg.leastCover ? words.place(leg.leastCoverAt) : Json(nullptr)},
            {"cuts", std::move(cuts)}};
}

Json pipeJson(const JsonWords& words, const Model& model, const PipeReport& pipe) {
    Json legs = Json::array(), spikes = Json::array();
    for (const PipeLeg& leg : pipe.legs) legs.push_back(legJson(words, leg));
    for (const SpikeNearPipe& spike : pipe.spikes)
        spikes.push_back({{"at", words.place(spike.at)}, {"clear", words.thickness(spike.clear)}});
    return {{"name", model.plan.buriedRuns[static_cast<size_t>(pipe.run)].name},
            {"outlet", words.length(pipe.outlet)},
            {"outlet_at", words.place(pipe.outletAt)},
            {"legs", std::move(legs)},
            {"spikes", std::move(spikes)}};
}

Json pathJson(const JsonWords& words, const FlowPath& path) {
    Json points = Json::array();
    for (const glm::dvec3& p : path.points) {
        Json place = words.place({p.x, p.y});
        place["height_m"] = JsonWords::number(p.z);
        points.push_back(std::move(place));
    }
    return {
        {"points", std::move(points)}, {"length", words.length(path.length())}, {"end", endJson(path.end)}};
}

}  // namespace

const char* waterOnName(WaterOn which) {
    switch (which) {
        case WaterOn::DesignedFinish:
            return "designed finish";
        case WaterOn::Finish:
            return "finish";
        case WaterOn::Formation:
            return "formation";
        case WaterOn::Ground:
            return "ground";
    }
    return "";
}

const char* verdictName(FallVerdict verdict) {
    switch (verdict) {
        case FallVerdict::Fine:
            return "";
        case FallVerdict::TowardHouse:
            return "falls toward the house";
        case FallVerdict::Under:
            return "under the least fall";
        case FallVerdict::OverCross:
            return "over the accessible cross slope";
        case FallVerdict::OverRunning:
            return "over the accessible running slope";
    }
    return "";
}

std::string drainedEdgeName(const Model& model, const DrainedEdge& edge) {
    if (edge.area < 0) return "the rim";
    const std::string& area = areaNamed(model, edge.area);
    return edge.opening >= 0 ? fmt::format("opening {} of {}", edge.opening + 1, area)
                             : fmt::format("edge {} of {}", edge.edge + 1, area);
}

std::string waterCsv(const Model& model, const WaterReport& report) {
    CsvTable table({"what", "area", "name", "station_m", "station", "offset_m", "offset", "slope", "away",
                    "down_deg", "area_m2", "depth_m", "level_m", "volume_m3", "drains_m2", "says"});
    addPieces(table, model, report);
    addPonds(table, model, report);
    for (const DrainedEdge& edge : report.edges) {
        Row row;
        row.what = edge.kind == WaterEndKind::House ? "house" : "edge";
        row.area = areaNamed(model, edge.area), row.name = drainedEdgeName(model, edge);
        row.at = edge.from, row.drains = edge.catchment;
        add(table, model, row);
    }
    for (size_t i = 0; i < report.inlets.size(); ++i) {
        Row row;
        row.what = "inlet", row.name = fmt::format("drain {}", i + 1);
        row.at = report.inlets[i].at, row.drains = report.inletCatchments[i];
        add(table, model, row);
    }
    return table.text();
}

std::string waterJson(const Model& model, const WaterAnswer& answer) {
    const JsonWords words(model);
    const WaterReport& report = answer.report;
    Json root = words.answer();
    root["surface"] = waterOnName(report.on);
    root["plan_area"] = words.area(report.planArea);
    for (const char* list : {"pieces", "ponds", "edges", "inlets", "pipes"}) root[list] = Json::array();
    for (const FlatPiece& piece : report.pieces) root["pieces"].push_back(pieceJson(words, model, piece));
    std::map<int, double> areas;
    for (const FlatPiece& piece : report.pieces) areas[piece.area] += piece.planArea;
    root["areas"] = Json::array();
    for (const auto& [area, planArea] : areas)
        root["areas"].push_back({{"area", areaNamed(model, area)}, {"plan_area", words.area(planArea)}});
    for (const Pond& pond : report.ponds) root["ponds"].push_back(pondJson(words, pond));
    for (const DrainedEdge& edge : report.edges)
        root["edges"].push_back({{"name", drainedEdgeName(model, edge)},
                                 {"house", edge.kind == WaterEndKind::House},
                                 {"from", words.place(edge.from)},
                                 {"to", words.place(edge.to)},
                                 {"length", words.length(edge.length)},
                                 {"drains", words.area(edge.catchment)}});
    for (size_t i = 0; i < report.inlets.size(); ++i)
        root["inlets"].push_back(
            {{"at", words.place(report.inlets[i].at)}, {"drains", words.area(report.inletCatchments[i])}});
    for (const PipeReport& pipe : answer.pipes) root["pipes"].push_back(pipeJson(words, model, pipe));
    root["path"] = report.path ? pathJson(words, *report.path) : Json(nullptr);
    return JsonWords::text(root);
}

}  // namespace underfoot
