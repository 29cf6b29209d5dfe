#include "share/units_tables.h"

#include <array>
#include <numbers>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json_words.h"
#include "study/nesting_offcuts.h"
#include "study/unit_rows.h"

namespace underfoot {
namespace {

using Json = JsonWords::Json;
constexpr double degree = std::numbers::pi / 180;

const std::string& areaName(const Model& model, int area) {
    return model.plan.areas[static_cast<size_t>(area)].name;
}

glm::dvec2 middleOf(const Model& model, int unit) {
    const UnitPiece& piece = model.units[static_cast<size_t>(unit)];
    glm::dvec2 sum{0, 0};
    for (int i = 0; i < piece.corners; ++i)
        sum += model.unitCorners[static_cast<size_t>(piece.firstCorner + i)];
    return sum / static_cast<double>(piece.corners);
}

/// Where each cut piece of a count is sawn, in the order of the pieces.
std::vector<const SawnPiece*> sawnFrom(const UnitCount& count) {
    std::vector<const SawnPiece*> out(count.cut.size());
    for (const SawnPiece& sawn : count.nesting.pieces) out[static_cast<size_t>(sawn.piece)] = &sawn;
    return out;
}

std::string yesNo(bool yes) {
    return yes ? "yes" : "no";
}

std::string shapeText(const std::vector<glm::dvec2>& shape) {
    std::string out;
    for (const glm::dvec2& p : shape) out += (out.empty() ? "" : " ") + csvNumber(p.x) + ' ' + csvNumber(p.y);
    return out;
}

Json shapeJson(const std::vector<glm::dvec2>& shape) {
    Json out = Json::array();
    for (const glm::dvec2& p : shape) out.push_back({JsonWords::number(p.x), JsonWords::number(p.y)});
    return out;
}

Json markJson(const JsonWords& words, const CutMark& mark) {
    constexpr std::array<const char*, 5> sides{"near", "right", "far", "left", "inside"};
    return {{"side", sides[static_cast<size_t>(mark.side)]},
            {"along", words.thickness(mark.along)},
            {"in", words.thickness(mark.in)}};
}

Json cutsJson(const JsonWords& words, const UnitCount& count, const CutUnit& cut) {
    Json out = Json::array();
    for (const CutLine& line : cutLines(cut, count.length, count.width))
        out.push_back({{"from", markJson(words, line.from)},
                       {"to", markJson(words, line.to)},
                       {"length", words.thickness(line.length)},
                       {"bow", words.thickness(line.bow)}});
    return out;
}

Json rowsJson(const Model& model, const JsonWords& words) {
    Json out = Json::array();
    for (const UnitRow& row : unitRows(model))
        out.push_back({{"area", areaName(model, row.area)},
                       {"row", row.number},
                       {"from", words.place(row.from, StationFor::Set)},
                       {"to", words.place(row.to, StationFor::Set)},
                       {"length", words.length(row.length)},
                       {"units", row.units},
                       {"cut", row.cut},
                       {"first", words.thickness(row.first)},
                       {"first_cut", row.firstCut},
                       {"last", words.thickness(row.last)},
                       {"last_cut", row.lastCut}});
    return out;
}

Json pieceJson(const Model& model, const JsonWords& words, const UnitCount& count, const CutUnit& cut,
               const SawnPiece& sawn) {
    return {{"at", words.place(middleOf(model, cut.unit))},
            {"length", words.thickness(cut.length)},
            {"width", words.thickness(cut.width)},
            {"least_width", words.thickness(cut.leastWidth)},
            {"smallest_angle_deg", JsonWords::number(cut.smallestAngle / degree)},
            {"part", JsonWords::number(cut.part)},
            {"sawn", words.length(cut.sawn)},
            {"too_narrow", cut.tooNarrow},
            {"too_small", cut.tooSmall},
            {"sawn_from", sawn.unit + 1},
            {"quarters", sawn.quarters},
            {"shape", shapeJson(cut.piece.shape)},
            {"cuts", cutsJson(words, count, cut)},
            {"nested", shapeJson(sawn.shape)}};
}

Json countJson(const Model& model, const JsonWords& words, const UnitCount& count) {
    Json pieces = Json::array();
    const auto sawn = sawnFrom(count);
    for (size_t i = 0; i < count.cut.size(); ++i)
        pieces.push_back(pieceJson(model, words, count, count.cut[i], *sawn[i]));
    return {{"area", areaName(model, count.area)},
            {"layer", words.layer(count.layer)},
            {"border", count.border},
            {"length", words.thickness(count.length)},
            {"width", words.thickness(count.width)},
            {"thickness", words.thickness(count.thickness)},
            {"weight_kg", JsonWords::number(count.weight)},
            {"whole", count.whole},
            {"cut", count.cut.size()},
            {"sawn_units", count.nesting.units},
            {"sawn_units_at_least", count.nesting.atLeast},
            {"bought", count.bought()},
            {"waste", JsonWords::number(count.waste())},
            {"saw_passes", count.sawPasses},
            {"pieces", pieces}};
}

Json numbersJson(const JsonWords& words, const LaidNumbers& n) {
    return {{"whole", n.whole},
            {"cut", n.cut},
            {"slivers", n.slivers},
            {"smallest_part", JsonWords::number(n.smallestPart)},
            {"narrowest", words.thickness(n.narrowest)}};
}

Json startJson(const Model& model, const JsonWords& words, int area, const StartLine& line) {
    return {{"area", areaName(model, area)},
            {"start", words.place(model.toLocal(line.start))},
            {"angle_deg", JsonWords::number(line.angle / degree)},
            {"along_rows", words.length(line.shift.x)},
            {"across_rows", words.length(line.shift.y)},
            {"before", numbersJson(words, line.before)},
            {"after", numbersJson(words, line.after)},
            {"exact", line.exact},
            {"step", words.thickness(line.step)},
            {"tried", line.tried},
            {"write", line.planText}};
}

}  // namespace

std::string unitsCsv(const Model& model, const UnitsReport& report) {
    CsvTable table({"area",     "unit_length_m", "unit_width_m",  "thickness_m",        "border",
                    "piece",    "station_m",     "station",       "offset_m",           "offset",
                    "length_m", "width_m",       "least_width_m", "smallest_angle_deg", "part",
                    "sawn_m",   "too_narrow",    "too_small",     "sawn_from",          "quarters",
                    "shape"});
    const LengthFormat& show = model.plan.show;
    for (const UnitCount& count : report.counts) {
        const auto sawn = sawnFrom(count);
        for (size_t i = 0; i < count.cut.size(); ++i) {
            const CutUnit& cut = count.cut[i];
            const glm::dvec2 so = model.stationOffset(middleOf(model, cut.unit));
            table.add({areaName(model, count.area),
                       csvNumber(count.length),
                       csvNumber(count.width),
                       csvNumber(count.thickness),
                       yesNo(count.border),
                       fmt::format("{}", i + 1),
                       csvNumber(so.x),
                       formatStation(so.x, show),
                       csvNumber(so.y),
                       formatLength(so.y, show),
                       csvNumber(cut.length),
                       csvNumber(cut.width),
                       csvNumber(cut.leastWidth),
                       csvNumber(cut.smallestAngle / degree),
                       csvNumber(cut.part),
                       csvNumber(cut.sawn),
                       yesNo(cut.tooNarrow),
                       yesNo(cut.tooSmall),
                       fmt::format("{}", sawn[i]->unit + 1),
                       fmt::format("{}", sawn[i]->quarters),
                       shapeText(cut.piece.shape)});
        }
    }
    return table.text();
}

std::string unitRowsCsv(const Model& model) {
    CsvTable table({"area", "row", "from_station_m", "from_station", "from_offset_m", "from_offset",
                    "to_station_m", "to_station", "to_offset_m", "to_offset", "length_m", "units", "cut",
                    "first_m", "first_cut", "last_m", "last_cut"});
    const LengthFormat& show = model.plan.show;
    for (const UnitRow& row : unitRows(model)) {
        const glm::dvec2 from = model.stationOffset(row.from), to = model.stationOffset(row.to);
        table.add({areaName(model, row.area), fmt::format("{}", row.number), csvNumber(from.x),
                   formatStation(from.x, show, StationFor::Set), csvNumber(from.y),
                   formatLength(from.y, show), csvNumber(to.x), formatStation(to.x, show, StationFor::Set),
                   csvNumber(to.y), formatLength(to.y, show), csvNumber(row.length),
                   fmt::format("{}", row.units), fmt::format("{}", row.cut), csvNumber(row.first),
                   yesNo(row.firstCut), csvNumber(row.last), yesNo(row.lastCut)});
    }
    return table.text();
}

std::string unitsJson(const Model& model, const UnitsReport& report, const StartLines& starts) {
    const JsonWords words(model);
    Json root = words.answer();
    root["units"] = Json::array();
    for (const UnitCount& count : report.counts) root["units"].push_back(countJson(model, words, count));
    root["joints"] = Json::array();
    for (const OpenJoints& joint : report.joints)
        root["joints"].push_back({{"area", areaName(model, joint.area)},
                                  {"width", words.thickness(joint.width)},
                                  {"open_area", words.area(joint.openArea)},
                                  {"sand_to_top", words.volume(joint.sandToTop)},
                                  {"sand_to_limit", words.volume(joint.sandToLimit)}});
    root["saw_kerf"] = words.thickness(report.kerf);
    root["one_person_lifts_kg"] = JsonWords::number(report.onePersonLifts);
    root["cautions"] = report.cautions;
    root["rows"] = rowsJson(model, words);
    root["start_lines"] = Json::array();
    for (const auto& [area, line] : starts)
        root["start_lines"].push_back(startJson(model, words, area, line));
    return JsonWords::text(root);
}

}  // namespace underfoot
