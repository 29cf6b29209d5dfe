#pragma once
// Units, edging and spikes set on the solved stack.

#include "model/groundwork.h"
#include "model/model.h"

namespace underfoot {

/// Lays out the units and edging of every plot and sets them: each unit as a rigid body on the plane that
/// fits the top of its layer best under it, edging at its depth below the designed finish.
void addFittings(const Groundwork& work, Model& model);

/// Sets what was laid out on stacks whose heights were moved.
void setFittings(const Groundwork& work, Model& model);

}  // namespace underfoot
