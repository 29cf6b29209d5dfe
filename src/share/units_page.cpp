#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "measure/mass.h"
#include "measure/number.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/page.h"
#include "share/units_tables.h"
#include "study/nesting_offcuts.h"
#include "study/start_line.h"
#include "study/unit_rows.h"
#include "study/units.h"

namespace underfoot {

namespace {

constexpr double degree = std::numbers::pi / 180;

const std::string& areaName(const Model& model, int area) {
    return model.plan.areas[static_cast<size_t>(area)].name;
}

std::string sizeText(const UnitCount& count, const LengthFormat& show) {
    return fmt::format("{} x {}", formatThickness(count.length, show), formatThickness(count.width, show));
}

std::vector<glm::dvec2> outlineOf(const Model& model, int unit) {
    const UnitPiece& piece = model.units[static_cast<size_t>(unit)];
    const auto first = model.unitCorners.begin() + piece.firstCorner;
    return {first, first + piece.corners};
}

PageTable countTable(const Model& model, const UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    PageTable table{{"Area", "Unit", "Whole", "Cut", "Sawn from", "at least", "Buy", "Waste", "Weight each"},
                    SIZE_MAX,
                    {4, 5},
                    {}};
    for (const UnitCount& count : report.counts) {
        PageMark mark;
        for (const CutUnit& cut : count.cut) mark.rings.push_back(outlineOf(model, cut.unit));
        table.add(
            {areaName(model, count.area) + (count.border ? ", border" : ""), sizeText(count, show),
             grouped(fmt::format("{}", count.whole)), grouped(fmt::format("{}", count.cut.size())),
             grouped(fmt::format("{}", count.nesting.units)),
             grouped(fmt::format("{}", count.nesting.atLeast)), grouped(fmt::format("{}", count.bought())),
             fmt::format("{:.1f} %", 100 * count.waste()), formatMass(count.weight, show)},
            std::move(mark));
    }
    return table;
}

void nestingPart(Page& page, const Model& model, const UnitsReport& report) {
    const bool bevelled = std::any_of(report.counts.begin(), report.counts.end(),
                                      [](const UnitCount& count) { return count.chamfer > 0; });
    page.say(fmt::format(
        "Offcuts are used again where they fit, turned by quarters, the same face up, {} lost to each saw "
        "cut{}.",
        formatThickness(report.kerf, model.plan.show),
        bevelled ? "; bevelled sides stay on the outside" : ""));
    page.say(
        "No way of sawing takes fewer units than \"at least\". Nothing is added for breakage here; "
        "the takeoff adds it.");
}

PageTable jointTable(const Model& model, const UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    PageTable table{{"Area", "Joint", "Open joints", "Sand to the top", "at least"}, SIZE_MAX, {}, {}};
    const std::string none = formatArea(0, show);
    for (const OpenJoints& joint : report.joints)
        if (formatArea(joint.openArea, show) != none)
            table.add({areaName(model, joint.area), formatThickness(joint.width, show),
                       formatArea(joint.openArea, show), formatVolume(joint.sandToTop, show),
                       formatVolume(joint.sandToLimit, show)});
    return table;
}

std::string partText(double part) {
    const std::string text = fmt::format("{:.0f} %", 100 * part);
    return text == "0 %" ? "under 1 %" : text == "100 %" ? "over 99 %" : text;
}

PageTable pieceTable(const Model& model, const UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    PageTable table{{"Cut piece", "Unit", "Box", "Narrowest", "Sharpest", "Part", "Sawn", "From"},
                    SIZE_MAX,
                    {1, 4, 6},
                    {}};
    for (const UnitCount& count : report.counts) {
        std::vector<int> from(count.cut.size());
        for (const SawnPiece& sawn : count.nesting.pieces)
            from[static_cast<size_t>(sawn.piece)] = sawn.unit + 1;
        for (size_t i = 0; i < count.cut.size(); ++i) {
            const CutUnit& cut = count.cut[i];
            PageMark mark;
            mark.rings = {outlineOf(model, cut.unit)};
            table.add(
                {fmt::format("{} {}", areaName(model, count.area), i + 1), sizeText(count, show),
                 fmt::format("{} x {}", formatThickness(cut.length, show), formatThickness(cut.width, show)),
                 formatThickness(cut.leastWidth, show), fmt::format("{:.0f}°", cut.smallestAngle / degree),
                 partText(cut.part), formatLength(cut.sawn, show), fmt::format("{}", from[i])},
                std::move(mark));
        }
    }
    return table;
}

PageTable rowTable(const Model& model, const std::vector<UnitRow>& rows) {
    const LengthFormat& show = model.plan.show;
    PageTable table{
        {"Row", "From station", "Offset", "To station", "Offset", "Length", "Units", "Cut", "First", "Last"},
        SIZE_MAX,
        {5},
        {}};
    const auto size = [&](double length, bool cut) {
        return cut ? formatThickness(length, show) : std::string("whole");
    };
    for (const UnitRow& row : rows) {
        const glm::dvec2 from = model.stationOffset(row.from), to = model.stationOffset(row.to);
        PageMark mark;
        mark.lines = {{row.from, row.to}};
        table.add({fmt::format("{} {}", areaName(model, row.area), row.number),
                   formatStation(from.x, show, StationFor::Set), formatLength(from.y, show),
                   formatStation(to.x, show, StationFor::Set), formatLength(to.y, show),
                   formatLength(row.length, show), fmt::format("{}", row.units), fmt::format("{}", row.cut),
                   size(row.first, row.firstCut), size(row.last, row.lastCut)},
                  std::move(mark));
    }
    return table;
}

std::string markText(const CutMark& mark, const LengthFormat& show) {
    const std::string along = formatThickness(mark.along, show);
    switch (mark.side) {
        case CutMark::Side::Near:
            return along + " along the near side";
        case CutMark::Side::Far:
            return along + " along the far side";
        case CutMark::Side::Left:
            return along + " up the left side";
        case CutMark::Side::Right:
            return along + " up the right side";
        case CutMark::Side::Inside:
            break;
    }
    return along + " from the left, " + formatThickness(mark.in, show) + " in";
}

std::string bowText(double bow, const LengthFormat& show) {
    const std::string off = formatThickness(std::abs(bow), show);
    return off == formatThickness(0, show) ? "" : fmt::format("{} {}", off, bow > 0 ? "full" : "hollow");
}

PageTable cutTable(const Model& model, const UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    PageTable table{{"Cut piece", "Unit", "Cut from", "to", "Length", "Curve"}, SIZE_MAX, {1}, {}};
    for (const UnitCount& count : report.counts)
        for (size_t i = 0; i < count.cut.size(); ++i) {
            PageMark mark;
            mark.rings = {outlineOf(model, count.cut[i].unit)};
            for (const CutLine& line : cutLines(count.cut[i], count.length, count.width))
                table.add({fmt::format("{}{} {}", areaName(model, count.area), count.border ? ", border" : "",
                                       i + 1),
                           sizeText(count, show), markText(line.from, show), markText(line.to, show),
                           formatThickness(line.length, show), bowText(line.bow, show)},
                          mark);
        }
    return table;
}

void rowsPart(Page& page, const Model& model) {
    const std::vector<UnitRow> rows = unitRows(model);
    page.gap();
    if (rows.empty()) return page.say("No area is laid in rows.");
    page.add(rowTable(model, rows));
    page.say("Snap each row's line between its two marks; units lie beyond it, with the joint before it.");
}

void cutsPart(Page& page, const Model& model, const UnitsReport& report) {
    PageTable cuts = cutTable(model, report);
    page.gap();
    if (cuts.rows.empty()) return page.say("No unit is cut.");
    page.add(std::move(cuts));
    page.say(
        "Lay the unit with a long side toward you, the way it will lie: marks are measured along its sides, "
        "from the left and from the near side. Going from the first mark to the second, what is kept lies to "
        "the left of the cut. A curve runs so far past (full) or short of (hollow) the "
        "straight line between its marks.");
}

std::string numbersText(const LaidNumbers& n) {
    const std::string out = fmt::format("{} whole, {} cut, {} of them slivers", n.whole, n.cut, n.slivers);
    if (n.cut == 0) return out;
    if (n.smallestPart < 0.01) return out + ", the smallest less than 1 % of a unit";
    return out + fmt::format(", the smallest {:.0f} % of a unit", 100 * n.smallestPart);
}

std::string movedText(const StartLine& line, const LengthFormat& show) {
    const std::string along = formatLength(std::abs(line.shift.x), show),
                      across = formatLength(std::abs(line.shift.y), show), none = formatLength(0, show);
    std::string text;
    if (along != none)
        text = fmt::format("{} {} along the rows", along, line.shift.x > 0 ? "forward" : "back");
    if (across != none)
        text += fmt::format("{}{} to {} {}", text.empty() ? "" : " and ", across,
                            text.empty() ? "the rows'" : "their", line.shift.y > 0 ? "left" : "right");
    return text;
}

void startPart(Page& page, const Model& model, int area, const StartLine& line) {
    const LengthFormat& show = model.plan.show;
    page.gap();
    if (line.tried == 0)
        return page.say(
            fmt::format("Start line of \"{}\": nothing is cut, leave it.", areaName(model, area)));
    page.say(fmt::format("Start line of \"{}\" ({} ways tried)", areaName(model, area), line.tried));
    page.say(fmt::format("  now:   {}", numbersText(line.before)));
    if (line.after.slivers == line.before.slivers && line.after.cut == line.before.cut && line.shift.x == 0 &&
        line.shift.y == 0)
        return page.say("  Leave it where it is: no better start was found.");
    page.say(fmt::format("  then:  {}", numbersText(line.after)));
    const double angle = model.plan.areas[static_cast<size_t>(area)].units->angle;
    if (line.angle != angle)
        page.say(fmt::format("  Turn the rows {:.3g}° to the {} about where they start.",
                             std::abs(line.angle - angle) / degree, line.angle > angle ? "left" : "right"));
    if (const std::string moved = movedText(line, show); !moved.empty())
        page.say(
            fmt::format("  Move the pattern {}{}. Forward is the way stations grow where the angle is 0.",
                        moved, line.exact ? "" : ", the best of those tried"));
    page.say(fmt::format("  In the plan, in the units of this area: {}", line.planText));
}

}  // namespace

Page unitsPage(const Model& model, const UnitsReport& report, const StartLines& starts,
               const UnitLists& lists) {
    Page page;
    if (report.counts.empty()) {
        page.say("The plan lays out no units: give an area `units`.");
        return page;
    }
    page.gap();
    page.add(countTable(model, report));
    page.gap();
    nestingPart(page, model, report);
    PageTable all = lists.pieces ? pieceTable(model, report) : PageTable{};
    if (!all.rows.empty()) page.gap(), page.add(std::move(all));
    if (lists.rows) rowsPart(page, model);
    if (lists.cuts) cutsPart(page, model, report);
    PageTable joints = jointTable(model, report);
    if (!joints.rows.empty()) page.gap(), page.add(std::move(joints));
    if (!report.cautions.empty()) page.gap();
    for (const std::string& caution : report.cautions) page.say(caution);
    for (const auto& [area, line] : starts) startPart(page, model, area, line);
    return page;
}

}  // namespace underfoot
