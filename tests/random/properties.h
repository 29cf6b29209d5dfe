#pragma once
// What must hold of every plan. Each property says in one sentence what does not.

#include <functional>
#include <optional>
#include <span>
#include <string>

#include "plan/plan.h"

namespace underfoot::testing {

/// The first thing found wrong with a plan; nothing when all is well.
using Fault = std::optional<std::string>;

/// A plan that the model refuses (layers that take up twice between known surfaces, say) holds every
/// property but the first: see `isRefused`.
struct Property {
    const char* name;
    /// Of so many plans one is tried: dear properties are tried on fewer.
    int part;
    std::function<Fault(const Plan&)> fault;
};
std::span<const Property> properties();

/// Whether no model can be made of the plan.
bool isRefused(const Plan& plan);

}  // namespace underfoot::testing
