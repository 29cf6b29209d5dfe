#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "measure/side_by_side.h"
#include "plan/catalogue.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/read_outline.h"
#include "plan/read_plan.h"
#include "plan/read_points.h"
#include "plan/reading.h"
#include "plan/scan_file.h"
#include "plan/text_file.h"

namespace underfoot {
namespace {

namespace fs = std::filesystem;

/// A shot off a string's line by more than this was not measured at it, nor one past its ends.
constexpr double besideString = 0.3;

/// One shot as written: [x, y, third] or { n, at, third = …, note }. `third` is what was measured.
std::optional<Shot> readShot(Reading& reading, const Value& value, const char* third,
                             const std::string& owner, const Allowed& b) {
    Shot shot;
    shot.place = reading.place(value);
    const std::string what = fmt::format("A shot of {}", owner);
    if (const auto* list = value.as<Value::List>()) {
        if (list->size() != 3) {
            reading.report(value, fmt::format("{} is a list of {}.", what, list->size()),
                           fmt::format("Write [x, y, {}].", third));
            return std::nullopt;
        }
        const auto x = readLength(reading, (*list)[0], what + ": its x", bounds::coordinate);
        const auto y = readLength(reading, (*list)[1], what + ": its y", bounds::coordinate);
        const auto z = readLength(reading, (*list)[2], fmt::format("{}: its {}", what, third), b);
        if (!x || !y || !z) return std::nullopt;
        shot.at = {*x, *y};
        shot.height = *z;
        return shot;
    }
    const Fields fields(reading, value, "a shot of " + owner, {"n", "at", third, "note"});
    const auto at = fields.needPoint("at", "Write at = [x, y].");
    const auto z = fields.needLength(third, fmt::format("Write {} = with what was measured.", third), b);
    if (const Value* n = fields.find("n")) {
        const auto* number = n->as<double>();
        shot.number = number && *number == std::floor(*number) && std::fabs(*number) < 1e15
                          ? fmt::format("{:.0f}", *number)
                          : fields.text("n");
    }
    shot.description = fields.text("note");
    if (!at || !z) return std::nullopt;
    shot.at = *at;
    shot.height = *z;
    return shot;
}

void readRod(Reading& reading, const Value& value, const std::string& owner, std::vector<Shot>& shots) {
    const Fields fields(reading, value, "the rod readings of " + owner, {"benchmark", "backsight", "shots"});
    const auto benchmark =
        fields.needLength("benchmark", "Write benchmark = with the height of the mark.", bounds::height);
    const auto backsight =
        fields.needLength("backsight", "Write backsight = with the rod reading on the mark.", bounds::height);
    fields.need("shots", "Write shots = [ [x, y, rod], … ].");
    // Height of instrument: the level's line of sight. A bigger reading is a lower point.
    const double instrument = benchmark.value_or(0) + backsight.value_or(0);
    for (const Value& item : fields.list("shots")) {
        auto shot = readShot(reading, item, "rod", owner, bounds::height);
        if (!shot) continue;
        shot->height = instrument - shot->height;
        shots.push_back(std::move(*shot));
    }
}

struct StretchedString {
    glm::dvec2 from{0, 0}, to{1, 0};
    double fromHeight = 0, toHeight = 0;
};

std::optional<StretchedString> readStringEnds(const Fields& fields) {
    const auto from = fields.needPoint("from", "Write from = [x, y].");
    const auto to = fields.needPoint("to", "Write to = [x, y].");
    const auto fromHeight = fields.needLength(
        "from_height", "Write from_height = with the string's height there.", bounds::height);
    const auto toHeight =
        fields.needLength("to_height", "Write to_height = with the string's height there.", bounds::height);
    if (!from || !to || !fromHeight || !toHeight) return std::nullopt;
    if (glm::distance(*from, *to) < 1e-3) {
        fields.reading().report(fields.value(),
                                fmt::format("Both ends of {} stand at one place.", fields.owner()),
                                "Mend \"from\" or \"to\".");
        return std::nullopt;
    }
    return StretchedString{*from, *to, *fromHeight, *toHeight};
}

/// Height of the string above a shot, reported where the shot is not at the string.
double stringHeight(Reading& reading, const StretchedString& string, const Shot& shot,
                    const std::string& owner) {
    const glm::dvec2 way = string.to - string.from, d = shot.at - string.from;
    const double length = glm::length(way);
    const double along = glm::dot(d, way) / length, off = std::fabs(way.x * d.y - way.y * d.x) / length;
    if (off > besideString) {
        reading.report(
            shot.place,
            fmt::format("A shot of {} lies {} beside its string.", owner, formatLength(off, reading.show)),
            "Measure down right under the string, or mend the shot's place.");
    } else if (along < -besideString || along > length + besideString) {
        reading.report(shot.place, fmt::format("A shot of {} lies past the end of its string.", owner),
                       "Mend the shot's place, or the ends of the string.");
    }
    return string.fromHeight + (string.toHeight - string.fromHeight) * (along / length);
}

void readString(Reading& reading, const Value& value, const std::string& owner, std::vector<Shot>& shots) {
    const Fields fields(reading, value, "the string of " + owner,
                        {"from", "from_height", "to", "to_height", "shots"});
    if (!fields.isTable()) return;
    const auto string = readStringEnds(fields);
    fields.need("shots", "Write shots = [ [x, y, down], … ].");
    for (const Value& item : fields.list("shots")) {
        auto shot = readShot(reading, item, "down", owner, bounds::height);
        if (!shot || !string) continue;
        shot->height = stringHeight(reading, *string, *shot, owner) - shot->height;
        shots.push_back(std::move(*shot));
    }
}

/// One set-up as a table, or several in a list.
template <class Read>
void eachSetUp(const Fields& fields, std::string_view key, Read read) {
    const Value* value = fields.find(key);
    if (!value) return;
    if (const auto* list = value->as<Value::List>()) {
        for (const Value& item : *list) read(item);
    } else {
        read(*value);
    }
}

/// Shots inside the box, and corners of the box's areas inside the box of the shots, for one order of a
/// file's columns.
struct Cover {
    size_t shotsIn = 0;
    bool coversAreas = false;
};

/// Places read from one file.
using Places = std::vector<glm::dvec2>;

Cover coverOf(const Places& places, bool swapped, glm::dvec2 low, glm::dvec2 high) {
    Cover cover;
    const auto placeOf = [swapped](glm::dvec2 p) { return swapped ? glm::dvec2{p.y, p.x} : p; };
    glm::dvec2 shotLow = placeOf(places.front()), shotHigh = shotLow;
    for (const glm::dvec2 place : places) {
        const glm::dvec2 p = placeOf(place);
        shotLow = glm::min(shotLow, p);
        shotHigh = glm::max(shotHigh, p);
        if (p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y) ++cover.shotsIn;
    }
    cover.coversAreas =
        shotLow.x <= low.x && shotLow.y <= low.y && shotHigh.x >= high.x && shotHigh.y >= high.y;
    return cover;
}

/// Northing and easting swapped: as stated the shots miss the areas, the other way round they meet them.
void checkOrder(Reading& reading, const Value& entry, const Places& places, bool northingFirst,
                bool mustCover, const Plan& plan) {
    if (places.size() < 3) return;
    glm::dvec2 low{1e300, 1e300}, high{-1e300, -1e300};
    for (const Area& area : plan.areas) {
        for (const glm::dvec2 corner : toChords(area.outline, checkSagitta).corners) {
            low = glm::min(low, corner);
            high = glm::max(high, corner);
        }
    }
    if (low.x > high.x) return;
    const Cover stated = coverOf(places, false, low, high), swapped = coverOf(places, true, low, high);
    const bool misses = stated.shotsIn == 0 && swapped.shotsIn * 2 >= places.size();
    const bool falls = mustCover && !stated.coversAreas && swapped.coversAreas;
    if (!misses && !falls) return;
    const char* now = northingFirst ? "PNEZD" : "PENZD";
    const char* other = northingFirst ? "PENZD" : "PNEZD";
    reading.report(
        entry,
        fmt::format("With the order {} the shots of this file do not cover the areas; with {} they do.", now,
                    other),
        fmt::format("Look whether northing or easting comes first; probably order = \"{}\" is right.",
                    other));
}

/// Shots, and points of scans, as far as they have been read.
struct Heights {
    std::vector<Shot>& shots;
    Scan& scan;
};

void addScan(Scan& scan, const std::string& file, std::vector<glm::dvec3> points) {
    scan.files.push_back(file);
    if (scan.points.empty())
        scan.points = std::move(points);
    else
        scan.points.insert(scan.points.end(), points.begin(), points.end());
}

/// The places of shots from one file.
Places placesFrom(const std::vector<Shot>& shots, size_t from) {
    Places places;
    for (size_t i = from; i < shots.size(); ++i) places.push_back(shots[i].at);
    return places;
}

/// A file of more points is a scan.
double greatestShots(const Reading& reading, const Plan& plan) {
    constexpr const char* rule = "scan.points";
    for (const LimitOverride& own : plan.limits)
        if (own.rule == rule) return own.value;
    return reading.catalogue().limit(rule).value;
}

/// Reports what there is to report, and then returns false.
bool readWholeFile(Reading& reading, const Value& pathEntry, const fs::path& file, const std::string& path,
                   const PointFileForm& form, double greatestShots, Heights& heights, Places& places) {
    const auto text = readTextFile(file, path, greatestPointFileBytes, true);
    if (!text) {
        const Diagnostic& fault = text.error();
        if (fault.place.line > 0)
            reading.report(fault.place, fault.what, fault.remedy);
        else
            reading.report(pathEntry, fmt::format("The point file {}: {}", inQuotes(path), fault.what),
                           fault.remedy);
        return false;
    }
    Diagnostics faults;
    std::vector<glm::dvec3> scan;
    if (static_cast<double>(linesIn(*text)) > greatestShots) readScanText(*text, path, form, scan, faults);
    const bool isScan = static_cast<double>(scan.size()) > greatestShots;
    const size_t before = heights.shots.size();
    if (faults.empty() && !isScan) readPointText(*text, path, form, heights.shots, faults);
    for (Diagnostic& fault : faults)
        reading.report(fault.place, std::move(fault.what), std::move(fault.remedy));
    if (!faults.empty()) return false;
    places = isScan ? Places(scan.begin(), scan.end()) : placesFrom(heights.shots, before);
    if (isScan) addScan(heights.scan, path, std::move(scan));
    if (places.empty())
        reading.report(pathEntry, fmt::format("The point file {} has no shots in it.", inQuotes(path)),
                       "Check that it is the right file.");
    return !places.empty();
}

void readPointFile(Reading& reading, const Value& entry, const fs::path& folder, const std::string& owner,
                   bool mustCover, const Plan& plan, Heights& heights) {
    const Fields fields(reading, entry, "a point file of " + owner, {"path", "order", "unit"});
    const std::string path = fields.needText("path", "Write path = \"shots.csv\".");
    const auto order = fields.choice("order", {"PNEZD", "PENZD"}, 0);
    if (fields.isTable())
        fields.need("order",
                    "Write order = \"PNEZD\" (northing first) or \"PENZD\" (easting first); nothing in the "
                    "file says which.");
    PointFileForm form{order == 0, reading.bare};
    const std::vector<std::string> units{"ft", "in", "m", "mm"};
    constexpr LengthUnit unitOf[]{LengthUnit::Foot, LengthUnit::Inch, LengthUnit::Metre,
                                  LengthUnit::Millimetre};
    if (fields.find("unit")) form.unit = unitOf[fields.choice("unit", units, 0)];
    if (path.empty()) return;
    const double most = greatestShots(reading, plan);
    Places places;
    if (auto scan = readScanFile(folder / path, form, most, greatestPointFileBytes)) {
        places.assign(scan->begin(), scan->end());
        addScan(heights.scan, path, std::move(*scan));
    } else if (!readWholeFile(reading, *fields.find("path"), folder / path, path, form, most, heights,
                              places)) {
        return;
    }
    checkOrder(reading, entry, places, form.northingFirst, mustCover, plan);
}

/// All ways of giving shots. Returns whether everything could be read.
bool readAllShots(const Fields& fields, const fs::path& folder, bool mustCover, const Plan& plan,
                  const std::string& owner, Heights heights) {
    Reading& reading = fields.reading();
    const size_t before = reading.count();
    std::vector<Shot>& shots = heights.shots;
    heights.scan.thinTo = fields.maybeLength("thin_to", bounds::thinTo);
    for (const Value& item : fields.list("shots"))
        if (auto shot = readShot(reading, item, "height", owner, bounds::height))
            shots.push_back(std::move(*shot));
    for (const Value& item : fields.list("files"))
        readPointFile(reading, item, folder, owner, mustCover, plan, heights);
    eachSetUp(fields, "rod", [&](const Value& item) { readRod(reading, item, owner, shots); });
    eachSetUp(fields, "string", [&](const Value& item) { readString(reading, item, owner, shots); });
    return reading.count() == before;
}

Extend extendOf(const Fields& fields, Extend otherwise) {
    return static_cast<Extend>(
        fields.choice("extend", {"refuse", "nearest", "plane"}, static_cast<size_t>(otherwise)));
}

void readGround(Reading& reading, const Value& value, const fs::path& folder, Plan& plan) {
    const Fields fields(reading, value, "the ground",
                        {"strip", "extend", "fill_lifts", "fill_lift", "fill_material", "side_slope",
                         "shoulder", "soil", "cut_as_fill", "shots", "files", "thin_to", "rod", "string"});
    if (!fields.isTable()) return;
    Ground& ground = plan.ground;
    ground.place = fields.place();
    ground.strip = fields.length("strip", 0, bounds::smallLength);
    ground.extend = extendOf(fields, Extend::Refuse);
    ground.fillLifts =
        fields.choice("fill_lifts", {"parallel", "level"}, 0) == 1 ? FillLifts::Level : FillLifts::Parallel;
    ground.fillLift = fields.length("fill_lift", 0, bounds::smallLength);
    std::vector<std::string> materials;
    for (const Material& material : reading.catalogue().materials) materials.push_back(material.name);
    const auto fill = static_cast<size_t>(std::find(materials.begin(), materials.end(), ground.fillMaterial) -
                                          materials.begin());
    ground.fillMaterial = materials[fields.choice("fill_material", materials, fill)];
    if (fields.find("soil")) {
        std::vector<std::string> soils;
        for (const Soil& soil : reading.catalogue().soils) soils.push_back(soil.name);
        ground.soil = soils[fields.choice("soil", soils, 0)];
    }
    ground.cutAsFill = fields.flag("cut_as_fill", false);
    ground.sideSlope = fields.slope("side_slope", ground.sideSlope, bounds::sideSlope);
    ground.shoulder = fields.length("shoulder", 0, bounds::smallLength);
    if (readAllShots(fields, folder, ground.extend == Extend::Refuse, plan, "the ground",
                     {ground.shots, ground.scan}) &&
        !ground.assumed())
        checkShots(reading, ground.shots, ground.scan, "the ground", ground.place);
}

std::optional<MeasuredTop> readMeasuredTop(Reading& reading, const Value& table, const fs::path& folder,
                                           const Plan& plan) {
    const Value* name = table.find("layer");
    const auto* text = name ? name->as<std::string>() : nullptr;
    const std::string owner =
        text ? fmt::format("the measured top of {}", inQuotes(*text)) : "a measured top";
    const Fields fields(reading, table, owner,
                        {"layer", "extend", "shots", "files", "thin_to", "rod", "string"});
    if (!fields.isTable()) return std::nullopt;
    MeasuredTop top;
    top.place = fields.place();
    top.layer = fields.needText("layer", "Write layer = with the name of the layer that was measured.");
    top.extend = extendOf(fields, Extend::Nearest);
    if (readAllShots(fields, folder, top.extend == Extend::Refuse, plan, owner, {top.shots, top.scan}))
        checkShots(reading, top.shots, top.scan, owner, top.place);
    return top;
}

/// Of the point files that a table names, as far as they are there.
uintmax_t bytesOfFiles(const Value& table, const fs::path& folder) {
    uintmax_t bytes = 0;
    const Value* files = table.find("files");
    const auto* list = files ? files->as<Value::List>() : nullptr;
    if (!list) return bytes;
    for (const Value& item : *list) {
        const Value* path = item.find("path");
        const auto* text = path ? path->as<std::string>() : nullptr;
        std::error_code none;
        const uintmax_t size = text ? fs::file_size(folder / *text, none) : 0;
        if (!none) bytes += size;
    }
    return bytes;
}

}  // namespace

void readHeights(Reading& reading, const Value& root, const fs::path& folder, Plan& plan) {
    constexpr uintmax_t worthAThread = 300'000;
    std::vector<const Value*> tables;  // the ground first
    if (const Value* ground = root.find("ground")) tables.push_back(ground);
    const size_t firstTop = tables.size();
    const std::vector<const Value*> tops = tablesOf(reading, root, "measured_top");
    tables.insert(tables.end(), tops.begin(), tops.end());
    std::vector<Reading> parts(tables.size(), reading.part());
    std::vector<std::optional<MeasuredTop>> read(tops.size());
    const auto readOne = [&](size_t i) {
        if (i < firstTop)
            readGround(parts[i], *tables[i], folder, plan);
        else
            read[i - firstTop] = readMeasuredTop(parts[i], *tables[i], folder, plan);
    };
    uintmax_t bytes = 0;
    for (const Value* table : tables) bytes += bytesOfFiles(*table, folder);
    if (bytes > worthAThread)
        sideBySide(tables.size(), readOne);
    else
        for (size_t i = 0; i < tables.size(); ++i) readOne(i);
    for (Reading& part : parts) reading.add(std::move(part));
    for (std::optional<MeasuredTop>& top : read)
        if (top) plan.measuredTops.push_back(std::move(*top));
}

}  // namespace underfoot
