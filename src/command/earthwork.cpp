// earthwork: what is dug, filled and hauled, where cut changes to fill, the lifts, and volumes by end areas.

#include <memory>
#include <optional>
#include <string>
#include <utility>

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
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/earthwork_tables.h"
#include "study/earthwork.h"
#include "study/end_areas.h"

namespace underfoot::command {

namespace {

struct EarthworkOptions {
    std::string plan;
    std::string every;
    std::string from, to;
    std::string csv, linesCsv, areasCsv;
    bool json = false;
};

Opened<std::optional<double>> readOptional(const std::string& text, const Plan& plan) {
    if (text.empty()) return std::optional<double>();
    const auto station = readStation(text, plan);
    if (!station) return tl::unexpected(badUsage(station.error()));
    return std::optional<double>(*station);
}

Opened<std::optional<EndAreas>> openAreas(const Model& model, const EarthworkOptions& options) {
    if (options.every.empty()) return std::optional<EndAreas>();
    const auto interval = readLength(options.every, model.plan);
    if (!interval) return tl::unexpected(badUsage(interval.error()));
    const auto from = readOptional(options.from, model.plan), to = readOptional(options.to, model.plan);
    if (!from) return tl::unexpected(from.error());
    if (!to) return tl::unexpected(to.error());
    auto areas = endAreas(model, *interval, *from, *to);
    if (!areas) return tl::unexpected(badUsage(areas.error()));
    return std::optional<EndAreas>(std::move(*areas));
}

ExitCode earthwork(const EarthworkOptions& options) {
    if (options.every.empty() && !options.areasCsv.empty())
        return badUsage("Say how far the stations are apart: --every 5ft.");
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const Catalogue catalogue = loadCatalogue(model->plan);
    auto areas = openAreas(*model, options);
    if (!areas) return areas.error();
    const EarthworkAnswer answer{earthBalance(*model, catalogue), cutToFillLines(*model),
                                 liftsToPlace(*model, catalogue), std::move(*areas)};
    ExitCode code = writeIfAsked(options.csv, [&] { return earthworkCsv(*model, answer); });
    if (code == ExitCode::Fine)
        code = writeIfAsked(options.linesCsv, [&] { return linesCsv(*model, answer); });
    if (code == ExitCode::Fine)
        code = writeIfAsked(options.areasCsv, [&] { return endAreasCsv(*model, *answer.endAreas); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? earthworkJson(*model, answer)
                       : model->plan.title + "\n\n" + textOf(earthworkPage(*model, answer)));
    return ExitCode::Fine;
}

}  // namespace

void addEarthwork(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<EarthworkOptions>(
        line, chosen, "earthwork",
        "What to dig, fill and haul, where cut changes to fill, and the lifts to place",
        "underfoot earthwork scenes/courtyard.toml --every 5ft", earthwork, verb);
    Option every = verb.addOption("--every", options->every,
                                  "Volumes by average end areas too, from sections so far apart");
    verb.addOption("--from", options->from, "First of these stations; else where the earthwork begins")
        .needs(every);
    verb.addOption("--to", options->to, "Last of these stations; else where the earthwork ends").needs(every);
    verb.addOption("--csv", options->csv, "Write the amounts and the lifts to this file too");
    verb.addOption("--lines-csv", options->linesCsv,
                   "Write the lines where cut changes to fill, and the outlines of the lifts, to this file");
    verb.addOption("--areas-csv", options->areasCsv, "Write the end areas to this file");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
