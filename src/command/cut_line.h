#pragma once
// Where to cut, as the verbs that cut take it.

#include <string>

#include "command/command_line.h"
#include "command/session.h"
#include "model/model.h"
#include "study/section.h"

namespace underfoot::command {

/// At most one of these is given.
struct CutChoice {
    std::string station;
    std::string along;
    std::string cut;  ///< name of a cut of the plan
    bool given() const { return !station.empty() || !along.empty() || !cut.empty(); }
};

/// Adds --station, --along and --cut.
void addCutOptions(Verb& verb, CutChoice& choice);

/// What was chosen, as a section of the model and the words for it: "Section A", "Section at station 0+14.0".
struct ChosenCut {
    Section section;
    std::string title;
};
/// Complains when the choice cannot be read, names no cut of the plan, or lies outside the model. With
/// nothing chosen: the plan's first cut, and a complaint when it has none.
Opened<ChosenCut> chooseCut(const Model& model, const CutChoice& choice);

}  // namespace underfoot::command
