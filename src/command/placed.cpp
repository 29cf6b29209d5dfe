// placed: work as placed against work as planned.

#include <memory>
#include <string>

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
#include "share/placed_tables.h"
#include "study/placed.h"

namespace underfoot::command {

namespace {

struct PlacedOptions {
    std::string plan;
    std::string csv;
    bool json = false;
};

ExitCode placedOf(const PlacedOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const Placed all = placed(*model, loadCatalogue(model->plan));
    const ExitCode code = writeIfAsked(options.csv, [&] { return placedCsv(*model, all); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? placedJson(*model, all)
                       : model->plan.title + '\n' + textOf(placedPage(*model, all)));
    return ExitCode::Fine;
}

}  // namespace

void addPlaced(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options =
        addVerb<PlacedOptions>(line, chosen, "placed",
                               "Compares shot tops with the plan, foretells the finish, says what to correct",
                               "underfoot placed scenes/courtyard.toml", placedOf, verb);
    verb.addOption("--csv", options->csv, "Write the patches to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
