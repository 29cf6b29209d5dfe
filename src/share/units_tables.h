#pragma once
// Units as they are read (share/page.h), as a table (share/csv.h) and as JSON (share/json.h).

#include <string>
#include <utility>
#include <vector>

#include "model/model.h"
#include "share/page.h"
#include "study/start_line.h"
#include "study/units.h"

namespace underfoot {

/// The start lines asked for, each with the area's index.
using StartLines = std::vector<std::pair<int, StartLine>>;

/// What is listed one by one: cut pieces; rows to snap; where each saw cut is marked on its unit.
struct UnitLists {
    bool pieces = false, rows = false, cuts = false;
};
Page unitsPage(const Model& model, const UnitsReport& report, const StartLines& starts,
               const UnitLists& lists);

/// One row a row of units (unit_rows.h): area, row, from_station_m, from_station, from_offset_m, from_offset,
/// the same with to_, length_m, units, cut, first_m, first_cut, last_m, last_cut.
std::string unitRowsCsv(const Model& model);

/// One row a cut piece: area, unit_length_m, unit_width_m, thickness_m, border, piece (counts from 1 in its
/// area and size), station_m, station, offset_m, offset (of its middle), length_m, width_m, least_width_m,
/// smallest_angle_deg, part, sawn_m, too_narrow, too_small, sawn_from (which of the units that are sawn,
/// from 1), quarters, shape ("x y x y …" in the unit's own frame, metres).
std::string unitsCsv(const Model& model, const UnitsReport& report);

/// "units": [{"area", "layer", "border", "length", "width", "thickness", "weight_kg", "whole", "cut",
/// "sawn_units", "sawn_units_at_least", "bought", "waste", "saw_passes", "pieces": [{"at": place, "length",
/// "width", "least_width", "smallest_angle_deg", "part", "sawn", "too_narrow", "too_small", "sawn_from",
/// "quarters", "shape": [[x_m, y_m]], "nested": the same where it is sawn}]}]; "joints": [{"area", "width",
/// "open_area", "sand_to_top", "sand_to_limit"}]; "saw_kerf"; "one_person_lifts_kg"; "cautions": [sentence];
/// "start_lines": [{"area", "start": place, "angle_deg", "along_rows", "across_rows" (to their left),
/// "before", "after":
/// {"whole", "cut", "slivers", "smallest_part", "narrowest"}, "exact", "step", "tried", "write"}]; "rows":
/// [{"area", "row", "from": place, "to": place, "length", "units", "cut", "first", "first_cut", "last",
/// "last_cut"}]. Each piece has "cuts": [{"from":
/// {"side": "near", "far", "left", "right" or "inside", "along", "in"}, "to", "length", "bow"}].
std::string unitsJson(const Model& model, const UnitsReport& report, const StartLines& starts);

}  // namespace underfoot
