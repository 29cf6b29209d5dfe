#include "measure/length.h"

#include <array>
#include <cassert>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "measure/number.h"

namespace underfoot {
namespace {

struct UnitWord {
    std::string_view word;
    double metres;
};

constexpr double metresPerYard = 0.9144;
constexpr std::array<UnitWord, 22> unitWords{{
    {"ft", metresPerFoot},
    {"ft.", metresPerFoot},
    {"foot", metresPerFoot},
    {"feet", metresPerFoot},
    {"'", metresPerFoot},
    {"in", metresPerInch},
    {"in.", metresPerInch},
    {"inch", metresPerInch},
    {"inches", metresPerInch},
    {"\"", metresPerInch},
    {"m", 1.0},
    {"metre", 1.0},
    {"metres", 1.0},
    {"meter", 1.0},
    {"meters", 1.0},
    {"mm", 0.001},
    {"cm", 0.01},
    {"millimetres", 0.001},
    {"millimeters", 0.001},
    {"yd", metresPerYard},
    {"yard", metresPerYard},
    {"yards", metresPerYard},
}};

void skipBlanks(std::string_view& text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
}

/// Takes a unit off the front: a mark, or a word of letters with an optional full stop.
std::string_view takeUnit(std::string_view& text) {
    skipBlanks(text);
    size_t n = 0;
    if (!text.empty() && (text.front() == '\'' || text.front() == '"')) {
        n = 1;
    } else {
        while (n < text.size() && ((text[n] >= 'a' && text[n] <= 'z') || (text[n] >= 'A' && text[n] <= 'Z')))
            ++n;
        if (n > 0 && n < text.size() && text[n] == '.') ++n;
    }
    const std::string_view unit = text.substr(0, n);
    text.remove_prefix(n);
    return unit;
}

std::optional<double> metresOf(std::string_view unit) {
    for (const auto& [word, metres] : unitWords)
        if (word == unit) return metres;
    return std::nullopt;
}

tl::unexpected<std::string> unknownUnit(std::string_view unit) {
    return tl::unexpected(fmt::format("\"{}\" is not a unit of length; use ft, in, m, mm, cm or yd.", unit));
}

using Read = tl::expected<double, std::string>;

/// What stands after whole feet: nothing, or inches with or without their unit.
Read inchesAfterFeet(std::string_view rest) {
    skipBlanks(rest);
    if (!rest.empty() && rest.front() == '-') rest.remove_prefix(1);
    skipBlanks(rest);
    const Read inches = takeNumber(rest);
    if (!inches) return inches;
    const std::string_view unit = takeUnit(rest);
    if (!unit.empty() && metresOf(unit) != metresPerInch)
        return tl::unexpected(fmt::format("After feet come inches, not \"{}\".", unit));
    skipBlanks(rest);
    if (!rest.empty()) return tl::unexpected(fmt::format("\"{}\" after the inches can't be read.", rest));
    return *inches;
}

Read parseUnsigned(std::string_view text, LengthUnit bare) {
    bool fraction = false;
    const Read number = takeNumber(text, &fraction);
    if (!number) return number;
    const std::string_view unit = takeUnit(text);
    skipBlanks(text);
    if (unit.empty()) {
        if (!text.empty()) return tl::unexpected(fmt::format("\"{}\" after the number can't be read.", text));
        if (fraction && bare != LengthUnit::Inch)
            return tl::unexpected(std::string("A fraction needs its unit, for example \"3/8 in\"."));
        return *number * metresPer(bare);
    }
    const std::optional<double> metres = metresOf(unit);
    if (!metres) return unknownUnit(unit);
    if (text.empty()) return *number * *metres;
    if (*metres != metresPerFoot)
        return tl::unexpected(fmt::format("\"{}\" after the {} can't be read.", text, unit));
    const Read inches = inchesAfterFeet(text);
    if (!inches) return inches;
    return (*number * 12 + *inches) * metresPerInch;
}

/// Rounds half away from zero. The nudge makes up for what a division by 0.0254 loses at exact halves.
double rounded(double value) {
    return std::copysign(std::floor(std::fabs(value) + 0.5 + 1e-9), value);
}

/// Counts above this lose whole units in a double and are written in metres instead.
constexpr double greatestCount = 1e12;

std::string plainMetres(double metres) {
    return std::isfinite(metres) ? fmt::format("{:.3f} m", metres) : std::string("no length");
}

std::string fractionOfInch(long long count, int denominator) {
    while (count % 2 == 0 && denominator > 1) {
        count /= 2;
        denominator /= 2;
    }
    return fmt::format("{}/{}", count, denominator);
}

std::string inchText(long long count, int denominator) {
    const long long whole = count / denominator;
    const long long part = count % denominator;
    if (part == 0) return fmt::format("{}\"", whole);
    if (whole == 0) return fractionOfInch(part, denominator) + "\"";
    return fmt::format("{} {}\"", whole, fractionOfInch(part, denominator));
}

std::string feetInchText(long long count, int denominator) {
    const long long perFoot = 12LL * denominator;
    const long long feet = count / perFoot;
    const long long rest = count % perFoot;
    if (feet == 0) return inchText(rest, denominator);
    if (rest > 0 && rest < denominator)
        return fmt::format("{}' 0 {}\"", feet, fractionOfInch(rest, denominator));
    return fmt::format("{}' {}", feet, inchText(rest, denominator));
}

/// Fixed decimals rounded half away from zero, without a sign on zero.
std::string decimals(double value, int places) {
    const double scale = std::pow(10.0, places);
    if (std::fabs(value) * scale > greatestCount) return fmt::format("{:.{}f}", value, places);
    const double count = rounded(value * scale);
    return fmt::format("{:.{}f}", count == 0 ? 0.0 : count / scale, places);
}

bool validDenominator(int d) {
    return d == 1 || d == 2 || d == 4 || d == 8 || d == 16 || d == 32 || d == 64;
}

template <class Write>
std::string inCounts(double metres, int denominator, Write write) {
    assert(validDenominator(denominator));
    const double count = rounded(std::fabs(metres) / metresPerInch * denominator);
    if (!(count <= greatestCount)) return plainMetres(metres);
    const std::string text = write(static_cast<long long>(count), denominator);
    return metres < 0 && count > 0 ? "-" + text : text;
}

}  // namespace

const char* unitWord(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::Metre:
            return "m";
        case LengthUnit::Millimetre:
            return "mm";
        case LengthUnit::Foot:
            return "ft";
        case LengthUnit::Inch:
            return "in";
    }
    return "";
}

double metresPer(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::Metre:
            return 1.0;
        case LengthUnit::Millimetre:
            return 0.001;
        case LengthUnit::Foot:
            return metresPerFoot;
        case LengthUnit::Inch:
            return metresPerInch;
    }
    assert(false && "a length unit outside the list");
    return 1.0;
}

tl::expected<double, std::string> parseLength(std::string_view text, LengthUnit bare) {
    const std::string plain = plainMarks(text);
    std::string_view rest = plain;
    if (rest.empty()) return tl::unexpected(std::string("There is no length in an empty text."));
    const bool minus = rest.front() == '-';
    if (minus || rest.front() == '+') rest.remove_prefix(1);
    skipBlanks(rest);
    const Read metres = parseUnsigned(rest, bare);
    if (!metres) return metres;
    return minus ? -*metres : *metres;
}

std::string formatLength(double metres, const LengthFormat& format) {
    if (!std::isfinite(metres)) return plainMetres(metres);
    if (format.style == LengthStyle::DecimalFeet) return decimals(metres / metresPerFoot, 3) + " ft";
    if (format.style == LengthStyle::FeetInches) return inCounts(metres, format.denominator, feetInchText);
    const double millimetres = rounded(metres * 1000);
    if (std::fabs(millimetres) < 1000) return decimals(metres * 1000, 0) + " mm";
    return decimals(metres, 3) + " m";
}

std::string formatThickness(double metres, const LengthFormat& format) {
    if (!std::isfinite(metres)) return plainMetres(metres);
    if (format.style == LengthStyle::DecimalFeet) return decimals(metres / metresPerFoot, 3) + " ft";
    if (format.style == LengthStyle::FeetInches) return inCounts(metres, format.denominator, inchText);
    const double tenths = rounded(metres * 1e4);
    const bool fine = std::fabs(tenths) < 100 && std::fmod(tenths, 10) != 0;
    return decimals(metres * 1000, fine ? 1 : 0) + " mm";
}

std::string formatStation(double metres, const LengthFormat& format, StationFor use) {
    const bool metric = format.style == LengthStyle::Metres;
    const int decimals = metric || use == StationFor::Set ? 2 : 1;
    const long long perUnit = decimals == 2 ? 100 : 10;
    const double unit = metric ? 1 : metresPerFoot;
    const double count = rounded(std::fabs(metres) / unit * static_cast<double>(perUnit));
    if (!(count <= greatestCount)) return plainMetres(metres);
    const auto whole = static_cast<long long>(count);
    const long long full = (metric ? 1000 : 100) * perUnit;
    const char* sign = metres < 0 && whole > 0 ? "-" : "";
    const long long rest = whole % full;
    return fmt::format("{}{}+{:0{}}.{:0{}}", sign, whole / full, rest / perUnit, metric ? 3 : 2,
                       rest % perUnit, decimals);
}

std::string formatArea(double squareMetres, const LengthFormat& format) {
    if (format.style == LengthStyle::Metres) return grouped(decimals(squareMetres, 2)) + " m²";
    return grouped(decimals(squareMetres / (metresPerFoot * metresPerFoot), 1)) + " ft²";
}

std::string formatVolume(double cubicMetres, const LengthFormat& format, bool yards) {
    if (yards)
        return grouped(decimals(cubicMetres / (metresPerYard * metresPerYard * metresPerYard), 2)) + " yd³";
    if (format.style == LengthStyle::Metres) return grouped(decimals(cubicMetres, 3)) + " m³";
    return grouped(decimals(cubicMetres / (metresPerFoot * metresPerFoot * metresPerFoot), 1)) + " ft³";
}

}  // namespace underfoot
