#pragma once
// Inside the model folder only: the shapes that one border course makes along one edge.

#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "model/layout.h"
#include "model/layout_polygons.h"

namespace underfoot::layout {

/// The line two sides of a course are cut on, from its outer corner inward.
struct MitreLine {
    glm::dvec2 at{0, 0};
    glm::dvec2 inward{0, 1};
};

/// One edge of the outline that a course runs along. Corners run with the inside on the left.
struct CourseEdge {
    Polygon corners;   ///< two for a straight edge; the chords' corners for an arc
    double inset = 0;  ///< what earlier courses take beside this edge, their joints included
    std::optional<MitreLine> start, end;
};

/// A course's measures: the unit along the edge and square to it, and the joint.
struct CourseMeasures {
    double along = 0;
    double depth = 0;
    double joint = 0;
};

struct CourseUnit {
    Polygon outline;
    bool whole = true;  ///< not cut by a mitre, an end or to a wedge
    bool convex = true;
    glm::dvec2 inward{0, 1};
    UnitFrame frame;
};

/// What the course puts beside the edge, before the region cuts it, and the strip that it keeps the field out
/// of.
struct CourseShapes {
    std::vector<CourseUnit> units;
    std::vector<Polygon> strip;
};

/// The mitre where an edge that arrives along `before`, inset by a, meets one that leaves along `after`,
/// inset by b. None where the edge turns back on itself, or where it runs straight on at another inset.
std::optional<MitreLine> mitreBetween(glm::dvec2 corner, glm::dvec2 before, double a, glm::dvec2 after,
                                      double b);

CourseShapes courseAlong(const CourseEdge& edge, const CourseMeasures& measures);

}  // namespace underfoot::layout
