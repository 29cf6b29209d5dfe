#pragma once
// Order that rounding does not decide. Internal to study.

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

namespace underfoot {

/// The greatest size first; sizes that follow each other no more than `same` apart are taken as equal, and go
/// by `before`, or stay in the order that they came in.
template <class T, class Size, class Before>
void sortGreatestFirst(std::vector<T>& all, double same, const Size& size, const Before& before) {
    std::vector<size_t> place(all.size());
    for (size_t i = 0; i < place.size(); ++i) place[i] = i;
    std::stable_sort(place.begin(), place.end(),
                     [&](size_t a, size_t b) { return size(all[a]) > size(all[b]); });
    for (size_t first = 0, last = 0; first < place.size(); first = last) {
        for (last = first + 1; last < place.size(); ++last)
            if (size(all[place[last - 1]]) - size(all[place[last]]) > same) break;
        std::sort(place.begin() + static_cast<std::ptrdiff_t>(first),
                  place.begin() + static_cast<std::ptrdiff_t>(last), [&](size_t a, size_t b) {
                      return before(all[a], all[b]) || (!before(all[b], all[a]) && a < b);
                  });
    }
    std::vector<T> sorted;
    sorted.reserve(all.size());
    for (const size_t i : place) sorted.push_back(std::move(all[i]));
    all = std::move(sorted);
}
template <class T, class Size>
void sortGreatestFirst(std::vector<T>& all, double same, const Size& size) {
    sortGreatestFirst(all, same, size, [](const T&, const T&) { return false; });
}

}  // namespace underfoot
