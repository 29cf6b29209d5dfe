#pragma once
// Work that is independent piece by piece, shared out between the machine's cores.

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <thread>
#include <vector>

namespace underfoot {

/// Calls work(i, room) for i from 0 to count - 1, each once and in no order, and returns when all are done.
/// Each thread makes a room of its own to work in, from nothing. No call may write what another one reads or
/// writes, nor may its outcome depend on what was in the room, so that it does not depend on the number of
/// cores; none may throw. A thread takes some 20 microseconds to start: `count` of 1 starts none.
template <class Room, class Work>
void sideBySideIn(size_t count, const Work& work) {
    static const unsigned cores = std::max(1u, std::thread::hardware_concurrency());  // asking takes 6 us
    std::atomic<size_t> next{0};
    const auto some = [&] {
        Room room;
        for (size_t i = next++; i < count; i = next++) work(i, room);
    };
    std::vector<std::thread> others;
    const size_t workers = std::min<size_t>(cores, count);
    for (size_t i = 1; i < workers; ++i) others.emplace_back(some);
    if (count > 0) some();
    for (std::thread& one : others) one.join();
}

/// The same with nothing to work in: calls work(i).
template <class Work>
void sideBySide(size_t count, const Work& work) {
    struct Nothing {};
    sideBySideIn<Nothing>(count, [&](size_t i, Nothing&) { work(i); });
}

/// The same for long lists: calls work(from, to) for runs of `run` that together are 0 to count. What a run
/// holds is the same on every machine.
template <class Work>
void inRuns(size_t count, size_t run, const Work& work) {
    sideBySide((count + run - 1) / run, [&](size_t i) { work(i * run, std::min(count, (i + 1) * run)); });
}

}  // namespace underfoot
