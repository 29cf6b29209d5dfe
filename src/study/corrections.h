#pragma once
// What to add and what to shave so that a surface comes inside its tolerance with the least work.
//
// Work is the volume moved: the integral of what stands above the band wanted + shift + tolerance, and of
// what lies below wanted + shift - tolerance. For one shift nothing less will do, since every place has to be
// brought at least to the edge of the band. The shift raises or lowers the strings (and all that is built
// above) as a whole; its work is convex in it, and the least is found by halving on the balance of the areas
// above and below the band, to a hundredth of a millimetre. Of equal shifts the smallest is taken. The plane
// is not tilted: that would change the fall that carries the water off.
//
// A surface inside a band of the tolerance to either side may still show up to twice that under a
// straightedge. Where it does, the band is narrowed to the widest one (of 16 steps from the whole to half the
// tolerance, where it cannot fail any more) at which the corrected surface passes.

#include <vector>

#include "model/model.h"
#include "study/height_field.h"
#include "study/patches.h"
#include "study/straightedge.h"

namespace underfoot {

struct CorrectionPatch {
    bool add = false;  ///< else shave
    FieldPatch patch;  ///< worstExcess: the greatest depth; volume: to add or shave
};

struct Corrections {
    double shift = 0;                      ///< of the wanted surface
    double band = 0;                       ///< to either side of it
    std::vector<CorrectionPatch> patches;  ///< the deepest first
    double added = 0, shaved = 0;
    double areaAdded = 0, areaShaved = 0;
    double work() const { return added + shaved; }
};

/// The volume moved at one shift.
double workAt(const HeightField& deviation, double shift, double band);
/// The shift of least work.
double leastWorkShift(const HeightField& deviation, double band);

/// The widest band that leaves no gap over `tolerance` under the straightedge at this shift.
double bandToPass(const Straightedge& straightedge, double shift, double tolerance);

Corrections correctionsAt(const Model& model, const HeightField& deviation, double shift, double band);

}  // namespace underfoot
