#pragma once
// A surface of the model as flat triangles, as deviation from its design or as heights. Local coordinates,
// metres; a deviation is positive where the surface lies above its design.

#include <array>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"

namespace underfoot {

/// A flat triangle, turning left. Neighbours need not share corners; surfaces may step between them.
struct HeightPiece {
    int cell = -1;  ///< of the model, -1: none
    std::array<glm::dvec2, 3> at{};
    std::array<double, 3> value{};
};
using HeightField = std::vector<HeightPiece>;

/// The top of a layer against where it would be by design, inside the outlines, where the layer stands: the
/// designed finish less the wanted thickness of the layers above it. Of layers above that stop short of a
/// place, one that takes up fills the gap; where none does they are left out.
HeightField layerDeviation(const Model& model, LayerId layer);
/// The finish against the designed finish, inside the outlines of areas that have the layer.
HeightField finishDeviation(const Model& model, LayerId layer);
/// Heights of the finish on all areas.
HeightField finishHeights(const Model& model);

/// Numbers of a field, as exact integrals.
struct FieldFigures {
    double planArea = 0;
    double least = 0, greatest = 0, mean = 0, rootMeanSquare = 0;
    glm::dvec2 leastAt{0, 0}, greatestAt{0, 0};
    double areaOver = 0, areaUnder = 0;  ///< of values above `bound`, and below -`bound`
};
FieldFigures figuresOf(const HeightField& field, double bound);

/// The field with all values held between two bounds; triangles are cut along the lines where that begins.
HeightField heldBetween(const HeightField& field, double low, double high);

/// Area and integral of max(0, value - bound) over the field, exact.
struct Surplus {
    double area = 0;
    double volume = 0;
};
Surplus surplusOver(const HeightField& field, double bound);
/// The same of max(0, bound - value).
Surplus lackUnder(const HeightField& field, double bound);

}  // namespace underfoot
