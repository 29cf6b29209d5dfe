#include "plan/read_points.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <optional>
#include <system_error>
#include <utility>

#include <fast_float/fast_float.h>
#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/number.h"
#include "plan/reading.h"

namespace underfoot {
namespace {

constexpr size_t greatestFaults = 20;
constexpr std::array<const char*, 4> columnsPNEZD{"point number", "northing", "easting", "height"};
constexpr std::array<const char*, 4> columnsPENZD{"point number", "easting", "northing", "height"};

bool isBlank(char c) {
    return c == ' ' || c == '\t';
}

std::string_view unquoted(std::string_view text) {
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"') return text.substr(1, text.size() - 2);
    return text;
}

bool hasDigit(std::string_view text) {
    return text.find_first_of("0123456789") != std::string_view::npos;
}

constexpr std::array<double, 16> powersOfTen{1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                             1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

/// Reads digits with or without a point, at most 15 of them, and goes past them; false for all else. The
/// digits and the power of ten are both exact in a double, so their quotient is rounded once, as it should
/// be (W. D. Clinger, "How to read floating point numbers accurately", 1990).
bool takePlainNumber(const char*& at, const char* end, double& value) {
    const char* p = at;
    const bool minus = p != end && *p == '-';
    if (minus) ++p;
    uint64_t digits = 0;
    const char* const first = p;
    for (; p != end && *p >= '0' && *p <= '9'; ++p) digits = digits * 10 + static_cast<uint64_t>(*p - '0');
    ptrdiff_t count = p - first, decimals = 0;
    if (p != end && *p == '.') {
        const char* const point = ++p;
        for (; p != end && *p >= '0' && *p <= '9'; ++p)
            digits = digits * 10 + static_cast<uint64_t>(*p - '0');
        decimals = p - point;
        count += decimals;
    }
    if (count == 0 || count > 15) return false;
    const double size = static_cast<double>(digits) / powersOfTen[static_cast<size_t>(decimals)];
    value = minus ? -size : size;
    at = p;
    return true;
}

/// What a line says, without its number; lives until the next line is read.
struct LinePoint {
    std::string_view number, description;
    double x, y, height;
    int line;
};

class ShotSink {
  public:
    ShotSink(std::vector<Shot>& shots, const std::string& name) : shots_(shots), name_(name) {}
    void add(const LinePoint& point) {
        Shot& shot = shots_.emplace_back();
        shot.number = point.number;
        shot.at = {point.x, point.y};
        shot.height = point.height;
        shot.description = point.description;
        shot.place.file = name_;
        shot.place.line = point.line;
        shot.place.column = 1;
    }

  private:
    std::vector<Shot>& shots_;
    const std::string& name_;
};

class ScanSink {
  public:
    explicit ScanSink(std::vector<glm::dvec3>& points) : points_(points) {}
    void add(const LinePoint& point) { points_.emplace_back(point.x, point.y, point.height); }

  private:
    std::vector<glm::dvec3>& points_;
};

template <class Sink>
class PointReader {
  public:
    PointReader(const std::string& name, const PointFileForm& form, Sink sink, Diagnostics& faults)
        : name_(name),
          perUnit_(metresPer(form.unit)),
          northingFirst_(form.northingFirst),
          sink_(sink),
          faults_(faults) {}

    void read(std::string_view text) {
        while (!text.empty()) {
            ++line_;
            if (seenData_ && readPlainLine(text)) continue;
            const auto* end = static_cast<const char*>(std::memchr(text.data(), '\n', text.size()));
            const size_t length = end ? static_cast<size_t>(end - text.data()) : text.size();
            readLine(text.substr(0, length));
            text.remove_prefix(end ? length + 1 : length);
        }
    }

    /// After the last piece.
    void finish() {
        if (unkept_ > 0)
            faults_.push_back({{name_, 0, 0},
                               fmt::format("There are {} more faults in this file.", unkept_),
                               "Mend those above first."});
    }

  private:
    /// The way nearly all lines go: number, three plain numbers and the rest, parted by single signs or
    /// blanks, with nothing to report. Takes the line off, or leaves it to readLine.
    bool readPlainLine(std::string_view& text) {
        const char* p = text.data();
        const char* const end = p + text.size();
        const char* const start = p;
        if (isBlank(*p) || *p == '#' || *p == ';' || *p == '"' || *p == '\r') return false;
        while (p != end && !parts(*p) && *p != '\n') ++p;
        const std::string_view number(start, static_cast<size_t>(p - start));
        if (number.empty() || isBlank(number.back())) return false;
        std::array<double, 3> value{};
        for (double& v : value) {
            if (p == end || !parts(*p)) return false;
            ++p;
            while (p != end && *p == ' ') ++p;
            if (!takePlainNumber(p, end, v)) return false;
            v *= perUnit_;
        }
        if (p != end && !parts(*p) && *p != '\n' && *p != '\r') return false;
        const auto* lineEnd = static_cast<const char*>(std::memchr(p, '\n', static_cast<size_t>(end - p)));
        std::string_view rest(p, static_cast<size_t>((lineEnd ? lineEnd : end) - p));
        if (rest.starts_with('\r') && rest.size() > 1) return false;
        if (!withinBounds(value)) return false;
        text.remove_prefix(lineEnd ? static_cast<size_t>(lineEnd - start) + 1 : text.size());
        if (rest.ends_with('\r')) rest.remove_suffix(1);
        if (!rest.empty() && separator_ != ' ') rest.remove_prefix(1);
        addPoint(number, value, unquoted(trimmed(rest)));
        return true;
    }

    bool parts(char c) const { return c == separator_ || (separator_ == ' ' && c == '\t'); }

    static bool withinBounds(const std::array<double, 3>& value) {
        return std::fabs(value[0]) <= bounds::coordinate.greatest &&
               std::fabs(value[1]) <= bounds::coordinate.greatest &&
               std::fabs(value[2]) <= bounds::height.greatest;
    }

    void readLine(std::string_view line) {
        whole_ = line;
        if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
        line = trimmed(line);
        if (line.empty() || line.front() == '#' || line.front() == ';') return;
        if (separator_ == 0) separator_ = separatorOf(line);
        std::array<std::string_view, 4> field;
        for (size_t i = 0; i < field.size(); ++i) {
            if (line.empty() && i > 0) return reportShort(i);
            field[i] = takeField(line);
        }
        const bool first = !seenData_;
        seenData_ = true;
        if (first && !hasDigit(field[1]) && !hasDigit(field[2]) && !hasDigit(field[3])) return;
        addShot(field, unquoted(trimmed(line)));
    }

    /// The sign that parts three numbers from the first column; in a line of headings, the first of them that
    /// occurs.
    char separatorOf(std::string_view line) {
        for (const char candidate : {',', '\t', ' '}) {
            separator_ = candidate;
            std::string_view rest = line;
            takeField(rest);
            int numbers = 0;
            while (numbers < 3 && isNumber(takeField(rest))) ++numbers;
            if (numbers == 3) return candidate;
        }
        if (line.find(',') != std::string_view::npos) return ',';
        return line.find('\t') != std::string_view::npos ? '\t' : ' ';
    }

    static bool isNumber(std::string_view field) {
        double value = 0;
        if (!field.empty() && field.front() == '+') field.remove_prefix(1);
        const auto read = fast_float::from_chars(field.data(), field.data() + field.size(), value);
        return read.ec == std::errc{} && read.ptr == field.data() + field.size();
    }

    std::string_view takeField(std::string_view& line) {
        size_t n = 0;
        if (separator_ == ' ') {
            while (n < line.size() && !isBlank(line[n])) ++n;
            const std::string_view field = line.substr(0, n);
            while (n < line.size() && isBlank(line[n])) ++n;
            line.remove_prefix(n);
            return field;
        }
        const auto* end = static_cast<const char*>(std::memchr(line.data(), separator_, line.size()));
        n = end ? static_cast<size_t>(end - line.data()) : line.size();
        const std::string_view field = unquoted(trimmed(line.substr(0, n)));
        line.remove_prefix(end ? n + 1 : n);
        return field;
    }

    void addShot(const std::array<std::string_view, 4>& field, std::string_view description) {
        std::array<double, 3> value{};
        for (size_t i = 1; i < field.size(); ++i) {
            const auto number = readNumber(field[i], i);
            if (!number) return;
            value[i - 1] = *number;
        }
        addPoint(field[0], value, description);
    }

    void addPoint(std::string_view number, const std::array<double, 3>& value, std::string_view description) {
        const auto [first, second, height] = value;
        sink_.add({number, description, northingFirst_ ? second : first, northingFirst_ ? first : second,
                   height, line_});
    }

    std::optional<double> readNumber(std::string_view field, size_t column) {
        std::string_view digits = field;
        if (!digits.empty() && digits.front() == '+') digits.remove_prefix(1);
        double value = 0;
        const auto read = fast_float::from_chars(digits.data(), digits.data() + digits.size(), value);
        const double metres = value * perUnit_;
        const double most = column == 3 ? bounds::height.greatest : bounds::coordinate.greatest;
        if (read.ec == std::errc{} && read.ptr == digits.data() + digits.size() && std::fabs(metres) <= most)
            return metres;
        reportNumber(field, column, read.ec == std::errc{} && read.ptr == digits.data() + digits.size());
        return std::nullopt;
    }

    void reportNumber(std::string_view field, size_t column, bool number) {
        const char* what = (northingFirst_ ? columnsPNEZD : columnsPENZD)[column];
        const auto at = static_cast<int>(field.data() - whole_.data()) + 1;
        if (field.empty())
            report(at, fmt::format("The {} is missing.", what), "Write it, or delete the line.");
        else if (number)
            report(at, fmt::format("The {} {} can't be meant.", what, inQuotes(field)),
                   "Check the number and the unit of the file.");
        else
            report(at, fmt::format("The {} {} is not a number.", what, inQuotes(field)),
                   "Write a plain number with a point for decimals.");
    }

    void reportShort(size_t columns) {
        report(
            1,
            fmt::format("The line has only {} of the columns number, northing, easting and height.", columns),
            "Write all four, parted by commas, tabs or blanks.");
        seenData_ = true;
    }

    void report(int column, std::string what, std::string remedy) {
        if (kept_ == greatestFaults) {
            ++unkept_;
            return;
        }
        ++kept_;
        faults_.push_back({{name_, line_, column}, std::move(what), std::move(remedy)});
    }

    const std::string& name_;
    double perUnit_;
    bool northingFirst_;
    Sink sink_;
    Diagnostics& faults_;
    std::string_view whole_;
    int line_ = 0;
    char separator_ = 0;
    bool seenData_ = false;
    size_t kept_ = 0;
    size_t unkept_ = 0;
};

}  // namespace

void readPointText(std::string_view text, const std::string& name, const PointFileForm& form,
                   std::vector<Shot>& shots, Diagnostics& faults) {
    shots.reserve(shots.size() + linesIn(text));
    PointReader reader(name, form, ShotSink(shots, name), faults);
    reader.read(text);
    reader.finish();
}

void readScanText(std::string_view text, const std::string& name, const PointFileForm& form,
                  std::vector<glm::dvec3>& points, Diagnostics& faults) {
    points.reserve(points.size() + linesIn(text));
    readScanPieces([&text] { return std::exchange(text, {}); }, name, form, points, faults);
}

void readScanPieces(const std::function<std::string_view()>& next, const std::string& name,
                    const PointFileForm& form, std::vector<glm::dvec3>& points, Diagnostics& faults) {
    PointReader reader(name, form, ScanSink(points), faults);
    for (std::string_view piece = next(); !piece.empty(); piece = next()) reader.read(piece);
    reader.finish();
}

size_t linesIn(std::string_view text) {
    const auto ends = static_cast<size_t>(std::count(text.begin(), text.end(), '\n'));
    return ends + (!text.empty() && text.back() != '\n' ? 1 : 0);
}

}  // namespace underfoot
