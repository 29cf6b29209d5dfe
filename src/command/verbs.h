#pragma once
// The verbs, one file each. A verb registers its options with the parser and the action that carries it out;
// the action runs after the whole command line has been read.

#include <functional>

#include "command/exit_code.h"

namespace CLI {
class App;
}

namespace underfoot::command {

using Action = std::function<ExitCode()>;
/// Adds a verb to `app`; once the verb was named on the command line, `chosen` holds its action.
using AddVerb = void (*)(CLI::App& app, Action& chosen);

void addCheck(CLI::App& app, Action& chosen);
void addSection(CLI::App& app, Action& chosen);
void addThickness(CLI::App& app, Action& chosen);
void addPlaced(CLI::App& app, Action& chosen);
void addVolumes(CLI::App& app, Action& chosen);
void addEarthwork(CLI::App& app, Action& chosen);
void addUnits(CLI::App& app, Action& chosen);
void addWater(CLI::App& app, Action& chosen);
void addCautions(CLI::App& app, Action& chosen);
void addStakes(CLI::App& app, Action& chosen);
void addModel(CLI::App& app, Action& chosen);
void addPicture(CLI::App& app, Action& chosen);
void addView(CLI::App& app, Action& chosen);

}  // namespace underfoot::command
