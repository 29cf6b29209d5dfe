#pragma once
// What if: the finish raised or lowered as a whole, or single shots, shown before anything is written.
// Nothing here draws.

#include <filesystem>
#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "model/rebuild.h"
#include "plan/plan.h"
#include "window/plan_worker.h"
#include "window/window_state.h"

namespace underfoot {

/// Index of the finish that the strings show at a place; nothing outside the areas.
std::optional<int> finishAt(const Model& model, glm::dvec2 place);
/// Height of the designed finish at a place; nothing outside the areas.
std::optional<double> finishHeightAt(const Model& model, glm::dvec2 place);
/// The least that heights are moved by: the smallest fraction of an inch shown, a hundredth of a foot, 1 mm.
double raiseStep(const Model& model);
/// Farthest that a finish is raised or lowered: 2 ft or 0.6 m.
double raiseMost(const Model& model);

/// The shot's record in a plan; not for a finish.
const Shot& shotOf(const Plan& plan, const Movable& shot);
/// How far something is raised above where the plan has it; negative: lowered.
double raisedBy(const WindowState& state, const Movable& what);
bool anythingRaised(const WindowState& state);
/// The plan as the file has it, whatever is raised.
const Plan& plannedOf(const WindowState& state);

/// The edits that put something of a plan so far above where the plan has it.
std::vector<HeightEdit> raiseEdits(const Plan& plan, const Movable& what, double by);

/// Wants something so far above where its plan has it, and all else as it is. The model follows when
/// WindowState::moveWanted was seen to. `held`: more will follow at once, until settleRaise; all of it is one
/// step to undo.
void raiseBy(WindowState& state, const Movable& what, double by, bool held = false);
/// The same for a finish, in whole steps and no farther than raiseMost.
void raiseFinish(WindowState& state, int finish, double by, bool held = false);
void settleRaise(WindowState& state);
/// All as the file has it again; one step to undo.
void dropRaise(WindowState& state);
/// One step back, or on again; false where there is none.
bool undoRaise(WindowState& state);
bool redoRaise(WindowState& state);
/// Takes in what a move came to. Faults are told in WindowState::notice, and the last model stays.
void receiveMoved(WindowState& state, Moved moved);
/// Asks for the moved heights to be written into the plan's file, when the model shows them.
void saveRaise(WindowState& state);

/// Writes the raised heights into the plan's own file: all of them or nothing. Nothing else of the file
/// changes (plan/written_heights.h).
Result<void> writeRaise(const std::filesystem::path& planFile, const Plan& plan,
                        const std::vector<Raised>& all);

}  // namespace underfoot
