#pragma once
// Tables for a spreadsheet: comma-separated values after RFC 4180 (IETF, 2005), lines ended by CR LF, the
// first line naming the columns. Numbers carry a point, whatever the locale. A name that ends in _m, _m2 or
// _m3 counts in metres; the column of the same name without it is for reading, in the units the plan shows.

#include <string>
#include <vector>

#include "model/model.h"
#include "study/findings.h"
#include "study/section.h"
#include "study/volumes.h"

namespace underfoot {

/// One table in the making. Every row has as many fields as there are columns.
class CsvTable {
  public:
    explicit CsvTable(const std::vector<std::string>& columns);
    void add(const std::vector<std::string>& fields);
    const std::string& text() const { return text_; }

  private:
    void line(const std::vector<std::string>& fields);
    size_t columns_;
    std::string text_;
};

/// A number of metres (or m², m³) to a millionth; empty for what is not a number.
std::string csvNumber(double value);

/// The corners of the cut faces: one row for each layer and lift at each end of each interval, along the
/// section. distance_m, distance, station_m, station, offset_m, offset, x_m, y_m, layer, lift, top_m,
/// bottom_m, thickness_m, thickness (x and y are the plan's; heights those of its datum; lift 1 is the
/// lowest).
std::string sectionCsv(const Model& model, const Section& section);

/// A layer's thickness at the corners of all cells inside the outlines (of one area, or of all: -1), each
/// place and thickness once: x_m, y_m, station_m, station, offset_m, offset, thickness_m, thickness.
std::string thicknessCsv(const Model& model, LayerId layer, int area = -1);

/// The stack at one local place, top first: layer, lift, role, material, top_m, top, bottom_m, bottom,
/// thickness_m, thickness.
std::string stackCsv(const Model& model, const std::vector<LayerAt>& stack);

/// layer, role, material, lift, volume_m3, volume, inside_m3, plan_area_m2, plan_area; one row a layer (lift
/// empty), then one for each lift of a layer of several; at the end strip, cut and fill.
std::string volumesCsv(const Model& model, const Volumes& volumes);

/// what, kind, area, layer, station_m, station, offset_m, offset, x_m, y_m, measured, wanted, rule, source,
/// remedy. `measured` and `wanted` count in the rule's own SI unit.
std::string findingsCsv(const Model& model, const std::vector<Finding>& findings);

}  // namespace underfoot
