#pragma once
// Writing other heights into a plan's text: levels of the finish, and shots. Nothing else of the file
// changes.

#include <string>
#include <string_view>
#include <vector>

#include "measure/diagnostic.h"
#include "plan/plan.h"

namespace underfoot {

/// A height that stands in the plan and what it becomes, in metres.
struct HeightChange {
    enum class Of {
        FinishLevel,  ///< list: the finish; item: its spot where it has spots, else its plane
        GroundShot,   ///< item: the shot
        MeasuredShot  ///< list: the measured top; item: its shot
    };
    Of of = Of::FinishLevel;
    int list = 0;
    int item = 0;
    double height = 0;
};

/// Whether a plan may hold a height.
bool isHeight(double metres);

/// The text of `plan`'s own file with other heights: comments, order, spacing and all other values stay, byte
/// for byte. A height is written as the old one was: as a text with feet and inches where those read back as
/// the height to within a thousandth of a millimetre (else in decimals of a foot), in metres or millimetres,
/// or as a number in the plan's unit; with at least as many decimals as the old one.
///
/// A shot that was read on a rod, or measured down from a string, keeps its set-up: the reading or measure
/// gets smaller by as much as the shot is raised.
///
/// A sentence, and no text, where the file no longer holds the old heights, or where what would be written
/// does not read back as the plan with the new ones; and for shots of point files. It says what to change by
/// hand then.
Result<std::string> withHeights(const Plan& plan, std::string_view text,
                                const std::vector<HeightChange>& changes);

}  // namespace underfoot
