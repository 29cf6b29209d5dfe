#pragma once
// Earthwork as it is read (share/page.h), as tables (share/csv.h) and as JSON (share/json.h).

#include <optional>
#include <string>
#include <vector>

#include "model/model.h"
#include "share/page.h"
#include "study/earthwork.h"
#include "study/end_areas.h"

namespace underfoot {

/// Everything asked of the earthwork of one model.
struct EarthworkAnswer {
    EarthBalance balance;
    std::vector<PlanLine> changes;
    std::vector<LiftToPlace> lifts;
    std::optional<EndAreas> endAreas;
};

Page earthworkPage(const Model& model, const EarthworkAnswer& answer);

/// what, layer, lift, place, in_place_m3, loose_m3, compacted_m3, plan_area_m2, thickness_m (greatest,
/// compacted), loose_thickness_m, passes, station_m, offset_m (of a place's lowest corner). First the amounts
/// of earth ("topsoil", "cut", "fill", "backfill", "topsoil put back", "cut put back", "cut used as fill",
/// "haul out topsoil", "haul out cut", "haul in" with its material as layer), then the lifts, each followed
/// by its places where it has several. Passes of a lift past the limit are "too thick".
std::string earthworkCsv(const Model& model, const EarthworkAnswer& answer);

/// Points of the lines where cut changes to fill ("cut to fill"), then of the outlines of the lifts ("fill,
/// lift 2 of 5", ring by ring; holes turn right): what, line, point, station_m, station, offset_m, offset,
/// x_m, y_m. A closed line ends with its first point.
std::string linesCsv(const Model& model, const EarthworkAnswer& answer);

/// One row a station: station_m, station, cut_before_m2, cut_after_m2, fill_before_m2, fill_after_m2, then of
/// the interval that ends there: cut_end_areas_m3, cut_prismoidal_m3, cut_exact_m3, fill_end_areas_m3,
/// fill_prismoidal_m3, fill_exact_m3; empty at the first station.
std::string endAreasCsv(const Model& model, const EndAreas& areas);

/// "soil": {"name", "named_by_plan", "loose", "compacted", "source"}; "cut_as_fill"; "topsoil", "cut",
/// "fill", "backfill": {"in_place", "loose", "compacted"} (fill and backfill have no "in_place");
/// "topsoil_put_back", "cut_put_back", "cut_used_as_fill": volumes in place; "haul_out": {"topsoil_loose",
/// "cut_loose"}; "haul_in": [{"material", "compacted", "loose", "source"}]; "assumptions": [sentence];
/// "cut_to_fill": [{"length", "closed", "points": [place]}]; "lifts": [{"layer", "lift", "lifts",
/// "plan_area", "compacted": volume, "loose": volume, "thickness": greatest, "spread": greatest loose,
/// "ratio_source", "passes", "passes_source", "too_thick", "places": [{"lowest_at": place, "lowest": length,
/// "plan_area", "compacted", "outline": [[[x_m, y_m]]]}]}]; "end_areas": null unless asked for, else
/// {"stations", "intervals", "by_end_areas", "by_prismoid", "by_simpson", "no_simpson", "exact",
/// "difference"}.
std::string earthworkJson(const Model& model, const EarthworkAnswer& answer);

}  // namespace underfoot
