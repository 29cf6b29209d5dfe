#pragma once
// Fill that stands above the ground beside it runs out past the lowest layer and down a side slope to
// daylight.

#include <vector>

#include "model/groundwork.h"

namespace underfoot {

/// The flat pieces of all side slopes: beside every outer edge of what the plots cover, except along walls, a
/// level shoulder and a slope; round every outer corner a wedge of the same slope. Where pieces overlap the
/// highest rules. Arcs are followed within a centimetre. Openings get none: what stands in them holds the
/// fill.
std::vector<SlopeFacet> sideSlopes(const Plan& plan, const Groundwork& work);

}  // namespace underfoot
