#include "share/grain.h"

#include <algorithm>
#include <string>

namespace underfoot {

const Grain& grainOf(std::string_view kind) {
    const std::span<const Grain> all = allGrains();
    const auto found = std::find_if(all.begin(), all.end(), [&](const Grain& g) { return g.kind == kind; });
    return found == all.end() ? all.front() : *found;
}

}  // namespace underfoot
