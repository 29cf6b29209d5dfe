#pragma once
// From a plan that fails to the smallest one found that still does.

#include <functional>

#include "plan/plan.h"

namespace underfoot::testing {

/// Leaves out areas, openings, layers, shots, measured tops, corners and settings one after the other, for as
/// long as `fails` says that what is left still fails. Asks at most `tries` times.
Plan shrunk(Plan plan, const std::function<bool(const Plan&)>& fails, int tries = 600);

}  // namespace underfoot::testing
