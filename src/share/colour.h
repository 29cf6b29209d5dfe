#pragma once
// Colours: between the web's way of writing, sRGB and linear light, and those that mark thickness.

#include <array>
#include <string_view>

#include "share/png.h"

namespace underfoot {

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
