#pragma once
// Plan geometry of the parts that are laid: offsets of outlines, units in their pattern, edging with its
// spikes. All in local plan coordinates. The only place that uses the general polygon library.

#include <string>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

/// A region with openings: outer ring turning left, holes turning right. Rings are not closed (no repeated
/// corner).
struct Region {
    std::vector<glm::dvec2> outer;
    std::vector<std::vector<glm::dvec2>> holes;
};
using Regions = std::vector<Region>;

/// What a ring of the plan encloses, in local coordinates.
Region regionOf(const Ring& ring, glm::dvec2 origin);

/// The places an area covers, in local coordinates: outline less openings less the areas it lies around.
/// `cuts` are the outlines of those areas.
Regions areaRegions(const Area& area, const std::vector<const Area*>& cuts, glm::dvec2 origin);

/// Regions grown by a positive distance or shrunk by a negative one; square corners are mitred (limit 5 times
/// the distance), round ones cut into chords within tolerance::arcSagitta. 0 gives the regions back.
Regions grow(const Regions& regions, double distance, CornerStyle corners);
/// Grown as above, but not past the sides of `area` that stand against a wall: what lies beyond the lines of
/// those sides (a strip of the same width beside each, drawn out over the corner that growth makes at its
/// ends where the outline turns left) is taken away. The regions themselves are never lessened.
Regions growBesideWalls(const Regions& regions, double distance, CornerStyle corners, const Area& area,
                        glm::dvec2 origin);
/// Where the two run along each other within tolerance::onPlanLine they are taken as one line: corners of `a`
/// stay as they are, those of `b` that lie on a corner of `a` within tolerance::samePlanPoint become it. No
/// other corner moves by a bit. Slivers thinner than that are dropped. Rings start at their corner of least
/// x, then y; regions and holes come in the order of their corners: same input, same bytes.
Regions unite(const Regions& a, const Regions& b);
Regions subtract(const Regions& a, const Regions& b);
double regionArea(const Regions& regions);
/// True where they share more than slivers; `where` then lies inside the largest shared place. Else area 0.
bool regionsOverlap(const Regions& a, const Regions& b, double& overlapArea, glm::dvec2& where);

/// Units of one area: pieces with their plan outline, size index, whole or cut, chamfer. `area`, `layer`,
/// `top` and `thickness` are left for the caller.
///
/// Border courses are laid first, in their order, and the field gets what they leave. A course runs beside
/// the edges it names, inside earlier courses along the same edge; where two of its edges meet both are
/// mitred, elsewhere it ends square. On arcs its units are wedges of equal angle, no wider than the unit at
/// their widest, and count as cut. The field's first unit is set whole into `start` (else the outline's first
/// corner, or the field's corner nearest to it where a border lies between), on the side where the area holds
/// most of it; rows run at `angle` to the baseline, turning left. A joint is kept between units and towards
/// the field, none towards the outline. Cut pieces below 1e-6 m2 are left out; a piece with a hole in it is
/// sawn through the hole. The size of a free repeat's unit is the one of `sizes` that fits it best, either
/// way round; course i has index (number of sizes) + i. A layout without sizes, or a repeat without a step,
/// lays nothing.
struct UnitPlan {
    std::vector<UnitPiece> pieces;
    std::vector<glm::dvec2> corners;
};
UnitPlan layoutUnits(const UnitLayout& layout, const Area& area, const Regions& regions,
                     const Baseline& baseline, glm::dvec2 origin);

/// Edging along the edges that the area's edgings name, outside the outline: one piece for each side of the
/// chorded outline, mitred where sides meet that both carry edging (of unlike thickness too), square where
/// not. `area` and `top` are left for the caller; spikes get their place, length and diameter, not `area` and
/// `top`. Spikes stand on the outside face, evenly along each edge, no farther apart than asked, half a space
/// in from both its ends. Openings carry no edging.
struct EdgingPlan {
    std::vector<EdgingPiece> pieces;
    std::vector<Spike> spikes;
};
EdgingPlan layoutEdging(const Area& area, glm::dvec2 origin);

}  // namespace underfoot
