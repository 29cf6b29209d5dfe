// Height surfaces: worked by hand, and by what must hold for any of them.

#include "ground/surface.h"
#include "ground/grid.h"
#include "ground/triangulated_surface.h"
#include "ground/triangulation.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>

#include <gtest/gtest.h>
#include <glm/common.hpp>

#include "random_plan.h"

using namespace underfoot;
using namespace underfoot_test;

namespace {

using Line = std::pair<glm::dvec2, glm::dvec2>;

// A square of 2 m with its corners at heights 0, 1, 3, 2 in turn: the plane z = x / 2 + y.
const std::vector<glm::dvec3> tiltedSquare{{0, 0, 0}, {2, 0, 1}, {2, 2, 3}, {0, 2, 2}};
// A square of 2 m, level at 1, with its middle at 2.
const std::vector<glm::dvec3> tent{{0, 0, 1}, {2, 0, 1}, {2, 2, 1}, {0, 2, 1}, {1, 1, 2}};

std::vector<glm::dvec3> randomShots(uint64_t seed, int count) {
    Random random(seed);
    std::vector<glm::dvec3> shots;
    for (int i = 0; i < count; i++) {
        const glm::dvec2 p = random.inSquare(10);
        shots.push_back({p.x, p.y, random.between(0, 1)});
    }
    return shots;
}

double turn(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

bool cross(const Line& a, const Line& b) {
    return turn(a.first, a.second, b.first) * turn(a.first, a.second, b.second) <= 0 &&
           turn(b.first, b.second, a.first) * turn(b.first, b.second, a.second) <= 0;
}

// Between two breaks a surface is flat: so the middle of any stretch that crosses no break line has the mean
// height of its ends, and the piece at one end tells the height at the other. Returns how many stretches were
// looked at.
int expectFlatBetweenBreaks(const Surface& surface, glm::dvec2 low, glm::dvec2 high, uint64_t seed) {
    const std::vector<Line> lines = surface.breakLines(low, high);
    Random random(seed);
    int looked = 0, hint = -1;
    for (int i = 0; i < 4000; i++) {
        const glm::dvec2 size = high - low;
        const auto place = [&](glm::dvec2 from, glm::dvec2 extent) {
            const double x = from.x + extent.x * random.unit();
            return glm::dvec2(x, from.y + extent.y * random.unit());
        };
        const glm::dvec2 a = place(low, size);
        const glm::dvec2 b = glm::clamp(place(a - 0.1 * size, 0.2 * size), low, high);
        if (std::any_of(lines.begin(), lines.end(), [&](const Line& line) { return cross(line, {a, b}); }))
            continue;
        looked++;
        const PlaneHeight piece = surface.pieceAt(a, hint);
        EXPECT_NEAR(surface.height((a + b) / 2.0), (surface.height(a) + surface.height(b)) / 2, 1e-9);
        EXPECT_NEAR(piece.height(b), surface.height(b), 1e-9) << a.x << ", " << a.y;
    }
    return looked;
}

void expectInBox(const std::vector<Line>& lines, glm::dvec2 low, glm::dvec2 high) {
    for (const auto& [a, b] : lines) {
        for (const glm::dvec2 p : {a, b}) {
            EXPECT_TRUE(p.x > low.x - 1e-9 && p.x < high.x + 1e-9 && p.y > low.y - 1e-9 &&
                        p.y < high.y + 1e-9);
        }
        EXPECT_NE(a, b);
    }
}

// The height of the closest point of the hull, looked for on every side of it.
double heightOfNearestHullPoint(const std::vector<glm::dvec3>& shots, glm::dvec2 p) {
    std::vector<glm::dvec2> plan;
    for (const glm::dvec3& s : shots) plan.push_back({s.x, s.y});
    std::vector<int> vertexOf;
    const Triangulation mesh = Triangulation::ofPoints(plan, &vertexOf);
    std::vector<glm::dvec3> byVertex(mesh.vertices().size());
    for (size_t i = 0; i < shots.size(); i++) byVertex[static_cast<size_t>(vertexOf[i])] = shots[i];
    const std::vector<int> hull = mesh.hull();
    double best = std::numeric_limits<double>::infinity(), height = 0;
    for (size_t i = 0; i < hull.size(); i++) {
        const glm::dvec3 a = byVertex[static_cast<size_t>(hull[i])];
        const glm::dvec3 b = byVertex[static_cast<size_t>(hull[(i + 1) % hull.size()])];
        const glm::dvec3 d = b - a;
        const double share =
            std::clamp(((p.x - a.x) * d.x + (p.y - a.y) * d.y) / (d.x * d.x + d.y * d.y), 0.0, 1.0);
        const glm::dvec3 q = a + share * d;
        const double distance = std::hypot(q.x - p.x, q.y - p.y);
        if (distance < best) {
            best = distance;
            height = q.z;
        }
    }
    return height;
}

}  // namespace

TEST(Plane, ThroughThreePoints) {
    // z = 1 + 2 x - 3 y
    const PlaneHeight plane = planeThrough({0, 0, 1}, {1, 0, 3}, {1, 1, 0});
    EXPECT_DOUBLE_EQ(plane.gradient.x, 2);
    EXPECT_DOUBLE_EQ(plane.gradient.y, -3);
    EXPECT_DOUBLE_EQ(plane.height({5, 2}), 5);  // 1 + 10 - 6
}

TEST(Plane, ThroughThePointsOfASliver) {
    // A grid step of height over a kilometre: the corners still come out at their heights.
    const glm::dvec3 a{0, 0, 1}, b{1000, 1000, 2}, c{500, 500 + gridStep, 1.7};
    const PlaneHeight plane = planeThrough(a, b, c);
    EXPECT_NEAR(plane.height({c.x, c.y}), 1.7, 1e-3);
    EXPECT_TRUE(std::isfinite(plane.gradient.x) && std::isfinite(plane.gradient.y));
}

TEST(Plane, FitOfPointsInAPlaneIsThatPlane) {
    std::vector<glm::dvec3> points;
    Random random(4);
    for (int i = 0; i < 20; i++) {
        const glm::dvec2 p = random.inSquare(10);
        points.push_back({p.x, p.y, 7 + 0.02 * p.x - 0.01 * p.y});
    }
    const PlaneHeight plane = planeFit(points);
    EXPECT_NEAR(plane.gradient.x, 0.02, 1e-12);
    EXPECT_NEAR(plane.gradient.y, -0.01, 1e-12);
    EXPECT_NEAR(plane.height({0, 0}), 7, 1e-12);
}

TEST(Plane, FitWeighsErrorsBySquares) {
    // Corners of a square at 0, 0, 0, 1: mean 1/4, and by symmetry a rise of 1/4 + 1/4 along each side of 1.
    const std::vector<glm::dvec3> points{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {1, 1, 1}};
    const PlaneHeight plane = planeFit(points);
    EXPECT_NEAR(plane.height({0.5, 0.5}), 0.25, 1e-15);
    EXPECT_NEAR(plane.gradient.x, 0.5, 1e-15);
    EXPECT_NEAR(plane.gradient.y, 0.5, 1e-15);
}

TEST(Plane, FitOfPointsInLineIsLevelAtTheMean) {
    const std::vector<glm::dvec3> points{{0, 0, 1}, {1.1, 2.2, 2}, {2.2, 4.4, 6}};
    const PlaneHeight plane = planeFit(points);
    EXPECT_EQ(plane.gradient, glm::dvec2(0, 0));
    EXPECT_DOUBLE_EQ(plane.level, 3);  // (1 + 2 + 6) / 3
}

TEST(TriangulatedSurface, NeedsThreePointsNotInLineWithinReach) {
    const auto make = [](const std::vector<glm::dvec3>& shots) {
        return triangulatedSurface(shots, Beyond::Nearest, {0, 0}, {1, 1});
    };
    EXPECT_EQ(make({}), nullptr);
    EXPECT_EQ(make({{0, 0, 1}, {1, 1, 1}}), nullptr);
    EXPECT_EQ(make({{0, 0, 1}, {1, 1, 2}, {2, 2, 1}, {3, 3, 3}}), nullptr);
    EXPECT_EQ(make({{0, 0, 1}, {1, 0, 1}, {0, 5000, 1}}), nullptr);
    EXPECT_EQ(make({{0, 0, 1}, {1, 0, std::nan("")}, {0, 1, 1}}), nullptr);
    EXPECT_NE(make({{0, 0, 1}, {1, 0, 1}, {0, 1, 1}}), nullptr);
}

TEST(TriangulatedSurface, OfTwoShotsAtOnePlaceTheFirstCounts) {
    std::vector<glm::dvec3> shots = tiltedSquare;
    shots.push_back({2, 2, 9});
    const auto surface = triangulatedSurface(shots, Beyond::Plane, {0, 0}, {2, 2});
    EXPECT_NEAR(surface->height({2, 2}), 3, 1e-12);
    EXPECT_NEAR(surface->height({4, 0}), 2, 1e-12);  // the fit leaves the second out as well
}

TEST(TriangulatedSurface, InsideItIsTheShotsOwnFlatPieces) {
    const auto surface = triangulatedSurface(tent, Beyond::Nearest, {0, 0}, {2, 2});
    EXPECT_DOUBLE_EQ(surface->height({1, 1}), 2);
    EXPECT_DOUBLE_EQ(surface->height({1, 0.5}), 1.5);    // half way up the near side
    EXPECT_DOUBLE_EQ(surface->height({1.75, 1}), 1.25);  // a quarter of the way up from the right
}

TEST(TriangulatedSurface, NearestKeepsTheFallAlongASideAndTheHeightAtACorner) {
    const auto surface = triangulatedSurface(tiltedSquare, Beyond::Nearest, {-5, -5}, {7, 7});
    EXPECT_NEAR(surface->height({0.5, -3}), 0.25, 1e-12);  // beside the near side, which rises 0.5 per metre
    EXPECT_NEAR(surface->height({6, 1}), 2, 1e-12);        // beside the right side: 1 + y
    EXPECT_NEAR(surface->height({5, 6}), 3, 1e-12);        // round the far right corner
    EXPECT_NEAR(surface->height({-4, -4}), 0, 1e-12);
    int hint = -1;
    EXPECT_EQ(surface->pieceAt({0.5, -3}, hint).gradient, glm::dvec2(0.5, 0));
    EXPECT_EQ(surface->pieceAt({5, 6}, hint).gradient, glm::dvec2(0, 0));
}

TEST(TriangulatedSurface, NearestIsTheHeightOfTheClosestHullPoint) {
    for (uint64_t seed = 1; seed <= 20; seed++) {
        const std::vector<glm::dvec3> shots = randomShots(seed, 3 + static_cast<int>(seed) * 3);
        const auto surface = triangulatedSurface(shots, Beyond::Nearest, {-20, -20}, {30, 30});
        Random random(seed);
        int outside = 0, hint = -1;
        for (int i = 0; i < 200; i++) {
            const glm::dvec2 p = random.inSquare(50) - glm::dvec2(20, 20);
            if (surface->known(p, hint)) continue;
            outside++;
            EXPECT_NEAR(surface->pieceAt(p, hint).height(p), heightOfNearestHullPoint(shots, p), 1e-7);
        }
        EXPECT_GT(outside, 50);
    }
}

TEST(TriangulatedSurface, PlaneBeyondIsTheBestFitPlane) {
    const auto surface = triangulatedSurface(tent, Beyond::Plane, {-5, -5}, {7, 7});
    // By symmetry level, at the mean of 1, 1, 1, 1, 2.
    EXPECT_NEAR(surface->height({6, 3}), 1.2, 1e-12);
    EXPECT_NEAR(surface->height({2, 1}), 1, 1e-12);  // the hull belongs to the shots
}

TEST(TriangulatedSurface, KnownUpToTheHull) {
    const auto surface = triangulatedSurface(tiltedSquare, Beyond::Nearest, {-5, -5}, {7, 7});
    int hint = -1;
    EXPECT_TRUE(surface->known({1, 1}, hint));
    EXPECT_TRUE(surface->known({2, 1}, hint));
    EXPECT_TRUE(surface->known({2, 2}, hint));
    EXPECT_FALSE(surface->known({2 + 2e-9, 1}, hint));
}

TEST(TriangulatedSurface, AHintFromAnotherSurfaceDoesNoHarm) {
    const auto surface = triangulatedSurface(tiltedSquare, Beyond::Nearest, {-5, -5}, {7, 7});
    int hint = 12345;
    EXPECT_NEAR(surface->pieceAt({1, 1}, hint).height({1, 1}), 1.5, 1e-12);
    EXPECT_LT(hint, 2);
}

TEST(TriangulatedSurface, BreakLinesOfASquareAreItsEdgesAndSpokes) {
    const auto nearest = triangulatedSurface(tiltedSquare, Beyond::Nearest, {-5, -5}, {7, 7});
    EXPECT_EQ(nearest->breakLines({-5, -5}, {7, 7}).size(),
              5u + 8u);  // 4 sides, a diagonal; 2 from each corner
    EXPECT_EQ(nearest->breakLines({0.25, 0.5}, {1.75, 0.75}).size(), 1u);  // the diagonal alone
    const auto plane = triangulatedSurface(tiltedSquare, Beyond::Plane, {-5, -5}, {7, 7});
    EXPECT_EQ(plane->breakLines({-5, -5}, {7, 7}).size(), 5u);
}

TEST(TriangulatedSurface, IsFlatBetweenItsBreakLines) {
    const glm::dvec2 low{-6, -4}, high{15, 13};
    for (uint64_t seed = 1; seed <= 6; seed++) {
        for (const Beyond beyond : {Beyond::Nearest, Beyond::Plane}) {
            const auto surface =
                triangulatedSurface(randomShots(seed, 4 + static_cast<int>(seed) * 5), beyond, low, high);
            expectInBox(surface->breakLines(low, high), low, high);
            EXPECT_GT(expectFlatBetweenBreaks(*surface, low, high, seed), 300);
        }
    }
}

TEST(TriangulatedSurface, NearestHasNoStep) {
    const auto surface = triangulatedSurface(randomShots(9, 25), Beyond::Nearest, {-5, -5}, {15, 15});
    Random random(9);
    int hint = -1;
    for (int i = 0; i < 500; i++) {
        const glm::dvec2 p = random.inSquare(20) - glm::dvec2(5, 5);
        const glm::dvec2 q = p + glm::dvec2(1e-7, 1e-7);
        const PlaneHeight piece = surface->pieceAt(p, hint);
        const double slope = std::hypot(piece.gradient.x, piece.gradient.y);
        EXPECT_NEAR(surface->height(q), piece.height(p), 1e-5 * (1 + slope));
    }
}

TEST(PlaneSurface, HasNoBreaks) {
    const auto surface = planeSurface({{1, 1}, 5, {0.25, -0.5}});
    EXPECT_DOUBLE_EQ(surface->height({3, 2}), 5);  // 5 + 0.5 - 0.5
    EXPECT_TRUE(surface->breakLines({0, 0}, {9, 9}).empty());
    int hint = -1;
    EXPECT_TRUE(surface->known({100, 100}, hint));
}

TEST(JoinedPlanes, ARidgeRunsWhereItsTwoSlopesAreEqual) {
    // z = x and z = 4 - x: equal at x = 2, the lower one rules on each side.
    const auto ridge = joinedPlanes({{{0, 0}, 0, {1, 0}}, {{0, 0}, 4, {-1, 0}}}, Join::Lowest);
    EXPECT_DOUBLE_EQ(ridge->height({1, 7}), 1);
    EXPECT_DOUBLE_EQ(ridge->height({3, 7}), 1);
    const std::vector<Line> lines = ridge->breakLines({0, 0}, {3, 9});
    ASSERT_EQ(lines.size(), 1u);
    EXPECT_NEAR(lines[0].first.x, 2, 1e-12);
    EXPECT_NEAR(lines[0].second.x, 2, 1e-12);
    EXPECT_NEAR(std::fabs(lines[0].first.y - lines[0].second.y), 9, 1e-12);
    EXPECT_TRUE(ridge->breakLines({3, 0}, {9, 9}).empty());

    const auto valley = joinedPlanes({{{0, 0}, 0, {1, 0}}, {{0, 0}, 4, {-1, 0}}}, Join::Highest);
    EXPECT_DOUBLE_EQ(valley->height({1, 7}), 3);
}

TEST(JoinedPlanes, ParallelAndEqualOnesBreakNowhere) {
    const PlaneHeight plane{{0, 0}, 0, {0.02, 0.01}};
    PlaneHeight higher = plane;
    higher.level = 1;
    EXPECT_TRUE(joinedPlanes({plane, plane, higher}, Join::Lowest)->breakLines({0, 0}, {9, 9}).empty());
}

TEST(JoinedPlanes, AHipHasOnlyThePartsThatRule) {
    // Four slopes of a square hip about (2, 2): the two diagonals meet there. Opposite slopes are equal along
    // a line through the middle as well, but the others are lower there.
    const double s = 0.5;
    const std::vector<PlaneHeight> planes{
        {{0, 0}, 0, {s, 0}}, {{4, 0}, 0, {-s, 0}}, {{0, 0}, 0, {0, s}}, {{0, 4}, 0, {0, -s}}};
    const auto hip = joinedPlanes(planes, Join::Lowest);
    EXPECT_DOUBLE_EQ(hip->height({2, 2}), 1);
    double length = 0;
    for (const auto& [a, b] : hip->breakLines({0, 0}, {4, 4})) {
        length += std::hypot(b.x - a.x, b.y - a.y);
        EXPECT_NEAR(std::fabs(a.x - 2), std::fabs(a.y - 2), 1e-9);
    }
    EXPECT_NEAR(length, 2 * 4 * std::sqrt(2.0), 1e-6);
}

TEST(JoinedPlanes, AreFlatBetweenTheirBreakLines) {
    const glm::dvec2 low{-6, -4}, high{15, 13};
    for (uint64_t seed = 1; seed <= 12; seed++) {
        Random random(seed);
        std::vector<PlaneHeight> planes;
        for (int i = 0; i < 2 + static_cast<int>(seed % 5); i++) {
            const glm::dvec2 at = random.inSquare(10), fall = random.inSquare(0.1) - glm::dvec2(0.05, 0.05);
            planes.push_back({at, random.between(0, 0.3), fall});
        }
        const auto surface = joinedPlanes(planes, seed % 2 ? Join::Lowest : Join::Highest);
        expectInBox(surface->breakLines(low, high), low, high);
        EXPECT_GT(expectFlatBetweenBreaks(*surface, low, high, seed), 300);
    }
}

TEST(Surface, BreaksOnTheWayAreThoseOfItsLines) {
    std::mt19937 random(11);
    std::uniform_real_distribution<double> place(0, 10);
    std::vector<glm::dvec3> points;
    for (int i = 0; i < 200; ++i) points.emplace_back(place(random), place(random), place(random) / 10);
    const auto surface = triangulatedSurface(points, Beyond::Nearest, {-5, -5}, {15, 15});
    for (int i = 0; i < 60; ++i) {
        const glm::dvec2 a{place(random) - 1, place(random)}, b{place(random), place(random) + 1};
        std::vector<double> walked = surface->breaksBetween(a, b);
        std::vector<double> looked = surface->Surface::breaksBetween(a, b);
        std::sort(walked.begin(), walked.end());
        std::sort(looked.begin(), looked.end());
        ASSERT_EQ(walked.size(), looked.size());
        for (size_t k = 0; k < walked.size(); ++k) EXPECT_NEAR(walked[k], looked[k], 1e-9);
    }
}

// Shots on a grid of 1 m: ways through their corners, along their edges and from outside are not walked.
TEST(Surface, BreaksOnAWayThroughCornersAreThoseOfItsLines) {
    std::vector<glm::dvec3> points;
    for (int i = 0; i < 100; ++i) points.emplace_back(i % 10, i / 10, (i * 7 % 10) / 10.0);
    const auto surface = triangulatedSurface(points, Beyond::Nearest, {-5, -5}, {15, 15});
    const std::vector<Line> ways{{{0.5, 1}, {7.5, 1}},    {{1.25, 0.5}, {4.25, 6.5}},
                                 {{2, 2}, {5, 5}},        {{0.5, 0.25}, {3.5, 9}},
                                 {{5.5, 4.5}, {12, 4.5}}, {{-2, 3.5}, {6.5, 3.5}}};
    for (const auto& [a, b] : ways) {
        std::vector<double> asked = surface->breaksBetween(a, b),
                            looked = surface->Surface::breaksBetween(a, b);
        std::sort(asked.begin(), asked.end());
        std::sort(looked.begin(), looked.end());
        EXPECT_EQ(asked, looked);
        EXPECT_FALSE(looked.empty());
    }
}

TEST(Surface, ANetHoldsItsLinesInTheirOrderAndEveryPlaceOnce) {
    const glm::dvec2 low{1.5, 2}, high{8, 15};
    for (const Beyond beyond : {Beyond::Nearest, Beyond::Plane}) {
        const auto surface = triangulatedSurface(randomShots(3, 60), beyond, low, high);
        for (const LineNet& net : {surface->breakNet(low, high), netOf(surface->breakLines(low, high))}) {
            std::vector<Line> lines;
            for (const auto& [a, b] : net.lines)
                lines.emplace_back(net.places[static_cast<size_t>(a)], net.places[static_cast<size_t>(b)]);
            EXPECT_EQ(lines, surface->breakLines(low, high));
            std::vector<std::pair<int64_t, int64_t>> places;
            for (const glm::dvec2& p : net.places) places.emplace_back(toGrid(p).x, toGrid(p).y);
            std::sort(places.begin(), places.end());
            EXPECT_EQ(std::adjacent_find(places.begin(), places.end()), places.end());
        }
    }
}

TEST(Surface, LevelsTakenAtTheSameStakesShareTheirLinesAndNotTheirHeights) {
    const std::vector<glm::dvec3> stakes = randomShots(5, 40);
    std::vector<glm::dvec3> lower = stakes, moved = stakes;
    for (glm::dvec3& p : lower) p.z -= 0.3;
    moved[7].x += 0.01;
    const std::vector<ShotPoints> sets{{stakes, Beyond::Nearest},
                                       {moved, Beyond::Nearest},
                                       {lower, Beyond::Nearest},
                                       {stakes, Beyond::Plane},
                                       {{{0, 0, 0}, {1, 1, 1}}, Beyond::Nearest}};
    const auto surfaces = triangulatedSurfaces(sets);
    ASSERT_EQ(surfaces.size(), 5u);
    EXPECT_TRUE(breakAlike(*surfaces[0], *surfaces[2]));
    EXPECT_FALSE(breakAlike(*surfaces[0], *surfaces[1]));
    EXPECT_FALSE(breakAlike(*surfaces[0], *surfaces[3]));  // no spokes past the hull
    EXPECT_EQ(surfaces[4], nullptr);
    EXPECT_TRUE(surfaces[2]->setHeight(7, 5));
    for (size_t i = 0; i < 2; ++i) {
        const auto alone = triangulatedSurface(sets[i].points, sets[i].beyond, {-5, -5}, {15, 15});
        EXPECT_EQ(surfaces[i]->breakLines({-5, -5}, {15, 15}), alone->breakLines({-5, -5}, {15, 15}));
        for (const glm::dvec3& p : sets[i].points) EXPECT_NEAR(surfaces[i]->height(p), p.z, 1e-7);
    }
}

TEST(Surface, HeightsMovedAreMixedFromTheirPoints) {
    const std::vector<glm::dvec3> points{{0, 0, 1}, {4, 0, 1}, {0, 4, 1}, {4, 4, 1}, {0, 0, 9}};
    const auto surface = triangulatedSurface(points, Beyond::Nearest, {-5, -5}, {15, 15});
    EXPECT_TRUE(surface->setHeight(1, 2));
    EXPECT_FALSE(surface->setHeight(4, 2));  // at the place of the first point, which counts
    EXPECT_FALSE(surface->setHeight(5, 2));
    int hint = -1;
    for (const glm::dvec2 p : {glm::dvec2{3, 0}, {3, 0.5}, {4, 1}, {6, 2}, {7, -3}, {0, 0}}) {
        const auto influence = surface->influenceAt(p, hint);
        ASSERT_TRUE(influence);
        EXPECT_NEAR(surface->mixed(*influence), surface->height(p), 1e-12);
    }
    EXPECT_NEAR(surface->height({3, 0}), 1.75, 1e-12);
}
