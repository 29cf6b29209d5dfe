#pragma once
// The greatest gap under a straightedge along one profile. Internal to study.

#include <cmath>
#include <vector>

namespace underfoot {

/// A straight part of a profile: level + slope * x for x between from and to.
struct ProfilePart {
    double from = 0, to = 0;
    double level = 0, slope = 0;
    double at(double x) const { return level + slope * x; }
};

struct ProfileGap {
    double gap = 0;
    double from = 0, to = 0, at = 0;
};

/// Parts to rest on, and parts under which gaps are looked for; they may overlap and step.
class Profile {
  public:
    void clear();
    void add(const ProfilePart& restedOn, const ProfilePart& under);
    /// Looks for gaps between these places only.
    void holdGapAt(double from, double to);
    /// The greatest of chord(r) - under(r), with both ends of the chord on parts to rest on, r between them
    /// or at one, and no more than `length` between the ends. `gap` stays at `floor` where nothing passes it.
    ProfileGap greatest(double length, double floor);

  private:
    struct Place {
        double x = 0, z = 0;
    };
    void window(double r, double length);
    void findLowest();
    void tryPairs(Place r, double length, ProfileGap& best);
    void tryWholeLength(Place r, double length, ProfileGap& best) const;

    std::vector<ProfilePart> on_, under_;
    std::vector<ProfilePart> near_;      // parts of on_ in reach of r
    std::vector<Place> lowest_;          // where gaps may be greatest, the lowest first
    std::vector<Place> before_, after_;  // their ends on either side of r
};

}  // namespace underfoot
