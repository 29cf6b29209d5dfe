#include "share/json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

#include "measure/length.h"
#include "study/notes.h"

namespace underfoot {
namespace {

using Json = nlohmann::ordered_json;

/// To a hundredth of a micrometre: what rounding leaves beyond that says nothing.
Json number(double value) {
    if (!std::isfinite(value)) return nullptr;
    return std::round(value * 1e8) / 1e8 + 0.0;
}

class Answer {
  public:
    explicit Answer(const Model& model) : model_(model), show_(model.plan.show) {
        root["plan"] = model.plan.title;
        root["file"] = model.plan.file;
    }

    Json length(double value) const { return {{"m", number(value)}, {"text", formatLength(value, show_)}}; }
    Json thickness(double value) const {
        return {{"m", number(value)}, {"text", formatThickness(value, show_)}};
    }
    Json thickness(const std::optional<double>& value) const {
        return value ? thickness(*value) : Json(nullptr);
    }
    Json area(double value) const { return {{"m2", number(value)}, {"text", formatArea(value, show_)}}; }
    Json volume(double value) const { return {{"m3", number(value)}, {"text", formatVolume(value, show_)}}; }
    Json place(glm::dvec2 local) const {
        const glm::dvec2 so = model_.stationOffset(local), xy = model_.toPlan(local);
        return {{"station", {{"m", number(so.x)}, {"text", formatStation(so.x, show_)}}},
                {"offset", length(so.y)},
                {"x_m", number(xy.x)},
                {"y_m", number(xy.y)}};
    }
    Json layerName(LayerId layer) const {
        return layer < 0 ? Json(nullptr) : Json(model_.layers[static_cast<size_t>(layer)].name);
    }
    Json areaName(int area) const {
        return area < 0 ? Json(nullptr) : Json(model_.plan.areas[static_cast<size_t>(area)].name);
    }
    const ModelLayer& layer(LayerId layer) const { return model_.layers[static_cast<size_t>(layer)]; }

    std::string text() const { return root.dump(2, ' ', false, Json::error_handler_t::replace) + '\n'; }

    Json root;

  private:
    const Model& model_;
    LengthFormat show_;
};

Json intervalJson(const Answer& answer, const Model& model, const Section& section,
                  const SectionInterval& interval) {
    const Column& column = model.columns[static_cast<size_t>(interval.column)];
    Json layers = Json::array();
    for (size_t k = 0; k < column.entries.size(); ++k) {
        const auto heights = [&](size_t interfaceIndex) {
            const size_t at = static_cast<size_t>(interval.first) + 2 * interfaceIndex;
            return Json::array({number(section.heights[at]), number(section.heights[at + 1])});
        };
        layers.push_back({{"layer", answer.layerName(column.entries[k].layer)},
                          {"lift", column.entries[k].lift + 1},
                          {"top_m", heights(k)},
                          {"bottom_m", heights(k + 1)}});
    }
    return {{"from_m", number(interval.from)},
            {"to_m", number(interval.to)},
            {"area", answer.areaName(column.area)},
            {"beyond", column.beyond},
            {"layers", layers}};
}

}  // namespace

std::string sectionJson(const Model& model, const Section& section, const std::string& name) {
    Answer answer(model);
    Json& root = answer.root;
    root["name"] = name;
    root["length"] = answer.length(section.length);
    root["line"] = Json::array();
    for (const glm::dvec2& p : section.line) root["line"].push_back(answer.place(p));
    root["layers"] = Json::array();
    for (const Extremes& e : extremes(model, section)) {
        if (e.layer == model.nativeSoil) continue;
        root["layers"].push_back({{"layer", answer.layerName(e.layer)},
                                  {"least", answer.thickness(e.least)},
                                  {"least_at", answer.place(section.at(e.leastAt))},
                                  {"greatest", answer.thickness(e.greatest)},
                                  {"greatest_at", answer.place(section.at(e.greatestAt))},
                                  {"cut_face", answer.area(e.area)}});
    }
    root["intervals"] = Json::array();
    for (const SectionInterval& interval : section.intervals)
        root["intervals"].push_back(intervalJson(answer, model, section, interval));
    root["units"] = Json::array();
    for (const UnitCut& cut : section.units)
        root["units"].push_back({{"from_m", number(cut.from)},
                                 {"to_m", number(cut.to)},
                                 {"top_m", {number(cut.topFrom), number(cut.topTo)}},
                                 {"bottom_m", {number(cut.bottomFrom), number(cut.bottomTo)}},
                                 {"whole", model.units[static_cast<size_t>(cut.unit)].whole}});
    root["pipes"] = Json::array();
    for (const PipeCut& cut : section.pipes)
        root["pipes"].push_back({{"name", model.plan.buriedRuns[static_cast<size_t>(cut.run)].name},
                                 {"at_m", number(cut.at)},
                                 {"centre_m", number(cut.centre)},
                                 {"radius_m", number(cut.radius)}});
    return answer.text();
}

std::string stackJson(const Model& model, glm::dvec2 local, const std::vector<LayerAt>& stack) {
    Answer answer(model);
    answer.root["at"] = answer.place(local);
    Json layers = Json::array();
    for (const LayerAt& at : stack)
        layers.push_back({{"layer", answer.layerName(at.layer)},
                          {"lift", at.lift + 1},
                          {"role", roleName(answer.layer(at.layer).role)},
                          {"material", answer.layer(at.layer).material},
                          {"top", answer.length(at.top)},
                          {"bottom", answer.length(at.bottom)},
                          {"thickness", answer.thickness(at.thickness())}});
    answer.root["layers"] = layers;
    return answer.text();
}

std::string thicknessJson(const Model& model, const ThicknessField& field) {
    Answer answer(model);
    Json& root = answer.root;
    root["layer"] = answer.layerName(field.layer);
    root["area"] = answer.areaName(field.area);
    root["least"] = answer.thickness(field.least);
    root["least_at"] = answer.place(field.leastAt);
    root["greatest"] = answer.thickness(field.greatest);
    root["greatest_at"] = answer.place(field.greatestAt);
    root["mean"] = answer.thickness(field.mean);
    root["plan_area"] = answer.area(field.planArea);
    root["volume"] = answer.volume(field.volume);
    root["wanted_least"] = answer.thickness(field.wantedLeast);
    root["wanted_greatest"] = answer.thickness(field.wantedGreatest);
    root["under"] = {{"area", answer.area(field.areaUnder)}, {"volume", answer.volume(field.volumeLacking)}};
    root["over"] = {{"area", answer.area(field.areaOver)}, {"volume", answer.volume(field.volumeOver)}};
    root["patches"] = Json::array();
    for (const Patch& patch : field.patches)
        root["patches"].push_back({{"thin", patch.thin},
                                   {"worst", answer.thickness(patch.worstThickness)},
                                   {"worst_at", answer.place(patch.worst)},
                                   {"centre", answer.place(patch.centre)},
                                   {"area", answer.area(patch.area)},
                                   {"volume", answer.volume(patch.volume)}});
    return answer.text();
}

std::string volumesJson(const Model& model, const Volumes& volumes) {
    Answer answer(model);
    Json& root = answer.root;
    root["layers"] = Json::array();
    for (const LayerVolume& v : volumes.layers) {
        Json lifts = Json::array();
        for (const LiftVolume& lift : v.lifts)
            lifts.push_back({{"lift", lift.lift + 1},
                             {"volume", answer.volume(lift.volume)},
                             {"plan_area", answer.area(lift.planArea)}});
        root["layers"].push_back({{"layer", answer.layerName(v.layer)},
                                  {"role", roleName(answer.layer(v.layer).role)},
                                  {"material", answer.layer(v.layer).material},
                                  {"volume", answer.volume(v.volume)},
                                  {"inside", answer.volume(v.insideVolume)},
                                  {"plan_area", answer.area(v.planArea)},
                                  {"lifts", lifts}});
    }
    root["strip"] = answer.volume(volumes.strip);
    root["cut"] = answer.volume(volumes.cut);
    root["fill"] = answer.volume(volumes.fill);
    root["finish_area"] = answer.area(volumes.finishArea);
    return answer.text();
}

namespace {

Json scansJson(const Answer& answer, const Model& model) {
    Json list = Json::array();
    const std::vector<std::string> said = notes(model);
    for (size_t i = 0; i < model.scans.size(); ++i) {
        const ThinnedScan& scan = model.scans[i];
        list.push_back({{"layer", scan.layer.empty() ? Json(nullptr) : Json(scan.layer)},
                        {"what", said[i]},
                        {"points", scan.measured},
                        {"kept", scan.kept},
                        {"wanted", answer.length(scan.wanted)},
                        {"thinned_to", answer.length(scan.error)},
                        {"scatter", answer.length(scan.scatter)},
                        {"averaged_over", answer.length(scan.square)},
                        {"greatest_deviation", answer.length(scan.greatest)},
                        {"at", answer.place(glm::dvec2(scan.farthest))}});
    }
    return list;
}

}  // namespace

std::string findingsJson(const Model& model, const std::vector<Finding>& findings) {
    Answer answer(model);
    Json list = Json::array();
    for (const Finding& f : findings)
        list.push_back({{"kind", findingName(f.kind)},
                        {"what", f.what},
                        {"remedy", f.remedy},
                        {"area", answer.areaName(f.area)},
                        {"layer", answer.layerName(f.layer)},
                        {"at", answer.place(f.at)},
                        {"measured", number(f.measured)},
                        {"wanted", number(f.wanted)},
                        {"rule", f.rule},
                        {"source", f.source}});
    answer.root["count"] = findings.size();
    answer.root["findings"] = list;
    answer.root["scans"] = scansJson(answer, model);
    return answer.text();
}

}  // namespace underfoot
