#include "share/placed_tables.h"

#include <algorithm>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/length.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json_words.h"
#include "study/corrections.h"
#include "study/height_field.h"
#include "study/lippage.h"
#include "study/patches.h"
#include "study/screeding.h"
#include "study/straightedge.h"
#include "study/thickness.h"

namespace underfoot {

namespace {

using Json = JsonWords::Json;

class Rows {
  public:
    explicit Rows(const Model& model)
        : model_(model),
          table_({"layer", "what", "station_m", "station", "offset_m", "offset", "depth_m", "depth",
                  "plan_area_m2", "plan_area", "volume_m3", "volume"}) {}

    void add(LayerId layer, const char* what, const FieldPatch& patch, double depth) {
        const LengthFormat& show = model_.plan.show;
        const glm::dvec2 so = model_.stationOffset(patch.worst);
        table_.add({model_.layers[static_cast<size_t>(layer)].name, what, csvNumber(so.x),
                    formatStation(so.x, show), csvNumber(so.y), formatLength(so.y, show), csvNumber(depth),
                    formatThickness(depth, show), csvNumber(patch.area), formatArea(patch.area, show),
                    csvNumber(patch.volume), formatVolume(patch.volume, show)});
    }
    const std::string& text() const { return table_.text(); }

  private:
    const Model& model_;
    CsvTable table_;
};

class Writer : public JsonWords {
  public:
    explicit Writer(const Model& model) : JsonWords(model), model_(model) {}

    Json surface(const PlacedSurface& surface) const {
        const FieldFigures& f = surface.figures;
        Json patches = Json::array();
        const auto add = [&](const char* what, const std::vector<FieldPatch>& from) {
            for (const FieldPatch& patch : from)
                patches.push_back({{"what", what},
                                   {"worst", thickness(patch.worstValue)},
                                   {"worst_at", place(patch.worst)},
                                   {"area", area(patch.area)},
                                   {"volume", volume(patch.volume)}});
        };
        add("high", surface.high), add("low", surface.low), add("gap", surface.gaps);
        return {{"least", thickness(f.least)},
                {"least_at", place(f.leastAt)},
                {"greatest", thickness(f.greatest)},
                {"greatest_at", place(f.greatestAt)},
                {"mean", thickness(f.mean)},
                {"root_mean_square", thickness(f.rootMeanSquare)},
                {"plan_area", area(f.planArea)},
                {"area_over", area(f.areaOver)},
                {"area_under", area(f.areaUnder)},
                {"gap", thickness(surface.gap.gap)},
                {"gap_at_most", thickness(surface.gap.atMost)},
                {"gap_from", place(surface.gap.from)},
                {"gap_to", place(surface.gap.to)},
                {"gap_at", place(surface.gap.at)},
                {"patches", patches}};
    }

    Json corrections(const Corrections& all) const {
        Json patches = Json::array();
        for (const CorrectionPatch& one : all.patches) {
            patches.push_back({{"what", one.add ? "add" : "shave"},
                               {"depth", thickness(one.patch.worstExcess)},
                               {"at", place(one.patch.worst)},
                               {"area", area(one.patch.area)},
                               {"volume", volume(one.patch.volume)},
                               {"outline", rings(one.patch.outline)}});
        }
        return {{"shift", thickness(all.shift)},
                {"band", thickness(all.band)},
                {"added", volume(all.added)},
                {"shaved", volume(all.shaved)},
                {"area_added", area(all.areaAdded)},
                {"area_shaved", area(all.areaShaved)},
                {"patches", patches}};
    }

    Json steps(const Lippage& all, double limit) const {
        Json areas = Json::array(), worst = Json::array();
        for (const AreaSteps& one : all.areas)
            areas.push_back({{"area", model_.plan.areas[static_cast<size_t>(one.area)].name},
                             {"units", one.units},
                             {"joints", one.joints},
                             {"over", one.over},
                             {"greatest", thickness(one.greatest)}});
        for (size_t i = 0; i < std::min<size_t>(10, all.steps.size()); ++i)
            worst.push_back({{"at", place(all.steps[i].at)}, {"height", thickness(all.steps[i].height)}});
        return {{"limit", thickness(limit)},
                {"over", all.over},
                {"greatest", thickness(all.greatest())},
                {"areas", areas},
                {"worst", worst}};
    }

    Json finish(const PredictedFinish& one, double proud) const {
        Json beds = Json::array();
        for (const ThicknessField& bed : one.beds)
            beds.push_back({{"layer", layer(bed.layer)},
                            {"least", thickness(bed.least)},
                            {"least_at", place(bed.leastAt)},
                            {"greatest", thickness(bed.greatest)},
                            {"greatest_at", place(bed.greatestAt)},
                            {"mean", thickness(bed.mean)}});
        return {{"way", one.way == Screeding::ToStrings ? "to strings" : "on base"},
                {"as_planned", one.asPlanned},
                {"finish", surface(one.finish)},
                {"beds", beds},
                {"steps", steps(one.lippage, proud)}};
    }

  private:
    const Model& model_;
};

}  // namespace

std::string placedCsv(const Model& model, const Placed& placed) {
    Rows rows(model);
    for (const PlacedTop& top : placed.tops) {
        for (const FieldPatch& patch : top.surface.high) rows.add(top.layer, "high", patch, patch.worstValue);
        for (const FieldPatch& patch : top.surface.low) rows.add(top.layer, "low", patch, -patch.worstValue);
        for (const FieldPatch& patch : top.surface.gaps) rows.add(top.layer, "gap", patch, patch.worstValue);
        for (const CorrectionPatch& one : top.stringsMove.patches)
            rows.add(top.layer, one.add ? "add" : "shave", one.patch, one.patch.worstExcess);
    }
    return rows.text();
}

std::string placedJson(const Model& model, const Placed& placed) {
    const Writer writer(model);
    Json root = writer.answer();
    root["straightedge"] = writer.length(placed.length);
    root["tops"] = Json::array();
    for (const PlacedTop& top : placed.tops) {
        Json finishes = Json::array();
        for (const PredictedFinish& one : top.finishes) finishes.push_back(writer.finish(one, placed.proud));
        root["tops"].push_back(
            {{"layer", writer.layer(top.layer)},
             {"tolerance", writer.thickness(top.tolerance)},
             {"passes", top.passes},
             {"surface", writer.surface(top.surface)},
             {"finishes", finishes},
             {"strings_stay", top.passes ? Json(nullptr) : writer.corrections(top.stringsStay)},
             {"strings_move", top.passes ? Json(nullptr) : writer.corrections(top.stringsMove)}});
    }
    return JsonWords::text(root);
}

}  // namespace underfoot
