// stakes: where to set stakes, what to mark on them, strings between places, and screed rails.

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/places.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/stakes_tables.h"
#include "study/stakes.h"

namespace underfoot::command {

namespace {

struct StakesOptions {
    std::string plan;
    std::string edges, grid, cuts;
    bool corners = false;
    std::string cut;
    std::string above;
    std::string strings;
    std::string board;
    bool across = false;
    bool asPlaced = false;
    std::string instrument, benchmark, backsight;
    std::string csv, print;
    bool json = false;
};

// ---------------------------------------------------------------- what was asked

template <class T>
Opened<T> orComplaint(Sentence<T> answer) {
    if (!answer) return tl::unexpected(badUsage(answer.error()));
    return std::move(*answer);
}

Opened<double> lengthOf(const std::string& text, const Plan& plan) {
    return orComplaint(Sentence<double>(readLength(text, plan)));
}

/// Adds the points that `find` makes at the interval asked for; nothing where none was.
template <class Find>
ExitCode addPoints(const std::string& interval, const Plan& plan, Find find,
                   std::vector<StakePoint>& points) {
    if (interval.empty()) return ExitCode::Fine;
    const auto step = lengthOf(interval, plan);
    if (!step) return step.error();
    const auto found = orComplaint(Sentence<std::vector<StakePoint>>(find(*step)));
    if (!found) return found.error();
    points.insert(points.end(), found->begin(), found->end());
    return ExitCode::Fine;
}

Opened<std::vector<StakePoint>> choosePoints(const Model& model, const StakesOptions& options) {
    std::vector<StakePoint> points;
    const bool other = !options.edges.empty() || !options.grid.empty() || !options.cuts.empty() ||
                       !options.strings.empty() || !options.board.empty();
    if (options.corners || !other) points = cornerPoints(model);
    const Plan& plan = model.plan;
    ExitCode code = addPoints(
        options.edges, plan, [&](double step) { return edgePoints(model, step); }, points);
    if (code == ExitCode::Fine)
        code = addPoints(
            options.grid, plan, [&](double step) { return gridPoints(model, step); }, points);
    if (code == ExitCode::Fine)
        code = addPoints(
            options.cuts, plan, [&](double step) { return cutPoints(model, step, options.cut); }, points);
    if (code != ExitCode::Fine) return tl::unexpected(code);
    return points;
}

Opened<std::optional<double>> instrumentOf(const Plan& plan, const StakesOptions& options) {
    if (!options.instrument.empty()) {
        const auto height = lengthOf(options.instrument, plan);
        if (!height) return tl::unexpected(height.error());
        return std::optional<double>(*height);
    }
    if (options.benchmark.empty()) return std::optional<double>();
    const auto mark = lengthOf(options.benchmark, plan), back = lengthOf(options.backsight, plan);
    if (!mark) return tl::unexpected(mark.error());
    if (!back) return tl::unexpected(back.error());
    return std::optional<double>(*mark + *back);
}

ExitCode addStrings(const Model& model, const std::string& line, double above, StakesAnswer& answer) {
    if (line.empty()) return ExitCode::Fine;
    const auto places = readLine(line, model.plan);
    if (!places) return badUsage(places.error());
    for (size_t i = 1; i < places->size(); ++i) {
        const auto run =
            stringRun(model, model.toLocal((*places)[i - 1]), model.toLocal((*places)[i]), above);
        if (!run) return nothingThere(run.error());
        answer.strings.push_back(*run);
    }
    return ExitCode::Fine;
}

Opened<StakesAnswer> answerOf(const Model& model, const StakesOptions& options) {
    double above = 0;
    if (!options.above.empty()) {
        const auto read = lengthOf(options.above, model.plan);
        if (!read) return tl::unexpected(read.error());
        above = *read;
    }
    const auto points = choosePoints(model, options);
    if (!points) return tl::unexpected(points.error());
    const auto instrument = instrumentOf(model.plan, options);
    if (!instrument) return tl::unexpected(instrument.error());
    StakesAnswer answer{stakes(model, *points, above), *instrument, {}, {}};
    const ExitCode code = addStrings(model, options.strings, above, answer);
    if (code != ExitCode::Fine) return tl::unexpected(code);
    return answer;
}

/// Rails lie on what was placed, so that they are told from the layers as shot.
ExitCode addRails(const Plan& plan, const StakesOptions& options, StakesAnswer& answer) {
    if (options.board.empty()) return ExitCode::Fine;
    const auto board = lengthOf(options.board, plan);
    if (!board) return board.error();
    const auto model = openModel(plan);
    if (!model) return model.error();
    auto rails = orComplaint(screedRails(*model, *board, options.across));
    if (!rails) return rails.error();
    answer.rails = std::move(*rails);
    return ExitCode::Fine;
}

std::string asText(const Model& model, const StakesAnswer& answer) {
    std::string text = model.plan.title + '\n';
    if (!model.plan.datum.empty()) text += model.plan.datum + '\n';
    return text + textOf(stakesPage(model, answer));
}

/// Heights to work to are those of the design: what was shot of the layers is left out, unless it is asked
/// for.
Opened<Model> openTargets(const Plan& plan, bool asPlaced) {
    if (asPlaced || plan.measuredTops.empty()) return openModel(plan);
    Plan designed = plan;
    designed.measuredTops.clear();
    return openModel(designed);
}

/// Sheets after the first get their number before the ending: "stakes.svg", "stakes-2.svg", …
ExitCode writeSheets(const Model& model, const std::vector<Stake>& set, const std::string& file) {
    if (file.empty()) return ExitCode::Fine;
    const std::filesystem::path first(file);
    const bool pdf = first.extension() == ".pdf";
    if (!pdf && first.extension() != ".svg")
        return badUsage("--print writes PDF or SVG: name a file that ends in .pdf or .svg.");
    if (set.empty()) return nothingThere("There is no stake to print.");
    if (pdf) return writeAnswer(file, stakesPdf(model, set));
    const auto sheets = stakesSheets(model, set);
    for (size_t i = 0; i < sheets.size(); ++i) {
        std::filesystem::path name = first;
        if (i > 0) name.replace_filename(first.stem().string() + "-" + std::to_string(i + 1) + ".svg");
        const ExitCode code = writeAnswer(name.string(), sheets[i]);
        if (code != ExitCode::Fine) return code;
    }
    return ExitCode::Fine;
}

ExitCode stakesOf(const StakesOptions& options) {
    const auto plan = openPlan(options.plan);
    if (!plan) return plan.error();
    const auto model = openTargets(*plan, options.asPlaced);
    if (!model) return model.error();
    auto answer = answerOf(*model, options);
    if (!answer) return answer.error();
    const ExitCode rails = addRails(*plan, options, *answer);
    if (rails != ExitCode::Fine) return rails;
    if (answer->stakes.empty() && answer->strings.empty() && !answer->rails)
        return nothingThere("No place asked for lies inside the areas.");
    ExitCode code = writeIfAsked(options.csv, [&] { return stakesCsv(*model, *answer); });
    if (code == ExitCode::Fine) code = writeSheets(*model, answer->stakes, options.print);
    if (code != ExitCode::Fine) return code;
    print(options.json ? stakesJson(*model, *answer) : asText(*model, *answer));
    return ExitCode::Fine;
}

}  // namespace

void addStakes(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<StakesOptions>(
        line, chosen, "stakes", "Stakes, strings and screed rails to set out by, with measures down",
        "underfoot stakes scenes/courtyard.toml --grid 5ft --above 6in", stakesOf, verb);
    verb.addFlag("--corners", options->corners,
                 "At the corners of all areas (also when nothing else is asked)");
    verb.addOption("--edges", options->edges, "At the corners and along the edges, so far apart");
    verb.addOption("--grid", options->grid, "On a grid of stations and offsets, so far apart");
    Option cuts = verb.addOption("--along-cuts", options->cuts, "Along the plan's cuts, so far apart");
    verb.addOption("--cut", options->cut, "Of the cuts only this one").needs(cuts);
    verb.addOption("--above", options->above, "How far the strings stand above the finish; else not at all");
    verb.addOption("--strings", options->strings, "Strings from place to place: \"X,Y X,Y …\" in plan");
    Option board = verb.addOption("--rails", options->board, "Screed rails for a board of this length");
    verb.addFlag("--across", options->across, "Run the rails along the baseline, not away from it")
        .needs(board);
    Option instrument = verb.addOption("--instrument", options->instrument,
                                       "Rod readings under a level whose line of sight is at this height");
    Option mark = verb.addOption("--benchmark", options->benchmark, "The same, from a mark of this height …");
    Option back = verb.addOption("--backsight", options->backsight, "… and the rod reading on it");
    mark.needs(back).excludes(instrument);
    back.needs(mark);
    verb.addFlag("--as-placed", options->asPlaced,
                 "Layers as they were shot, not as designed (rails always are)");
    verb.addOption("--print", options->print,
                   "Write sheets to print to this .pdf or .svg file: large letters, one line a stake");
    verb.addOption("--csv", options->csv, "Write the stakes to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
