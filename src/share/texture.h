#pragma once
// Grain of the materials as small pictures that tile without a seam, made by arithmetic alone.

#include <array>
#include <string_view>

#include "share/png.h"

namespace underfoot {

/// A grey picture that multiplies a material's colour.
struct Grain {
    Pixels pixels;          ///< a power of two on each side
    double tile = 1;        ///< how many metres one repeat covers
    double meanLinear = 1;  ///< mean of the picture in linear light: dividing a colour by it keeps the colour
};

/// The grain of a kind that materials name ("soil", "fill", "fabric", "stone", "sand", "panel", "unit",
/// "concrete", "pebble", "edging"); any other word gives the fine grain of "unit". Same word, same bytes.
Grain grainOf(std::string_view kind);

/// A colour of the web style, #RRGGBB, as three parts from 0 to 1.
std::array<double, 3> webColour(std::string_view text);

/// sRGB part to linear light and back, both from 0 to 1 (IEC 61966-2-1).
double toLinear(double srgb);
double fromLinear(double linear);

/// The colours that mark thickness: too thin, as wanted, too thick (sRGB).
struct ThicknessColours {
    std::array<double, 3> thin;
    std::array<double, 3> wanted;
    std::array<double, 3> thick;
};
ThicknessColours thicknessColours();

/// Thicknesses that a strip of colour spans, and the wanted range inside it; metres.
struct ThicknessRange {
    double low = 0;
    double high = 0;
    double wantedLeast = 0;
    double wantedGreatest = 0;
    bool hasWanted = false;  ///< without a wanted range the strip runs from pale (thin) to green (thick)
};
/// Colour (sRGB) of a thickness: pale inside the wanted range, bounds included; outside it a clear step, then
/// deeper with the distance.
std::array<double, 3> thicknessColour(double thickness, const ThicknessRange& range);
/// The strip as a picture of 256 x 4 pixels: the middle of pixel column i stands for low + (i + 0.5) / 256
/// (high - low).
Pixels thicknessStrip(const ThicknessRange& range);

}  // namespace underfoot
