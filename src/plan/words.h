#pragma once
// The words of the plan file, and the nearest one to a slip of the pen.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/plan.h"

namespace underfoot {

/// The known word nearest to `word`: least number of letters changed, added, dropped or swapped, blind to
/// case. Nothing when all are too far to be meant (more than a third of the letters, at least 2).
std::optional<std::string> nearestWord(std::string_view word, const std::vector<std::string>& known);

/// "Did you mean "x"?" for the nearest word, else the list of all known words: "Known are "a", "b" and "c".".
std::string suggestion(std::string_view word, const std::vector<std::string>& known);

/// "a", "b" and "c", each in quotes.
std::string listed(const std::vector<std::string>& words);

std::optional<Role> roleFromName(std::string_view name);
/// The roles that a plan may write.
std::vector<std::string> roleNames();

std::optional<Pattern> patternFromName(std::string_view name);
std::vector<std::string> patternNames();

}  // namespace underfoot
