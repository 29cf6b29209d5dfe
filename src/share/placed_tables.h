#pragma once
// Work as placed, as it is read, as CSV and JSON. Conventions as in page.h, csv.h and json.h.

#include <string>

#include "model/model.h"
#include "share/page.h"
#include "study/placed.h"

namespace underfoot {

Page placedPage(const Model& model, const Placed& placed);

/// One row a patch: layer, what (high, low, gap, add, shave; the last two where strings move by least work),
/// station_m, station, offset_m, offset, depth_m, depth, plan_area_m2, plan_area, volume_m3, volume. `depth`
/// is the whole deviation of high and low, the gap, or what to add or shave.
std::string placedCsv(const Model& model, const Placed& placed);

/// "straightedge": length; "tops": [{"layer", "tolerance", "passes", "surface": surface, "finishes": [{"way":
/// "to strings" or "on base", "as_planned": bool, "finish": surface, "beds": [{"layer", "least", "least_at",
/// "greatest", "greatest_at", "mean"}], "steps": {"limit", "over": number, "greatest": length, "areas":
/// [{"area", "units", "joints", "over", "greatest"}], "worst": [{"at", "height"}, at most ten]}}],
/// "strings_stay": corrections, "strings_move": corrections}]. A surface is {"least", "least_at", "greatest",
/// "greatest_at", "mean", "root_mean_square", "plan_area", "area_over", "area_under", "gap": length,
/// "gap_at_most": length, "gap_from": place, "gap_to", "gap_at", "patches": [{"what", "worst", "worst_at",
/// "area"}]}; corrections are null where nothing is to be corrected, else {"shift", "band", "added": volume,
/// "shaved": volume, "area_added", "area_shaved", "patches": [{"what", "depth", "at", "area", "volume",
/// "outline":
/// [[[x_m, y_m]]]}]}.
std::string placedJson(const Model& model, const Placed& placed);

}  // namespace underfoot
