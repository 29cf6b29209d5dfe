// units: how many units, whole and cut, what is sawn from what, joints, weights, and where to start.

#include "study/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "measure/mass.h"
#include "share/units_tables.h"

namespace underfoot::command {

namespace {

constexpr double degree = std::numbers::pi / 180;

struct UnitsOptions {
    std::string plan;
    std::string csv;
    bool json = false;
    bool pieces = false;
    bool startLine = false;
    bool symmetrical = false;
    double turn = 0;
    double turnStep = 1;
};

const std::string& areaName(const Model& model, int area) {
    return model.plan.areas[static_cast<size_t>(area)].name;
}

std::string sizeText(const UnitCount& count, const LengthFormat& show) {
    return fmt::format("{} x {}", formatThickness(count.length, show), formatThickness(count.width, show));
}

std::string countTable(const Model& model, const UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    Table table({"Area", "Unit", "Whole", "Cut", "Sawn from", "at least", "Buy", "Waste", "Weight each"});
    for (const UnitCount& count : report.counts)
        table.add({areaName(model, count.area) + (count.border ? ", border" : ""), sizeText(count, show),
                   fmt::format("{}", count.whole), fmt::format("{}", count.cut.size()),
                   fmt::format("{}", count.nesting.units), fmt::format("{}", count.nesting.atLeast),
                   fmt::format("{}", count.bought()), fmt::format("{:.1f} %", 100 * count.waste()),
                   formatMass(count.weight, show)});
    return table.text();
}

std::string nestingNote(const Model& model, const UnitsReport& report) {
    const bool bevelled = std::any_of(report.counts.begin(), report.counts.end(),
                                      [](const UnitCount& count) { return count.chamfer > 0; });
    return fmt::format(
        "Offcuts are used again where they fit, turned by quarters, the same face up, {} lost to each saw "
        "cut{}.\nNo way of sawing takes fewer units than \"at least\". Nothing is added for breakage.\n",
        formatThickness(report.kerf, model.plan.show),
        bevelled ? "; bevelled sides stay on the outside" : "");
}

std::string jointTable(const Model& model, const UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    Table table({"Area", "Joint", "Open joints", "Sand to the top", "at least"});
    for (const OpenJoints& joint : report.joints)
        table.add({areaName(model, joint.area), formatThickness(joint.width, show),
                   formatArea(joint.openArea, show), formatVolume(joint.sandToTop, show),
                   formatVolume(joint.sandToLimit, show)});
    return table.text();
}

std::string pieceTable(const Model& model, const UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    Table table({"Cut piece", "Unit", "Box", "Narrowest", "Sharpest", "Part", "Sawn", "From"});
    for (const UnitCount& count : report.counts) {
        std::vector<int> from(count.cut.size());
        for (const SawnPiece& sawn : count.nesting.pieces)
            from[static_cast<size_t>(sawn.piece)] = sawn.unit + 1;
        for (size_t i = 0; i < count.cut.size(); ++i) {
            const CutUnit& cut = count.cut[i];
            table.add(
                {fmt::format("{} {}", areaName(model, count.area), i + 1), sizeText(count, show),
                 fmt::format("{} x {}", formatThickness(cut.length, show), formatThickness(cut.width, show)),
                 formatThickness(cut.leastWidth, show), fmt::format("{:.0f}°", cut.smallestAngle / degree),
                 fmt::format("{:.0f} %", 100 * cut.part), formatLength(cut.sawn, show),
                 fmt::format("{}", from[i])});
        }
    }
    return table.empty() ? "" : '\n' + table.text();
}

std::string numbersText(const LaidNumbers& n) {
    const std::string out = fmt::format("{} whole, {} cut, {} of them slivers", n.whole, n.cut, n.slivers);
    if (n.cut == 0) return out;
    if (n.smallestPart < 0.01) return out + ", the smallest less than 1 % of a unit";
    return out + fmt::format(", the smallest {:.0f} % of a unit", 100 * n.smallestPart);
}

std::string startText(const Model& model, int area, const StartLine& line) {
    const LengthFormat& show = model.plan.show;
    if (line.tried == 0)
        return fmt::format("\nStart line of \"{}\": nothing is cut, leave it.\n", areaName(model, area));
    const std::string head = fmt::format("\nStart line of \"{}\" ({} ways tried)\n  now:   {}\n",
                                         areaName(model, area), line.tried, numbersText(line.before));
    if (line.after.slivers == line.before.slivers && line.after.cut == line.before.cut && line.shift.x == 0 &&
        line.shift.y == 0)
        return head + "  Leave it where it is: no better start was found.\n";
    std::string out = head + fmt::format("  then:  {}\n", numbersText(line.after));
    out += fmt::format("  Move the pattern {} along the rows and {} across{}.\n",
                       formatLength(line.shift.x, show), formatLength(line.shift.y, show),
                       line.exact ? "" : ", the best of those tried");
    return out + fmt::format("  In the plan, in the units of this area: {}\n", line.planText);
}

std::string asText(const Model& model, const UnitsReport& report, const StartLines& starts, bool withPieces) {
    std::string out = model.plan.title + '\n';
    if (report.counts.empty()) return out + "The plan lays out no units: give an area `units`.\n";
    out += '\n' + countTable(model, report) + '\n' + nestingNote(model, report);
    if (withPieces) out += pieceTable(model, report);
    out += '\n' + jointTable(model, report);
    for (const std::string& caution : report.cautions) out += '\n' + caution;
    if (!report.cautions.empty()) out += '\n';
    for (const auto& [area, line] : starts) out += startText(model, area, line);
    return out;
}

Opened<StartLines> searchStarts(const Model& model, const Catalogue& catalogue, const UnitsOptions& options) {
    StartLines out;
    if (!options.startLine) return out;
    const StartLineWish wish{options.symmetrical, options.turn * degree, options.turnStep * degree};
    const Progress progress("Looking for the best start line");
    for (size_t i = 0; i < model.plan.areas.size(); ++i) {
        if (!model.plan.areas[i].units) continue;
        auto line = startLine(model, catalogue, static_cast<int>(i), wish);
        if (line)
            out.emplace_back(static_cast<int>(i), std::move(*line));
        else
            complain(fmt::format("No start line for \"{}\": {}", model.plan.areas[i].name, line.error()));
    }
    return out;
}

ExitCode unitsOf(const UnitsOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const Catalogue catalogue = loadCatalogue(model->plan);
    const UnitsReport report = unitsReport(*model, catalogue);
    const auto starts = searchStarts(*model, catalogue, options);
    if (!starts) return starts.error();
    const ExitCode code = writeIfAsked(options.csv, [&] { return unitsCsv(*model, report); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? unitsJson(*model, report, *starts)
                       : asText(*model, report, *starts, options.pieces));
    return ExitCode::Fine;
}

}  // namespace

void addUnits(CLI::App& app, Action& chosen) {
    CLI::App* verb = nullptr;
    const auto options = addVerb<UnitsOptions>(
        app, chosen, "units", "Counts units, nests the cut ones, and looks for the best start line",
        "underfoot units scenes/courtyard.toml --start-line", unitsOf, verb);
    verb->add_flag("--pieces", options->pieces, "List every cut piece");
    auto* start = verb->add_flag("--start-line", options->startLine,
                                 "Look for the start that leaves the fewest slivers and cuts");
    verb->add_flag("--symmetrical", options->symmetrical, "Only starts with the same cuts at opposite sides")
        ->needs(start);
    auto* turn =
        verb->add_option("--turn", options->turn, "Turn the rows too, up to so many degrees to either side")
            ->check(CLI::Range(0.0, 90.0))
            ->needs(start);
    verb->add_option("--turn-step", options->turnStep, "Degrees between two angles tried")
        ->check(CLI::Range(0.1, 90.0))
        ->needs(turn);
    verb->add_option("--csv", options->csv, "Write the cut pieces to this file too");
    verb->add_flag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
