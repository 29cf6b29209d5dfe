#pragma once
// Inside the model folder only: border courses along the edges of an outline.

#include <glm/vec2.hpp>

#include "model/layout.h"
#include "plan/plan.h"

namespace underfoot::layout {

/// Lays the layout's border courses in their order and returns what is left for the field. A course runs
/// beside the edges it names, inside the courses laid along the same edge before it. Where two of its edges
/// meet, both are mitred; elsewhere it ends square and the field closes up to it. On arcs the units are
/// wedges of equal angle, as wide as the unit at their widest. A joint is kept between courses, at mitres and
/// towards the field, none towards the outline. `firstSize` is the size index of the first course.
Regions layBorders(const UnitLayout& layout, const Area& area, const Regions& regions, glm::dvec2 origin,
                   int firstSize, UnitPlan& plan);

}  // namespace underfoot::layout
