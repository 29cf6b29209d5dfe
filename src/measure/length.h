#pragma once
// Lengths, between metres inside the program and what people write and read.

#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace underfoot {

inline constexpr double metresPerInch = 0.0254;  // exact, international inch of 1959
inline constexpr double metresPerFoot = 0.3048;  // exact, international foot of 1959

enum class LengthUnit { Metre, Millimetre, Foot, Inch };

/// As plans write it: "m", "mm", "ft", "in".
const char* unitWord(LengthUnit unit);

/// Value in metres of one `unit`.
double metresPer(LengthUnit unit);

/// How lengths are shown.
enum class LengthStyle { FeetInches, DecimalFeet, Metres };

struct LengthFormat {
    LengthStyle style = LengthStyle::FeetInches;
    int denominator = 16;  ///< smallest fraction of an inch shown: 2, 4, 8, 16 or 32 (FeetInches only)
};

/// Reads a length as people write it: "12 ft 6 1/2 in", "3/8 in", "12' 6-1/2\"", "3.81 m", "38 mm", "-2 in".
/// A bare number takes `bare`. The typographic marks for feet and inches are read as well.
/// A fraction without a unit is read only where bare numbers are inches: in a plan in feet, "3/8" would hide
/// 4 1/2 in. Decimals take a point. Returns metres, or a sentence that says what could not be read. Never
/// depends on the locale.
tl::expected<double, std::string> parseLength(std::string_view text, LengthUnit bare);

/// Writes a length for a person, rounded half away from zero to what the style shows:
/// 3.8227 m is 12' 6 1/2" in feet and inches of 1/16, 12.542 ft, or 3.823 m.
/// Short lengths drop the empty part: 7/16", 38 mm. Never depends on the locale.
std::string formatLength(double metres, const LengthFormat& format);

/// A thickness or a small difference: inches only (1 7/16"), decimal feet, or millimetres.
std::string formatThickness(double metres, const LengthFormat& format);

/// A station: "0+14.3" in feet styles (tenths of a foot, 100 ft to the full station), "0+004.36" in metres
/// (1000 m to the full station). Negative stations carry a minus before the whole. `Set` is for places that
/// are set out with a tape, where a tenth of a foot is too coarse: "0+14.28" in feet styles, and in metres
/// the same as `Told`.
enum class StationFor { Told, Set };
std::string formatStation(double metres, const LengthFormat& format, StationFor use = StationFor::Told);

/// Area and volume with their unit, in ft² and ft³ or m² and m³; cubic yards where `yards` is set. Thousands
/// stand apart: "1,095.2 ft²".
std::string formatArea(double squareMetres, const LengthFormat& format);
std::string formatVolume(double cubicMetres, const LengthFormat& format, bool yards = false);

}  // namespace underfoot
