#include "share/json.h"

#include <optional>
#include <utility>

#include "plan/plan.h"
#include "share/json_words.h"
#include "study/notes.h"

namespace underfoot {
namespace {

using Json = JsonWords::Json;

Json intervalJson(const JsonWords& words, const Model& model, const Section& section,
                  const SectionInterval& interval) {
    const Column& column = model.columns[static_cast<size_t>(interval.column)];
    Json layers = Json::array();
    for (size_t k = 0; k < column.entries.size(); ++k) {
        const auto heights = [&](size_t interfaceIndex) {
            const size_t at = static_cast<size_t>(interval.first) + 2 * interfaceIndex;
            return Json::array(
                {JsonWords::number(section.heights[at]), JsonWords::number(section.heights[at + 1])});
        };
        layers.push_back({{"layer", words.layer(column.entries[k].layer)},
                          {"lift", column.entries[k].lift + 1},
                          {"top_m", heights(k)},
                          {"bottom_m", heights(k + 1)}});
    }
    const double fall = section.heights[static_cast<size_t>(interval.first) + 1] -
                        section.heights[static_cast<size_t>(interval.first)];
    return {{"from_m", JsonWords::number(interval.from)},
            {"to_m", JsonWords::number(interval.to)},
            {"surface_slope", JsonWords::number(fall / (interval.to - interval.from))},
            {"area", words.areaName(column.area)},
            {"beyond", column.beyond},
            {"layers", layers}};
}

}  // namespace

namespace {

/// The range that the first column to name one wants of a layer.
void addWanted(const JsonWords& words, const Model& model, LayerId layer, Json& json) {
    std::optional<double> least, greatest;
    for (const Column& column : model.columns)
        for (const ColumnEntry& entry : column.entries) {
            if (entry.layer != layer) continue;
            if (!least) least = entry.least;
            if (!greatest) greatest = entry.greatest;
        }
    json["wanted_least"] = words.thickness(least);
    json["wanted_greatest"] = words.thickness(greatest);
}

}  // namespace

std::string sectionJson(const Model& model, const Section& section, const std::string& name) {
    const JsonWords words(model);
    Json root = words.answer();
    root["name"] = name;
    root["length"] = words.length(section.length);
    root["line"] = Json::array();
    for (const glm::dvec2& p : section.line) root["line"].push_back(words.place(p));
    root["layers"] = Json::array();
    for (const Extremes& e : extremes(model, section)) {
        if (e.layer == model.nativeSoil) continue;
        Json layer{{"layer", words.layer(e.layer)},
                   {"least", words.thickness(e.least)},
                   {"least_at", words.place(section.at(e.leastAt))},
                   {"greatest", words.thickness(e.greatest)},
                   {"greatest_at", words.place(section.at(e.greatestAt))},
                   {"cut_face", words.area(e.area)}};
        addWanted(words, model, e.layer, layer);
        root["layers"].push_back(std::move(layer));
    }
    root["intervals"] = Json::array();
    for (const SectionInterval& interval : section.intervals)
        root["intervals"].push_back(intervalJson(words, model, section, interval));
    root["units"] = Json::array();
    for (const UnitCut& cut : section.units)
        root["units"].push_back(
            {{"from_m", JsonWords::number(cut.from)},
             {"to_m", JsonWords::number(cut.to)},
             {"top_m", {JsonWords::number(cut.topFrom), JsonWords::number(cut.topTo)}},
             {"bottom_m", {JsonWords::number(cut.bottomFrom), JsonWords::number(cut.bottomTo)}},
             {"whole", model.units[static_cast<size_t>(cut.unit)].whole}});
    root["pipes"] = Json::array();
    for (const PipeCut& cut : section.pipes)
        root["pipes"].push_back({{"name", model.plan.buriedRuns[static_cast<size_t>(cut.run)].name},
                                 {"at_m", JsonWords::number(cut.at)},
                                 {"centre_m", JsonWords::number(cut.centre)},
                                 {"radius_m", JsonWords::number(cut.radius)}});
    return JsonWords::text(root);
}

std::string stackJson(const Model& model, glm::dvec2 local, const std::vector<LayerAt>& stack) {
    const JsonWords words(model);
    Json root = words.answer();
    root["at"] = words.place(local);
    Json layers = Json::array();
    const auto orNull = [&](double value) { return value > 0 ? words.thickness(value) : Json(nullptr); };
    const int cell = cellAt(model, local);
    for (const LayerAt& at : stack) {
        const ColumnEntry& entry =
            model.columnOf(model.cells[static_cast<size_t>(cell)]).entries[static_cast<size_t>(at.entry)];
        layers.push_back({{"layer", words.layer(at.layer)},
                          {"lift", at.lift + 1},
                          {"role", roleName(model.layers[static_cast<size_t>(at.layer)].role)},
                          {"material", model.layers[static_cast<size_t>(at.layer)].material},
                          {"top", words.length(at.top)},
                          {"bottom", words.length(at.bottom)},
                          {"thickness", words.thickness(at.thickness())},
                          {"wanted", orNull(entry.wanted)},
                          {"wanted_least", words.thickness(entry.least)},
                          {"wanted_greatest", words.thickness(entry.greatest)}});
    }
    root["layers"] = layers;
    return JsonWords::text(root);
}

std::string thicknessJson(const Model& model, const ThicknessField& field) {
    const JsonWords words(model);
    Json root = words.answer();
    root["layer"] = words.layer(field.layer);
    root["area"] = words.areaName(field.area);
    root["least"] = words.thickness(field.least);
    root["least_at"] = words.place(field.leastAt);
    root["greatest"] = words.thickness(field.greatest);
    root["greatest_at"] = words.place(field.greatestAt);
    root["mean"] = words.thickness(field.mean);
    root["plan_area"] = words.area(field.planArea);
    root["volume"] = words.volume(field.volume);
    root["wanted_least"] = words.thickness(field.wantedLeast);
    root["wanted_greatest"] = words.thickness(field.wantedGreatest);
    root["under"] = {{"area", words.area(field.areaUnder)}, {"volume", words.volume(field.volumeLacking)}};
    root["over"] = {{"area", words.area(field.areaOver)}, {"volume", words.volume(field.volumeOver)}};
    root["patches"] = Json::array();
    for (const Patch& patch : field.patches)
        root["patches"].push_back({{"thin", patch.thin},
                                   {"worst", words.thickness(patch.worstThickness)},
                                   {"worst_at", words.place(patch.worst)},
                                   {"centre", words.place(patch.centre)},
                                   {"area", words.area(patch.area)},
                                   {"volume", words.volume(patch.volume)}});
    return JsonWords::text(root);
}

std::string volumesJson(const Model& model, const Volumes& volumes) {
    const JsonWords words(model);
    Json root = words.answer();
    root["layers"] = Json::array();
    for (const LayerVolume& v : volumes.layers) {
        Json lifts = Json::array();
        for (const LiftVolume& lift : v.lifts)
            lifts.push_back({{"lift", lift.lift + 1},
                             {"volume", words.volume(lift.volume)},
                             {"plan_area", words.area(lift.planArea)}});
        root["layers"].push_back(
            {{"layer", words.layer(v.layer)},
             {"role", roleName(model.layers[static_cast<size_t>(v.layer)].role)},
             {"material", model.layers[static_cast<size_t>(v.layer)].material},
             {"volume", words.volume(v.volume)},
             {"inside", words.volume(v.insideVolume)},
             {"plan_area", words.area(v.planArea)},
             {"mean", v.planArea > 0 ? words.thickness(v.volume / v.planArea) : Json(nullptr)},
             {"lifts", lifts}});
    }
    root["strip"] = words.volume(volumes.strip);
    root["cut"] = words.volume(volumes.cut);
    root["fill"] = words.volume(volumes.fill);
    root["finish_area"] = words.area(volumes.finishArea);
    return JsonWords::text(root);
}

namespace {

Json scansJson(const JsonWords& words, const Model& model) {
    Json list = Json::array();
    const std::vector<std::string> said = notes(model);
    for (size_t i = 0; i < model.scans.size(); ++i) {
        const ThinnedScan& scan = model.scans[i];
        list.push_back({{"layer", scan.layer.empty() ? Json(nullptr) : Json(scan.layer)},
                        {"what", said[i]},
                        {"points", scan.measured},
                        {"kept", scan.kept},
                        {"wanted", words.length(scan.wanted)},
                        {"thinned_to", words.length(scan.error)},
                        {"scatter", words.length(scan.scatter)},
                        {"averaged_over", words.length(scan.square)},
                        {"greatest_deviation", words.length(scan.greatest)},
                        {"at", words.place(glm::dvec2(scan.farthest))}});
    }
    return list;
}

}  // namespace

std::string findingsJson(const Model& model, const std::vector<Finding>& findings) {
    const JsonWords words(model);
    Json root = words.answer();
    Json list = Json::array();
    for (const Finding& f : findings)
        list.push_back({{"kind", findingName(f.kind)},
                        {"what", f.what},
                        {"remedy", f.remedy},
                        {"area", words.areaName(f.area)},
                        {"layer", words.layer(f.layer)},
                        {"at", words.place(f.at)},
                        {"measured", JsonWords::number(f.measured)},
                        {"wanted", JsonWords::number(f.wanted)},
                        {"rule", f.rule},
                        {"source", f.source}});
    root["count"] = findings.size();
    root["findings"] = list;
    root["scans"] = scansJson(words, model);
    return JsonWords::text(root);
}

}  // namespace underfoot
