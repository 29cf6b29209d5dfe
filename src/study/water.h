#pragma once
// What the water does on one surface of a model: how it falls, piece by flat piece, where it stands, where it
// leaves and how much of the surface drains there.

#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/catalogue.h"
#include "study/water_flow.h"
#include "study/water_surface.h"

namespace underfoot {

enum class FallVerdict {
    Fine,
    TowardHouse,  ///< negative fall away from the house
    Under,        ///< slope.least: away from the house within slope.least.within of the baseline, else at all
    OverCross,    ///< slope.greatest.cross
    OverRunning,  ///< slope.greatest.running
};

/// Neighbouring triangles of one area on one plane, to within tolerance::lengthCompare in height. Slopes are
/// not rounded; they are compared to within tolerance::slopeCompare.
struct FlatPiece {
    int area = -1;
    double slope = 0;       ///< steepest
    glm::dvec2 down{0, 0};  ///< the way it falls, of length 1; (0, 0) where it is level
    double away = 0;        ///< fall per unit of offset away from the baseline
    double planArea = 0;
    /// The centre of its area where that lies on it, else of the triangle nearest to that.
    glm::dvec2 middle{0, 0};
    double leastOffset = 0;             ///< of its corners, whatever side of the baseline
    std::vector<FallVerdict> verdicts;  ///< empty is fine
};

/// Pieces of at least 1 cm², the largest first; those as large but for rounding (1 mm²) in the order of their
/// areas, then of their middles by x, then y.
std::vector<FlatPiece> flatPieces(const Model& model, const Catalogue& catalogue,
                                  const WaterSurface& surface);

/// A length of rim that belongs to one edge of an outline or to one opening, and what drains over it.
struct DrainedEdge {
    WaterEndKind kind = WaterEndKind::Leaves;
    int area = -1;
    int opening = -1;                 ///< -1: the outline
    int edge = -1;                    ///< of the outline
    glm::dvec2 from{0, 0}, to{0, 0};  ///< the farthest ends of what is drained over, along the ring
    double length = 0;                ///< of the rim that water passes
    double catchment = 0;
};

struct WaterReport {
    WaterOn on = WaterOn::Finish;
    double planArea = 0;
    std::vector<FlatPiece> pieces;
    std::vector<Pond> ponds;  ///< deepest first, as deep ones by x, then y; ends of kind Pond count so
    std::vector<DrainedEdge>
        edges;  ///< the most drained first; as much but for rounding: as areas, openings, edges
    std::vector<WaterInlet> inlets;
    std::vector<double> inletCatchments;
    std::optional<FlowPath> path;  ///< from the place asked for
};

/// Inlets are let into the surface first; those that lie off it are left out. `from` asks for the way from a
/// place; there is none off the surface.
WaterReport waterReport(const Model& model, const Catalogue& catalogue, WaterOn which,
                        const std::vector<glm::dvec2>& inlets = {},
                        std::optional<glm::dvec2> from = std::nullopt);

/// The most that a pond on the finish may be deep and a hollow of the formation, by the limits; nothing for
/// surfaces without a rule.
const Limit* pondLimit(const Catalogue& catalogue, WaterOn which);

}  // namespace underfoot
