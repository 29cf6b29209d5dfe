#pragma once
// Ids and counts are ints; what they index wants another type. Internal to study.

#include <cstddef>

namespace underfoot {

inline size_t index(int i) {
    return static_cast<size_t>(i);
}

}  // namespace underfoot
