#pragma once
// Sawing cut pieces out of as few whole units as can be: a nesting of offcuts.
//
// A unit is a rectangle from (0, 0) to (length, width). Pieces are turned by quarters, one face up, never
// mirrored. Every saw cut runs right across what is left of the unit, along a side of a piece, and takes the
// kerf; so two pieces of one unit can always be parted (a notch of a piece is never used for another). No
// more than 64 pieces come from one unit.
//
// The nesting is a rule of thumb, first fit decreasing: pieces in the order of their area, then once more in
// the order of their longest side, each into the first unit already sawn where it fits at a corner, beside a
// side of the unit or beside a piece; else into a new unit, where it is laid. The better of the two counts.
// The least number is a bound by area after S. Martello and P. Toth (Lower bounds and reduction procedures
// for the bin packing problem, 1990): pieces that no two of fit into a unit, and the room they leave.

#include <limits>
#include <vector>

#include <glm/vec2.hpp>

namespace underfoot {

struct PieceToSaw {
    std::vector<glm::dvec2> shape;  ///< in the unit's own frame, turning left, where it is laid
    std::vector<bool> factory;      ///< the side from corner i lies on a side of the whole unit
};

struct SawnPiece {
    int piece = 0;
    int unit = 0;                   ///< counts from 0
    int quarters = 0;               ///< turned left by so many quarters
    std::vector<glm::dvec2> shape;  ///< where it lies in the unit it is sawn from
};

struct OffcutNesting {
    std::vector<SawnPiece> pieces;  ///< by unit, then in the order they were set
    int units = 0;                  ///< whole units that are sawn
    int atLeast = 0;                ///< no nesting takes fewer
};

/// `keepFactory`: sides that were on a side of the whole unit stay on one (units with a chamfer). A nesting
/// that takes `most` units or more is of no use: then `units` is `most`, and no pieces are told.
OffcutNesting nestOffcuts(double length, double width, const std::vector<PieceToSaw>& pieces, double kerf,
                          bool keepFactory, int most = std::numeric_limits<int>::max());

/// No fewer units than this hold pieces of these areas.
int leastUnits(double unitArea, std::vector<double> areas);

}  // namespace underfoot
