#pragma once
// The units of a model, counted: whole and cut, what is sawn from what, joints, weights. Read from
// Model::units; nothing is rounded.

#include <string>
#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"
#include "study/nesting_offcuts.h"

namespace underfoot {

struct CutUnit {
    int unit = 0;  ///< index into Model::units
    /// In the frame of the unit it is sawn from: x along its longer sides from a corner, turning left.
    PieceToSaw piece;
    double length = 0;  ///< of its box in that frame
    double width = 0;
    double smallestAngle = 0;  ///< at its sharpest corner, radians
    double leastWidth = 0;     ///< between parallel lines
    double part = 0;           ///< of a whole unit's face
    double sawn = 0;           ///< length of its sides that are saw cuts
    bool tooNarrow = false;    ///< below cut_unit.least_width
    bool tooSmall = false;     ///< below cut_unit.least_part
};

/// The units of one size in one area.
struct UnitCount {
    int area = -1;
    LayerId layer = -1;
    int size = 0;  ///< as UnitPiece::size
    bool border = false;
    double length = 0, width = 0, thickness = 0;
    double chamfer = 0;
    double weight = 0;  ///< of a whole one, kilograms
    int whole = 0;
    std::vector<CutUnit> cut;
    double laidArea = 0;    ///< faces, whole and cut
    OffcutNesting nesting;  ///< offcuts are used again in the same area for the same size only
    int sawPasses = 1;      ///< for one cut, by saw.pass

    int bought() const { return whole + nesting.units; }
    double waste() const;  ///< part of the faces bought that is not laid
};

/// What lies open between the units of one area.
struct OpenJoints {
    int area = -1;
    double width = 0;        ///< as laid out
    double openArea = 0;     ///< of the area's regions less all units, pieces too small to lay included
    double sandToTop = 0;    ///< to the units' top: open area times thickness, on a bed that does not rise
    double sandToLimit = 0;  ///< to joint.sand.below_top below it
};

struct UnitsReport {
    std::vector<UnitCount> counts;  ///< by area, then as first laid
    std::vector<OpenJoints> joints;
    double kerf = 0;
    double onePersonLifts = 0;          ///< recommendedWeight of usualLift
    std::vector<std::string> cautions;  ///< whole sentences
};

/// Weights by the compacted density of the units' material. Empty where the plan lays no units.
UnitsReport unitsReport(const Model& model, const Catalogue& catalogue);

/// The places an area covers, as its units see them (areaRegions of the model's plan).
struct Region;
std::vector<Region> regionsOf(const Model& model, int area);

}  // namespace underfoot
