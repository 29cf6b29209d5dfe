#include "share/stakes_tables.h"

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json_words.h"

namespace underfoot {
namespace {

using Json = JsonWords::Json;

void addRows(CsvTable& table, const Model& model, size_t number, const Stake& stake,
             std::optional<double> instrument) {
    const LengthFormat& show = model.plan.show;
    const glm::dvec2 xy = model.toPlan(stake.at);
    const std::vector<std::string> start{fmt::format("{}", number),
                                         stake.name,
                                         csvNumber(stake.station),
                                         formatStation(stake.station, show, StationFor::Set),
                                         csvNumber(stake.offset),
                                         formatLength(stake.offset, show),
                                         csvNumber(xy.x),
                                         csvNumber(xy.y),
                                         csvNumber(stake.ground),
                                         csvNumber(stake.formation),
                                         cutOrFill(stake.cut(), show),
                                         csvNumber(stake.finish),
                                         csvNumber(stake.string)};
    const auto add = [&](const std::string& layer, const std::string& lift, double top) {
        std::vector<std::string> row = start;
        row.insert(row.end(), {layer, lift, csvNumber(top), csvNumber(stake.string - top),
                               formatThickness(stake.string - top, show),
                               instrument ? csvNumber(rodAt(*instrument, top)) : ""});
        table.add(row);
    };
    for (const StakeLayer& layer : stake.layers)
        add(model.layers[static_cast<size_t>(layer.layer)].name, fmt::format("{}", layer.lift + 1),
            layer.top);
    add("formation", "", stake.formation);
}

/// A row for one height at a place: an end of a string, or a point of a rail.
void addHeight(CsvTable& table, const Model& model, const std::string& name, glm::dvec2 at, const char* what,
               double height, std::optional<double> instrument) {
    const LengthFormat& show = model.plan.show;
    const glm::dvec2 so = model.stationOffset(at), xy = model.toPlan(at);
    std::vector<std::string> row{"",
                                 name,
                                 csvNumber(so.x),
                                 formatStation(so.x, show, StationFor::Set),
                                 csvNumber(so.y),
                                 formatLength(so.y, show),
                                 csvNumber(xy.x),
                                 csvNumber(xy.y)};
    row.resize(13);
    row.insert(row.end(), {what, "", csvNumber(height), "", "",
                           instrument ? csvNumber(rodAt(*instrument, height)) : ""});
    table.add(row);
}

void addStringsAndRails(CsvTable& table, const Model& model, const StakesAnswer& answer) {
    for (size_t i = 0; i < answer.strings.size(); ++i) {
        const StringRun& run = answer.strings[i];
        const std::string name = fmt::format("string {}", i + 1);
        addHeight(table, model, name, run.from, "string", run.fromHeight, answer.instrument);
        addHeight(table, model, name, run.to, "string", run.toHeight, answer.instrument);
    }
    if (!answer.rails) return;
    for (const Rail& rail : answer.rails->rails)
        for (const RailPoint& point : rail.points)
            addHeight(
                table, model,
                fmt::format("{}, {}", model.plan.areas[static_cast<size_t>(rail.area)].name, rail.number),
                point.at, "rail", point.height, answer.instrument);
}

Json stakeJson(const JsonWords& words, const Model& model, size_t number, const Stake& stake,
               std::optional<double> instrument) {
    Json layers = Json::array(), rod = nullptr;
    for (const StakeLayer& layer : stake.layers)
        layers.push_back({{"layer", words.layer(layer.layer)},
                          {"lift", layer.lift + 1},
                          {"lifts", layer.lifts},
                          {"top", words.length(layer.top)},
                          {"down", words.thickness(layer.down)},
                          {"rod", instrument ? words.length(rodAt(*instrument, layer.top)) : Json(nullptr)}});
    if (instrument)
        rod = {{"ground", words.length(rodAt(*instrument, stake.ground))},
               {"formation", words.length(rodAt(*instrument, stake.formation))},
               {"finish", words.length(rodAt(*instrument, stake.finish))}};
    return {{"number", number},
            {"name", stake.name},
            {"at", words.place(stake.at, StationFor::Set)},
            {"ground", words.length(stake.ground)},
            {"formation", words.length(stake.formation)},
            {"cut", words.length(stake.cut())},
            {"mark", cutOrFill(stake.cut(), model.plan.show)},
            {"finish", words.length(stake.finish)},
            {"string", words.length(stake.string)},
            {"formation_down", words.thickness(stake.down())},
            {"layers", layers},
            {"rod", rod}};
}

Json rodJson(const JsonWords& words, double height, std::optional<double> instrument) {
    return instrument ? words.length(rodAt(*instrument, height)) : Json(nullptr);
}

Json stringJson(const JsonWords& words, const StringRun& run, std::optional<double> instrument) {
    return {{"from", words.place(run.from, StationFor::Set)},
            {"to", words.place(run.to, StationFor::Set)},
            {"length", words.length(run.length)},
            {"from_height", words.length(run.fromHeight)},
            {"to_height", words.length(run.toHeight)},
            {"from_rod", rodJson(words, run.fromHeight, instrument)},
            {"to_rod", rodJson(words, run.toHeight, instrument)},
            {"fall", words.thickness(run.fall())},
            {"slope", run.length > 0 ? JsonWords::number(run.fall() / run.length) : Json(nullptr)},
            {"finish_off", words.thickness(run.off)},
            {"finish_off_at", words.place(run.off == 0 ? run.from : run.offAt, StationFor::Set)}};
}

Json railsJson(const JsonWords& words, const Model& model, const ScreedRails& all,
               std::optional<double> instrument) {
    const auto name = [&](int area) { return model.plan.areas[static_cast<size_t>(area)].name; };
    Json rails = Json::array(), bays = Json::array();
    for (const Rail& rail : all.rails) {
        Json points = Json::array();
        for (const RailPoint& point : rail.points)
            points.push_back({{"at", words.place(point.at, StationFor::Set)},
                              {"height", words.length(point.height)},
                              {"rod", rodJson(words, point.height, instrument)}});
        rails.push_back({{"area", name(rail.area)},
                         {"number", rail.number},
                         {"length", words.length(rail.length)},
                         {"points", points},
                         {"bed_least", words.thickness(rail.bedLeast)},
                         {"bed_greatest", words.thickness(rail.bedGreatest)},
                         {"bed_wanted", words.thickness(rail.wanted)},
                         {"finish_low", words.thickness(rail.finishLow())},
                         {"finish_high", words.thickness(rail.finishHigh())}});
    }
    for (const Bay& bay : all.bays)
        bays.push_back(
            {{"area", name(bay.area)},
             {"rail", bay.rail},
             {"width", words.length(bay.width)},
             {"bend", words.thickness(bay.bend)},
             {"bend_at", bay.bend == 0 ? Json(nullptr) : words.place(bay.bendAt, StationFor::Set)}});
    return {{"rails", rails}, {"bays", bays}};
}

}  // namespace

std::string stakesCsv(const Model& model, const StakesAnswer& answer) {
    CsvTable table({"stake", "name", "station_m", "station", "offset_m", "offset", "x_m", "y_m", "ground_m",
                    "formation_m", "cut_or_fill", "finish_m", "string_m", "layer", "lift", "top_m", "down_m",
                    "down", "rod_m"});
    for (size_t i = 0; i < answer.stakes.size(); ++i)
        addRows(table, model, i + 1, answer.stakes[i], answer.instrument);
    addStringsAndRails(table, model, answer);
    return table.text();
}

std::string stakesJson(const Model& model, const StakesAnswer& answer) {
    const JsonWords words(model);
    Json root = words.answer();
    root["datum"] = model.plan.datum;
    root["instrument"] = answer.instrument ? words.length(*answer.instrument) : Json(nullptr);
    root["stakes"] = Json::array();
    for (size_t i = 0; i < answer.stakes.size(); ++i)
        root["stakes"].push_back(stakeJson(words, model, i + 1, answer.stakes[i], answer.instrument));
    root["strings"] = Json::array();
    for (const StringRun& run : answer.strings)
        root["strings"].push_back(stringJson(words, run, answer.instrument));
    root["rails"] = answer.rails ? railsJson(words, model, *answer.rails, answer.instrument) : Json(nullptr);
    return JsonWords::text(root);
}

}  // namespace underfoot
