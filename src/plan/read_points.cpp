#include "plan/read_points.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <optional>

#include <fast_float/fast_float.h>
#include <fmt/format.h>

#include "plan/reading.h"

namespace underfoot {
namespace {

constexpr size_t greatestFaults = 20;
constexpr std::array<const char*, 4> columnsPNEZD{"point number", "northing", "easting", "height"};
constexpr std::array<const char*, 4> columnsPENZD{"point number", "easting", "northing", "height"};

bool isBlank(char c) {
    return c == ' ' || c == '\t';
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && isBlank(text.front())) text.remove_prefix(1);
    while (!text.empty() && isBlank(text.back())) text.remove_suffix(1);
    return text;
}

std::string_view unquoted(std::string_view text) {
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"') return text.substr(1, text.size() - 2);
    return text;
}

bool hasDigit(std::string_view text) {
    return text.find_first_of("0123456789") != std::string_view::npos;
}

class PointReader {
  public:
    PointReader(const std::string& name, const PointFileForm& form, std::vector<Shot>& shots,
                Diagnostics& faults)
        : name_(name),
          perUnit_(metresPer(form.unit)),
          northingFirst_(form.northingFirst),
          shots_(shots),
          faults_(faults) {}

    void read(std::string_view text) {
        shots_.reserve(shots_.size() + static_cast<size_t>(std::count(text.begin(), text.end(), '\n')) + 1);
        while (!text.empty()) {
            ++line_;
            const auto* end = static_cast<const char*>(std::memchr(text.data(), '\n', text.size()));
            const size_t length = end ? static_cast<size_t>(end - text.data()) : text.size();
            readLine(text.substr(0, length));
            text.remove_prefix(end ? length + 1 : length);
        }
        if (unkept_ > 0)
            faults_.push_back({{name_, 0, 0},
                               fmt::format("There are {} more faults in this file.", unkept_),
                               "Mend those above first."});
    }

  private:
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
        std::array<double, 4> value{};
        for (size_t i = 1; i < field.size(); ++i) {
            const auto number = readNumber(field[i], i);
            if (!number) return;
            value[i] = *number;
        }
        const double x = northingFirst_ ? value[2] : value[1], y = northingFirst_ ? value[1] : value[2];
        Shot& shot = shots_.emplace_back();
        shot.number = field[0];
        shot.at = {x, y};
        shot.height = value[3];
        shot.description = description;
        shot.place.file = name_;
        shot.place.line = line_;
        shot.place.column = 1;
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
    std::vector<Shot>& shots_;
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
    PointReader(name, form, shots, faults).read(text);
}

}  // namespace underfoot
