#pragma once
// Gaps under straightedges over one small piece of the plan, in one direction or a narrow fan of them.
// Internal to study.
//
// Lines of a fan that pass a rectangle lie in a strip. Each flat part that touches the strip counts with its
// highest value across it as something to rest on, and in the rectangle with its lowest as a place of the gap
// (its fall across the strip first lessened by the mean fall in the rectangle, a plane that changes no gap).
// What is found along the strip then bounds the gap of every line in it; a strip of no width is one line, and
// what is found is exact (profile_gap.h).
//
// A strip wider than the grid's squares is read off squares with one greatest height each, all places of the
// rectangle being as low as its lowest and up to half its size nearer to what is rested on. A chord passes
// the height h where the rise of its one end (height over h, by its distance) and that of the other make more
// than nothing, with the ends no farther apart than the straightedge is long. Distances are counted in steps,
// of which the ends' two may make one too many. The greatest h that any two ends pass is found by Newton's
// rule from below: each h is that of the best chord over the one before.
//
// What lies below the least h asked of can only be the lower end of a chord: it is looked at where the other
// end rises steeply enough.

#include <cstdint>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "study/part_grid.h"
#include "study/plane_parts.h"
#include "study/profile_gap.h"

namespace underfoot {

/// Lines in a direction within halfAngle of `angle` that pass the place `at` at `distance` (to the left of
/// it) within halfDistance.
struct LineFan {
    glm::dvec2 at{0, 0};
    double angle = 0, halfAngle = 0;
    double distance = 0, halfDistance = 0;
};

/// Parts that count for the lines of a fan: others need not be looked at for a fan within it and no lower
/// floor.
struct FanParts {
    bool known = false;
    std::vector<int> rested, under;
    size_t high = 0;  ///< the first of those rested on, one of which at least a chord has to rest on
};

class StripGaps {
  public:
    StripGaps(const PlaneParts& flat, const PartGrid& grid, double length, const HeldHeights& held);

    /// The height at a place; the lowest where parts meet. 1e300: no part is there.
    double lowestAt(glm::dvec2 at) const;

    /// No gap under lines of the fan over places within `half` of its middle, all of them at `lowest` or
    /// above, is greater than this. `gap` stays at the floor where nothing passes it. For one line (no
    /// halves) it is the greatest gap there; distances are along the line from the foot of the middle.
    ProfileGap gapUnder(const LineFan& fan, glm::dvec2 half, double lowest, double floor,
                        const FanParts& from, FanParts* kept = nullptr);
    /// The parts that count for any line over places within `half` of a place, all of them at `lowest` or
    /// above: false where no gap there passes the floor. More than `most` of them are not known one by one.
    bool partsRound(glm::dvec2 at, glm::dvec2 half, double lowest, double floor, size_t most,
                    FanParts& found);

    const std::vector<HeightLevel>& levels() const { return levels_; }
    const std::vector<double>& tops() const { return tops_; }  ///< each part's greatest height
    size_t visits() const { return visits_; }

  private:
    /// Heights between two distances, straight.
    struct Rest {
        double from = 0, to = 0, z0 = 0, z1 = 0;
    };
    struct End {
        double rise = -1e300, run = 0, z = 0;
    };
    struct Strip {
        glm::dvec2 across{0, 1};
        PlanStrip plan;
        double near = 0;  ///< places lie within this of the middle, along
        double tilt = 0;  ///< mean fall across
    };
    Strip stripOf(const LineFan& fan, glm::dvec2 half) const;
    bool wide(const Strip& strip) const { return strip.plan.half(0.5 * length_) * 0.75 >= grid_.side(); }
    int levelFor(const Strip& strip) const;
    double boundOnSquares(const Strip& strip, double lowest, double floor);
    void gatherUnder(Strip& strip, const LineFan& fan, glm::dvec2 half, const FanParts& from);
    bool clip(const Strip& strip, const PlanePart& part, double reach, glm::dvec2& low,
              glm::dvec2& high) const;
    ProfileGap overUnder(double lowest, double floor);
    /// What lies low in a strip, left aside until it is known how steeply what stands high rises.
    struct Low {
        double from = 0, to = 0, top = 0;
        int part = -1;  ///< -1: a square, as high all over
    };
    struct Rises {
        double before = 0, after = 0;
    };
    void gatherParts(const Strip& strip, double height, const FanParts& from);
    void gatherSquares(const Strip& strip, double height);
    void addLow(const Strip& strip, double height);
    Rises highRises(double near, double height) const;
    /// What of a part lies in a strip: its plane along the middle line, and a range across.
    struct Stretch {
        int region = 0;
        double from = 0, to = 0;
        double level = 0, slope = 0, aside = 0;
        double low = 0, high = 0;
    };
    void addPart(const Strip& strip, int part, double reach, std::vector<int>& met);
    void joinStretches();
    void turnStretches(bool rested, std::vector<Rest>& rests);
    void addRest(double from, double to, double z0, double z1, std::vector<Rest>& rests) const;
    bool bestChord(double near, double height, double& passed);
    void fillEnds(double near, double height);
    template <class Take>
    void squaresRound(glm::dvec2 at, double reach, const Take& take) const;
    void gatherBelow(glm::dvec2 at, glm::dvec2 half, std::vector<int>& parts);
    void fillProfile();
    bool holds(const PlanePart& part, glm::dvec2 at) const;

    const PlaneParts& flat_;
    const PartGrid& grid_;
    double length_;
    HeldHeights held_;
    std::vector<HeightLevel> levels_;
    size_t visits_ = 0;

    std::vector<uint32_t> seen_;  // by part: the last strip that met it
    uint32_t turn_ = 0;
    std::vector<double> tops_;  // by part: its greatest height
    std::vector<Rest> rests_, under_;
    std::vector<std::pair<double, double>> places_;  // height and distance of places that gaps may be over
    std::vector<Low> low_;
    std::vector<Stretch> stretches_;
    FanParts met_;
    std::vector<int> found_;
    std::vector<std::pair<int, int>> squares_;
    size_t steps_ = 0;
    double step_ = 0;
    std::vector<End> before_, after_;
    Profile profile_;
};

}  // namespace underfoot
