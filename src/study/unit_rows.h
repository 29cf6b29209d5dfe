#pragma once
// What to mark before units are laid and sawn: the line of each row, to be snapped between two marks, and
// where the saw cuts of each cut unit meet its own sides.
//
// Rows are those of stacks and running bonds, borders not counted; row 1 lies farthest against the way the
// pattern runs. The line of a row is the edge of its units on the side of the row before. It goes from where
// the first unit of the row begins to where its last one ends. Places are local.

#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "study/units.h"

namespace underfoot {

struct UnitRow {
    int area = -1;
    int number = 0;  ///< within the area, from 1
    glm::dvec2 from{0, 0}, to{0, 0};
    double length = 0;  ///< between them
    int units = 0;      ///< in the row, cut ones with them
    int cut = 0;
    /// How long the first and the last unit are along the row; a whole one as long as it is.
    double first = 0, last = 0;
    bool firstCut = false, lastCut = false;
};

/// Rows of every area with rows, area by area, in order. Areas laid in other patterns have none.
std::vector<UnitRow> unitRows(const Model& model);

/// Where a saw cut of a unit begins or ends, seen with the unit's longer side toward you.
struct CutMark {
    enum class Side { Near, Right, Far, Left, Inside };
    Side side = Side::Near;
    /// Along the near and far side from the left, along the left and right side from the near end; inside
    /// the unit (at a notch) `along` from the left and `in` from the near side.
    double along = 0;
    double in = 0;
};
struct CutLine {
    CutMark from, to;
    double length = 0;  ///< along the cut
    /// Of a curve, how far it runs off the straight line between its marks: positive where what is kept
    /// bulges past that line, negative where it is hollow.
    double bow = 0;
};
/// The saw cuts of a cut unit of a size: sides that are none of the whole unit's, what is kept to their left.
/// Those that turn by less than 20 degrees from one to the next are one curve.
std::vector<CutLine> cutLines(const CutUnit& cut, double length, double width);

}  // namespace underfoot
