#pragma once
// What if: the finish raised or lowered as a whole, shown before anything is written. Nothing here draws.

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

/// The edits that put a finish of a plan so far above its own levels.
std::vector<HeightEdit> raiseEdits(const Plan& plan, int finish, double by);

/// Wants a finish so far above where its plan has it, in whole steps. Another finish that was moved goes
/// back first. The model follows when WindowState::moveWanted was seen to. `held`: more will follow at once,
/// until settleRaise.
void raiseFinish(WindowState& state, int finish, double by, bool held = false);
void settleRaise(WindowState& state);
/// The plan as it is in the file again.
void dropRaise(WindowState& state, double now);
/// Takes in what a move came to. Faults are told in WindowState::notice, and the last model stays.
void receiveMoved(WindowState& state, Moved moved);
/// Asks for the moved levels to be written into the plan's file, when the model shows them.
void saveRaise(WindowState& state);

/// Writes the raised levels into the plan's own file: all of it or nothing. Nothing else of the file changes
/// (plan/finish_levels.h).
Result<void> writeRaise(const std::filesystem::path& planFile, const Plan& plan, int finish, double by);

}  // namespace underfoot
