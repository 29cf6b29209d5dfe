#include "measure/slope.h"

#include <cmath>

#include <fmt/format.h>

#include "measure/number.h"

namespace underfoot {
namespace {

using Read = tl::expected<double, std::string>;

constexpr const char* examples = "write it as \"1/4 in/ft\", \"2 %\", \"1:48\" or \"20 mm/m\".";

bool hasDigit(std::string_view text) {
    return text.find_first_of("0123456789") != std::string_view::npos;
}

tl::unexpected<std::string> notSlope(std::string_view text) {
    return tl::unexpected(fmt::format("\"{}\" is not a slope; {}", text, examples));
}

Read riseToRun(std::string_view rise, std::string_view run) {
    const Read up = parseNumber(rise);
    if (!up) return up;
    const Read along = parseNumber(run);
    if (!along) return along;
    if (*along <= 0) return tl::unexpected(std::string("The run of a slope must be more than zero."));
    return *up / *along;
}

/// A length with its unit written out: a bare number would hide which unit was meant.
Read lengthWithUnit(std::string_view text) {
    if (parseNumber(text)) return tl::unexpected(fmt::format("\"{}\" in a slope needs its unit.", text));
    return parseLength(text, LengthUnit::Metre);
}

Read lengthPerLength(std::string_view rise, std::string_view run) {
    const Read up = lengthWithUnit(rise);
    if (!up) return up;
    const Read along = lengthWithUnit(hasDigit(run) ? std::string(run) : fmt::format("1 {}", run));
    if (!along) return along;
    if (*along <= 0) return tl::unexpected(std::string("The run of a slope must be more than zero."));
    return *up / *along;
}

/// The slash between rise and run: the last one that does not belong to a fraction.
size_t slashOfRun(std::string_view text) {
    const size_t slash = text.rfind('/');
    if (slash == std::string_view::npos) return slash;
    const std::string_view after = trimmed(text.substr(slash + 1));
    const std::string_view before = trimmed(text.substr(0, slash));
    const bool unitBefore =
        !before.empty() && !(before.back() >= '0' && before.back() <= '9') && before.back() != '.';
    return !after.empty() && unitBefore ? slash : std::string_view::npos;
}

}  // namespace

tl::expected<double, std::string> parseSlope(std::string_view text) {
    const std::string plain = plainMarks(text);
    const std::string_view all = plain;
    if (all.empty()) return tl::unexpected(std::string("There is no slope in an empty text."));
    if (const size_t colon = all.find(':'); colon != std::string_view::npos)
        return riseToRun(all.substr(0, colon), all.substr(colon + 1));
    for (const std::string_view sign : {std::string_view("%"), std::string_view("percent")}) {
        if (!all.ends_with(sign)) continue;
        const Read percent = parseNumber(all.substr(0, all.size() - sign.size()));
        return percent ? Read(*percent / 100) : percent;
    }
    if (const size_t per = all.find(" per "); per != std::string_view::npos)
        return lengthPerLength(trimmed(all.substr(0, per)), trimmed(all.substr(per + 5)));
    if (const size_t slash = slashOfRun(all); slash != std::string_view::npos)
        return lengthPerLength(trimmed(all.substr(0, slash)), trimmed(all.substr(slash + 1)));
    if (all.find('/') != std::string_view::npos) return notSlope(all);
    const Read ratio = parseNumber(all);
    return ratio ? ratio : notSlope(all);
}

std::string formatPercent(double riseOverRun) {
    if (!std::isfinite(riseOverRun)) return "no slope";
    const double hundredths = std::round(riseOverRun * 1e4);
    return fmt::format("{:.2f} %", hundredths == 0 ? 0.0 : hundredths / 100);
}

std::string formatSlope(double riseOverRun, const LengthFormat& format) {
    const std::string percent = formatPercent(riseOverRun);
    if (format.style == LengthStyle::Metres || !std::isfinite(riseOverRun)) return percent;
    const double inchesPerFoot = riseOverRun * 12;
    // A fraction is written only where it is the slope: neither 2 % nor 2.1 %, which is more than 1:48, may
    // pass for 1/4.
    constexpr double asGoodAsTheFraction = 0.0001;
    const double nearest = std::round(inchesPerFoot * 32) / 32;
    if (std::fabs(nearest) < 1e6 && std::fabs(inchesPerFoot - nearest) <= asGoodAsTheFraction) {
        std::string inches = formatThickness(nearest * metresPerInch, {LengthStyle::FeetInches, 32});
        inches.pop_back();
        return fmt::format("{} ({} in/ft)", percent, inches);
    }
    return fmt::format("{} ({:.2f} in/ft)", percent, inchesPerFoot);
}

}  // namespace underfoot
