#include "measure/mass.h"

#include <cmath>

#include <fmt/format.h>

namespace underfoot {

std::string formatMass(double kilograms, const LengthFormat& format) {
    const bool metric = format.style == LengthStyle::Metres;
    const double value = metric ? kilograms : kilograms / kilogramsPerPound;
    const char* unit = metric ? "kg" : "lb";
    return std::abs(value) < 99.95 ? fmt::format("{:.1f} {}", value, unit)
                                   : fmt::format("{:.0f} {}", value, unit);
}

}  // namespace underfoot
