#pragma once
// A hint to the processor that a place in memory is wanted soon. Changes no result. Internal to study.

namespace underfoot {

inline void wantedSoon(const void* place) {
#if defined(__GNUC__)
    __builtin_prefetch(place);
    // No instruction: without it GCC drops calls of functions that do nothing but ask.
    asm volatile("" : : "r"(place));
#else
    (void)place;
#endif
}

}  // namespace underfoot
