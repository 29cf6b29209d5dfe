// The greatest gap over each corner of a field.

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "study/height_field.h"
#include "study/plane_parts.h"
#include "study/straightedge.h"
#include "study/straightedge_surface.h"
#include "study/strip_gaps.h"

namespace underfoot {

namespace {

constexpr double pi = std::numbers::pi;
constexpr int fans = 9, each = 4;  // directions

double angleOf(double direction) {
    return pi * direction / (fans * each);
}

// Over one place, in every so many of the directions: those far apart first.
double greatestAlong(StripGaps& gaps, glm::dvec2 at, double height, int step, double floor) {
    for (int first = 0; first < each; first += step)
        for (int i = first; i < fans * each; i += each)
            floor = gaps.gapOver(at, height, angleOf(i), floor, {}).gap;
    return floor;
}

// Over one place, in all directions: fan by fan where few parts count.
double greatestRound(StripGaps& gaps, glm::dvec2 at, double floor) {
    constexpr size_t few = 400;
    const StripGaps::Lowest lowest = gaps.lowestIn(at, {0, 0});
    FanParts round;
    if (!gaps.partsRound(at, {0, 0}, lowest.height, floor, few, round)) return floor;
    if (!round.known) return greatestAlong(gaps, at, lowest.height, 1, floor);
    std::array<std::pair<double, int>, fans> order;
    std::array<FanParts, fans> parts;
    for (int i = 0; i < fans; ++i) {
        const double middle = each * i + 0.5 * (each - 1), half = 0.5 * (each - 1);
        order[static_cast<size_t>(i)] = {
            -gaps.risesOver(at, lowest.height, angleOf(middle), angleOf(half) + 1e-9, floor, round,
                            parts[static_cast<size_t>(i)]),
            i};
    }
    std::sort(order.begin(), order.end());
    double most = floor;
    for (const auto& [rises, fan] : order)
        for (int i = 0; i < each && rises < 0; ++i)
            most = gaps.gapOver(at, lowest.height, angleOf(fan * each + i), most,
                                parts[static_cast<size_t>(fan)])
                       .gap;
    return most;
}

}  // namespace

HeightField Straightedge::gapsOver(double past) const {
    Surface& on = *surface_;
    HeightField gaps;
    if (on.apart <= past) return gaps;
    HeldHeights held;
    held.fall = on.fall;
    StripGaps strips(on.parts(), on.grid(), on.length, held);
    const glm::dvec2 middle = on.parts().middle;
    std::map<std::pair<double, double>, double> most;
    const auto mostAt = [&](glm::dvec2 p) -> double& {
        return most.try_emplace({p.x, p.y}, -1).first->second;
    };
    for (const HeightPiece& piece : on.field)
        for (const glm::dvec2 p : piece.at) {
            double& gap = mostAt(p);
            if (gap < 0) gap = greatestRound(strips, p - middle, past);
        }
    std::vector<const HeightPiece*> kept;
    for (const HeightPiece& piece : on.field)
        if (std::any_of(piece.at.begin(), piece.at.end(), [&](glm::dvec2 p) { return mostAt(p) > past; }))
            kept.push_back(&piece);
    // Beside these smaller ones count too, for between corners gaps are taken as straight; every fourth
    // direction is enough for them.
    for (const HeightPiece* piece : kept) {
        gaps.push_back(*piece);
        for (size_t k = 0; k < 3; ++k) {
            double& gap = mostAt(piece->at[k]);
            if (gap == past) {
                const glm::dvec2 at = piece->at[k] - middle;
                gap = std::min(past, greatestAlong(strips, at, strips.lowestIn(at, {0, 0}).height, each, 0));
            }
            gaps.back().value[k] = gap;
        }
    }
    return gaps;
}

}  // namespace underfoot
