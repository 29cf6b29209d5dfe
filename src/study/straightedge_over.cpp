// The greatest gap over each corner of a field.

#include <algorithm>
#include <array>
#include <cstddef>
#include <map>
#include <memory>
#include <numeric>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/side_by_side.h"
#include "study/height_field.h"
#include "study/part_grid.h"
#include "study/plane_parts.h"
#include "study/profile_gap.h"
#include "study/round_gaps.h"
#include "study/straightedge.h"
#include "study/straightedge_surface.h"
#include "study/strip_gaps.h"

namespace underfoot {

namespace {

constexpr int directions = 36, fewer = 9;

/// The corners of a field, each once, in the order in which they are met.
struct Corners {
    explicit Corners(const HeightField& field) {
        std::map<std::pair<double, double>, size_t> known;
        for (const HeightPiece& piece : field) {
            std::array<size_t, 3>& mine = ofPiece.emplace_back();
            for (size_t k = 0; k < 3; ++k) {
                const auto [found, isNew] = known.try_emplace({piece.at[k].x, piece.at[k].y}, at.size());
                if (isNew) at.push_back(piece.at[k]);
                mine[k] = found->second;
            }
        }
    }
    std::vector<glm::dvec2> at;
    std::vector<std::array<size_t, 3>> ofPiece;
};

/// Gaps over places of a surface.
class GapsOver {
  public:
    GapsOver(const PlaneParts& parts, const PartGrid& grid, double length, const HeldHeights& held)
        : parts_(parts), grid_(grid), length_(length), held_(held), strips_(parts, grid, length, held) {}

    /// At each of some places, the greatest gap in so many directions; `floor` where none passes it.
    std::vector<double> greatest(const std::vector<glm::dvec2>& places, int count, double floor) const {
        constexpr size_t runs = 8, least = 32;
        std::vector<double> gaps(places.size());
        inRuns(places.size(), std::max(least, (places.size() + runs - 1) / runs),
               [&](size_t from, size_t to) {
                   RoundGaps round(parts_, grid_, strips_.levels(), strips_.tops(), length_, held_, count);
                   // What shows over one place shows over the next along much the same line.
                   int last = -1;
                   for (size_t i = from; i < to; ++i) {
                       const glm::dvec2 at = places[i] - parts_.middle;
                       const RoundGaps::Found found = round.greatest(at, strips_.lowestAt(at), floor, last);
                       if (found.direction >= 0) last = found.direction;
                       gaps[i] = found.gap.gap;
                   }
               });
        return gaps;
    }

  private:
    const PlaneParts& parts_;
    const PartGrid& grid_;
    double length_;
    HeldHeights held_;
    StripGaps strips_;
};

}  // namespace

HeightField Straightedge::gapsOver(double past) const {
    Surface& on = *surface_;
    if (on.apart <= past) return {};
    HeldHeights held;
    held.fall = on.fall;
    const GapsOver over(on.parts(), on.grid(), on.length, held);
    const Corners corners(on.field);
    std::vector<double> gaps = over.greatest(corners.at, directions, past);
    std::vector<size_t> kept;
    std::vector<char> isBeside(gaps.size(), 0);
    for (size_t i = 0; i < on.field.size(); ++i) {
        const auto& of = corners.ofPiece[i];
        if (std::none_of(of.begin(), of.end(), [&](size_t corner) { return gaps[corner] > past; })) continue;
        kept.push_back(i);
        for (const size_t corner : of) isBeside[corner] = gaps[corner] <= past;
    }
    // Beside these smaller ones count too, for between corners gaps are taken as straight; every fourth
    // direction is enough for them.
    std::vector<size_t> beside;
    std::vector<glm::dvec2> places;
    for (size_t i = 0; i < gaps.size(); ++i)
        if (isBeside[i]) beside.push_back(i), places.push_back(corners.at[i]);
    const std::vector<double> smaller = over.greatest(places, fewer, 0);
    for (size_t i = 0; i < beside.size(); ++i) gaps[beside[i]] = std::min(past, smaller[i]);
    HeightField field;
    for (const size_t i : kept) {
        field.push_back(on.field[i]);
        for (size_t k = 0; k < 3; ++k) field.back().value[k] = gaps[corners.ofPiece[i][k]];
    }
    return field;
}

}  // namespace underfoot
