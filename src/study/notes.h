#pragma once
// What was done to the measured heights before they were used, which whoever reads the answers should know.

#include <string>
#include <vector>

#include "model/model.h"

namespace underfoot {

/// A sentence or two for each thinned scan: "Of the ground's scan 9,928 of 1,000,000 points are kept; the
/// farthest lies 0.9 mm off the surface, at 0+14.3, 9.2 ft out." None where no scan was thinned.
std::vector<std::string> notes(const Model& model);

}  // namespace underfoot
