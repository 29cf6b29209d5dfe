#pragma once
// The straightedge test over a whole surface: the greatest gap under a straightedge of a given length, in any
// place and any direction.
//
// A straightedge rests on two places of the surface, p and q, no farther apart than its length; the gap at a
// place r between them is the height of the line p-q at r less the surface there. The upper hull of the
// profile under the straightedge is the greatest of those lines, so the greatest gap is the maximum of
//     (1 - t) f(p) + t f(q) - f(r),   r = (1 - t) p + t q,   |p - q| <= length,
// over p, q and r on the surface. It may reach across an opening or an inner corner, as a straightedge does.
// Adding a plane to the surface changes nothing, so of a surface designed as one plane the heights and the
// deviations give one answer; where the design itself bends, deviations are the ones to test.
//
// Method: branch and bound over all lines of the plan (direction and distance from the middle). Triangles in
// one plane are joined first (plane_parts.h): along a line they have no bend. Along one line the surface is a
// profile, whose greatest gap is found exactly: r at a bend, p and q at bends or with the whole length
// between them. A box of lines covers a narrow strip. Each flat part that touches the strip counts with its
// highest value across it as something to rest on and with its lowest as a place of the gap (its fall across
// the strip first lessened by the mean fall, a plane that changes no gap); the same exact search along the
// strip then bounds the gap of every line in the box. The box with the greatest bound is halved first. The
// search ends when no bound passes the best gap found by more than `sure`, or when the effort is used up;
// either way no gap anywhere is greater than `atMost`, nor than all heights lie apart beside a plane of their
// mean fall. A surface where every line is as bad as the next uses up the effort, and so does one of very
// many parts: strips over more than 200 of them are halved without a bound. Where there are more than 600,
// the straightedge is first laid over the lowest corners of the surface in some directions, so that what is
// found is near the greatest gap all the same.

#include <cstddef>

#include <glm/vec2.hpp>

#include "study/height_field.h"

namespace underfoot {

struct StraightedgeEffort {
    double sure = 2.5e-4;  ///< metres
    size_t most = 4000;    ///< boxes of lines
    /// Above 0: all that is asked is whether a gap passes this. The search ends with the first that does;
    /// where none can, `atMost` is no more than this.
    double past = 0;
    size_t mostVisits = 3'000'000;  ///< flat parts looked at in all those boxes
};

struct StraightedgeGap {
    double gap = 0;     ///< found, at these places:
    double atMost = 0;  ///< proved: no gap is greater
    glm::dvec2 from{0, 0}, to{0, 0};
    glm::dvec2 at{0, 0};
    size_t looked = 0;  ///< boxes
};

StraightedgeGap greatestGap(const HeightField& field, double length, const StraightedgeEffort& effort = {});

/// Where gaps are: over each corner of the field the greatest gap under straightedges in 36 directions (5
/// degrees apart) through it. What it shows is there; between directions a little more may be.
HeightField gapsOver(const HeightField& field, double length);

}  // namespace underfoot
