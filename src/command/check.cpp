// check: what the builder should look at.

#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/session.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "share/csv.h"
#include "share/json.h"
#include "study/findings.h"
#include "study/notes.h"

namespace underfoot::command {

namespace {

struct CheckOptions {
    std::string plan;
    std::string csv;
    bool json = false;
};

std::string asText(const Finding& finding) {
    return fmt::format("{}\n  {}\n  Rule {}: {}\n", attention(finding.what), finding.remedy, finding.rule,
                       finding.source);
}

std::string asText(const std::vector<Finding>& all, const std::vector<std::string>& notes) {
    std::string out;
    for (const Finding& finding : all) out += asText(finding) + '\n';
    for (const std::string& note : notes) out += note + '\n';
    if (all.empty()) return out + "Nothing to look at.\n";
    return out + fmt::format("{} {} to look at.\n", all.size(), all.size() == 1 ? "thing" : "things");
}

ExitCode check(const CheckOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const auto all = findings(*model, loadCatalogue(model->plan));
    const ExitCode code = writeIfAsked(options.csv, [&] { return findingsCsv(*model, all); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? findingsJson(*model, all) : asText(all, notes(*model)));
    return all.empty() ? ExitCode::Fine : ExitCode::FindingsPresent;
}

}  // namespace

void addCheck(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options =
        addVerb<CheckOptions>(line, chosen, "check", "Lists what to look at before it is covered up",
                              "underfoot check scenes/courtyard.toml", check, verb);
    verb.addOption("--csv", options->csv, "Write the findings to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
