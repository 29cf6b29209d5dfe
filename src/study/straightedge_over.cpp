// The greatest gap over each corner of a field.

#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "study/height_field.h"
#include "study/plane_parts.h"
#include "study/plane_sweep.h"
#include "study/profile_gap.h"
#include "study/straightedge.h"

namespace underfoot {

HeightField gapsOver(const HeightField& field, double length) {
    constexpr int directions = 36;
    constexpr double pi = std::numbers::pi;
    const PlaneParts flat = planeParts(field);
    std::map<std::pair<double, double>, size_t> known;
    std::vector<glm::dvec2> places;
    std::vector<size_t> placeOf;
    for (const HeightPiece& piece : field) {
        for (const glm::dvec2 p : piece.at) {
            const auto [at, isNew] = known.try_emplace({p.x, p.y}, places.size());
            if (isNew) places.push_back(p - flat.middle);
            placeOf.push_back(at->second);
        }
    }
    PlaneSweep sweep(flat, length);
    std::vector<double> most(places.size(), 0.0);
    for (int i = 0; i < directions; ++i) {
        const double angle = pi * i / directions;
        sweep.lay({std::cos(angle), std::sin(angle)}, places, most,
                  [&](size_t place, const ProfileGap& gap) { most[place] = gap.gap; });
    }
    HeightField gaps = field;
    for (size_t i = 0; i < placeOf.size(); ++i) gaps[i / 3].value[i % 3] = most[placeOf[i]];
    return gaps;
}

}  // namespace underfoot
