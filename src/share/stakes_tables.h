#pragma once
// Stakes, strings and rails as they are read (share/page.h), as tables (share/csv.h) and as JSON
// (share/json.h).

#include <optional>
#include <string>
#include <vector>

#include "measure/length.h"
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

/// Layers under any stake but for the one whose top is the finish, so that each stands above those it lies
/// on, also where build-ups differ from stake to stake.
std::vector<LayerId> layersBelow(const std::vector<Stake>& set);

/// From the string down to a layer's top; empty where it is not under the stake.
std::string downTo(const Stake& stake, LayerId layer, const LengthFormat& show);

Page stakesPage(const Model& model, const StakesAnswer& answer);

/// SVG files in millimetres, A4 lying where the plan shows metres, else US letter: one line a stake with the
/// measures down to every layer, in letters of 4.5 to 7.5 mm, as many sheets as that takes. Where that is too
/// wide names are cut short, and where that is not enough letters are smaller.
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
/// "strings": [{"from": place, "to", "length", "from_height", "to_height", "from_rod", "to_rod", "fall",
/// "slope", "finish_off", "finish_off_at"}]; "rails": null or {"rails": [{"area", "number", "length",
/// "points": [{"at", "height", "rod"}], "bed_least", "bed_greatest", "bed_wanted", "finish_low",
/// "finish_high"}], "bays": [{"area", "rail", "width", "bend", "bend_at"}]}.
std::string stakesJson(const Model& model, const StakesAnswer& answer);

}  // namespace underfoot
