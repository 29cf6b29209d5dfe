#include "measure/side_by_side.h"

#include <atomic>
#include <cstddef>
#include <thread>
#include <vector>

#include <gtest/gtest.h>

using namespace underfoot;

// 1,003 places in runs of 10: 100 of ten and one of three, every place once.
TEST(SideBySide, everyPlaceOfAListIsWorkedOnOnce) {
    std::vector<int> times(1003, 0);
    std::atomic<int> runs{0};
    inRuns(times.size(), 10, [&](size_t from, size_t to) {
        EXPECT_EQ(from % 10, 0u);
        EXPECT_EQ(to - from, from == 1000 ? 3u : 10u);
        for (size_t i = from; i < to; ++i) ++times[i];
        ++runs;
    });
    EXPECT_EQ(runs, 101);
    EXPECT_EQ(times, std::vector<int>(1003, 1));
}

TEST(SideBySide, nothingIsNoWorkAndOneThingNeedsNoThread) {
    inRuns(0, 10, [](size_t, size_t) { FAIL(); });
    const auto mine = std::this_thread::get_id();
    inRuns(7, 10, [&](size_t from, size_t to) {
        EXPECT_EQ(std::this_thread::get_id(), mine);
        EXPECT_EQ(from, 0u);
        EXPECT_EQ(to, 7u);
    });
}
