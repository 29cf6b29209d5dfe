#pragma once
// How a verb enters the command line. Only for the verbs' own files.

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

#include "command/verbs.h"

namespace underfoot::command {

/// A verb of the command line. `Options` has a member `plan`, the plan's file, which every verb takes first;
/// the returned options are filled when the line was read, and then `run` is chosen.
template <class Options>
std::shared_ptr<Options> addVerb(CLI::App& app, Action& chosen, const char* name, const char* does,
                                 const char* example, ExitCode (*run)(const Options&), CLI::App*& verb) {
    auto options = std::make_shared<Options>();
    verb = app.add_subcommand(name, does);
    verb->footer(std::string("Example:\n  ") + example + "\n");
    verb->add_option("PLAN", options->plan, "The plan's file")->required();
    verb->callback([options, run, &chosen] { chosen = [options, run] { return run(*options); }; });
    return options;
}

}  // namespace underfoot::command
