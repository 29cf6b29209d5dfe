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

/// Parts to rest on; they may overlap and step.
class Profile {
  public:
    void clear() { on_.clear(); }
    void add(const ProfilePart& part) { on_.push_back(part); }
    /// The greatest of chord(at) - height, with both ends of the chord on parts, `at` between them or at one,
    /// and no more than `length` between the ends. `gap` stays at `floor` where nothing passes it.
    ProfileGap greatestOver(double at, double height, double length, double floor);

    /// How steeply the best ends within the length on either side rise over a height there, taken together:
    /// no chord passes it where this is not above 0.
    double risesOver(double at, double height, double length);

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
    void tryOver(Place r, double length, ProfileGap& best);
    static double riseOf(Place place, Place r, double height);
    bool window(Place r, double length, double height);
    void gatherEnds(Place r, double height);
    void tryPairs(Place r, double length, ProfileGap& best);
    void tryWholeLength(Place r, double length, ProfileGap& best) const;

    std::vector<ProfilePart> on_;
    std::vector<Near> near_;
    Rises most_;
    std::vector<Place> before_, after_;  // ends that may be rested on, on either side of r
};

}  // namespace underfoot
