#include "study/corrections.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace underfoot {

namespace {

constexpr double sameShift = 1e-5;
constexpr double sameArea = 1e-7;

// Area above the band less area below it: the work falls with the shift by this.
double balance(const HeightField& deviation, double shift, double band) {
    return surplusOver(deviation, shift + band).area - lackUnder(deviation, shift - band).area;
}

void addPatches(const Model& model, const HeightField& deviation, double bound, bool add,
                Corrections& corrections) {
    std::vector<FieldCell> cells;
    for (const HeightPiece& piece : deviation) {
        FieldCell cell{piece.cell, piece.value, {}};
        for (size_t i = 0; i < 3; ++i) cell.excess[i] = add ? bound - piece.value[i] : piece.value[i] - bound;
        if (isPast(cell)) cells.push_back(cell);
    }
    for (FieldPatch& patch : fieldPatches(model, cells)) {
        (add ? corrections.added : corrections.shaved) += patch.volume;
        (add ? corrections.areaAdded : corrections.areaShaved) += patch.area;
        corrections.patches.push_back({add, std::move(patch)});
    }
}

}  // namespace

double workAt(const HeightField& deviation, double shift, double band) {
    return surplusOver(deviation, shift + band).volume + lackUnder(deviation, shift - band).volume;
}

double leastWorkShift(const HeightField& deviation, double band) {
    const double atNone = balance(deviation, 0, band);
    if (std::abs(atNone) <= sameArea) return 0;
    const double sign = atNone > 0 ? 1 : -1;
    double most = 0;
    for (const HeightPiece& piece : deviation)
        for (const double value : piece.value) most = std::max(most, sign * value);
    double near = 0, far = most + band;
    while (far - near > sameShift) {
        const double middle = 0.5 * (near + far);
        (sign * balance(deviation, sign * middle, band) > sameArea ? near : far) = middle;
    }
    return sign * far;
}

double bandToPass(const Straightedge& straightedge, double shift, double tolerance) {
    const StraightedgeEffort effort{2.5e-4, 1500, tolerance};
    const auto passes = [&](double band) {
        return straightedge.greatestHeld(shift - band, shift + band, effort).atMost <= tolerance;
    };
    if (passes(tolerance)) return tolerance;
    double narrow = 8, wide = 16;
    while (wide - narrow > 1) {
        const double middle = std::floor(0.5 * (narrow + wide));
        (passes(tolerance * middle / 16) ? narrow : wide) = middle;
    }
    return tolerance * narrow / 16;
}

Corrections correctionsAt(const Model& model, const HeightField& deviation, double shift, double band) {
    Corrections corrections;
    corrections.shift = shift;
    corrections.band = band;
    addPatches(model, deviation, shift + band, false, corrections);
    addPatches(model, deviation, shift - band, true, corrections);
    std::stable_sort(corrections.patches.begin(), corrections.patches.end(),
                     [](const CorrectionPatch& a, const CorrectionPatch& b) {
                         return a.patch.worstExcess > b.patch.worstExcess;
                     });
    return corrections;
}

}  // namespace underfoot
