#pragma once
// Grain of the materials as small pictures that tile without a seam. The build draws them (share/grain).

#include <span>
#include <string_view>

namespace underfoot {

/// A grey picture that multiplies a material's colour.
struct Grain {
    std::string_view kind;
    std::string_view png;   ///< the bytes of a file
    double tile = 1;        ///< how many metres one repeat covers
    double meanLinear = 1;  ///< mean of the picture in linear light: dividing a colour by it keeps the colour
};

/// The grain of a kind that materials name ("soil", "fill", "fabric", "stone", "sand", "panel", "unit",
/// "concrete", "pebble", "edging"); any other word gives the fine grain of "unit".
const Grain& grainOf(std::string_view kind);

/// All of them, "unit" first.
std::span<const Grain> allGrains();

}  // namespace underfoot
