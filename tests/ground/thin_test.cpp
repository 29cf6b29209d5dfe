// Scans thinned: the promise is looked up on the surface itself, point by point.

#include "ground/thin.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "ground/surface.h"
#include "random_plan.h"

using namespace underfoot;
using namespace underfoot_test;

namespace {

using Points = std::vector<glm::dvec3>;

/// Standard normal by the polar method (G. Marsaglia and T. A. Bray, 1964).
double normal(Random& random) {
    for (;;) {
        const double u = random.between(-1, 1), v = random.between(-1, 1), s = u * u + v * v;
        if (s > 0 && s < 1) return u * std::sqrt(-2 * std::log(s) / s);
    }
}

double waves(glm::dvec2 p) {
    return 0.05 * std::sin(p.x * 0.7) * std::cos(p.y * 0.5) +
           0.012 * std::sin(2.3 * p.x) * std::sin(1.9 * p.y);
}
double slope(glm::dvec2 p) {
    return 0.02 * p.x - 0.01 * p.y;
}

template <class Height>
Points scanOf(Height height, int count, double noise = 0, double size = 10, uint64_t seed = 1) {
    Random random(seed);
    Points points;
    for (int i = 0; i < count; i++) {
        const glm::dvec2 p = random.inSquare(size);
        points.push_back({p.x, p.y, height(p) + noise * normal(random)});
    }
    return points;
}

double greatestDeviation(const Points& scan, const Points& kept) {
    const auto surface = triangulatedSurface(kept, Beyond::Nearest, {0, 0}, {10, 10});
    double greatest = 0;
    int hint = -1;
    for (const glm::dvec3& p : scan) {
        const glm::dvec2 at(p);
        EXPECT_TRUE(surface->known(at, hint));
        greatest = std::max(greatest, std::fabs(surface->pieceAt(at, hint).height(at) - p.z));
    }
    return greatest;
}

TEST(Thin, noPointLiesFartherOffThanTheError) {
    for (const double error : {0.0005, 0.001, 0.01}) {
        const Points scan = scanOf(waves, 30000);
        const Thinned thinned = thin(scan, {}, {error, 30000, 0.127});
        EXPECT_EQ(thinned.measured, 30000u);
        EXPECT_EQ(thinned.kept, thinned.points.size());
        EXPECT_LT(thinned.kept, 12000u);
        EXPECT_EQ(thinned.error, error);
        EXPECT_EQ(thinned.square, 0);
        EXPECT_LE(thinned.greatest, error);
        EXPECT_GT(thinned.greatest, 0.8 * error);
        EXPECT_NEAR(greatestDeviation(scan, thinned.points), thinned.greatest, 1e-10);
    }
}

TEST(Thin, keptPointsWereMeasured) {
    const Points scan = scanOf(waves, 5000);
    for (const glm::dvec3& kept : thin(scan, {}, {}).points)
        EXPECT_TRUE(std::any_of(scan.begin(), scan.end(), [&](const glm::dvec3& p) {
            return std::fabs(p.x - kept.x) < 1e-9 && std::fabs(p.y - kept.y) < 1e-9 && p.z == kept.z;
        }));
}

TEST(Thin, theFarthestPointIsToldWithItsSign) {
    // A plane with one point 5 mm below it, kept in no way: the error allowed is larger. In the middle of the
    // square the surface is level, so the deviation is 5 mm.
    Points scan;
    for (int x = 0; x <= 40; x++)
        for (int y = 0; y <= 40; y++) scan.push_back({0.25 * x, 0.25 * y, x == 20 && y == 12 ? 0.995 : 1.0});
    const Thinned thinned = thin(scan, {}, {0.01, 100, 0});
    EXPECT_EQ(thinned.kept, 4u);
    EXPECT_NEAR(thinned.greatest, 0.005, 1e-12);
    EXPECT_NEAR(thinned.farthest.x, 5, 1e-9);
    EXPECT_NEAR(thinned.farthest.y, 3, 1e-9);
    EXPECT_EQ(thinned.farthest.z, 0.995);
    // Held to 4 mm the point is kept, and nothing lies off any more.
    const Thinned finer = thin(scan, {}, {0.004, 100, 0});
    EXPECT_LE(finer.greatest, 0.004);
    EXPECT_GE(finer.kept, 5u);
}

TEST(Thin, aPlaneNeedsItsCornersOnly) {
    Points scan;
    for (int x = 0; x <= 100; x++)
        for (int y = 0; y <= 100; y++) scan.push_back({0.1 * x, 0.1 * y, slope({0.1 * x, 0.1 * y})});
    EXPECT_EQ(thin(scan, {}, {}).kept, 4u);
}

TEST(Thin, theOrderOfThePointsMakesNoDifference) {
    for (const double noise : {0.0, 0.003}) {
        Points scan = scanOf(waves, 20000, noise);
        for (int i = 0; i < 50; i++) scan.push_back(scan[static_cast<size_t>(i)] + glm::dvec3(0, 0, 0.0007));
        const Thinned first = thin(scan, {}, {});
        Random random(7);
        for (size_t i = scan.size(); i > 1; i--)
            std::swap(scan[i - 1], scan[static_cast<size_t>(random.below(static_cast<int>(i)))]);
        const Thinned second = thin(scan, {}, {});
        EXPECT_EQ(first.points, second.points);
        EXPECT_EQ(first.greatest, second.greatest);
        EXPECT_EQ(first.farthest, second.farthest);
        EXPECT_EQ(first.scatter, second.scatter);
    }
}

TEST(Thin, fixedPointsStayAsTheyAre) {
    const Points fixed{{5, 5, 3}, {5, 5, 4}, {-1, -1, 0}, {2.5, 7.5, -1}};
    for (const double noise : {0.0, 0.003}) {
        const Points scan = scanOf(waves, 20000, noise);
        const Thinned thinned = thin(scan, fixed, {});
        ASSERT_GT(thinned.points.size(), fixed.size());
        EXPECT_TRUE(std::equal(fixed.begin(), fixed.end(), thinned.points.begin()));
        EXPECT_EQ(thinned.kept, thinned.points.size() - fixed.size());
        const auto surface = triangulatedSurface(thinned.points, Beyond::Nearest, {0, 0}, {10, 10});
        EXPECT_NEAR(surface->height({5, 5}), 3, 1e-12);  // the first at a place counts
        EXPECT_NEAR(surface->height({2.5, 7.5}), -1, 1e-12);
    }
}

TEST(Thin, aFixedPointRulesItsPlace) {
    // The scan's point at the place of a fixed one lies 2 m above it, and that is what is told.
    Points scan = scanOf(slope, 6000);
    scan.push_back({5, 5, 5});
    const Points fixed{{5, 5, 3}};
    const Thinned thinned = thin(scan, fixed, {});
    EXPECT_NEAR(thinned.greatest, 2, 1e-12);
    EXPECT_EQ(thinned.farthest, glm::dvec3(5, 5, 5));
}

TEST(Thin, ofTwoHeightsAtOnePlaceTheMiddleCounts) {
    Points scan = scanOf(slope, 6000);
    scan.push_back({4, 4, 1.00});
    scan.push_back({4, 4, 1.06});
    scan.push_back({4, 4, 1.02});
    const Thinned thinned = thin(scan, {}, {});
    EXPECT_NEAR(thinned.greatest, 0.03, 1e-9);  // half of 1.06 - 1.00
    const auto surface = triangulatedSurface(thinned.points, Beyond::Nearest, {0, 0}, {10, 10});
    EXPECT_NEAR(surface->height({4, 4}), 1.03, 1e-9);
}

TEST(Thin, noiseIsAveragedAndTheSurfaceFound) {
    // 2 mm of scatter at 1,000 points to the square metre: the squares of 125 mm hold 15 or 16 points, and
    // the means scatter by 2 / sqrt(15.6) = 0.5 mm.
    const Points scan = scanOf(slope, 100000, 0.002);
    const Thinned thinned = thin(scan, {}, {});
    EXPECT_NEAR(thinned.scatter, 0.002, 0.0002);
    EXPECT_DOUBLE_EQ(thinned.square, 0.125);
    EXPECT_LT(thinned.kept, 2500u);
    EXPECT_NEAR(greatestDeviation(scan, thinned.points), thinned.greatest, 1e-10);  // places go to the grid
    // The farthest of 100,000 normal deviates lies 4.4 standard deviations off, give or take half of one.
    EXPECT_GT(thinned.greatest, 3.5 * 0.002);
    EXPECT_LT(thinned.greatest, 6.5 * 0.002);
    const auto surface = triangulatedSurface(thinned.points, Beyond::Nearest, {0, 0}, {10, 10});
    double squares = 0;
    int hint = -1, count = 0;
    for (double x = 0.5; x < 9.5; x += 0.1)
        for (double y = 0.5; y < 9.5; y += 0.1, ++count) {
            const double off = surface->pieceAt({x, y}, hint).height({x, y}) - slope({x, y});
            squares += off * off;
            EXPECT_LT(std::fabs(off), 0.004);
        }
    EXPECT_LT(std::sqrt(squares / count), 0.001);
}

TEST(Thin, aStrayIsLeftOutOfTheMean) {
    Points scan = scanOf(slope, 100000, 0.002);
    const Points clean = scan;
    scan.push_back({3.3, 4.4, slope({3.3, 4.4}) + 0.2});
    const Thinned thinned = thin(scan, {}, {});
    EXPECT_NEAR(thinned.greatest, 0.2, 0.004);
    EXPECT_NEAR(thinned.farthest.x, 3.3, 1e-9);
    const auto surface = triangulatedSurface(thinned.points, Beyond::Nearest, {0, 0}, {10, 10});
    const auto without = triangulatedSurface(thin(clean, {}, {}).points, Beyond::Nearest, {0, 0}, {10, 10});
    EXPECT_NEAR(surface->height({3.3, 4.4}), without->height({3.3, 4.4}), 0.001);
}

TEST(Thin, averagedScansKeepTheirRim) {
    // Along the rim the waves rise and fall by several centimetres: a straight hull edge would miss them.
    const Points scan = scanOf(waves, 100000, 0.002);
    EXPECT_LT(thin(scan, {}, {}).greatest, 8 * 0.002);
}

TEST(Thin, littleNoiseIsLeftIn) {
    const Points scan = scanOf(slope, 50000, 0.00015);
    const Thinned thinned = thin(scan, {}, {});
    EXPECT_NEAR(thinned.scatter, 0.00015, 0.00002);
    EXPECT_EQ(thinned.square, 0);
    EXPECT_LE(thinned.greatest, 0.001);
    EXPECT_LT(thinned.kept, 500u);
}

TEST(Thin, squaresAreNoLargerThanAskedFor) {
    const Points scan = scanOf(slope, 20000, 0.002, 3);
    EXPECT_EQ(thin(scan, {}, {0.004, 20000, 0.1}).square, 0.0625);
    EXPECT_EQ(thin(scan, {}, {0.02, 20000, 0}).square, 0);
}

TEST(Thin, theErrorGrowsUntilNoMoreThanTheMostAreKept) {
    const Points scan = scanOf(waves, 30000);
    const Thinned thinned = thin(scan, {}, {0.0001, 500, 0.127});
    const size_t corners = 60;  // of the hull, which are kept beside; far fewer in fact
    EXPECT_LE(thinned.kept, 500 + corners);
    EXPECT_GT(thinned.error, 0.0001);
    EXPECT_LE(thinned.greatest, thinned.error);
    // It grows by halves: the step before was not enough, so one of 1.5 times fewer points is not far off.
    EXPECT_GT(thinned.kept, 200u);
}

TEST(Thin, keepsFewerThanAGridAsGood) {
    // A flat yard with one mound a metre wide. A grid of as many points as were kept misses the mound by far
    // more.
    const auto mound = [](glm::dvec2 p) {
        const glm::dvec2 d = p - glm::dvec2(6.3, 2.9);
        return 0.3 * std::exp(-4 * (d.x * d.x + d.y * d.y));
    };
    const Points scan = scanOf(mound, 40000);
    const Thinned thinned = thin(scan, {}, {});
    const int side = static_cast<int>(std::ceil(std::sqrt(static_cast<double>(thinned.kept))));
    std::vector<glm::dvec3> nearest(static_cast<size_t>(side * side), glm::dvec3(1e9));
    for (const glm::dvec3& p : scan) {
        const auto cell = [&](double x) { return std::min(side - 1, static_cast<int>(x / 10 * side)); };
        const int i = cell(p.x), j = cell(p.y);
        const glm::dvec2 middle((i + 0.5) * 10 / side, (j + 0.5) * 10 / side);
        glm::dvec3& best = nearest[static_cast<size_t>(i * side + j)];
        const auto distance = [&](const glm::dvec3& q) { return std::hypot(q.x - middle.x, q.y - middle.y); };
        if (distance(p) < distance(best)) best = p;
    }
    const auto grid = triangulatedSurface(nearest, Beyond::Nearest, {0, 0}, {10, 10});
    double greatest = 0;
    int hint = -1;
    for (const glm::dvec3& p : scan)
        greatest =
            std::max(greatest, std::fabs(grid->pieceAt(glm::dvec2(p), hint).height(glm::dvec2(p)) - p.z));
    RecordProperty("kept", static_cast<int>(thinned.kept));
    EXPECT_GT(greatest, 5 * thinned.greatest);
}

TEST(Thin, aStepIsKept) {
    // 50 mm up at x = 5, points on a grid of 50 mm: the surface rises between 4.95 and 5.
    Points scan;
    for (int x = 0; x < 200; x++)
        for (int y = 0; y < 200; y++) scan.push_back({0.05 * x, 0.05 * y, x < 100 ? 0.0 : 0.05});
    const Thinned thinned = thin(scan, {}, {});
    EXPECT_LE(thinned.greatest, 0.001);
    EXPECT_NEAR(greatestDeviation(scan, thinned.points), thinned.greatest, 1e-10);  // places go to the grid
}

TEST(Thin, whatMakesNoSurfaceIsLeftAlone) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    const Points line{{0, 0, 1}, {1, 1, 2}, {2, 2, 3}, {3, 3, 0}};
    EXPECT_EQ(thin(line, {}, {}).points, line);
    const Points far{{0, 0, 1}, {1, 0, 2}, {0, 1, 3}, {9000, 3, 0}};
    EXPECT_EQ(thin(far, {}, {}).points, far);
    const Points broken{{0, 0, 1}, {1, 0, 2}, {0, 1, 3}, {1, 1, nan}};
    EXPECT_EQ(thin(broken, {}, {}).points.size(), 4u);
    EXPECT_TRUE(thin({}, {}, {}).points.empty());
    EXPECT_EQ(thin(Points{{1, 2, 3}}, {}, {}).kept, 1u);
    const Points same(10, glm::dvec3(1, 2, 3));
    EXPECT_EQ(thin(same, {}, {}).points, same);
}

TEST(Thin, anyPointsAtAllHoldThePromise) {
    // Points on a coarse grid: many at one place, many in line, many circles with more than three on them.
    for (uint64_t seed = 1; seed <= 60; seed++) {
        Random random(seed);
        Points scan;
        double spread = 0;
        const int count = 3 + random.below(800), size = 2 + random.below(30);
        for (int i = 0; i < count; i++) {
            const glm::dvec2 p = random.onIntegerGrid(size);
            scan.push_back({p.x, p.y, std::floor(random.between(0, 4))});
        }
        const Thinned thinned = thin(scan, {}, {0.5, 1000, 0});
        if (thinned.points.size() == scan.size()) continue;  // in line, say
        for (const glm::dvec3& p : scan)
            for (const glm::dvec3& q : scan)
                if (p.x == q.x && p.y == q.y) spread = std::max(spread, std::fabs(p.z - q.z));
        EXPECT_LE(thinned.greatest, std::max(0.5, spread / 2) + 1e-12) << seed;
        EXPECT_NEAR(greatestDeviation(scan, thinned.points), thinned.greatest, 1e-9) << seed;
    }
}

}  // namespace
