#include "share/csv.h"

#include <array>
#include <cassert>
#include <cmath>
#include <set>
#include <utility>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "plan/plan.h"

namespace underfoot {
namespace {

std::string quoted(const std::string& field) {
    if (field.find_first_of(",\"\r\n") == std::string::npos) return field;
    std::string out = "\"";
    for (const char c : field) out += c == '"' ? "\"\"" : std::string(1, c);
    return out + '"';
}

const ModelLayer& layerOf(const Model& model, LayerId layer) {
    return model.layers[static_cast<size_t>(layer)];
}

/// station_m, station, offset_m, offset
void addPlace(std::vector<std::string>& row, const Model& model, glm::dvec2 local) {
    const glm::dvec2 so = model.stationOffset(local);
    const LengthFormat& show = model.plan.show;
    row.insert(row.end(),
               {csvNumber(so.x), formatStation(so.x, show), csvNumber(so.y), formatLength(so.y, show)});
}

void addXy(std::vector<std::string>& row, const Model& model, glm::dvec2 local) {
    const glm::dvec2 xy = model.toPlan(local);
    row.insert(row.end(), {csvNumber(xy.x), csvNumber(xy.y)});
}

}  // namespace

CsvTable::CsvTable(const std::vector<std::string>& columns) : columns_(columns.size()) {
    line(columns);
}

void CsvTable::add(const std::vector<std::string>& fields) {
    assert(fields.size() == columns_);
    line(fields);
}

void CsvTable::line(const std::vector<std::string>& fields) {
    for (size_t i = 0; i < fields.size(); ++i) {
        if (i > 0) text_ += ',';
        text_ += quoted(fields[i]);
    }
    text_ += "\r\n";
}

std::string csvNumber(double value) {
    if (!std::isfinite(value)) return {};
    std::string out = fmt::format("{:.6f}", value);
    return out == "-0.000000" ? "0.000000" : out;
}

std::string sectionCsv(const Model& model, const Section& section) {
    CsvTable table({"distance_m", "distance", "station_m", "station", "offset_m", "offset", "x_m", "y_m",
                    "layer", "lift", "top_m", "bottom_m", "thickness_m", "thickness"});
    const LengthFormat& show = model.plan.show;
    for (const SectionInterval& interval : section.intervals) {
        const Column& column = model.columns[static_cast<size_t>(interval.column)];
        for (const size_t end : {size_t{0}, size_t{1}}) {
            const double distance = end == 0 ? interval.from : interval.to;
            for (size_t k = 0; k < column.entries.size(); ++k) {
                const double top = section.heights[static_cast<size_t>(interval.first) + 2 * k + end];
                const double bottom =
                    section.heights[static_cast<size_t>(interval.first) + 2 * (k + 1) + end];
                std::vector<std::string> row{csvNumber(distance), formatLength(distance, show)};
                addPlace(row, model, section.at(distance));
                addXy(row, model, section.at(distance));
                row.insert(row.end(),
                           {layerOf(model, column.entries[k].layer).name,
                            fmt::format("{}", column.entries[k].lift + 1), csvNumber(top), csvNumber(bottom),
                            csvNumber(top - bottom), formatThickness(top - bottom, show)});
                table.add(row);
            }
        }
    }
    return table.text();
}

std::string thicknessCsv(const Model& model, LayerId layer, int area) {
    CsvTable table({"x_m", "y_m", "station_m", "station", "offset_m", "offset", "thickness_m", "thickness"});
    std::set<std::pair<int, double>> seen;
    for (const Cell& cell : model.cells) {
        const Column& column = model.columnOf(cell);
        if (column.area < 0 || column.beyond || (area >= 0 && column.area != area)) continue;
        bool holds = false;
        for (const ColumnEntry& entry : column.entries) holds = holds || entry.layer == layer;
        if (!holds) continue;
        for (int corner = 0; corner < 3; ++corner) {
            double thickness = 0;
            for (size_t k = 0; k < column.entries.size(); ++k)
                if (column.entries[k].layer == layer)
                    thickness += model.thickness(cell, corner, static_cast<int>(k));
            if (!seen.emplace(cell.vertex[static_cast<size_t>(corner)], thickness).second) continue;
            std::vector<std::string> row;
            addXy(row, model, model.at(cell, corner));
            addPlace(row, model, model.at(cell, corner));
            row.insert(row.end(), {csvNumber(thickness), formatThickness(thickness, model.plan.show)});
            table.add(row);
        }
    }
    return table.text();
}

std::string stackCsv(const Model& model, const std::vector<LayerAt>& stack) {
    CsvTable table({"layer", "lift", "role", "material", "top_m", "top", "bottom_m", "bottom", "thickness_m",
                    "thickness"});
    const LengthFormat& show = model.plan.show;
    for (const LayerAt& at : stack) {
        const ModelLayer& layer = layerOf(model, at.layer);
        table.add({layer.name, fmt::format("{}", at.lift + 1), roleName(layer.role), layer.material,
                   csvNumber(at.top), formatLength(at.top, show), csvNumber(at.bottom),
                   formatLength(at.bottom, show), csvNumber(at.thickness()),
                   formatThickness(at.thickness(), show)});
    }
    return table.text();
}

std::string volumesCsv(const Model& model, const Volumes& volumes) {
    CsvTable table({"layer", "role", "material", "lift", "volume_m3", "volume", "inside_m3", "plan_area_m2",
                    "plan_area"});
    const LengthFormat& show = model.plan.show;
    for (const LayerVolume& v : volumes.layers) {
        const ModelLayer& layer = layerOf(model, v.layer);
        table.add({layer.name, roleName(layer.role), layer.material, "", csvNumber(v.volume),
                   formatVolume(v.volume, show), csvNumber(v.insideVolume), csvNumber(v.planArea),
                   formatArea(v.planArea, show)});
        for (const LiftVolume& lift : v.lifts)
            if (v.lifts.size() > 1)
                table.add({layer.name, roleName(layer.role), layer.material, fmt::format("{}", lift.lift + 1),
                           csvNumber(lift.volume), formatVolume(lift.volume, show), "",
                           csvNumber(lift.planArea), formatArea(lift.planArea, show)});
    }
    const auto total = [&](const char* name, double volume) {
        table.add({name, "", "", "", csvNumber(volume), formatVolume(volume, show), "", "", ""});
    };
    total("strip", volumes.strip);
    total("cut", volumes.cut);
    total("fill in all", volumes.fill);
    return table.text();
}

std::string findingsCsv(const Model& model, const std::vector<Finding>& findings) {
    CsvTable table({"what", "kind", "area", "layer", "station_m", "station", "offset_m", "offset", "x_m",
                    "y_m", "measured", "wanted", "rule", "source", "remedy"});
    for (const Finding& f : findings) {
        std::vector<std::string> row{f.what, findingName(f.kind),
                                     f.area < 0 ? "" : model.plan.areas[static_cast<size_t>(f.area)].name,
                                     f.layer < 0 ? "" : layerOf(model, f.layer).name};
        addPlace(row, model, f.at);
        addXy(row, model, f.at);
        row.insert(row.end(), {csvNumber(f.measured), csvNumber(f.wanted), f.rule, f.source, f.remedy});
        table.add(row);
    }
    return table.text();
}

}  // namespace underfoot
