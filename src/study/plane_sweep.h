#pragma once
// Straightedges of one direction laid over places of a surface. Internal to study.

#include <functional>
#include <glm/vec2.hpp>
#include <vector>

#include "study/plane_parts.h"
#include "study/profile_gap.h"

namespace underfoot {

/// Lines of one direction go over the parts from one side to the other, so that each meets only those under
/// it.
class PlaneSweep {
  public:
    PlaneSweep(const PlaneParts& flat, double length) : flat_(flat), length_(length) {}

    /// Lays the straightedge over every place (counted from the parts' middle) along a direction, and tells
    /// of each greatest gap there that passes `floor` of the place; distances of the gap are along the
    /// direction.
    void lay(glm::dvec2 along, const std::vector<glm::dvec2>& places, const std::vector<double>& floor,
             const std::function<void(size_t place, const ProfileGap& gap)>& tell);

  private:
    struct Laid {
        int part = 0;
        glm::dvec2 low{1e300, 1e300}, high{-1e300, -1e300};
    };
    struct Stretch {
        int region = 0;
        ProfilePart part;
    };
    void layParts();
    ProfileGap gapOver(double x, double y, double floor);
    void addStretch(int index, double y);
    void joinStretches();

    const PlaneParts& flat_;
    double length_;
    glm::dvec2 along_{1, 0}, across_{0, 1};
    std::vector<glm::dvec2> corners_;
    std::vector<Laid> parts_, under_;
    std::vector<Stretch> stretches_;
    Profile profile_;
};

}  // namespace underfoot
