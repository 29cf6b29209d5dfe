#pragma once
// How a verb enters the command line. Only for the verbs' own files.

#include <memory>
#include <string>

#include "command/command_line.h"
#include "command/verbs.h"

namespace underfoot::command {

/// A verb of the command line. `Options` has a member `plan`, the plan's file, which every verb takes first;
/// the returned options are filled when the line was read, and then `run` is chosen.
template <class Options>
std::shared_ptr<Options> addVerb(CommandLine& line, Action& chosen, const char* name, const char* does,
                                 const char* example, ExitCode (*run)(const Options&), Verb& verb) {
    auto options = std::make_shared<Options>();
    verb = line.addVerb(name, does, example,
                        [options, run, &chosen] { chosen = [options, run] { return run(*options); }; });
    verb.addOption("PLAN", options->plan, "The plan's file").required();
    return options;
}

}  // namespace underfoot::command
