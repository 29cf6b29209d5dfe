#pragma once
// Point files: one shot a line, number, northing, easting, height and description.

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include <glm/vec3.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "plan/plan.h"

namespace underfoot {

struct PointFileForm {
    bool northingFirst = true;           ///< PNEZD; else PENZD
    LengthUnit unit = LengthUnit::Foot;  ///< of northing, easting and height
};

/// Reads the text of a point file (UTF-8) in one pass and adds its shots; easting is x, northing is y.
/// Columns are parted by commas, tabs or blanks, as the first line with data does it; the description is the
/// rest of the line and may be missing. Empty lines, lines that start with # or ;, and one line of headings
/// are stepped over. Faults are added with `name`, line and column, the first 20 one by one.
void readPointText(std::string_view text, const std::string& name, const PointFileForm& form,
                   std::vector<Shot>& shots, Diagnostics& faults);

/// The same for a scan: x, y and height of each point; numbers and descriptions are not kept, and nothing is
/// allocated line by line.
void readScanText(std::string_view text, const std::string& name, const PointFileForm& form,
                  std::vector<glm::dvec3>& points, Diagnostics& faults);

/// The same piece by piece, each cut after a line's end; an empty piece ends the text.
void readScanPieces(const std::function<std::string_view()>& next, const std::string& name,
                    const PointFileForm& form, std::vector<glm::dvec3>& points, Diagnostics& faults);

/// Lines of a text, the last one with or without its line end: no file has more points.
size_t linesIn(std::string_view text);

}  // namespace underfoot
