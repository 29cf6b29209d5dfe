#pragma once
// A check run in a process of its own, so that one that aborts, hangs or eats all memory is a fault like any
// other.

#include <functional>
#include <optional>
#include <string>

namespace underfoot::testing {

/// What `check` answers, or how it ended instead of answering. Gives up after `seconds`.
std::optional<std::string> inChild(const std::function<std::optional<std::string>()>& check,
                                   unsigned seconds);

}  // namespace underfoot::testing
