#pragma once
// The greatest gap under a straightedge along one profile. Internal to study.

#include <cstddef>  // IWYU pragma: keep
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
    void clear() { on_.clear(), sorted_ = true; }
    void add(const ProfilePart& part) { on_.push_back(part), sorted_ = false; }
    /// The greatest of chord(at) - height, with both ends of the chord on parts, `at` between them or at one,
    /// and no more than `length` between the ends. `gap` stays at `floor` where nothing passes it.
    ProfileGap greatestOver(double at, double height, double length, double floor);

  private:
    struct Place {
        double x = 0, z = 0;
    };
    /// A place to rest on by its distance from r.
    struct End {
        double away = 0, x = 0, z = 0;
        double rise = 0;
        bool operator<(const End& other) const { return away < other.away; }
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
    bool tryPairs(Place r, double length, ProfileGap& best);
    bool bestPair(Place r, double length, double height, size_t& p, size_t& q);
    void tryWholeLength(Place r, double length, ProfileGap& best) const;

    std::vector<ProfilePart> on_;
    bool sorted_ = true;
    std::vector<Near> near_;
    Rises most_;
    std::vector<End> before_, after_;  // that may be rested on, on either side of r
    std::vector<size_t> steepest_;     // of those after r, the one of the greatest rise up to each
};

}  // namespace underfoot
