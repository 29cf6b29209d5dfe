#pragma once
// Two searches for a finish: the level at which cut and fill balance, and the least fall that keeps the rules
// of water.

#include <string>
#include <vector>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/comparison.h"
#include "plan/plan.h"

namespace underfoot {

/// How far a finish may be raised (above 0) or lowered, and what bounds it, in a few words.
struct RaiseBounds {
    double low = 0, high = 0;
    std::string lowBy, highBy;
};
/// Each sill keeps the finish at least sill.least and at most sill.greatest below it; else finish.search up
/// and down. `model` is that of the plan as it is. Empty (low > high) where sills exclude each other.
RaiseBounds raiseBounds(const Model& model, const Catalogue& catalogue, const std::vector<Sill>& sills);

/// What the cut gives over what the fill takes, both compacted: (cut - cut put back as backfill) times
/// Soil::compacted, less the fill; topsoil goes into backfill alone (study/earthwork.h). Falls as the finish
/// rises.
double fillSurplus(const Model& model, const Catalogue& catalogue);

/// The raise found lies within this below where the surplus changes its sign: the cut still makes all fill.
inline constexpr double balanceTolerance = 1e-6;  // metres

struct BalanceSearch {
    bool found = false;
    double raise = 0;    ///< where found; else the bound that comes nearest
    double surplus = 0;  ///< there, m³ compacted
    double cut = 0;      ///< there, in place
    double fill = 0;     ///< there, compacted
    RaiseBounds bounds;
    double surplusAtLow = 0, surplusAtHigh = 0;
    int steps = 0;    ///< models tried
    std::string why;  ///< a sentence
};
/// Moves all finishes of the plan up and down together. The surplus falls as the finish rises: its sign is
/// bracketed and the bracket narrowed by secants (the Illinois rule), halving it where these are slow.
/// Faults: those of a model on the way.
Checked<BalanceSearch> balanceCutAndFill(const Plan& plan, const Catalogue& catalogue,
                                         const RaiseBounds& bounds);

/// What water does on the finish that its rules do not allow: in areas with the plan's own finish, pieces
/// that fall toward the house or by less than slope.least (away from the house where they reach within
/// slope.least.within of the baseline), and ponds deeper than pond.greatest. Compared unrounded: with
/// fallTolerance and 1 nm alone, for rounding. Whole sentences.
std::vector<std::string> waterFaults(const Model& model, const Catalogue& catalogue);
inline constexpr double fallTolerance = 1e-8;

struct FallSearch {
    bool found = false;
    double fall = 0;                  ///< the least that keeps the rules; else the greatest tried
    double greatest = 0;              ///< the bound: slope.greatest.running
    std::vector<std::string> faults;  ///< a hair below what was found; where not found, at the bound
    std::vector<std::string> over;    ///< rules for walking that the fall found goes past
    int steps = 0;
    std::string why;
};
/// Falls are tried from level up, fallStep apart.
inline constexpr double fallStep = 1.0 / 192;  // 1/16 in per ft
/// Turns the planes of the plan's own finish about where each is given, between level and the bound: keeps
/// their cross falls. Tried from level up are falls fallStep apart, slope.least and those of the plan; from
/// the first that keeps all rules it is narrowed down to where one less by fallTolerance does not. More fall
/// may break a rule again (water that another area holds up), so the bound says nothing of what lies below
/// it. Faults: the finish has spot levels; those of a model on the way.
Checked<FallSearch> leastFall(const Plan& plan, const Catalogue& catalogue);

}  // namespace underfoot
