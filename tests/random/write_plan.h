#pragma once
// A plan as the text of a plan file, so that a plan drawn by lot can be kept and read again. Written are what
// random plans have: no units, edging, pipes, fixed things or cuts.

#include <string>

#include "plan/plan.h"

namespace underfoot::testing {

/// Metres throughout, every number with all its digits: read back, it is the same plan to the last bit.
std::string planText(const Plan& plan);

}  // namespace underfoot::testing
