#pragma once
// The greatest gap under a straightedge along one profile. Internal to study.

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
    /// The greatest of chord(r) - under(r), with both ends of the chord on parts to rest on, r between them
    /// or at one, and no more than `length` between the ends. `gap` stays at `floor` where nothing passes it.
    ProfileGap greatest(double length, double floor);
    /// The same over one place only, where the lowest part under it counts.
    ProfileGap greatestOver(double at, double length, double floor);

  private:
    struct Place {
        double x = 0, z = 0;
    };
    struct Rises {
        double before = 0, after = 0;
    };
    /// A part within reach of r, and the greatest rises of its places on either side of r.
    struct Near {
        ProfilePart part;
        double before = 0, after = 0;
    };
    void sortParts();
    void tryOver(Place r, double length, ProfileGap& best);
    static double riseOf(Place place, Place r, double height);
    bool window(Place r, double length, double height);
    void gatherEnds(Place r, double height);
    void findLowest(double below);
    void tryPairs(Place r, double length, ProfileGap& best);
    void tryWholeLength(Place r, double length, ProfileGap& best) const;

    std::vector<ProfilePart> on_, under_;
    std::vector<Near> near_;
    Rises most_;
    std::vector<Place> lowest_;          // where gaps may be greatest, the lowest first
    std::vector<Place> before_, after_;  // ends that may be rested on, on either side of r
};

}  // namespace underfoot
