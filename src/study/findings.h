#pragma once
// What the builder should look at before it is covered up.

#include <string>
#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"

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
    PipeCoverSmall,
    EdgingWithoutBase,
};
const char* findingName(FindingKind kind);  ///< "bedding thin", …

struct Finding {
    FindingKind kind = FindingKind::BeddingThin;
    int area = -1;
    LayerId layer = -1;
    glm::dvec2 at{0, 0};  ///< local
    double station = 0, offset = 0;
    double measured = 0;
    double wanted = 0;
    std::string rule;    ///< key in the limits
    std::string source;  ///< where the rule comes from; the plan's own value and reason when overridden
    std::string what;    ///< "Bed short by 3/16 in at 0+14.3, 9.2 ft out."
    std::string remedy;  ///< "Lower the ridge here or raise the strings by 3/16 in."
    int patch = -1;      ///< index into the layer's thickness field patches where it is one
};

/// All findings, worst kind first, then by station and offset. Deterministic.
std::vector<Finding> findings(const Model& model, const Catalogue& catalogue);

}  // namespace underfoot
