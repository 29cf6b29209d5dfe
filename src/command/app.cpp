#include "command/app.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>

#include "command/terminal.h"
#include "command/verbs.h"

namespace underfoot::command {

const char* exitCodesHelp() {
    return "Exit codes:\n"
           "  0   fine\n"
           "  1   check: there are findings\n"
           "  2   the command line asks for something that does not exist\n"
           "  3   the plan cannot be read, or is wrong\n"
           "  4   the answer could not be written\n"
           "  5   no graphics here\n"
           "  6   the place asked for lies outside the plan\n"
           "  70  a fault of the program itself";
}

namespace {

constexpr const char* version = "0.1.0";  // as in the top CMakeLists.txt; a test compares the two

void describe(CLI::App& app) {
    app.name("underfoot");
    app.set_version_flag("--version", std::string("underfoot ") + version);
    app.require_subcommand(1);
    app.footer(
        std::string(
            "Lengths are written as people write them: \"12 ft 6 1/2 in\", 3/8in, 3.81m, 38mm; a bare\n"
            "number counts in the plan's unit. Stations may be written 0+14.3.\n\n") +
        exitCodesHelp() + "\n\nExample:\n  underfoot check scenes/courtyard.toml\n");
}

ExitCode report(const CLI::App& app, const CLI::ParseError& error) {
    if (error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success)) {
        app.exit(error);  // --help and --version
        return ExitCode::Fine;
    }
    std::fprintf(stderr, "underfoot: %s\nTry underfoot --help.\n", error.what());
    return ExitCode::BadUsage;
}

}  // namespace

ExitCode runCommand(std::span<const std::string> arguments) {
    CLI::App app(
        "Builds the layers of a patio from its plan, cuts it, measures it, and shows what to look at.");
    describe(app);
    Action chosen;
    for (const AddVerb add : {addCheck, addSection, addThickness, addPlaced, addVolumes, addEarthwork,
                              addCautions, addStakes, addUnits, addWater, addModel, addPicture, addView})
        add(app, chosen);

    // The parser takes the arguments from the back.
    std::vector<std::string> reversed(arguments.begin() + (arguments.empty() ? 0 : 1), arguments.end());
    std::reverse(reversed.begin(), reversed.end());
    try {
        app.parse(std::move(reversed));
    } catch (const CLI::ParseError& error) {
        return finishOutput(report(app, error));
    }
    return finishOutput(chosen());
}

}  // namespace underfoot::command
