#pragma once
// Indices into the arrays of a triangulation are ints with -1 for none; here is where they become positions.

#include <cstddef>

namespace underfoot::triangulation_index {

template <class Array>
auto& at(Array& array, int index) {
    return array[static_cast<size_t>(index)];
}

constexpr int next(int corner) {
    return corner == 2 ? 0 : corner + 1;
}
constexpr int previous(int corner) {
    return corner == 0 ? 2 : corner - 1;
}

}  // namespace underfoot::triangulation_index
