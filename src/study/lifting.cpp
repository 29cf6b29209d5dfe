#include "study/lifting.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include "measure/length.h"

namespace underfoot {
namespace {

// The terms of the equation, in inches.
constexpr double bestReach = 10, farthestReach = 25;
constexpr double bestHeight = 30, highest = 70, perInchOfHeight = 0.0075;
constexpr double shortTravel = 10, longestTravel = 70, travelBase = 0.82, travelPart = 1.8;

}  // namespace

Lift usualLift(const Catalogue& catalogue) {
    const auto value = [&](const char* name) {
        const Limit* limit = catalogue.findLimit(std::string("lifting.") + name);
        assert(limit && "a limit of lifting is missing");
        return limit->value;
    };
    return {value("load_constant"), value("reach"),     value("from"),    value("travel"),
            value("asymmetry"),     value("frequency"), value("coupling")};
}

double recommendedWeight(const Lift& lift) {
    const double h = lift.reach / metresPerInch, v = lift.from / metresPerInch,
                 d = lift.travel / metresPerInch;
    if (h > farthestReach || v > highest || d > longestTravel) return 0;
    const double hm = bestReach / std::max(h, bestReach);
    const double vm = 1 - perInchOfHeight * std::abs(v - bestHeight);
    const double dm = std::min(1.0, travelBase + travelPart / std::max(d, shortTravel));
    return lift.loadConstant * hm * vm * dm * lift.asymmetry * lift.frequency * lift.coupling;
}

std::string timesOver(double weight, double usual) {
    const double times = weight / usual;
    return times < 1.05 ? "a little more than" : fmt::format("{:.1f} times", times);
}

}  // namespace underfoot
