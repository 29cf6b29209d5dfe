#pragma once
// Water as it is read (share/page.h), as tables (share/csv.h) and as JSON (share/json.h).

#include <string>
#include <vector>

#include "model/model.h"
#include "share/page.h"
#include "study/drains.h"
#include "study/water.h"
#include "study/water_surface.h"

namespace underfoot {

/// Everything asked of the water on one surface of a model.
struct WaterAnswer {
    WaterReport report;
    std::vector<PipeReport> pipes;
};

/// The words for a surface: "finish", "designed finish", "formation", "ground".
const char* waterOnName(WaterOn which);
/// The words for a verdict: "under the least fall", …
const char* verdictName(FallVerdict verdict);
/// "outline edge 3 of court", "opening 1 of court", or "the rim" outside every area. Edges count from 1, as
/// in the plan.
std::string drainedEdgeName(const Model& model, const DrainedEdge& edge);

/// Of pieces and ponds the largest `most` are listed.
Page waterPage(const Model& model, const WaterAnswer& answer, size_t most = 20);

/// what ("piece", "pond", "spill", "edge", "house", "inlet"), area, name, station_m, station, offset_m,
/// offset (of a piece's middle, a pond's deepest place, an edge's beginning), slope, away (fall away from the
/// baseline), down_deg (from the baseline's direction, turning left), area_m2, depth_m, level_m, volume_m3,
/// drains_m2, says.
std::string waterCsv(const Model& model, const WaterReport& report);

/// "surface", "plan_area"; "pieces": [{"area", "slope", "away", "down_deg", "plan_area", "middle", "says"}];
/// "areas": [{"area", "plan_area"}], their pieces together;
/// "ponds": [{"level", "depth", "deepest", "volume", "plan_area", "drains", "spill", "then", "outline":
/// [[[x_m, y_m]]]}]; "edges": [{"name", "house", "from", "to", "length", "drains"}]; "inlets": [{"at",
/// "drains"}]; "pipes": [{"name", "outlet", "outlet_at", "legs": [{"from", "to", "length", "fall", "cover",
/// "cover_at", "cuts"}], "spikes": [{"at", "clear"}]}]; "path": null or {"points": [place with "height_m"],
/// "end"}.
std::string waterJson(const Model& model, const WaterAnswer& answer);

}  // namespace underfoot
