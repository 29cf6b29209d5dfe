#pragma once
// The verbs, one file each. A verb registers its options with the parser and the action that carries it out;
// the action runs after the whole command line has been read.

#include "command/command_line.h"

namespace underfoot::command {

/// Adds a verb to `line`; once the verb was named on the command line, `chosen` holds its action.
using AddVerb = void (*)(CommandLine& line, Action& chosen);

void addCheck(CommandLine& line, Action& chosen);
void addSection(CommandLine& line, Action& chosen);
void addThickness(CommandLine& line, Action& chosen);
void addPlaced(CommandLine& line, Action& chosen);
void addVolumes(CommandLine& line, Action& chosen);
void addEarthwork(CommandLine& line, Action& chosen);
void addUnits(CommandLine& line, Action& chosen);
void addTakeoff(CommandLine& line, Action& chosen);
void addWater(CommandLine& line, Action& chosen);
void addCompare(CommandLine& line, Action& chosen);
void addCautions(CommandLine& line, Action& chosen);
void addStakes(CommandLine& line, Action& chosen);
void addModel(CommandLine& line, Action& chosen);
void addPicture(CommandLine& line, Action& chosen);
void addView(CommandLine& line, Action& chosen);

}  // namespace underfoot::command
