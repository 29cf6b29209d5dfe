#include "share/drawing.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "share/colour.h"

namespace underfoot {
namespace {

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}
bool isWord(char c) {
    return isDigit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
           (static_cast<unsigned char>(c) & 0x80U);
}

size_t digitsFrom(std::string_view text, size_t at) {
    while (at < text.size() && isDigit(text[at])) ++at;
    return at;
}

/// The end of a fraction that starts at `at`, or `at` when there is none.
size_t fractionEnd(std::string_view text, size_t at) {
    if (at > 0 && (isWord(text[at - 1]) || text[at - 1] == '/' || text[at - 1] == '.')) return at;
    const size_t slash = digitsFrom(text, at);
    if (slash == at || slash >= text.size() || text[slash] != '/') return at;
    const size_t end = digitsFrom(text, slash + 1);
    if (end == slash + 1) return at;
    if (end < text.size() && (text[end] == '/' || isWord(text[end]))) return at;
    return end;
}

/// Widths of the printable characters from the space on, of Inter Regular 4.0 (em of 2816); figures are
/// tabular.
constexpr std::array<int, 95> advances{
    792,  784,  1136, 1776, 1796, 2288, 1800, 624,  1020, 1020, 1408, 1856, 788,  1296, 776,  1004,
    1780, 1780, 1780, 1780, 1780, 1780, 1780, 1780, 1780, 1780, 776,  788,  1856, 1856, 1856, 1428,
    2636, 1904, 1832, 2048, 2024, 1684, 1652, 2092, 2084, 744,  1528, 1836, 1584, 2504, 2120, 2144,
    1788, 2144, 1800, 1796, 1808, 2088, 1904, 2672, 1808, 1872, 1760, 1020, 1004, 1020, 1320, 1272,
    1400, 1588, 1748, 1572, 1748, 1640, 1016, 1716, 1664, 668,  668,  1532, 668,  2448, 1648, 1680,
    1716, 1716, 1048, 1472, 1024, 1636, 1568, 2288, 1520, 1568, 1524, 1020, 920,  1020, 1856};
constexpr double em = 2816;

double advanceOf(std::string_view character) {
    const auto first = static_cast<unsigned char>(character[0]);
    if (first >= 0x20 && first < 0x7F) return advances[first - 0x20];
    if (character == "\u2044") return 772;
    if (character == "\u2032") return 620;
    if (character == "\u2033") return 1140;
    if (character == "\u2009") return 512;
    if (character == "\u2013") return 1408;
    return 1780;
}

double plainWidth(std::string_view text) {
    double sum = 0;
    for (size_t at = 0; at < text.size();) {
        size_t end = at + 1;
        while (end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) ++end;
        sum += advanceOf(text.substr(at, end - at));
        at = end;
    }
    return sum / em;
}

double luminance(const Colour& c) {
    return 0.2126 * toLinear(c.red) + 0.7152 * toLinear(c.green) + 0.0722 * toLinear(c.blue);
}

}  // namespace

Colour colourOf(std::string_view web, double opacity) {
    const auto parts = webColour(web);
    return {parts[0], parts[1], parts[2], opacity};
}

Colour mixed(const Colour& a, const Colour& b, double part) {
    const auto at = [part](double from, double to) { return from + (to - from) * part; };
    return {at(a.red, b.red), at(a.green, b.green), at(a.blue, b.blue), at(a.opacity, b.opacity)};
}

double contrastRatio(const Colour& a, const Colour& b) {
    const double la = luminance(a), lb = luminance(b);
    return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

std::vector<TextRun> textRuns(std::string_view text) {
    std::vector<TextRun> runs;
    std::string plain;
    const auto flush = [&] {
        if (!plain.empty()) runs.push_back({TextRun::Kind::Plain, plain});
        plain.clear();
    };
    for (size_t at = 0; at < text.size();) {
        if (const size_t end = fractionEnd(text, at); end > at) {
            const size_t slash = text.find('/', at);
            if (plain.size() > 1 && plain.back() == ' ' && isDigit(plain[plain.size() - 2]))
                plain.replace(plain.size() - 1, 1, "\u2009");
            flush();
            runs.push_back({TextRun::Kind::Numerator, std::string(text.substr(at, slash - at))});
            runs.push_back({TextRun::Kind::Slash, "\u2044"});
            runs.push_back(
                {TextRun::Kind::Denominator, std::string(text.substr(slash + 1, end - slash - 1))});
            at = end;
            continue;
        }
        const char c = text[at];
        const bool afterDigit = at > 0 && isDigit(text[at - 1]);
        if (afterDigit && c == '"')
            plain += "\u2033";
        else if (afterDigit && c == '\'')
            plain += "\u2032";
        else
            plain += c;
        ++at;
    }
    flush();
    return runs;
}

double textWidth(std::string_view text, double size, bool strong) {
    double sum = 0;
    for (const TextRun& run : textRuns(text)) {
        const bool small = run.kind == TextRun::Kind::Numerator || run.kind == TextRun::Kind::Denominator;
        sum += plainWidth(run.text) * (small ? fractionSize : 1);
    }
    return sum * size * (strong ? 1.05 : 1);
}

void dimensionMark(Canvas& canvas, glm::dvec2 at, glm::dvec2 direction, const Stroke& stroke, double length) {
    // 45 degrees to the line, rising to the right for a level line.
    const double half = length / 2 * std::sqrt(0.5);
    const glm::dvec2 oblique{half * (direction.x + direction.y), half * (direction.y - direction.x)};
    canvas.line(at - oblique, at + oblique, stroke);
}

void dimensionLine(Canvas& canvas, glm::dvec2 from, glm::dvec2 to, const Stroke& stroke, double mark) {
    const glm::dvec2 along = to - from;
    const double length = std::hypot(along.x, along.y);
    if (length <= 0) return;
    canvas.line(from, to, stroke);
    dimensionMark(canvas, from, along / length, stroke, mark);
    dimensionMark(canvas, to, along / length, stroke, mark);
}

}  // namespace underfoot
