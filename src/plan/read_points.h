#pragma once
// Point files: one shot a line, number, northing, easting, height and description.

#include <string>
#include <string_view>
#include <vector>

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

}  // namespace underfoot
