// units: how many units, whole and cut, what is sawn from what, joints, weights, and where to start.

#include <memory>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/units_tables.h"
#include "study/start_line.h"
#include "study/units.h"

namespace underfoot::command {

namespace {

constexpr double degree = std::numbers::pi / 180;

struct UnitsOptions {
    std::string plan;
    std::string csv;
    bool json = false;
    bool pieces = false, rows = false, cuts = false;
    std::string rowsCsv;
    bool startLine = false;
    bool symmetrical = false;
    double turn = 0;
    double turnStep = 1;
};

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
    ExitCode code = writeIfAsked(options.csv, [&] { return unitsCsv(*model, report); });
    if (code == ExitCode::Fine) code = writeIfAsked(options.rowsCsv, [&] { return unitRowsCsv(*model); });
    if (code != ExitCode::Fine) return code;
    print(options.json
              ? unitsJson(*model, report, *starts)
              : model->plan.title + '\n' +
                    textOf(unitsPage(*model, report, *starts, {options.pieces, options.rows, options.cuts})));
    return ExitCode::Fine;
}

}  // namespace

void addUnits(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<UnitsOptions>(
        line, chosen, "units", "Counts units, nests the cut ones, and looks for the best start line",
        "underfoot units scenes/courtyard.toml --start-line", unitsOf, verb);
    verb.addFlag("--pieces", options->pieces, "List every cut piece");
    verb.addFlag("--rows", options->rows, "List every row: where to snap its line, units in it, end pieces");
    verb.addFlag("--cuts", options->cuts, "List where each saw cut is marked on its unit");
    verb.addOption("--rows-csv", options->rowsCsv, "Write the rows to this file too");
    Option start = verb.addFlag("--start-line", options->startLine,
                                "Look for the start that leaves the fewest slivers and cuts");
    verb.addFlag("--symmetrical", options->symmetrical, "Only starts with the same cuts at opposite sides")
        .needs(start);
    Option turn =
        verb.addOption("--turn", options->turn, "Turn the rows too, up to so many degrees to either side")
            .within(0.0, 90.0)
            .needs(start);
    verb.addOption("--turn-step", options->turnStep, "Degrees between two angles tried")
        .within(0.1, 90.0)
        .needs(turn);
    verb.addOption("--csv", options->csv, "Write the cut pieces to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
