#include "command/app.h"

#include <cstdio>
#include <functional>

#include "command/command_line.h"
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

std::string footer() {
    return std::string(
               "Lengths are written as people write them: \"12 ft 6 1/2 in\", 3/8in, 3.81m, 38mm; a bare\n"
               "number counts in the plan's unit. Stations may be written 0+14.3.\n\n") +
           exitCodesHelp() + "\n\nExample:\n  underfoot check scenes/courtyard.toml\n";
}

}  // namespace

ExitCode runCommand(std::span<const std::string> arguments) {
    CommandLine line(
        "underfoot", version,
        "Builds the layers of a patio from its plan, cuts it, measures it, and shows what to look at.",
        footer());
    Action chosen;
    for (const AddVerb add :
         {addCheck, addSection, addThickness, addPlaced, addVolumes, addEarthwork, addCompare, addCautions,
          addStakes, addUnits, addTakeoff, addWater, addModel, addPicture, addView})
        add(line, chosen);

    std::string complaint;
    switch (line.read(arguments, complaint)) {
        case CommandLine::Read::Well:
            break;
        case CommandLine::Read::Answered:
            return finishOutput(ExitCode::Fine);
        case CommandLine::Read::Wrong:
            std::fprintf(stderr, "underfoot: %s\nTry underfoot --help.\n", complaint.c_str());
            return finishOutput(ExitCode::BadUsage);
    }
    return finishOutput(chosen());
}

}  // namespace underfoot::command
