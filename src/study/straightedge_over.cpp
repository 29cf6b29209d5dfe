// The greatest gap over each corner of a field.

#include <algorithm>
#include <array>
#include <map>
#include <memory>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

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

}  // namespace

HeightField Straightedge::gapsOver(double past) const {
    Surface& on = *surface_;
    HeightField gaps;
    if (on.apart <= past) return gaps;
    HeldHeights held;
    held.fall = on.fall;
    StripGaps strips(on.parts(), on.grid(), on.length, held);
    const auto round = [&](int count) {
        return RoundGaps(on.parts(), on.grid(), strips.levels(), strips.tops(), on.length, held, count);
    };
    // What shows over one place shows over the next along much the same line.
    struct Round {
        RoundGaps gaps;
        int last = -1;
    };
    Round all{round(directions)}, few{round(fewer)};
    const auto greatestAt = [&](Round& over, glm::dvec2 p, double floor) {
        const glm::dvec2 at = p - on.parts().middle;
        const auto found = over.gaps.greatest(at, strips.lowestAt(at), floor, over.last);
        if (found.direction >= 0) over.last = found.direction;
        return found.gap.gap;
    };
    std::map<std::pair<double, double>, double> most;
    const auto mostAt = [&](glm::dvec2 p) -> double& {
        return most.try_emplace({p.x, p.y}, -1).first->second;
    };
    for (const HeightPiece& piece : on.field)
        for (const glm::dvec2 p : piece.at) {
            double& gap = mostAt(p);
            if (gap < 0) gap = greatestAt(all, p, past);
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
            if (gap == past) gap = std::min(past, greatestAt(few, piece->at[k], 0));
            gaps.back().value[k] = gap;
        }
    }
    return gaps;
}

}  // namespace underfoot
