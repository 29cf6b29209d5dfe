#pragma once
// What the builder should look at before it is covered up. A finding compares with a rule; it never says that
// something complies: local codes and licensed practice rule.
//
// Layers are held to the least and greatest of their build-up, else to the limits by role: bedding to its own
// range (another one under panels); a base designed at least as thick as base.least.patio to its design less
// base.under, one designed thinner to base.least.patio; every base to its design and base.over. Slopes are
// read from the designed finish, once for each flat piece of each area: within slope.least.within of the
// baseline the fall away from it has to reach slope.least, farther out the steepest slope. Limits are
// compared with tolerance::lengthCompare and slopeCompare.
//
// Shot tops of layers, and the finish where it follows from them off its design, are laid under a
// straightedge (straightedge.h) and the units set on it (lippage.h). A surface as designed is held to none of
// these.

#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/catalogue.h"
#include "study/thickness.h"

namespace underfoot {

enum class FindingKind {
    BeddingThin,
    BeddingThick,
    LayerThin,
    LayerThick,
    StandsProud,
    FinishDeviates,
    CutUnitSmall,
    SlopeUnder,
    SlopeOver,
    FallsTowardHouse,
    GroundExtended,
    GroundAssumed,
    ScanDeviates,
    PipeCoverSmall,
    WaterStands,
    FormationHoldsWater,
    PipeFallSmall,
    SpikeReachesPipe,
    EdgingWithoutBase,
    LayerOutOfFlat,   ///< a gap under the straightedge of finish.deviation.over: base.deviation
    FinishOutOfFlat,  ///< the same of the finish: finish.deviation
    UnitsStep,        ///< between neighbouring units: proud
    LevelChange,      ///< the same: level.change
    BaseStopsShort,   ///< of how far it is to run past an edge with edging: base.beyond
};
const char* findingName(FindingKind kind);  ///< "bedding thin", …

struct Finding {
    FindingKind kind = FindingKind::BeddingThin;
    int area = -1;
    LayerId layer = -1;
    glm::dvec2 at{0, 0};  ///< local
    double station = 0, offset = 0;
    /// Metres, slope, part of a unit, metres of edging, square metres of ground: as the kind asks. A finish
    /// above its design is positive, a fall toward the house negative.
    double measured = 0;
    double wanted = 0;  ///< the bound it is held to
    std::string
        rule;  ///< key in the limits; "layer.least" or "layer.greatest" for a build-up's own; "" without one
    std::string source;  ///< where the rule comes from; the plan's own value and reason when overridden
    std::string what;    ///< "Bed short by 3/16 in at 0+14.3, 9.2 ft out."
    std::string remedy;  ///< "Lower the ridge here or raise the strings by 3/16 in."
    int patch = -1;      ///< index into the patches of wantedField(layer, area) where it is one
};

/// A layer's thickness field in an area against what is wanted of it there: the build-up's range, else the
/// limits.
ThicknessField wantedField(const Model& model, const Catalogue& catalogue, LayerId layer, int area);

/// All findings, worst kind first, then by station and offset. Deterministic.
std::vector<Finding> findings(const Model& model, const Catalogue& catalogue);

}  // namespace underfoot
