#include "measure/number.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <system_error>
#include <utility>

#include <fmt/format.h>

namespace underfoot {
namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, 30> plainFor{{
    {"\u2032", "'"},    {"\u2018", "'"},    {"\u2019", "'"},    {"\u02B9", "'"},    {"\u00B4", "'"},
    {"\u2033", "\""},   {"\u201C", "\""},   {"\u201D", "\""},   {"\u02BA", "\""},   {"\u2212", "-"},
    {"\u2010", "-"},    {"\u2011", "-"},    {"\u2013", "-"},    {"\u2044", "/"},    {"\u2215", "/"},
    {"\u00A0", " "},    {"\u2009", " "},    {"\u202F", " "},    {"\u2002", " "},    {"\u00BD", " 1/2"},
    {"\u00BC", " 1/4"}, {"\u00BE", " 3/4"}, {"\u215B", " 1/8"}, {"\u215C", " 3/8"}, {"\u215D", " 5/8"},
    {"\u215E", " 7/8"}, {"\u2153", " 1/3"}, {"\u2154", " 2/3"}, {"''", "\""},       {"\u2007", " "},
}};

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}
bool isBlank(char c) {
    return c == ' ' || c == '\t';
}

size_t digitsAt(std::string_view text, size_t from) {
    size_t n = 0;
    while (from + n < text.size() && isDigit(text[from + n])) ++n;
    return n;
}

double valueOf(std::string_view digits) {
    double value = HUGE_VAL;
    const auto read =
        std::from_chars(digits.data(), digits.data() + digits.size(), value, std::chars_format::fixed);
    return read.ec == std::errc{} ? value : HUGE_VAL;
}

/// Length of "a/b" at `from`, 0 when there is none.
size_t fractionAt(std::string_view text, size_t from) {
    const size_t top = digitsAt(text, from);
    if (top == 0 || from + top >= text.size() || text[from + top] != '/') return 0;
    const size_t bottom = digitsAt(text, from + top + 1);
    return bottom == 0 ? 0 : top + 1 + bottom;
}

tl::expected<double, std::string> fractionValue(std::string_view text) {
    const size_t slash = text.find('/');
    const double below = valueOf(text.substr(slash + 1));
    if (below == 0) return tl::unexpected(fmt::format("The fraction {} divides by zero.", text));
    return valueOf(text.substr(0, slash)) / below;
}

/// Where the fraction of a mixed number may start: after blanks or one hyphen.
size_t fractionStart(std::string_view text, size_t from) {
    if (from < text.size() && text[from] == '-') return from + 1;
    size_t at = from;
    while (at < text.size() && isBlank(text[at])) ++at;
    return at > from ? at : std::string_view::npos;
}

size_t decimalAt(std::string_view text) {
    const size_t whole = digitsAt(text, 0);
    if (whole >= text.size() || text[whole] != '.') return whole;
    const size_t part = digitsAt(text, whole + 1);
    return whole + part == 0 ? 0 : whole + 1 + part;
}

}  // namespace

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && isBlank(text.front())) text.remove_prefix(1);
    while (!text.empty() && isBlank(text.back())) text.remove_suffix(1);
    return text;
}

std::string plainMarks(std::string_view text) {
    std::string plain;
    plain.reserve(text.size());
    while (!text.empty()) {
        bool found = false;
        for (const auto& [mark, instead] : plainFor) {
            if (!text.starts_with(mark)) continue;
            plain += instead;
            text.remove_prefix(mark.size());
            found = true;
            break;
        }
        if (found) continue;
        plain += text.front();
        text.remove_prefix(1);
    }
    return std::string(trimmed(plain));
}

tl::expected<double, std::string> takeNumber(std::string_view& text, bool* fraction) {
    if (fraction) *fraction = false;
    tl::expected<double, std::string> value = 0.0;
    size_t used = fractionAt(text, 0);
    if (used > 0) {
        value = fractionValue(text.substr(0, used));
        if (fraction) *fraction = true;
    } else {
        used = decimalAt(text);
        if (used == 0) return tl::unexpected(fmt::format("\"{}\" does not start with a number.", text));
        value = valueOf(text.substr(0, used));
        const bool whole = digitsAt(text, 0) == used;
        const size_t start = whole ? fractionStart(text, used) : std::string_view::npos;
        if (const size_t more = start == std::string_view::npos ? 0 : fractionAt(text, start)) {
            const auto part = fractionValue(text.substr(start, more));
            if (!part) return part;
            value = *value + *part;
            used = start + more;
            if (fraction) *fraction = true;
        }
    }
    if (!value) return value;
    if (!std::isfinite(*value)) return tl::unexpected(std::string("The number is too large to be meant."));
    if (used < text.size() && text[used] == ',')
        return tl::unexpected(fmt::format("\"{}\" has a comma; decimals take a point.", text));
    text.remove_prefix(used);
    return value;
}

tl::expected<double, std::string> parseNumber(std::string_view text) {
    const std::string plain = plainMarks(text);
    std::string_view rest = plain;
    if (rest.empty()) return tl::unexpected(std::string("There is no number in an empty text."));
    const bool minus = rest.front() == '-';
    if (minus || rest.front() == '+') rest.remove_prefix(1);
    rest = trimmed(rest);
    const auto value = takeNumber(rest);
    if (!value) return value;
    if (!rest.empty()) return tl::unexpected(fmt::format("\"{}\" after the number can't be read.", rest));
    return minus ? -*value : *value;
}

std::string grouped(std::string number) {
    const size_t first = number.starts_with('-') ? 1 : 0;
    size_t at = std::min(number.find_first_not_of("0123456789", first), number.size());
    for (; at > first + 3; at -= 3) number.insert(at - 3, 1, ',');
    return number;
}

}  // namespace underfoot
