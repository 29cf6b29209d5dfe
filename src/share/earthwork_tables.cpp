#include "share/earthwork_tables.h"

#include <limits>
#include <utility>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json_words.h"

namespace underfoot {
namespace {

using Json = JsonWords::Json;
constexpr double none = std::numeric_limits<double>::quiet_NaN();

// ---------------------------------------------------------------- tables

struct EarthRow {
    std::string what, layer, lift, place;
    double inPlace = none, loose = none, compacted = none, planArea = none, thickness = none, spread = none;
    std::string passes;
    double station = none, offset = none;
};

void add(CsvTable& table, const EarthRow& row) {
    table.add({row.what, row.layer, row.lift, row.place, csvNumber(row.inPlace), csvNumber(row.loose),
               csvNumber(row.compacted), csvNumber(row.planArea), csvNumber(row.thickness),
               csvNumber(row.spread), row.passes, csvNumber(row.station), csvNumber(row.offset)});
}

void addAmounts(CsvTable& table, const EarthBalance& b) {
    const auto state = [&](const char* what, const EarthState& s) {
        EarthRow row;
        row.what = what;
        row.inPlace = s.inPlace, row.loose = s.loose, row.compacted = s.compacted;
        add(table, row);
    };
    const auto hauled = [&](const char* what, const std::string& material, double loose, double compacted) {
        EarthRow row;
        row.what = what, row.layer = material;
        row.loose = loose, row.compacted = compacted;
        add(table, row);
    };
    state("topsoil", b.strip);
    state("cut", b.cut);
    hauled("fill", "", none, b.fill);
    hauled("backfill", "", none, b.backfill);
    const auto inPlaceOnly = [&](const char* what, double volume) {
        EarthRow row;
        row.what = what, row.inPlace = volume;
        add(table, row);
    };
    inPlaceOnly("topsoil put back", b.stripUsed);
    inPlaceOnly("cut put back", b.cutAsBackfill);
    inPlaceOnly("cut used as fill", b.cutUsed);
    state("haul out topsoil", b.stripLeft);
    state("haul out cut", b.cutLeft);
    for (const HauledIn& one : b.hauledIn) hauled("haul in", one.material, one.loose, one.compacted);
}

void addLift(CsvTable& table, const Model& model, const LiftToPlace& lift) {
    EarthRow row;
    row.what = "lift";
    row.layer = model.layers[static_cast<size_t>(lift.layer)].name;
    row.lift = fmt::format("{}", lift.lift + 1);
    row.loose = lift.loose, row.compacted = lift.volume, row.planArea = lift.planArea;
    row.thickness = lift.greatest, row.spread = lift.greatestLoose;
    row.passes = lift.tooThick ? "too thick" : fmt::format("{}", lift.passes);
    add(table, row);
    if (lift.places.size() < 2) return;
    for (size_t i = 0; i < lift.places.size(); ++i) {
        const LiftPlace& place = lift.places[i];
        const double ratio = lift.loose / lift.volume;
        const glm::dvec2 so = model.stationOffset(place.at);
        row.place = fmt::format("{}", i + 1);
        row.loose = place.volume * ratio, row.compacted = place.volume, row.planArea = place.planArea;
        row.thickness = place.greatest, row.spread = place.greatest * ratio;
        row.station = so.x, row.offset = so.y;
        add(table, row);
    }
}

// ---------------------------------------------------------------- JSON

Json stateJson(const JsonWords& words, const EarthState& state) {
    return {{"in_place", words.volume(state.inPlace)},
            {"loose", words.volume(state.loose)},
            {"compacted", words.volume(state.compacted)}};
}
Json filledJson(const JsonWords& words, const Soil& soil, double compacted) {
    return {{"loose", words.volume(whenCompacted(soil, compacted).loose)},
            {"compacted", words.volume(compacted)}};
}

void addBalance(const JsonWords& words, const EarthBalance& b, Json& root) {
    root["soil"] = {{"name", b.soil.name},
                    {"named_by_plan", b.soilNamed},
                    {"loose", b.soil.loose},
                    {"compacted", b.soil.compacted},
                    {"source", b.soil.source}};
    root["cut_as_fill"] = b.cutAsFill;
    root["topsoil"] = stateJson(words, b.strip);
    root["cut"] = stateJson(words, b.cut);
    root["fill"] = {{"compacted", words.volume(b.fill)}};
    root["backfill"] = filledJson(words, b.soil, b.backfill);
    root["topsoil_put_back"] = words.volume(b.stripUsed);
    root["cut_put_back"] = words.volume(b.cutAsBackfill);
    root["cut_used_as_fill"] = words.volume(b.cutUsed);
    root["haul_out"] = {{"topsoil_loose", words.volume(b.stripLeft.loose)},
                        {"cut_loose", words.volume(b.cutLeft.loose)},
                        {"topsoil", stateJson(words, b.stripLeft)},
                        {"cut", stateJson(words, b.cutLeft)}};
    root["haul_in"] = Json::array();
    for (const HauledIn& one : b.hauledIn)
        root["haul_in"].push_back({{"material", one.material},
                                   {"compacted", words.volume(one.compacted)},
                                   {"loose", words.volume(one.loose)},
                                   {"source", one.source}});
    root["assumptions"] = b.assumptions;
}

Json lineJson(const JsonWords& words, const PlanLine& line) {
    Json points = Json::array();
    for (const glm::dvec2 p : line.points) points.push_back(words.place(p));
    return {{"length", words.length(line.length)}, {"closed", line.closed}, {"points", points}};
}

/// `ratio` of loose to compacted.
Json placeJson(const JsonWords& words, const LiftPlace& place, double ratio) {
    return {{"lowest_at", words.place(place.at)},
            {"lowest", words.length(place.lowest)},
            {"plan_area", words.area(place.planArea)},
            {"compacted", words.volume(place.volume)},
            {"loose", words.volume(place.volume * ratio)},
            {"thickness", words.thickness(place.greatest)},
            {"spread", words.thickness(place.greatest * ratio)},
            {"outline", words.rings(place.outline)}};
}

Json liftJson(const JsonWords& words, const LiftToPlace& lift) {
    Json places = Json::array();
    for (const LiftPlace& place : lift.places)
        places.push_back(placeJson(words, place, lift.loose / lift.volume));
    return {{"layer", words.layer(lift.layer)},
            {"lift", lift.lift + 1},
            {"lifts", lift.lifts},
            {"plan_area", words.area(lift.planArea)},
            {"compacted", words.volume(lift.volume)},
            {"loose", words.volume(lift.loose)},
            {"thickness", words.thickness(lift.greatest)},
            {"spread", words.thickness(lift.greatestLoose)},
            {"ratio_source", lift.looseSource},
            {"passes", lift.passes},
            {"greatest_allowed", words.thickness(lift.greatestAllowed)},
            {"passes_source", lift.passesSource},
            {"too_thick", lift.tooThick},
            {"places", std::move(places)}};
}

Json areasJson(const JsonWords& words, const CutFill& areas) {
    return {{"cut", words.area(areas.cut)}, {"fill", words.area(areas.fill)}};
}
Json volumesJson(const JsonWords& words, const CutFill& volumes) {
    return {{"cut", words.volume(volumes.cut)}, {"fill", words.volume(volumes.fill)}};
}

Json endAreasJson(const JsonWords& words, const EndAreas& areas) {
    Json stations = Json::array(), intervals = Json::array();
    for (const EndArea& one : areas.stations)
        stations.push_back({{"station", words.station(one.station, StationFor::Set)},
                            {"before", areasJson(words, one.before)},
                            {"after", areasJson(words, one.after)}});
    for (const EndInterval& one : areas.intervals)
        intervals.push_back({{"from_m", JsonWords::number(one.from)},
                             {"to_m", JsonWords::number(one.to)},
                             {"middle", areasJson(words, one.middle)},
                             {"by_end_areas", volumesJson(words, one.byEndAreas)},
                             {"by_prismoid", volumesJson(words, one.byPrismoid)},
                             {"exact", volumesJson(words, one.exact)}});
    return {{"stations", std::move(stations)},
            {"intervals", std::move(intervals)},
            {"by_end_areas", volumesJson(words, areas.byEndAreas)},
            {"by_prismoid", volumesJson(words, areas.byPrismoid)},
            {"by_simpson", areas.bySimpson ? volumesJson(words, *areas.bySimpson) : Json(nullptr)},
            {"no_simpson", areas.noSimpson},
            {"exact", volumesJson(words, areas.exact)},
            {"difference", areas.difference}};
}

}  // namespace

std::string earthworkCsv(const Model& model, const EarthworkAnswer& answer) {
    CsvTable table({"what", "layer", "lift", "place", "in_place_m3", "loose_m3", "compacted_m3",
                    "plan_area_m2", "thickness_m", "loose_thickness_m", "passes", "station_m", "offset_m"});
    addAmounts(table, answer.balance);
    for (const LiftToPlace& lift : answer.lifts) addLift(table, model, lift);
    return table.text();
}

std::string linesCsv(const Model& model, const EarthworkAnswer& answer) {
    CsvTable table({"what", "line", "point", "station_m", "station", "offset_m", "offset", "x_m", "y_m"});
    const auto addLine = [&](const std::string& what, size_t line, std::vector<glm::dvec2> points,
                             bool closed) {
        if (closed) points.push_back(points.front());
        for (size_t i = 0; i < points.size(); ++i) {
            const glm::dvec2 so = model.stationOffset(points[i]), xy = model.toPlan(points[i]);
            table.add({what, fmt::format("{}", line), fmt::format("{}", i + 1), csvNumber(so.x),
                       formatStation(so.x, model.plan.show), csvNumber(so.y),
                       formatLength(so.y, model.plan.show), csvNumber(xy.x), csvNumber(xy.y)});
        }
    };
    for (size_t l = 0; l < answer.changes.size(); ++l)
        addLine("cut to fill", l + 1, answer.changes[l].points, answer.changes[l].closed);
    for (const LiftToPlace& lift : answer.lifts) {
        size_t ring = 0;
        for (const LiftPlace& place : lift.places)
            for (const auto& points : place.outline)
                addLine(liftTitle(model, lift.layer, lift.lift, lift.lifts), ++ring, points, true);
    }
    return table.text();
}

std::string endAreasCsv(const Model& model, const EndAreas& areas) {
    CsvTable table({"station_m", "station", "cut_before_m2", "cut_after_m2", "fill_before_m2",
                    "fill_after_m2", "cut_end_areas_m3", "cut_prismoidal_m3", "cut_exact_m3",
                    "fill_end_areas_m3", "fill_prismoidal_m3", "fill_exact_m3"});
    const CutFill nothing{none, none};
    const EndInterval noInterval{0, 0, nothing, nothing, nothing, nothing};
    for (size_t i = 0; i < areas.stations.size(); ++i) {
        const EndArea& at = areas.stations[i];
        const EndInterval& before = i > 0 ? areas.intervals[i - 1] : noInterval;
        table.add({csvNumber(at.station), formatStation(at.station, model.plan.show, StationFor::Set),
                   csvNumber(at.before.cut), csvNumber(at.after.cut), csvNumber(at.before.fill),
                   csvNumber(at.after.fill), csvNumber(before.byEndAreas.cut),
                   csvNumber(before.byPrismoid.cut), csvNumber(before.exact.cut),
                   csvNumber(before.byEndAreas.fill), csvNumber(before.byPrismoid.fill),
                   csvNumber(before.exact.fill)});
    }
    return table.text();
}

std::string earthworkJson(const Model& model, const EarthworkAnswer& answer) {
    const JsonWords words(model);
    Json root = words.answer();
    addBalance(words, answer.balance, root);
    root["cut_to_fill"] = Json::array();
    for (const PlanLine& line : answer.changes) root["cut_to_fill"].push_back(lineJson(words, line));
    root["lifts"] = Json::array();
    for (const LiftToPlace& lift : answer.lifts) root["lifts"].push_back(liftJson(words, lift));
    root["end_areas"] = answer.endAreas ? endAreasJson(words, *answer.endAreas) : Json(nullptr);
    return JsonWords::text(root);
}

}  // namespace underfoot
