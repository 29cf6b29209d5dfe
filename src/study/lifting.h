#pragma once
// What one person should lift: the revised NIOSH lifting equation (NIOSH publication 94-110, Applications
// Manual for the Revised NIOSH Lifting Equation). A caution, never a statement that a lift is safe.

#include <string>

#include "plan/catalogue.h"

namespace underfoot {

/// A lift. Lengths in metres, the load constant in kilograms.
struct Lift {
    double loadConstant = 0;
    double reach = 0;   ///< H: the hands in front of the ankles
    double from = 0;    ///< V: the hands above the ground at the start
    double travel = 0;  ///< D: up or down
    double asymmetry = 1, frequency = 1, coupling = 1;
};

/// The lift that the limits "lifting.…" describe, the plan's own values included.
Lift usualLift(const Catalogue& catalogue);

/// RWL = LC HM VM DM AM FM CM in kilograms, with HM = 10 / H, VM = 1 - 0.0075 |V - 30| and
/// DM = 0.82 + 1.8 / D, lengths in inches. HM and DM are at most 1 (H or D below 10 in); beyond H 25 in, V 70
/// in or D 70 in it is 0 (these bounds: from memory).
double recommendedWeight(const Lift& lift);

/// How a weight compares with a smaller one: "4.1 times", "a little more than".
std::string timesOver(double weight, double usual);

}  // namespace underfoot
