#pragma once
// Plan geometry of the parts that are laid: offsets of outlines, units in their pattern, edging with its
// spikes. All in local plan coordinates. The only place that uses the general polygon library.

#include <memory>
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

/// An uncut unit in plan: its longer sides run along `along` from `at`, the unit lies to the left of that. A
/// wedge's unit stands with its middle on the middle of the wedge and its outer side along the wedge's.
struct UnitFrame {
    glm::dvec2 at{0, 0};
    glm::dvec2 along{1, 0};
    double length = 0;  ///< the longer side
    double width = 0;
};

/// Units of one area: pieces with their plan outline, size index, whole or cut, chamfer. `area`, `layer`,
/// `top` and `thickness` are left for the caller.
///
/// Border courses are laid first, in their order, and the field gets what they leave. A course runs beside
/// the edges it names, inside earlier courses along the same edge; where two of its edges meet both are
/// mitred, elsewhere it ends square. On arcs its units are wedges of equal angle, no wider than the unit at
/// their widest, and count as cut. The field's first unit is set whole into `start` (else the outline's first
/// corner, or the field's corner nearest to it where a border lies between), on the side where the area holds
/// most of it; rows run at `angle` to the baseline, turning left. A joint is kept between units and towards
/// the field, none towards the outline. Cut pieces smaller than a square as wide as the joint are left out,
/// as those below 1e-6 m2 are: the joint takes their place. A piece with a hole in it is sawn through the
/// hole. The size of a free repeat's unit is the one of `sizes` that fits it best, either way round; course i
/// has index (number of sizes) + i. A layout without sizes, or a repeat without a step, lays nothing.
struct UnitPlan {
    std::vector<UnitPiece> pieces;
    std::vector<glm::dvec2> corners;
    /// One for each piece that is not whole, in the order of the pieces: the unit it is sawn from, where it
    /// would lie.
    std::vector<UnitFrame> frames;
};
UnitPlan layoutUnits(const UnitLayout& layout, const Area& area, const Regions& regions,
                     const Baseline& baseline, glm::dvec2 origin);

/// Where the pattern of a field stands: unit (i, j) of the repeat at `at` moved by i a + j b, and rows along
/// `x`. `y` is square to `x`, to its right where the pattern is mirrored.
struct PatternPlace {
    glm::dvec2 at{0, 0}, x{1, 0}, y{0, 1};

    glm::dvec2 point(glm::dvec2 p) const { return at + x * p.x + y * p.y; }
    /// A local place in the pattern's own frame.
    glm::dvec2 own(glm::dvec2 local) const {
        const glm::dvec2 d = local - at;
        return {d.x * x.x + d.y * x.y, d.x * y.x + d.y * y.y};
    }
};

/// A rectangle of the repeat in the pattern's own frame, joints not included.
struct PatternBox {
    glm::dvec2 at{0, 0}, extent{0, 0};
};

/// The field of an area that can be laid again and again with its pattern elsewhere; borders are laid once.
class FieldLayout {
  public:
    FieldLayout(const UnitLayout& layout, const Area& area, const Regions& regions, const Baseline& baseline,
                glm::dvec2 origin);
    FieldLayout(FieldLayout&&) noexcept;
    FieldLayout& operator=(FieldLayout&&) noexcept;
    ~FieldLayout();

    /// False where nothing can be laid: no field, no size, no step.
    bool sound() const;
    const Regions& field() const;     ///< what the borders leave
    const UnitPlan& borders() const;  ///< their pieces
    glm::dvec2 stepA() const;         ///< the repeat's two steps, in the pattern's own frame
    glm::dvec2 stepB() const;
    std::vector<PatternBox> repeat() const;

    /// As the plan asks for: the place that layoutUnits uses. Only where sound.
    PatternPlace place() const;
    /// The place of a pattern whose first unit is set whole into `corner` (local), rows turned to `angle`
    /// against the baseline as UnitLayout::angle is. Only where sound.
    PatternPlace placeAt(glm::dvec2 corner, double angle) const;
    /// The field's pieces alone, with the pattern anywhere. Only where sound.
    UnitPlan lay(const PatternPlace& place) const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

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
