#include "command/places.h"

#include <charconv>
#include <system_error>

#include <fmt/format.h>

#include "measure/length.h"
#include "measure/number.h"

namespace underfoot::command {

namespace {

constexpr double feetToFullStation = 100;
constexpr double metresToFullStation = 1000;

std::vector<std::string_view> split(std::string_view text, std::string_view separators) {
    std::vector<std::string_view> parts;
    while (!text.empty()) {
        const size_t end = text.find_first_of(separators);
        const std::string_view part = trimmed(text.substr(0, end));
        if (!part.empty()) parts.push_back(part);
        text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
    }
    return parts;
}

bool allDigits(std::string_view text) {
    return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

/// The parts of "FULL+REST"; nothing when the text is not written so.
bool splitStation(std::string_view text, std::string_view& full, std::string_view& rest) {
    const size_t plus = text.find('+');
    if (plus == std::string_view::npos) return false;
    full = text.substr(0, plus);
    rest = text.substr(plus + 1);
    const std::string_view digits = full.starts_with('-') ? full.substr(1) : full;
    return allDigits(digits) && !rest.empty() &&
           rest.find_first_not_of("0123456789.") == std::string_view::npos;
}

using ReadNumber = Read<double> (*)(std::string_view, const Plan&);

Read<glm::dvec2> readPair(std::string_view text, const Plan& plan, ReadNumber first, const char* wanted) {
    const size_t comma = text.find(',');
    if (comma == std::string_view::npos || text.find(',', comma + 1) != std::string_view::npos)
        return tl::unexpected(fmt::format("\"{}\" is not a place: write {}.", text, wanted));
    const auto a = first(trimmed(text.substr(0, comma)), plan);
    if (!a) return tl::unexpected(a.error());
    const auto b = readLength(trimmed(text.substr(comma + 1)), plan);
    if (!b) return tl::unexpected(b.error());
    return glm::dvec2(*a, *b);
}

}  // namespace

Read<double> readLength(std::string_view text, const Plan& plan) {
    return parseLength(text, plan.bareUnit);
}

Read<double> readStation(std::string_view text, const Plan& plan) {
    std::string_view full, rest;
    if (!splitStation(trimmed(text), full, rest)) return readLength(text, plan);
    const bool metres = plan.show.style == LengthStyle::Metres;
    const LengthUnit unit = metres ? LengthUnit::Metre : LengthUnit::Foot;
    const auto whole = parseLength(full, unit);
    const auto part = parseLength(rest, unit);
    if (!whole) return tl::unexpected(whole.error());
    if (!part) return tl::unexpected(part.error());
    const double wholes = *whole * (metres ? metresToFullStation : feetToFullStation);
    return full.starts_with('-') ? wholes - *part : wholes + *part;
}

Read<glm::dvec2> readStationOffset(std::string_view text, const Plan& plan) {
    const auto pair = readPair(text, plan, readStation, "STATION,OFFSET, for example 14,9.2");
    if (!pair) return tl::unexpected(pair.error());
    return plan.baseline.at(pair->x, pair->y);
}

Read<glm::dvec2> readXY(std::string_view text, const Plan& plan) {
    return readPair(text, plan, readLength, "X,Y, for example 14,9.2");
}

Read<std::vector<glm::dvec2>> readLine(std::string_view text, const Plan& plan) {
    const bool semicolons = text.find(';') != std::string_view::npos;
    std::vector<glm::dvec2> line;
    for (const std::string_view part : split(text, semicolons ? ";" : " \t")) {
        const auto place = readXY(part, plan);
        if (!place) return tl::unexpected(place.error());
        line.push_back(*place);
    }
    if (line.size() < 2)
        return tl::unexpected(
            fmt::format("\"{}\" is not a line: give two places or more, for example \"0,5 26,5\".", text));
    return line;
}

Read<glm::ivec2> readSize(std::string_view text) {
    const auto sides = split(text, "x");
    glm::ivec2 size(0);
    const auto readSide = [](std::string_view side, int& pixels) {
        const auto [end, error] = std::from_chars(side.data(), side.data() + side.size(), pixels);
        return error == std::errc() && end == side.data() + side.size() && pixels >= 16 && pixels <= 8192;
    };
    if (sides.size() != 2 || !readSide(sides[0], size.x) || !readSide(sides[1], size.y))
        return tl::unexpected(fmt::format(
            "\"{}\" is not a size: write WIDTHxHEIGHT in pixels from 16 to 8192, for example 1600x1000.",
            text));
    return size;
}

Read<int> readScale(std::string_view text) {
    std::string_view number = trimmed(text);
    if (number.starts_with("1:")) number.remove_prefix(2);
    int scale = 0;
    const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), scale);
    if (error != std::errc() || end != number.data() + number.size() || scale < 1 || scale > 10000)
        return tl::unexpected(
            fmt::format("\"{}\" is not a scale: write 1:20, whole numbers from 1:1 to 1:10000.", text));
    return scale;
}

}  // namespace underfoot::command
