#pragma once
// Work as placed against work as planned, from the tops that were shot: deviations, the straightedge test,
// the finish that either way of screeding would give, the steps between units on it, and what to correct.
//
// The limits are base.deviation for the measured top of a layer below the finish, finish.deviation for the
// finish, both over finish.deviation.over; proud for steps. A plan holds to others ("10 mm" over "3 m") by
// its own [[limit]].

#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"
#include "study/corrections.h"
#include "study/height_field.h"
#include "study/lippage.h"
#include "study/patches.h"
#include "study/screeding.h"
#include "study/straightedge.h"
#include "study/thickness.h"

namespace underfoot {

/// A surface against its design and under the straightedge.
struct PlacedSurface {
    FieldFigures figures;
    StraightedgeGap gap;                ///< to half a millimetre, or as near as atMost says
    std::vector<FieldPatch> high, low;  ///< past the tolerance above and below design, the worst first
    std::vector<FieldPatch> gaps;       ///< where gaps are past it (gapsOver); none where the test passes
};

/// What one way of screeding would give over a measured top.
struct PredictedFinish {
    Screeding way = Screeding::ToStrings;
    bool asPlanned = false;  ///< the plan's own way
    PlacedSurface finish;
    std::vector<ThicknessField> beds;  ///< of the beds above the layer, in the build-ups' order
    Lippage lippage;
};

struct PlacedTop {
    LayerId layer = -1;
    double tolerance = 0;
    PlacedSurface surface;
    std::vector<PredictedFinish> finishes;  ///< both ways; none where no bed lies above the layer
    /// Where tolerance and straightedge are both met there is nothing to correct, and these are empty.
    Corrections stringsStay;  ///< shift 0
    Corrections stringsMove;  ///< by the shift of least work; never more work than stringsStay
    bool passes = false;
};

struct Placed {
    double length = 0;  ///< of the straightedge
    double finishTolerance = 0, proud = 0;
    std::vector<PlacedTop> tops;  ///< as the plan's measured tops, of layers that stand somewhere
};

Placed placed(const Model& model, const Catalogue& catalogue);

}  // namespace underfoot
