#include "measure/mass.h"

#include <cmath>
#include <span>

#include <fmt/format.h>

#include "measure/number.h"

namespace underfoot {
namespace {

struct UnitWord {
    std::string_view word;
    double value;
};
constexpr UnitWord masses[] = {{"lb", kilogramsPerPound},
                               {"lbs", kilogramsPerPound},
                               {"ton", kilogramsPerShortTon},
                               {"tons", kilogramsPerShortTon},
                               {"kg", 1},
                               {"t", 1000}};
constexpr UnitWord volumes[] = {{"ft3", cubicMetresPerCubicFoot},
                                {"ft³", cubicMetresPerCubicFoot},
                                {"yd3", cubicMetresPerCubicYard},
                                {"yd³", cubicMetresPerCubicYard},
                                {"m3", 1},
                                {"m³", 1},
                                {"l", 0.001}};
constexpr double poundsPerCubicFoot = kilogramsPerPound / cubicMetresPerCubicFoot;
constexpr UnitWord densities[] = {
    {"lb/ft3", poundsPerCubicFoot}, {"lb/ft³", poundsPerCubicFoot}, {"kg/m3", 1}, {"kg/m³", 1}};

/// `such` is an example of what can be read.
tl::expected<double, std::string> parseAmount(std::string_view text, std::span<const UnitWord> units,
                                              const char* such) {
    const std::string plain = plainMarks(text);
    std::string_view rest = trimmed(plain);
    const auto number = takeNumber(rest);
    if (number)
        for (const UnitWord& unit : units)
            if (trimmed(rest) == unit.word) return *number * unit.value;
    return tl::unexpected(fmt::format("\"{}\" can't be read; write it like {}.", text, such));
}

}  // namespace

std::string formatMass(double kilograms, const LengthFormat& format) {
    const bool metric = format.style == LengthStyle::Metres;
    const double value = metric ? kilograms : kilograms / kilogramsPerPound;
    const char* unit = metric ? "kg" : "lb";
    return grouped(fmt::format("{:.{}f}", value, std::abs(value) < 99.95 ? 1 : 0)) + ' ' + unit;
}

tl::expected<double, std::string> parseMass(std::string_view text) {
    return parseAmount(text, masses, "\"50 lb\", \"2 ton\" or \"25 kg\"");
}
tl::expected<double, std::string> parseVolume(std::string_view text) {
    return parseAmount(text, volumes, "\"4 ft3\", \"5 yd3\" or \"0.1 m3\"");
}
tl::expected<double, std::string> parseDensity(std::string_view text) {
    return parseAmount(text, densities, "\"140 lb/ft3\" or \"2240 kg/m3\"");
}

}  // namespace underfoot
