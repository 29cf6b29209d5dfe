#include <algorithm>
#include <iterator>
#include <map>
#include <utility>
#include <vector>

#include "ground/triangulation.h"

namespace underfoot {

TagPool::TagPool() : sets_{{}} {
    index_.emplace(std::vector<int>{}, 0);
}

TagSet TagPool::intern(std::vector<int> set) {
    const auto [place, fresh] = index_.try_emplace(std::move(set), static_cast<TagSet>(sets_.size()));
    if (fresh) sets_.push_back(place->first);
    return place->second;
}

TagSet TagPool::single(int tag) {
    return intern({tag});
}

TagSet TagPool::symmetricDifference(TagSet a, TagSet b) {
    if (a == b) return 0;
    if (a == 0) return b;
    if (b == 0) return a;
    const std::pair<TagSet, TagSet> key = std::minmax(a, b);
    if (const auto known = differences_.find(key); known != differences_.end()) return known->second;
    std::vector<int> set;
    std::set_symmetric_difference(sets_[a].begin(), sets_[a].end(), sets_[b].begin(), sets_[b].end(),
                                  std::back_inserter(set));
    return differences_[key] = intern(std::move(set));
}

const std::vector<int>& TagPool::tags(TagSet set) const {
    return sets_.at(set);
}

}  // namespace underfoot
