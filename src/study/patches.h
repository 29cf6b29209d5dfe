#pragma once
// Connected places where something that is straight over every cell goes past a bound. Internal to study.

#include <array>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"

namespace underfoot {

/// A cell's part in a field: a value at each corner, and how far it is past the bound there (0 or less: not
/// past). Both are straight between the corners.
struct FieldCell {
    int cell = -1;
    std::array<double, 3> value{};
    std::array<double, 3> excess{};
};

/// Past the bound anywhere by more than rounding (tolerance::lengthCompare): others have no part in any
/// patch, and need not be in a field.
bool isPast(const FieldCell& cell);

/// A connected place past the bound, edges of cells joining where both sides are past it over some length.
struct FieldPatch {
    std::vector<std::vector<glm::dvec2>> outline;  ///< the outer ring first, turning left; holes turn right
    glm::dvec2 centre{0, 0};
    /// Where the excess is greatest; of equal places the one with the least x, then the least y. A patch with
    /// the same excess all over has it at its centre, if that lies within the patch.
    glm::dvec2 worst{0, 0};
    double worstValue = 0;
    double worstExcess = 0;
    double area = 0;
    double volume = 0;       ///< integral of the excess
    std::vector<int> cells;  ///< that have a part in it, in the field's order
};

/// The patches of a field, worst first. Cells are cut exactly along the straight line where the excess is 0;
/// an excess of no more than tolerance::lengthCompare all over a cell is none. Each cell comes at most once.
std::vector<FieldPatch> fieldPatches(const Model& model, const std::vector<FieldCell>& field);

}  // namespace underfoot
