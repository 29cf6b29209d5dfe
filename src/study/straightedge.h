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
// Method: first the gaps over corners of the surface in 36 directions (round_gaps.h), those first that the
// most stands above, and from the greatest on to better lines beside it. Then branch and bound over all lines
// of the plan, square by square of those that the place of a gap may lie in. Triangles in one plane are
// joined first (plane_parts.h): along a line they have no bend. A square counts as far as anything within the
// length stands high enough over the lowest of it. A box of lines that pass a square, in directions of a fan,
// covers a strip; what lies along it bounds the gap of every line in the box (strip_gaps.h). The box with the
// greatest bound is cut into four first, and the middle lines of some are tried: along it the surface is a
// profile, whose greatest gap over the square is found exactly: r at a bend, p and q at bends or with the
// whole length between them. The search ends when no bound passes the best gap found by more than `sure`, or
// when the effort is used up or will not do (very many squares, whose greatest bound does not come down). In
// any case no gap anywhere is greater than `atMost`, nor than all heights lie apart beside a plane of their
// mean fall.

#include <cstddef>
#include <memory>

#include <glm/vec2.hpp>

#include "study/height_field.h"

namespace underfoot {

struct StraightedgeEffort {
    double sure = 2.5e-4;  ///< metres
    size_t most = 4000;    ///< boxes
    /// Above 0: all that is asked is whether a gap passes this. The search ends with the first that does;
    /// where none can, `atMost` is no more than this.
    double past = 0;
    size_t mostVisits = 3'000'000;  ///< flat parts looked at in all those boxes
    /// Gaps up to this don't matter: they need not be found, nor bounded by less.
    double least = 0;
};

struct StraightedgeGap {
    double gap = 0;     ///< found, at these places:
    double atMost = 0;  ///< proved: no gap is greater
    glm::dvec2 from{0, 0}, to{0, 0};
    glm::dvec2 at{0, 0};
    size_t looked = 0;  ///< boxes
};

/// The test on one surface, of which more than one thing is asked; several threads may ask at once.
class Straightedge {
  public:
    Straightedge(const HeightField& field, double length);
    ~Straightedge();
    Straightedge(Straightedge&&) noexcept;
    Straightedge& operator=(Straightedge&&) noexcept;

    StraightedgeGap greatest(const StraightedgeEffort& effort = {}) const;
    /// The same of the surface with all heights held between two bounds.
    StraightedgeGap greatestHeld(double low, double high, const StraightedgeEffort& effort = {}) const;
    /// Over each corner of the field the greatest gap under straightedges in 36 directions (5 degrees apart)
    /// through it. What it shows is there; between directions a little more may be. Triangles with no corner
    /// over which a gap passes `past` are left out.
    HeightField gapsOver(double past) const;

  private:
    struct Surface;
    std::unique_ptr<Surface> surface_;
};

StraightedgeGap greatestGap(const HeightField& field, double length, const StraightedgeEffort& effort = {});

}  // namespace underfoot
