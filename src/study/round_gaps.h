#pragma once
// Gaps over one place under straightedges in many directions at once. Internal to study.
//
// Every direction is a line through the place, two rays. What stands higher than the gap asked for comes
// first, each flat part on the rays that it lies on: no chord passes that height without an end on one of
// them. The chords between them raise the gap asked for; only then the parts below are looked at, on rays
// across from which something rises steeply enough for their lower end to be made up for. Squares of the plan
// are passed by where nothing in the sectors across, no farther from them than the length, rises by enough.

#include <array>
#include <cstdint>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "study/part_grid.h"
#include "study/plane_parts.h"
#include "study/profile_gap.h"

namespace underfoot {

class RoundGaps {
  public:
    /// Directions evenly over half a turn, the first along x. `tops` are the parts' greatest heights.
    RoundGaps(const PlaneParts& flat, const PartGrid& grid, const std::vector<HeightLevel>& levels,
              const std::vector<double>& tops, double length, const HeldHeights& held, int directions);

    struct Found {
        ProfileGap gap;  ///< distances along the line from the place
        int direction = -1;
        glm::dvec2 along{1, 0};
    };
    /// The greatest gap over a place (counted from the parts' middle) of that height; `floor` where none
    /// passes it. A direction that is likely to show much is tried first: it spares looking at what lies
    /// below.
    Found greatest(glm::dvec2 at, double height, double floor, int likely = -1);

    size_t visits() const { return visits_; }  ///< squares and parts looked at

  private:
    /// A straight piece of the surface along a ray.
    struct Rest {
        double from = 0, to = 0, z0 = 0, z1 = 0;
        double rise(double height) const;  ///< how steeply it rises over the height at the place
    };
    struct Ray {
        glm::dvec2 along{1, 0};
        std::vector<Rest> high, low;
        double rise = 0;     ///< the steepest to what stands above the height; not above 0 where nothing does
        double nearest = 0;  ///< how far away what does begins
    };
    size_t across(size_t ray) const { return ray < directions_ ? ray + directions_ : ray - directions_; }
    size_t rayBefore(glm::dvec2 way) const;
    std::pair<size_t, size_t> raysOf(const PlanePart& part) const;
    struct Stretch {
        double low = 1e300, high = -1e300;
    };
    Stretch stretchOn(const PlanePart& part, glm::dvec2 along) const;
    bool cutTo(const PlanePart& part, const Stretch& stretch, glm::dvec2 along, Rest& rest) const;
    bool clip(const PlanePart& part, const Ray& ray, Rest& rest) const;
    template <class Take>
    void takeHeld(const Rest& rest, const Take& take) const;
    /// What of the plan lies about the place: how far at least and at most, and over which sectors.
    struct Spread {
        double nearest = 0, farthest = 0;
        size_t first = 0, count = 0;
    };
    Spread spreadOf(glm::dvec2 middle, double radius) const;
    int squaresAbove(double height) const;
    void measureSectors(double height);
    void measureSquare(int level, int column, int row, double height);
    double riseAcross(const Spread& spread) const;
    void gatherHigh(double height);
    void gatherLow(double above, double height);
    template <class Wants, class Take>
    void partsRound(const Wants& wants, const Take& take);
    template <class Take>
    void partsAlong(glm::dvec2 along, double from, double to, double least, const Take& take);
    bool measureRises(double height);
    void tryLikely(size_t direction, double height, Found& found);
    void tryLines(double height, bool withLow, Found& found);
    void tryLine(size_t direction, double height, Found& found);

    const PlaneParts& flat_;
    const PartGrid& grid_;
    const std::vector<HeightLevel>& levels_;
    const std::vector<double>& tops_;
    double length_;
    HeldHeights held_;
    size_t directions_;
    std::vector<Ray> rays_;
    std::vector<size_t> startAt_;  // rays by how far round they point, in steps
    std::vector<uint32_t> seen_;
    uint32_t turn_ = 0;
    size_t visits_ = 0;
    static constexpr size_t sectors = 16, bins = 16;
    /// By sector and distance: how steeply what lies no farther away may rise over the height.
    std::array<std::array<double, bins>, sectors> rises_{};
    std::vector<std::pair<double, size_t>> order_;
    Profile profile_;
    glm::dvec2 at_{0, 0};
};

}  // namespace underfoot
