#pragma once
// Plan geometry of the parts that are laid: offsets of outlines, units in their pattern, edging with its spikes.
// All in local plan coordinates. The only place that uses the general polygon library.

#include <string>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

/// A region with openings: outer ring turning left, holes turning right. Rings are not closed (no repeated corner).
struct Region {
    std::vector<glm::dvec2> outer;
    std::vector<std::vector<glm::dvec2>> holes;
};
using Regions = std::vector<Region>;

/// The places an area covers, in local coordinates: outline less openings less the areas it lies around.
/// `cuts` are the outlines of those areas.
Regions areaRegions(const Area& area, const std::vector<const Area*>& cuts, glm::dvec2 origin);

/// Regions grown by a positive distance or shrunk by a negative one; square corners are mitred (limit 5 times
/// the distance), round ones cut into chords within tolerance::arcSagitta. 0 gives the regions back.
Regions grow(const Regions& regions, double distance, CornerStyle corners);
/// Grown as above, but not past the sides of `area` that stand against a wall: what lies beyond the lines of those
/// sides (a strip of the same width beside each) is taken away.
Regions growBesideWalls(const Regions& regions, double distance, CornerStyle corners, const Area& area, glm::dvec2 origin);
Regions unite(const Regions& a, const Regions& b);
Regions subtract(const Regions& a, const Regions& b);
double regionArea(const Regions& regions);
bool regionsOverlap(const Regions& a, const Regions& b, double& overlapArea, glm::dvec2& where);

/// Units of one area: pieces with their plan outline, size index, whole or cut. `top`, `thickness` and `layer`
/// are left for the caller.
struct UnitPlan {
    std::vector<UnitPiece> pieces;
    std::vector<glm::dvec2> corners;
};
UnitPlan layoutUnits(const UnitLayout& layout, const Area& area, const Regions& regions, const Baseline& baseline, glm::dvec2 origin);

/// Edging along the edges that the area's edgings name, outside the outline, mitred where sides meet. `top` planes
/// and heights are left for the caller except `height`; spikes get their place, length and diameter.
struct EdgingPlan {
    std::vector<EdgingPiece> pieces;
    std::vector<Spike> spikes;
};
EdgingPlan layoutEdging(const Area& area, glm::dvec2 origin);

}  // namespace underfoot
