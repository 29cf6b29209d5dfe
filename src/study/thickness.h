#pragma once
// Thickness of layers at a point, and as a field over the plan.

#include <optional>
#include <span>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "study/section.h"

namespace underfoot {

/// The stack at a local plan point, top first; lifts of a layer are listed each, entries that are zero there
/// included. Empty outside the model. On an edge or corner between cells: the cell with the lowest index.
/// `cellHint` carries a cell to start looking from between calls.
std::vector<LayerAt> stackAtPoint(const Model& model, glm::dvec2 point, int* cellHint = nullptr);

/// Thickness of every layer (lifts together) at many local plan points: one row for each point in the order
/// given, one number for each of the model's layers, NaN where the layer is absent or the point outside. Far
/// quicker than point by point; whatever is made ready for that is made anew in each call, nothing is kept.
std::vector<double> thicknessAtPoints(const Model& model, std::span<const glm::dvec2> points);
/// The same into a table that the caller keeps: one number a point and layer.
void thicknessAtPoints(const Model& model, std::span<const glm::dvec2> points, std::span<double> table);

/// Index of the cell that holds a local plan point (snapped to the grid), or -1. On an edge or corner: the
/// lowest index.
int cellAt(const Model& model, glm::dvec2 point, int hint = -1);
/// For a point on an outline, where stakes stand and either side may be found: the same a millimetre farther
/// into an area beside it. Points inside an area, and those that no area is beside, come back as they are.
glm::dvec2 intoArea(const Model& model, glm::dvec2 point);

/// A connected place where a layer is thinner or thicker than wanted.
struct Patch {
    bool thin = true;
    std::vector<std::vector<glm::dvec2>>
        outline;              ///< rings, outer first, turning left; holes turn right; local
    glm::dvec2 centre{0, 0};  ///< centroid in plan
    glm::dvec2 worst{0, 0};   ///< of equal places the least x, then y; the centre where all is equal
    double worstThickness = 0;
    double area = 0;    ///< m² in plan
    double volume = 0;  ///< m³ lacking (thin) or too much (thick)
    double past = 0;    ///< how far the worst thickness is past its bound
};

/// A layer's thickness over an area (or over all areas, area = -1), inside the outlines only.
struct ThicknessField {
    LayerId layer = -1;
    int area = -1;
    double least = 0, greatest = 0, mean = 0;
    glm::dvec2 leastAt{0, 0}, greatestAt{0, 0};
    double planArea = 0;
    double volume = 0;
    std::optional<double> wantedLeast,
        wantedGreatest;  ///< the widest, where areas differ; each cell is held to its own
    double areaUnder = 0, volumeLacking = 0;
    double areaOver = 0, volumeOver = 0;
    std::vector<Patch> patches;  ///< worst first
};
/// The wanted range comes from the build-up unless given here. Thickness exactly at a bound, or past it by no
/// more than tolerance::lengthCompare, is inside. Cells are split exactly where the thickness meets the
/// bound. Cells whose column has the layer count even where it is zero.
ThicknessField thicknessField(const Model& model, LayerId layer, int area = -1,
                              std::optional<double> least = {}, std::optional<double> greatest = {});
/// The same where the cells inside an area's outline are known.
ThicknessField thicknessField(const Model& model, LayerId layer, int area, std::span<const int> cells,
                              std::optional<double> least, std::optional<double> greatest);

}  // namespace underfoot
