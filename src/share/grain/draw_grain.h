#pragma once
// Draws the grain of the materials by arithmetic alone. The build does so once, and the program holds the
// result.

#include <string_view>
#include <vector>

#include "share/png.h"

namespace underfoot {

struct DrawnGrain {
    std::string_view kind;
    Pixels pixels;          ///< grey, a power of two on each side, without a seam where it meets itself
    double tile = 1;        ///< how many metres one repeat covers
    double meanLinear = 1;  ///< mean of the picture in linear light
};

/// Every kind there is, "unit" first. The same bytes on every machine.
std::vector<DrawnGrain> drawGrains();

}  // namespace underfoot
