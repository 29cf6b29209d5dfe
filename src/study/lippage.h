#pragma once
// Steps between neighbouring units that are set on a bed as rigid bodies.
//
// A unit is stiff and beds itself in loose sand by its whole underside when it is tamped: its plane is the
// one that fits the finish that the layers would make under it best by least squares over its whole outline,
// integrated exactly over every flat piece (resting on the three highest points would leave it rocking on one
// side, which tamping does not). Units thinner at cut edges and the sand's own give are left out.
//
// Two units are neighbours where sides of theirs run along each other, no farther apart than one and a half
// joints and 2 mm; the step is the difference of both planes on the line midway between the sides, greatest
// at an end of the shared length.

#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "study/height_field.h"

namespace underfoot {

struct Step {
    int low = -1, high = -1;  ///< units; `high` stands above at `at`
    glm::dvec2 at{0, 0};
    double height = 0;
};

struct AreaSteps {
    int area = -1;
    int units = 0, joints = 0;  ///< joints: pairs of neighbours
    int over = 0;               ///< pairs past the limit
    double greatest = 0;
};

struct Lippage {
    std::vector<Step> steps;       ///< of each pair of neighbours its greatest, the worst first
    std::vector<AreaSteps> areas;  ///< those with units
    int over = 0;
    double greatest() const { return steps.empty() ? 0 : steps.front().height; }
};

/// `finish` as heights (finishHeights). A pair in two areas counts for the area of its lower-numbered unit.
/// Units with no finish under them are left out.
Lippage lippage(const Model& model, const HeightField& finish, double limit);

}  // namespace underfoot
