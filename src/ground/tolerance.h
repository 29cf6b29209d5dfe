#pragma once
// Every tolerance of the program's geometry, each named for its use. Metres.

namespace underfoot::tolerance {

/// Two plan points closer than this are one point when lines are overlaid.
inline constexpr double samePlanPoint = 1e-6;
/// A plan point closer than this to a line lies on it when lines are overlaid.
inline constexpr double onPlanLine = 1e-6;
/// Heights at one plan point closer than this are one corner of the solids.
inline constexpr double sameHeight = 1e-7;
/// A height that comes out this near to what it was has not moved: only rounding did.
inline constexpr double heightRounding = 1e-11;
/// A thickness smaller than this is nothing when zero lines are traced.
inline constexpr double zeroThickness = 1e-7;
/// Greatest distance of a chord from its arc.
inline constexpr double arcSagitta = 2e-4;
/// A slope is compared with a limit to within this (rise over run): 0.001 in in 10 ft.
inline constexpr double slopeCompare = 8e-6;
/// A length is compared with a limit to within this.
inline constexpr double lengthCompare = 1e-6;

}  // namespace underfoot::tolerance
