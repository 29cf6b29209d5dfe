// takeoff: what to buy, what it weighs, how it comes, what it costs, and where each number comes from.

#include <memory>
#include <optional>
#include <string>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/takeoff_sheet.h"
#include "share/takeoff_tables.h"
#include "study/takeoff.h"

namespace underfoot::command {

namespace {

struct TakeoffOptions {
    std::string plan;
    std::string csv, xlsx, why;
    bool json = false;
};

ExitCode explain(const Model& model, const Takeoff& answer, const std::string& item) {
    const auto page = whyPage(answer, item);
    if (!page)
        return badUsage(fmt::format("There is no item \"{}\". The items are: {}.", item, itemNames(answer)));
    print(model.plan.title + '\n' + textOf(*page));
    return ExitCode::Fine;
}

ExitCode writeSheet(const Model& model, const Takeoff& answer, const std::string& file) {
    const auto bytes = takeoffSheet(model, answer);
    if (bytes) return writeAnswer(file, *bytes);
    complain(bytes.error().what + ' ' + bytes.error().remedy);
    return ExitCode::CannotWrite;
}

ExitCode takeoffOf(const TakeoffOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const Takeoff answer = takeoff(*model, loadCatalogue(model->plan));
    const ExitCode code = writeIfAsked(options.csv, [&] { return takeoffCsv(answer); });
    if (code != ExitCode::Fine) return code;
    if (!options.xlsx.empty()) {
        const ExitCode written = writeSheet(*model, answer, options.xlsx);
        if (written != ExitCode::Fine) return written;
    }
    if (!options.why.empty() && !options.json) return explain(*model, answer, options.why);
    print(options.json ? takeoffJson(*model, answer)
                       : model->plan.title + '\n' + textOf(takeoffPage(*model, answer)));
    return ExitCode::Fine;
}

}  // namespace

void addTakeoff(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<TakeoffOptions>(
        line, chosen, "takeoff", "What to buy, what it weighs, how it comes and what it costs",
        "underfoot takeoff scenes/courtyard.toml --why \"base stone\"", takeoffOf, verb);
    verb.addOption("--why", options->why, "Say where an item's numbers come from; \"all\" for every item");
    verb.addOption("--csv", options->csv, "Write the items to this file too");
    verb.addOption("--xlsx", options->xlsx, "Write a spreadsheet that counts again when a cell is changed");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
