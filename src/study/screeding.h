#pragma once
// The two ways of screeding a bed over a layer.

#include <optional>
#include <string>

#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

enum class Screeding {
    ToStrings,  ///< rails set to the strings: the finish holds, the bed takes up
    OnBase      ///< rails laid on the measured top: the bed is even, errors show in the finish
};

/// The plan with one way of screeding over a layer: in every build-up that has the layer and bedding above
/// it, of the layers above only the bedding takes up, or none does. Nothing where no build-up has such a bed.
std::optional<Plan> screeded(const Plan& plan, const std::string& layer, Screeding way);

/// The bedding above a layer in a build-up; null without both.
const Layer* bedAbove(const BuildUp& buildUp, const std::string& layer);

/// The model of a plan as `screeded` makes it, from that of the plan as it was: heights over the layer are
/// moved on the same cells where that is exact, which it is unless the bed would run out. `points`, units and
/// edging are left as they were then; else all is built anew. Nothing where the plan makes no model.
std::optional<Model> screededModel(const Model& model, const Plan& plan, const std::string& layer);

}  // namespace underfoot
