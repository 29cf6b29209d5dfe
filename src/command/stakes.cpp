// stakes: where to set stakes, what to mark on them, strings between places, and screed rails.

#include "study/stakes.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "command/places.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "ground/tolerance.h"
#include "measure/slope.h"
#include "share/stakes_tables.h"

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
    std::string csv;
    bool json = false;
};

std::string place(const Model& model, glm::dvec2 local) {
    const glm::dvec2 so = model.stationOffset(local);
    return fmt::format("station {}, offset {}", formatStation(so.x, model.plan.show),
                       formatLength(so.y, model.plan.show));
}

/// Layers under any stake but for the one whose top is the finish, so that each stands above those it lies
/// on, also where build-ups differ from stake to stake.
std::vector<LayerId> layersBelow(const std::vector<Stake>& set) {
    std::vector<LayerId> layers;
    for (const Stake& stake : set) {
        auto next = layers.end();
        for (size_t i = stake.layers.size(); i-- > 1;) {
            const LayerId layer = stake.layers[i].layer;
            if (layer == stake.layers[0].layer) continue;
            const auto known = std::find(layers.begin(), layers.end(), layer);
            next = known != layers.end() ? known : layers.insert(next, layer);
        }
    }
    return layers;
}

/// From the string down to a layer's top; empty where it is not under the stake.
std::string downTo(const Stake& stake, LayerId layer, const LengthFormat& show) {
    for (const StakeLayer& one : stake.layers)
        if (one.layer == layer) return formatThickness(one.down, show);
    return "";
}

std::string stakesTable(const Model& model, const std::vector<Stake>& set) {
    const LengthFormat& show = model.plan.show;
    const auto layers = layersBelow(set);
    std::vector<std::string> heads{"No.",      "Station",   "Offset", "Ground",
                                   "Cut/fill", "Formation", "Finish", "String"};
    for (const LayerId layer : layers) heads.push_back("to " + model.layers[static_cast<size_t>(layer)].name);
    heads.insert(heads.end(), {"to formation", "Stake"});
    Table table(heads, heads.size() - 1);
    for (size_t i = 0; i < set.size(); ++i) {
        const Stake& stake = set[i];
        std::vector<std::string> row{fmt::format("{}", i + 1),         formatStation(stake.station, show),
                                     formatLength(stake.offset, show), formatLength(stake.ground, show),
                                     cutOrFill(stake.cut(), show),     formatLength(stake.formation, show),
                                     formatLength(stake.finish, show), formatLength(stake.string, show)};
        for (const LayerId layer : layers) row.push_back(downTo(stake, layer, show));
        row.insert(row.end(), {formatThickness(stake.down(), show), stake.name});
        table.add(std::move(row));
    }
    const char* unit = show.style == LengthStyle::Metres ? "metres" : "feet";
    return table.text() +
           fmt::format(
               "Cut (C) or fill (F) in {} from the ground as it is, sod and all, to the formation. \"to\" a "
               "layer is the measure down from the string to its top.\n",
               unit);
}

std::string rodTable(const Model& model, const std::vector<Stake>& set, double instrument) {
    const LengthFormat& show = model.plan.show;
    LengthFormat rod = show;  // rods are read in decimals
    if (rod.style == LengthStyle::FeetInches) rod.style = LengthStyle::DecimalFeet;
    bool hidden = false;
    const auto reading = [&](double height) {
        hidden = hidden || rodAt(instrument, height) < 0;
        return formatLength(rodAt(instrument, height), rod);
    };
    const auto layers = layersBelow(set);
    std::vector<std::string> heads{"Rod, No.", "on the ground", "finish"};
    for (const LayerId layer : layers) heads.push_back(model.layers[static_cast<size_t>(layer)].name);
    heads.insert(heads.end(), {"formation", "Cut/fill"});
    Table table(heads);
    for (size_t i = 0; i < set.size(); ++i) {
        std::vector<std::string> row{fmt::format("{}", i + 1), reading(set[i].ground),
                                     reading(set[i].finish)};
        for (const LayerId layer : layers) {
            const auto& all = set[i].layers;
            const auto one =
                std::find_if(all.begin(), all.end(), [&](const StakeLayer& l) { return l.layer == layer; });
            row.push_back(one == all.end() ? "" : reading(one->top));
        }
        row.insert(row.end(), {reading(set[i].formation), cutOrFill(set[i].cut(), show)});
        table.add(std::move(row));
    }
    std::string text = fmt::format(
        "Line of sight at {}. A reading with the rod on the top wanted; cut or fill is the "
        "formation's reading less the ground's.\n",
        formatLength(instrument, rod));
    if (hidden) text += "A reading below 0 lies above the line of sight: set the level up higher.\n";
    return table.text() + text;
}

std::string stringsText(const Model& model, const std::vector<StringRun>& runs) {
    const LengthFormat& show = model.plan.show;
    std::string text;
    for (const StringRun& run : runs) {
        text += fmt::format("String from {} at {} to {} at {}, {} long.\n", place(model, run.from),
                            formatLength(run.fromHeight, show), place(model, run.to),
                            formatLength(run.toHeight, show), formatLength(run.length, show));
        text +=
            std::abs(run.fall()) <= tolerance::lengthCompare
                ? std::string("It is level.\n")
                : fmt::format("Tie it level at the start, then {} the far end by {}: {}.\n",
                              run.fall() > 0 ? "lower" : "raise", formatThickness(std::abs(run.fall()), show),
                              formatSlope(std::abs(run.fall()) / run.length, show));
        if (std::abs(run.off) > tolerance::lengthCompare)
            text += fmt::format(
                "The finish bends along it: it lies {} {} the string at {}. Set a stake there and run "
                "two strings.\n",
                formatThickness(std::abs(run.off), show), run.off > 0 ? "above" : "below",
                place(model, run.offAt));
    }
    return text;
}

/// Least and greatest, or the one number where both read the same.
std::string range(double least, double greatest, const LengthFormat& show) {
    const std::string a = formatThickness(least, show), b = formatThickness(greatest, show);
    return a == b ? a : a + " to " + b;
}

std::string railsText(const Model& model, const ScreedRails& all) {
    const LengthFormat& show = model.plan.show;
    if (all.rails.empty()) return "There is no bedding to screed.\n";
    Table table({"Rail", "Length", "Station", "Offset", "Top", "Bed under it", "On the base, finish off by"});
    for (const Rail& rail : all.rails) {
        for (size_t i = 0; i < rail.points.size(); ++i) {
            const glm::dvec2 so = model.stationOffset(rail.points[i].at);
            const bool first = i == 0;
            const std::string& area = model.plan.areas[static_cast<size_t>(rail.area)].name;
            table.add({first ? fmt::format("{}, {}", area, rail.number) : "",
                       first ? formatLength(rail.length, show) : "", formatStation(so.x, show),
                       formatLength(so.y, show), formatLength(rail.points[i].height, show),
                       first ? range(rail.bedLeast, rail.bedGreatest, show) : "",
                       first ? range(rail.finishLow(), rail.finishHigh(), show) : ""});
        }
    }
    std::string text =
        table.text() +
        "Top is where the bed is struck off. Set to it, a rail leaves the bed under it as told; laid on "
        "the base with an even bed, it carries the base's errors to the finish, above (+) or below (-) "
        "its design.\n";
    for (const Bay& bay : all.bays) {
        text +=
            fmt::format("{}, rails {} to {}: {} apart.", model.plan.areas[static_cast<size_t>(bay.area)].name,
                        bay.rail, bay.rail + 1, formatLength(bay.width, show));
        if (std::abs(bay.bend) > tolerance::lengthCompare)
            text += fmt::format(" The bed's top lies {} {} a straight board at {}: lay a rail there too.",
                                formatThickness(std::abs(bay.bend), show), bay.bend > 0 ? "above" : "below",
                                place(model, bay.bendAt));
        text += '\n';
    }
    return text;
}

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
    if (!answer.stakes.empty()) text += '\n' + stakesTable(model, answer.stakes);
    if (!answer.stakes.empty() && answer.instrument)
        text += '\n' + rodTable(model, answer.stakes, *answer.instrument);
    if (!answer.strings.empty()) text += '\n' + stringsText(model, answer.strings);
    if (answer.rails) text += '\n' + railsText(model, *answer.rails);
    return text;
}

/// Heights to work to are those of the design: what was shot of the layers is left out, unless it is asked
/// for.
Opened<Model> openTargets(const Plan& plan, bool asPlaced) {
    if (asPlaced || plan.measuredTops.empty()) return openModel(plan);
    Plan designed = plan;
    designed.measuredTops.clear();
    return openModel(designed);
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
    const ExitCode code = writeIfAsked(options.csv, [&] { return stakesCsv(*model, *answer); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? stakesJson(*model, *answer) : asText(*model, *answer));
    return ExitCode::Fine;
}

}  // namespace

void addStakes(CLI::App& app, Action& chosen) {
    CLI::App* verb = nullptr;
    const auto options = addVerb<StakesOptions>(
        app, chosen, "stakes", "Stakes, strings and screed rails to set out by, with measures down",
        "underfoot stakes scenes/courtyard.toml --grid 5ft --above 6in", stakesOf, verb);
    verb->add_flag("--corners", options->corners,
                   "At the corners of all areas (also when nothing else is asked)");
    verb->add_option("--edges", options->edges, "At the corners and along the edges, so far apart");
    verb->add_option("--grid", options->grid, "On a grid of stations and offsets, so far apart");
    auto* cuts = verb->add_option("--along-cuts", options->cuts, "Along the plan's cuts, so far apart");
    verb->add_option("--cut", options->cut, "Of the cuts only this one")->needs(cuts);
    verb->add_option("--above", options->above,
                     "How far the strings stand above the finish; else not at all");
    verb->add_option("--strings", options->strings, "Strings from place to place: \"X,Y X,Y …\" in plan");
    auto* board = verb->add_option("--rails", options->board, "Screed rails for a board of this length");
    verb->add_flag("--across", options->across, "Run the rails along the baseline, not away from it")
        ->needs(board);
    auto* instrument = verb->add_option("--instrument", options->instrument,
                                        "Rod readings under a level whose line of sight is at this height");
    auto* mark =
        verb->add_option("--benchmark", options->benchmark, "The same, from a mark of this height …");
    auto* back = verb->add_option("--backsight", options->backsight, "… and the rod reading on it");
    mark->needs(back)->excludes(instrument);
    back->needs(mark);
    verb->add_flag("--as-placed", options->asPlaced,
                   "Layers as they were shot, not as designed (rails always are)");
    verb->add_option("--csv", options->csv, "Write the stakes to this file too");
    verb->add_flag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
