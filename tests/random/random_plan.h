#pragma once
// Plans drawn by lot: every seed gives one plan, the same on every machine, and one that the plan reader
// would accept. Drawn are areas side by side, with gaps, within one another, outlines with arcs, slivers,
// corners on the neighbour's edge and corners in line, openings that touch each other and the outline,
// three to ten layers, up to five hundred shots (on a round grid, in line, nearly at one place), measured
// tops that cross each other and the design.

#include <cstdint>
#include <string>
#include <vector>

#include "plan/plan.h"

namespace underfoot::testing {

/// splitmix64 (Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators", with Vigna's
/// constants): the same numbers everywhere.
class Lot {
  public:
    /// The state steps by one constant: seeds are mixed first, or one's numbers would be the next one's,
    /// moved.
    explicit Lot(uint64_t seed) : state_(mixed(seed + 0x9E3779B97F4A7C15ULL)) {}
    uint64_t next() { return mixed(state_ += 0x9E3779B97F4A7C15ULL); }
    double real(double low, double high) {
        return low + (high - low) * static_cast<double>(next() >> 11) * 0x1.0p-53;
    }
    int whole(int low, int high) {
        return low + static_cast<int>(next() % static_cast<uint64_t>(high - low + 1));
    }
    bool chance(double part) { return real(0, 1) < part; }
    size_t index(size_t count) { return static_cast<size_t>(next() % count); }

  private:
    static uint64_t mixed(uint64_t z) {
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }

    uint64_t state_;
};

Plan randomPlan(uint64_t seed);

/// The same plan with every shot and spot level moved by up to two millimetres: no four stand on one circle,
/// no three in line, so that only one triangulation of them is Delaunay's, however the plan lies.
Plan withoutTies(Plan plan);

/// Every place of a plan, for moving and turning it as a whole.
template <class Visit>
void forEachPlace(Plan& plan, Visit visit) {
    const auto ofRing = [&](Ring& ring) {
        visit(ring.start);
        for (OutlineEdge& edge : ring.edges) {
            visit(edge.to);
            if (edge.through) visit(*edge.through);
        }
    };
    visit(plan.baseline.from);
    visit(plan.baseline.to);
    for (Area& area : plan.areas) {
        ofRing(area.outline);
        for (Ring& opening : area.openings) ofRing(opening);
    }
    for (Finish& finish : plan.finishes) {
        for (FinishPlane& plane : finish.planes) visit(plane.at);
        for (SpotLevel& spot : finish.spots) visit(spot.at);
    }
    for (Shot& shot : plan.ground.shots) visit(shot.at);
    for (MeasuredTop& top : plan.measuredTops)
        for (Shot& shot : top.shots) visit(shot.at);
}

}  // namespace underfoot::testing
