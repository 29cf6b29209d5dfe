#pragma once
// Other ways to build a plan, kept in the plan's file beside it: [[variant]] says what each changes. And the
// doors that a finish has to come out right at: [[sill]]. Nothing but a comparison needs them, so they are
// read when one is asked for; reading the plan checks them too.
//
//   [[variant]]
//   name = "panels"
//   raise = "1 in"                                        # the whole finish, up
//   fall = "3/16 in/ft"                                   # of the planes of the plan's own finish
//   areas = [ { area = "court", build_up = "panels" } ]   # which may be one that no area of the plan uses
//   layers = [ { layer = "base", thickness = "6 in" } ]   # wherever it lies
//
//   [[sill]]
//   name = "kitchen door"
//   at = [10, 0]
//   height = 100

#include <optional>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "plan/plan.h"

namespace underfoot {

struct OtherBuildUp {
    std::string area;
    std::string buildUp;
};
struct OtherThickness {
    std::string layer;
    double thickness = 0;
};

struct Variant {
    std::string name;
    double raise = 0;
    std::optional<double> fall;
    std::vector<OtherBuildUp> areas;
    std::vector<OtherThickness> layers;
    SourcePlace place;
};

/// The sill of a door, or another height beside the patio that the finish stays below.
struct Sill {
    std::string name;
    glm::dvec2 at{0, 0};
    double height = 0;
    SourcePlace place;
};

struct Comparison {
    std::vector<Variant> variants;
    std::vector<Sill> sills;
    std::vector<BuildUp> buildUps;  ///< all of the file
};

/// What the plan's file says, read again. Faults as readPlan tells them.
Checked<Comparison> readComparison(const Plan& plan);

/// The plan as designed: measured tops are left out, so that designs are compared and not what was placed.
Plan asDesigned(const Plan& plan);

/// The plan with a variant's changes. Thicknesses outside a layer's own least and greatest, which were meant
/// for another one, take these off. Error: `fall` asks for planes and the plan's own finish has spot levels.
Result<Plan> withVariant(const Plan& plan, const Variant& variant, const std::vector<BuildUp>& buildUps);

}  // namespace underfoot
