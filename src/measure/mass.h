#pragma once
// Masses, volumes and densities, between SI inside the program and what people write and read.

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "measure/length.h"

namespace underfoot {

inline constexpr double kilogramsPerPound = 0.45359237;  // exact, international pound of 1959
inline constexpr double kilogramsPerShortTon = 2000 * kilogramsPerPound;
inline constexpr double cubicMetresPerCubicFoot = metresPerFoot * metresPerFoot * metresPerFoot;
inline constexpr double cubicMetresPerCubicYard = 27 * cubicMetresPerCubicFoot;

/// A mass for a person: pounds where the plan shows feet, else kilograms; a tenth where it is below 100,
/// thousands apart.
std::string formatMass(double kilograms, const LengthFormat& format);

/// Read amounts as people write them, always with a unit: masses "50 lb", "2 1/2 ton" (short tons of 2,000
/// lb), "25 kg", "1.5 t"; volumes "4 ft3", "5 yd3", "0.1 m3" (or with ³); densities "145 lb/ft3", "1820
/// kg/m3". Kilograms, cubic metres, or a sentence that says what could not be read.
tl::expected<double, std::string> parseMass(std::string_view text);
tl::expected<double, std::string> parseVolume(std::string_view text);
tl::expected<double, std::string> parseDensity(std::string_view text);

}  // namespace underfoot
