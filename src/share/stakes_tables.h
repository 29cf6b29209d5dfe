#pragma once
// Stakes, strings and rails as they are read (share/page.h), as tables (share/csv.h) and as JSON
// (share/json.h).

#include <optional>
#include <string>
#include <vector>

#include "model/model.h"
#include "share/page.h"
#include "study/stakes.h"

namespace underfoot {

struct StakesAnswer {
    std::vector<Stake> stakes;
    std::optional<double> instrument;  ///< height of the level's line of sight: then rod readings are given
    std::vector<StringRun> strings;
    std::optional<ScreedRails> rails;
};

Page stakesPage(const Model& model, const StakesAnswer& answer);

/// SVG files in millimetres, A4 lying where the plan shows metres, else US letter: one line a stake, in
/// letters of 4.5 to 7.5 mm, as many sheets as that takes.
std::vector<std::string> stakesSheets(const Model& model, const std::vector<Stake>& set);
/// The same sheets as the pages of one PDF.
std::string stakesPdf(const Model& model, const std::vector<Stake>& set);

/// One row for each stake and layer, numbered from 1: stake, name, station_m, station, offset_m, offset, x_m,
/// y_m, ground_m, formation_m, cut_or_fill, finish_m, string_m, layer, lift, top_m, down_m, down, rod_m, then
/// the formation as layer "formation"; after them the ends of strings and the points of rails, as layers
/// "string" and "rail", top_m their height, with no stake. rod_m is empty without an instrument.
std::string stakesCsv(const Model& model, const StakesAnswer& answer);

/// "datum"; "instrument": length or null; "stakes": [{"number", "name", "at": place, "ground", "formation",
/// "cut": length (fill is negative), "mark": "C-2.58", "finish", "string", "formation_down", "layers":
/// [{"layer", "lift", "lifts", "top", "down", "rod"}], "rod": null or {"ground", "formation", "finish"}}];
/// "strings": [{"from": place, "to", "length", "from_height", "to_height", "fall", "slope", "finish_off",
/// "finish_off_at"}]; "rails": null or {"rails": [{"area", "number", "length", "points": [{"at", "height"}],
/// "bed_least", "bed_greatest", "bed_wanted", "finish_low", "finish_high"}], "bays": [{"area", "rail",
/// "width", "bend", "bend_at"}]}.
std::string stakesJson(const Model& model, const StakesAnswer& answer);

}  // namespace underfoot
