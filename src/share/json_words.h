#pragma once
// Lengths, areas, volumes and places as share/json.h promises them; every JSON answer is made of these.
// Internal to share.

#include <cmath>
#include <nlohmann/json.hpp>  // IWYU pragma: export
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "measure/length.h"
#include "measure/mass.h"
#include "model/model.h"

namespace underfoot {

/// Values of one model in JSON.
class JsonWords {
  public:
    using Json = nlohmann::ordered_json;

    explicit JsonWords(const Model& model) : model_(model), show_(model.plan.show) {}

    /// An answer with its first keys, "plan" and "file".
    Json answer() const { return {{"plan", model_.plan.title}, {"file", model_.plan.file}}; }
    static std::string text(const Json& answer) {
        return answer.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
    }

    /// To a hundredth of a micrometre; null for what is not a number.
    static Json number(double value) {
        if (!std::isfinite(value)) return nullptr;
        return std::round(value * 1e8) / 1e8 + 0.0;
    }
    Json length(double value) const { return {{"m", number(value)}, {"text", formatLength(value, show_)}}; }
    Json thickness(double value) const {
        return {{"m", number(value)}, {"text", formatThickness(value, show_)}};
    }
    Json thickness(const std::optional<double>& value) const {
        return value ? thickness(*value) : Json(nullptr);
    }
    Json station(double value, StationFor use = StationFor::Told) const {
        return {{"m", number(value)}, {"text", formatStation(value, show_, use)}};
    }
    Json area(double value) const { return {{"m2", number(value)}, {"text", formatArea(value, show_)}}; }
    Json volume(double value) const { return {{"m3", number(value)}, {"text", formatVolume(value, show_)}}; }
    Json mass(double kilograms) const {
        return {{"kg", number(kilograms)}, {"text", formatMass(kilograms, show_)}};
    }
    Json place(glm::dvec2 local, StationFor use = StationFor::Told) const {
        const glm::dvec2 so = model_.stationOffset(local), xy = model_.toPlan(local);
        return {{"station", station(so.x, use)},
                {"offset", length(so.y)},
                {"x_m", number(xy.x)},
                {"y_m", number(xy.y)}};
    }
    /// Rings of local places, corner by corner in the plan's own coordinates.
    Json rings(const std::vector<std::vector<glm::dvec2>>& rings) const {
        Json outline = Json::array();
        for (const auto& ring : rings) {
            Json corners = Json::array();
            for (const glm::dvec2 local : ring) {
                const glm::dvec2 xy = model_.toPlan(local);
                corners.push_back({number(xy.x), number(xy.y)});
            }
            outline.push_back(std::move(corners));
        }
        return outline;
    }
    /// The layer's name; null for none.
    Json layer(LayerId layer) const {
        return layer < 0 ? Json(nullptr) : Json(model_.layers[static_cast<size_t>(layer)].name);
    }
    /// The area's name; null for all.
    Json areaName(int area) const {
        return area < 0 ? Json(nullptr) : Json(model_.plan.areas[static_cast<size_t>(area)].name);
    }

  private:
    const Model& model_;
    LengthFormat show_;
};

}  // namespace underfoot
