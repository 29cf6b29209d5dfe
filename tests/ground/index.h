#pragma once
// An index of ours, counted as int, for the library's containers.

#include <cstddef>

namespace underfoot_test {

inline size_t u(int i) {
    return static_cast<size_t>(i);
}

}  // namespace underfoot_test
