// water: how a surface falls, where water stands and where it leaves, and the pipes.

#include <memory>
#include <optional>
#include <string>
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
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/water_tables.h"
#include "study/drains.h"
#include "study/water.h"
#include "study/water_surface.h"

namespace underfoot::command {

namespace {

struct WaterOptions {
    std::string plan;
    std::string on = "finish";
    std::vector<std::string> drains;
    std::string from;
    std::string csv;
    bool json = false;
};

std::optional<WaterOn> surfaceNamed(const std::string& name) {
    for (const WaterOn which :
         {WaterOn::Finish, WaterOn::DesignedFinish, WaterOn::Formation, WaterOn::Ground})
        if (name == waterOnName(which)) return which;
    if (name == "design") return WaterOn::DesignedFinish;
    return std::nullopt;
}

ExitCode water(const WaterOptions& options) {
    const auto which = surfaceNamed(options.on);
    if (!which) return badUsage("--on takes finish, design, formation or ground.");
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    std::vector<glm::dvec2> inlets;
    for (const std::string& text : options.drains) {
        const auto at = readStationOffset(text, model->plan);
        if (!at) return badUsage(at.error());
        inlets.push_back(model->toLocal(*at));
    }
    std::optional<glm::dvec2> from;
    if (!options.from.empty()) {
        const auto at = readStationOffset(options.from, model->plan);
        if (!at) return badUsage(at.error());
        from = model->toLocal(*at);
    }
    WaterAnswer answer{waterReport(*model, loadCatalogue(model->plan), *which, inlets, from),
                       pipeReports(*model)};
    if (answer.report.inlets.size() < inlets.size())
        return nothingThere("A drain was asked for where this surface does not reach.");
    if (from && !answer.report.path)
        return nothingThere("This surface does not reach to where the water was to start.");
    const ExitCode code = writeIfAsked(options.csv, [&] { return waterCsv(*model, answer.report); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? waterJson(*model, answer)
                       : model->plan.title + '\n' + textOf(waterPage(*model, answer)));
    return ExitCode::Fine;
}

}  // namespace

void addWater(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<WaterOptions>(
        line, chosen, "water", "How a surface falls, where water stands and leaves, and how the pipes lie",
        "underfoot water scenes/courtyard.toml --from 14,5", water, verb);
    verb.addOption("--on", options->on, "finish (as it comes out), design, formation or ground");
    verb.addOption("--drain", options->drains, "STATION,OFFSET of a drain to try; may be given again");
    verb.addOption("--from", options->from, "STATION,OFFSET: follow the water from there");
    verb.addOption("--csv", options->csv, "Write pieces, ponds and edges to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
