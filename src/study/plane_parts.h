#pragma once
// A field of flat triangles as few convex flat parts. Internal to study.
//
// Triangles that share a side and lie in one plane make a region: from the largest triangle on, neighbours
// join whose corners lie within `samePlane` of its plane. A region is cut into convex parts by taking out,
// the longest first, the sides between its triangles whose both ends stay convex without them (Hertel and
// Mehlhorn 1983: at most four times as many parts as the fewest). Along a line a region has no bend, so only
// lines that cross two regions can show a gap.

#include <glm/vec2.hpp>
#include <vector>

#include "study/height_field.h"

namespace underfoot {

/// Level + gradient * place, over places counted from the middle. Corners turn left.
struct PlanePart {
    int firstCorner = 0, corners = 0;
    int region = 0;
    double level = 0;
    glm::dvec2 gradient{0, 0};
    glm::dvec2 centre{0, 0};
    double radius = 0;  ///< of the circle about the centre that holds all corners
};

struct PlaneParts {
    static constexpr double samePlane = 1e-7;  ///< metres
    /// A corner that lies within this of the line between its neighbours does not turn: plan places lie on a
    /// grid of a micrometre, so that places on one line lie beside it.
    static constexpr double sameLine = 2e-6;
    glm::dvec2 middle{0, 0};
    std::vector<PlanePart> parts;
    std::vector<glm::dvec2> corners;
    int regions = 0;
};

PlaneParts planeParts(const HeightField& field);
/// Every triangle a part and a region of its own.
PlaneParts unjoinedParts(const HeightField& field);

}  // namespace underfoot
