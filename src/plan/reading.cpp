#include "plan/reading.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <tuple>
#include <utility>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "measure/number.h"
#include "measure/slope.h"
#include "plan/words.h"

namespace underfoot {
namespace {

bool inside(double value, const Allowed& b) {
    return value <= b.greatest && (b.leastIncluded ? value >= b.least : value > b.least);
}

void reportNotFinite(Reading& reading, const Value& value, const std::string& what) {
    reading.report(value, what + " is not a number that can be used.", "Write a plain number.");
}

template <class Write>
bool checkBounds(Reading& reading, const Value& at, const std::string& what, double value, const Allowed& b,
                 Write write) {
    if (inside(value, b)) return true;
    const bool low = value < b.least || (value == b.least && !b.leastIncluded);
    const std::string asked = !low              ? fmt::format("at most {}", write(b.greatest))
                              : b.leastIncluded ? fmt::format("at least {}", write(b.least))
                                                : fmt::format("more than {}", write(b.least));
    reading.report(at, fmt::format("{} is {}; it must be {}.", what, write(value), asked),
                   "Check the number and its unit.");
    return false;
}

}  // namespace

void Reading::report(const SourcePlace& place, std::string what, std::string remedy) {
    // Sentences often start with what they are about: "the area "court"".
    if (!what.empty() && what.front() >= 'a' && what.front() <= 'z')
        what.front() = static_cast<char>(what.front() - 'a' + 'A');
    if (faults_.size() < greatestFaults)
        faults_.push_back({place, std::move(what), std::move(remedy)});
    else
        ++unkept_;
}

Reading Reading::part() const {
    Reading one(file_, catalogue_);
    one.bare = bare;
    one.show = show;
    one.baseline = baseline;
    return one;
}

void Reading::add(Reading part) {
    for (Diagnostic& fault : part.faults_)
        report(fault.place, std::move(fault.what), std::move(fault.remedy));
    unkept_ += part.unkept_;
}

Diagnostics Reading::takeFaults() {
    std::stable_sort(faults_.begin(), faults_.end(), [this](const Diagnostic& a, const Diagnostic& b) {
        const auto key = [this](const SourcePlace& p) {
            return std::tuple(p.file != file_, p.file, p.line, p.column);
        };
        return key(a.place) < key(b.place);
    });
    if (unkept_ > 0)
        faults_.push_back(
            {{file_, 0, 0}, fmt::format("There are {} more faults.", unkept_), "Mend those above first."});
    return std::move(faults_);
}

std::string inQuotes(std::string_view name) {
    constexpr size_t most = 60;
    if (name.size() <= most) return fmt::format("\"{}\"", name);
    size_t cut = most;
    while (cut > 0 && (static_cast<unsigned char>(name[cut]) & 0xC0) == 0x80) --cut;
    return fmt::format("\"{}…\"", name.substr(0, cut));
}

std::string pointText(const Reading& reading, glm::dvec2 point) {
    return fmt::format("x {}, y {}", formatLength(point.x, reading.show),
                       formatLength(point.y, reading.show));
}

std::optional<double> readLength(Reading& reading, const Value& value, const std::string& what,
                                 const Allowed& b) {
    double metres = 0;
    if (const auto* number = value.as<double>()) {
        metres = *number * metresPer(reading.bare);
    } else if (const auto* text = value.as<std::string>()) {
        const auto read = parseLength(*text, reading.bare);
        if (!read) {
            reading.report(
                value,
                fmt::format("{} can't be read as a length: {} {}", what, inQuotes(*text), read.error()),
                fmt::format(
                    "Write it like \"3/8 in\", \"12 ft 6 1/2 in\" or \"38 mm\"; a plain number is in {}.",
                    unitWord(reading.bare)));
            return std::nullopt;
        }
        metres = *read;
    } else {
        reading.report(value, fmt::format("{} must be a length, not {}.", what, value.kind()),
                       fmt::format("Write it like \"3/8 in\" or \"38 mm\"; a plain number is in {}.",
                                   unitWord(reading.bare)));
        return std::nullopt;
    }
    if (!std::isfinite(metres)) {
        reportNotFinite(reading, value, what);
        return std::nullopt;
    }
    const auto write = [&](double m) { return formatLength(m, reading.show); };
    if (!checkBounds(reading, value, what, metres, b, write)) return std::nullopt;
    return metres;
}

std::optional<double> readSlope(Reading& reading, const Value& value, const std::string& what,
                                const Allowed& b) {
    constexpr const char* remedy = "Write it like \"1/4 in/ft\", \"2 %\" or \"1:48\".";
    double slope = 0;
    if (const auto* number = value.as<double>()) {
        slope = *number;
    } else if (const auto* text = value.as<std::string>()) {
        const auto read = parseSlope(*text);
        if (!read) {
            reading.report(value, fmt::format("{} can't be read as a slope: {}", what, read.error()), remedy);
            return std::nullopt;
        }
        slope = *read;
    } else {
        reading.report(value, fmt::format("{} must be a slope, not {}.", what, value.kind()), remedy);
        return std::nullopt;
    }
    if (!std::isfinite(slope)) {
        reportNotFinite(reading, value, what);
        return std::nullopt;
    }
    if (value.as<double>() && !inside(slope, b) && inside(slope / 100, b)) {
        reading.report(value, fmt::format("{} is {}, which is {} %.", what, slope, slope * 100),
                       fmt::format("A plain number is rise over run; did you mean \"{} %\"?", slope));
        return std::nullopt;
    }
    const auto write = [&](double s) { return fmt::format("{:.6g} %", s * 100); };
    if (!checkBounds(reading, value, what, slope, b, write)) return std::nullopt;
    return slope;
}

std::optional<double> readRatio(Reading& reading, const Value& value, const std::string& what,
                                const Allowed& b) {
    double ratio = 0;
    if (const auto* number = value.as<double>()) {
        ratio = *number;
    } else if (const auto* text = value.as<std::string>()) {
        const bool percent = text->ends_with('%');
        const auto read = parseNumber(percent ? std::string_view(*text).substr(0, text->size() - 1) : *text);
        if (!read) {
            reading.report(value, fmt::format("{} can't be read as a number: {}", what, read.error()),
                           "Write it like 0.5, \"1/2\" or \"50 %\".");
            return std::nullopt;
        }
        ratio = percent ? *read / 100 : *read;
    } else {
        reading.report(value, fmt::format("{} must be a number, not {}.", what, value.kind()),
                       "Write it like 0.5 or \"1/2\".");
        return std::nullopt;
    }
    if (!std::isfinite(ratio)) {
        reportNotFinite(reading, value, what);
        return std::nullopt;
    }
    if (!checkBounds(reading, value, what, ratio, b, [](double r) { return fmt::format("{:.6g}", r); }))
        return std::nullopt;
    return ratio;
}

std::optional<double> readAngle(Reading& reading, const Value& value, const std::string& what) {
    constexpr Allowed turn{-360, 360};
    const auto* text = value.as<std::string>();
    if (!text) {
        const auto degrees = readRatio(reading, value, what, turn);
        return degrees ? std::optional(*degrees * std::numbers::pi / 180) : std::nullopt;
    }
    std::string_view bare = *text;
    for (const std::string_view unit :
         {std::string_view("degrees"), std::string_view("deg"), std::string_view("°")}) {
        if (!bare.ends_with(unit)) continue;
        bare.remove_suffix(unit.size());
        break;
    }
    const auto degrees = parseNumber(bare);
    if (!degrees || !inside(*degrees, turn)) {
        reading.report(value, fmt::format("{} can't be read as an angle: {}.", what, inQuotes(*text)),
                       "Write degrees between -360 and 360, like 30 or \"30 deg\".");
        return std::nullopt;
    }
    return *degrees * std::numbers::pi / 180;
}

std::optional<std::string> readText(Reading& reading, const Value& value, const std::string& what) {
    if (const auto* text = value.as<std::string>()) return *text;
    reading.report(value, fmt::format("{} must be a text, not {}.", what, value.kind()),
                   "Put it in quote marks.");
    return std::nullopt;
}

std::optional<bool> readFlag(Reading& reading, const Value& value, const std::string& what) {
    if (const auto* flag = value.as<bool>()) return *flag;
    reading.report(value, fmt::format("{} must be true or false, not {}.", what, value.kind()),
                   "Write true or false, without quote marks.");
    return std::nullopt;
}

const Value::List* readList(Reading& reading, const Value& value, const std::string& what) {
    if (const auto* list = value.as<Value::List>()) return list;
    reading.report(value, fmt::format("{} must be a list, not {}.", what, value.kind()), "Put it in [ ].");
    return nullptr;
}

std::optional<glm::dvec2> readPair(Reading& reading, const Value& value, const std::string& what,
                                   const Allowed& b) {
    const auto* list = value.as<Value::List>();
    if (!list || list->size() != 2) {
        reading.report(value, fmt::format("{} must be two lengths in a list.", what),
                       "Write [first, second].");
        return std::nullopt;
    }
    const auto first = readLength(reading, (*list)[0], what, b);
    const auto second = readLength(reading, (*list)[1], what, b);
    if (!first || !second) return std::nullopt;
    return glm::dvec2{*first, *second};
}

std::optional<glm::dvec2> readPoint(Reading& reading, const Value& value, const std::string& what) {
    if (value.as<Value::Table>()) {
        const Fields fields(reading, value, what, {"s", "o"});
        const Value* s = fields.need("s", "Write { s = station, o = offset }.");
        const Value* o = fields.need("o", "Write { s = station, o = offset }.");
        if (!s || !o) return std::nullopt;
        const auto station = readLength(reading, *s, fields.name("s"), bounds::coordinate);
        const auto offset = readLength(reading, *o, fields.name("o"), bounds::coordinate);
        if (!station || !offset) return std::nullopt;
        return reading.baseline.at(*station, *offset);
    }
    const auto* list = value.as<Value::List>();
    if (!list || list->size() != 2) {
        reading.report(value,
                       fmt::format("{} must be a point, not {}.", what,
                                   list ? fmt::format("a list of {}", list->size()) : value.kind()),
                       "Write [x, y] or { s = station, o = offset }.");
        return std::nullopt;
    }
    return readPair(reading, value, what, bounds::coordinate);
}

Fields::Fields(Reading& reading, const Value& value, std::string owner,
               std::initializer_list<const char*> known)
    : reading_(reading), value_(value), owner_(std::move(owner)) {
    const auto* table = value.as<Value::Table>();
    if (!table) {
        reading.report(value, fmt::format("{} must be a table, not {}.", owner_, value.kind()),
                       "Write { key = value, … }.");
        return;
    }
    const std::vector<std::string> words(known.begin(), known.end());
    for (const Member& member : *table) {
        if (std::find(words.begin(), words.end(), member.key) != words.end()) continue;
        reading.report(reading.place(member),
                       fmt::format("{} is no key of {}.", inQuotes(member.key), owner_),
                       suggestion(member.key, words));
    }
}

const Value* Fields::need(std::string_view key, const std::string& remedy) const {
    const Value* value = find(key);
    if (!value && isTable())
        reading_.report(value_, fmt::format("The \"{}\" of {} is missing.", key, owner_), remedy);
    return value;
}

std::optional<glm::dvec2> Fields::needPoint(std::string_view key, const std::string& remedy) const {
    const Value* value = need(key, remedy);
    return value ? readPoint(reading_, *value, name(key)) : std::nullopt;
}

std::optional<glm::dvec2> Fields::needPair(std::string_view key, const std::string& remedy,
                                           const Allowed& b) const {
    const Value* value = need(key, remedy);
    return value ? readPair(reading_, *value, name(key), b) : std::nullopt;
}

std::optional<double> Fields::needLength(std::string_view key, const std::string& remedy,
                                         const Allowed& b) const {
    const Value* value = need(key, remedy);
    return value ? readLength(reading_, *value, name(key), b) : std::nullopt;
}

std::string Fields::needText(std::string_view key, const std::string& remedy) const {
    const Value* value = need(key, remedy);
    if (!value) return {};
    auto read = readText(reading_, *value, name(key));
    if (read && read->empty()) reading_.report(*value, name(key) + " is empty.", remedy);
    return read.value_or(std::string());
}

double Fields::angle(std::string_view key, double otherwise) const {
    const Value* value = find(key);
    return value ? readAngle(reading_, *value, name(key)).value_or(otherwise) : otherwise;
}

std::string Fields::name(std::string_view key) const {
    return fmt::format("The \"{}\" of {}", key, owner_);
}

std::string Fields::text(std::string_view key, std::string otherwise) const {
    const Value* value = find(key);
    if (!value) return otherwise;
    return readText(reading_, *value, name(key)).value_or(std::move(otherwise));
}

bool Fields::flag(std::string_view key, bool otherwise) const {
    const Value* value = find(key);
    return value ? readFlag(reading_, *value, name(key)).value_or(otherwise) : otherwise;
}

std::optional<double> Fields::maybeLength(std::string_view key, const Allowed& b) const {
    const Value* value = find(key);
    return value ? readLength(reading_, *value, name(key), b) : std::nullopt;
}

double Fields::length(std::string_view key, double otherwise, const Allowed& b) const {
    return maybeLength(key, b).value_or(otherwise);
}

double Fields::slope(std::string_view key, double otherwise, const Allowed& b) const {
    const Value* value = find(key);
    return value ? readSlope(reading_, *value, name(key), b).value_or(otherwise) : otherwise;
}

size_t Fields::choice(std::string_view key, const std::vector<std::string>& words, size_t otherwise) const {
    const Value* value = find(key);
    if (!value) return otherwise;
    const auto text = readText(reading_, *value, name(key));
    if (!text) return otherwise;
    const auto found = std::find(words.begin(), words.end(), *text);
    if (found != words.end()) return static_cast<size_t>(found - words.begin());
    reading_.report(*value, fmt::format("{} can't be {}.", name(key), inQuotes(*text)),
                    suggestion(*text, words));
    return otherwise;
}

const Value::List& Fields::list(std::string_view key) const {
    static const Value::List none;
    const Value* value = find(key);
    if (!value) return none;
    const Value::List* items = readList(reading_, *value, name(key));
    return items ? *items : none;
}

}  // namespace underfoot
