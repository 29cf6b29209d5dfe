#pragma once
// Masses, between kilograms inside the program and what people read.

#include <string>

#include "measure/length.h"

namespace underfoot {

inline constexpr double kilogramsPerPound = 0.45359237;  // exact, international pound of 1959

/// A mass for a person: pounds where the plan shows feet, else kilograms; a tenth where it is below 100.
std::string formatMass(double kilograms, const LengthFormat& format);

}  // namespace underfoot
