#pragma once
// An order of points in which neighbours in the list are neighbours in the plane.

#include <cstdint>
#include <span>
#include <vector>

#include "ground/grid.h"

namespace underfoot {

/// The square that a curve over the points fills: its corner, and the width of its boxes as a power of two.
struct HilbertSquare {
    GridPoint low;
    int shift = 0;  ///< boxes are 2^shift grid steps wide
};
HilbertSquare hilbertSquare(std::span<const GridPoint> points);

/// Indices of the points along a Hilbert curve over their bounding square (2^16 by 2^16 boxes); points in one
/// box by x, then y, then index. Equal points therefore follow each other.
std::vector<uint32_t> hilbertOrder(std::span<const GridPoint> points);

}  // namespace underfoot
