#pragma once
// Writing other levels of the finish into a plan's text: nothing else of the file changes.

#include <string>
#include <string_view>
#include <vector>

#include "measure/diagnostic.h"
#include "plan/plan.h"

namespace underfoot {

/// A level of a finish and what it becomes, in metres.
struct LevelChange {
    int finish = 0;  ///< index into Plan::finishes
    int item = 0;    ///< its spot where it has spots, else its plane
    double level = 0;
};

/// The text of `plan`'s own file with other levels: comments, order, spacing and all other values stay, byte
/// for byte. A level is written as the old one was: as a text with feet and inches where those read back as
/// the level to within a thousandth of a millimetre (else in decimals of a foot), in metres or millimetres,
/// or as a number in the plan's unit.
///
/// A sentence, and no text, where the file no longer holds the old levels, or where what would be written
/// does not read back as the plan with the new ones.
Result<std::string> withLevels(const Plan& plan, std::string_view text,
                               const std::vector<LevelChange>& changes);

}  // namespace underfoot
