#pragma once
// Thickness of layers at a point, and as a field over the plan.

#include <optional>
#include <vector>

#include "model/model.h"
#include "study/section.h"

namespace underfoot {

/// The stack at a local plan point, top first; lifts of a layer are listed each. Empty outside the model. On an edge between cells:
/// the cell with the lower index.
std::vector<LayerAt> stackAtPoint(const Model& model, glm::dvec2 point, int* cellHint = nullptr);

/// Index of the cell that holds a local plan point, or -1.
int cellAt(const Model& model, glm::dvec2 point, int hint = -1);

/// A connected place where a layer is thinner or thicker than wanted.
struct Patch {
    bool thin = true;
    std::vector<std::vector<glm::dvec2>> outline;  ///< rings, outer first, turning left; local
    glm::dvec2 centre{0, 0};                       ///< centroid in plan
    glm::dvec2 worst{0, 0};
    double worstThickness = 0;
    double area = 0;    ///< m² in plan
    double volume = 0;  ///< m³ lacking (thin) or too much (thick)
};

/// A layer's thickness over an area (or over all areas, area = -1), inside the outlines only.
struct ThicknessField {
    LayerId layer = -1;
    int area = -1;
    double least = 0, greatest = 0, mean = 0;
    glm::dvec2 leastAt{0, 0}, greatestAt{0, 0};
    double planArea = 0;
    double volume = 0;
    std::optional<double> wantedLeast, wantedGreatest;
    double areaUnder = 0, volumeLacking = 0;
    double areaOver = 0, volumeOver = 0;
    std::vector<Patch> patches;  ///< worst first
};
/// The wanted range comes from the build-up unless given here. Thickness exactly at a bound is inside.
ThicknessField thicknessField(const Model& model, LayerId layer, int area = -1, std::optional<double> least = {},
                              std::optional<double> greatest = {});

}  // namespace underfoot
