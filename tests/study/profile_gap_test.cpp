// The gap under a straightedge along one profile, against trying all places.

#include <algorithm>
#include <random>

#include <gtest/gtest.h>

#include "study/profile_gap.h"

namespace underfoot {
namespace {

struct Heights {
    std::vector<double> x, z;
    double at(double p) const {
        const size_t after = std::clamp<size_t>(
            static_cast<size_t>(std::upper_bound(x.begin(), x.end(), p) - x.begin()), 1, x.size() - 1);
        const double along = (p - x[after - 1]) / (x[after] - x[after - 1]);
        return z[after - 1] + (z[after] - z[after - 1]) * along;
    }
};

Heights drawn(std::mt19937& lot) {
    std::uniform_real_distribution<double> step(0.05, 0.6), height(-0.02, 0.02);
    Heights heights;
    double x = 0;
    for (int i = 0; i < 14; ++i) {
        // Now and then a deep place: far and low ones are rested on too, where all between is lower still.
        heights.x.push_back(x);
        heights.z.push_back(lot() % 4 == 0 ? height(lot) - 0.1 : height(lot));
        x += step(lot);
    }
    return heights;
}

double gapOf(const Heights& heights, double length) {
    Profile profile;
    for (size_t i = 0; i + 1 < heights.x.size(); ++i) {
        const double slope = (heights.z[i + 1] - heights.z[i]) / (heights.x[i + 1] - heights.x[i]);
        const ProfilePart part{heights.x[i], heights.x[i + 1], heights.z[i] - slope * heights.x[i], slope};
        profile.add(part);
    }
    double greatest = 0;
    for (size_t i = 0; i < heights.x.size(); ++i)
        greatest = profile.greatestOver(heights.x[i], heights.z[i], length, greatest).gap;
    return greatest;
}

/// Ends at places 1 cm apart and at corners, and one length from these; the gap over corners, where the
/// profile is lowest between.
double tried(const Heights& heights, double length) {
    std::vector<double> ends = heights.x;
    for (double p = 0; p < heights.x.back(); p += 0.01) ends.push_back(p);
    for (size_t i = 0, count = ends.size(); i < count; ++i)
        for (const double other : {ends[i] - length, ends[i] + length})
            if (other >= 0 && other <= heights.x.back()) ends.push_back(other);
    std::sort(ends.begin(), ends.end());
    std::vector<double> z;
    for (const double end : ends) z.push_back(heights.at(end));
    double greatest = 0;
    for (size_t r = 0; r < heights.x.size(); ++r) {
        const double at = heights.x[r];
        const auto first = std::lower_bound(ends.begin(), ends.end(), at) - ends.begin();
        for (size_t a = 0; a < ends.size() && ends[a] <= at; ++a)
            for (auto b = static_cast<size_t>(first); b < ends.size() && ends[b] <= ends[a] + length; ++b) {
                if (ends[b] <= ends[a]) continue;
                const double along = (at - ends[a]) / (ends[b] - ends[a]);
                greatest = std::max(greatest, z[a] + (z[b] - z[a]) * along - heights.z[r]);
            }
    }
    return greatest;
}

TEST(ProfileGap, IsThatOfAllPlacesTriedOnProfilesDrawnByLot) {
    std::mt19937 lot(7);
    for (int round = 0; round < 8; ++round) {
        const Heights heights = drawn(lot);
        for (const double length : {0.3, 1.0, 3.0}) {
            const double gap = gapOf(heights, length), least = tried(heights, length);
            EXPECT_GE(gap, least - 1e-12) << "round " << round << ", length " << length;
            // Between places tried 1 cm apart a chord's end moves by 5 mm at most, on slopes of up to 2.8.
            EXPECT_LE(gap, least + 0.005 * 2.8) << "round " << round << ", length " << length;
        }
    }
}

TEST(ProfileGap, RestsOnAFarLowPlaceWhenAllBetweenIsLower) {
    // A step at 0 from 0 down to -1, level to 2, then up to -0.9 at 3. Over x = 0.1 the chord from (0, 0) to
    // (3, -0.9) stands at -0.03, 0.97 above the level.
    const Heights heights{{-1, 0, 0.1, 2, 3}, {0, 0, -1, -1, -0.9}};
    EXPECT_NEAR(gapOf(heights, 3), 0.97, 1e-12);
}

}  // namespace
}  // namespace underfoot
