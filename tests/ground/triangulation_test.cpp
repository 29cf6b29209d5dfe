// Triangulations of points, and finding places in them.

#include "ground/triangulation.h"
#include "index.h"

#include <algorithm>
#include <set>

#include <gtest/gtest.h>

#include "random_plan.h"

using namespace underfoot;
using namespace underfoot_test;

namespace {

void expectHolds(const Triangulation& t, const Location& place, glm::dvec2 p) {
    ASSERT_NE(place.where, Where::Outside);
    const Triangle& triangle = t.triangles()[u(place.triangle)];
    const GridPoint g = toGrid(p);
    int onLines = 0;
    for (size_t i = 0; i < 3; i++) {
        const int way = orientation(toGrid(t.vertices()[u(triangle.v[(i + 1) % 3])]),
                                    toGrid(t.vertices()[u(triangle.v[(i + 2) % 3])]), g);
        EXPECT_GE(way, 0);
        onLines += way == 0 ? 1 : 0;
        if (place.where == Where::OnEdge && static_cast<int>(i) == place.index) {
            EXPECT_EQ(way, 0);
        }
    }
    EXPECT_EQ(onLines, place.where == Where::OnVertex ? 2 : place.where == Where::OnEdge ? 1 : 0);
    if (place.where == Where::OnVertex) {
        EXPECT_EQ(t.vertices()[u(triangle.v[u(place.index)])], snap(p));
    }
}

}  // namespace

TEST(Triangulation, BoxIsTwoTriangles) {
    const Triangulation t = Triangulation::ofBox({0, 0}, {2, 1});
    EXPECT_EQ(t.triangles().size(), 2u);
    EXPECT_EQ(t.hull().size(), 4u);
    EXPECT_EQ(t.fault(), std::nullopt);
}

TEST(Triangulation, FewerThanThreePointsOrAllInLineMakeNone) {
    const std::vector<glm::dvec2> none, two{{0, 0}, {1, 1}}, line{{0, 0}, {3, 3}, {1, 1}, {2, 2}, {1, 1}};
    for (const auto& points : {none, two, line}) {
        std::vector<int> vertexOf;
        const Triangulation t = Triangulation::ofPoints(points, &vertexOf);
        EXPECT_TRUE(t.triangles().empty());
        EXPECT_TRUE(t.hull().empty());
        EXPECT_EQ(t.fault(), std::nullopt);
        EXPECT_EQ(vertexOf.size(), points.size());
        EXPECT_EQ(t.locate({1, 1}).where, Where::Outside);
        EXPECT_EQ(t.locate({1, 1}).triangle, -1);
    }
    EXPECT_EQ(Triangulation::ofPoints(line).vertices().size(), 4u);
}

TEST(Triangulation, TheShorterDiagonalOfAKiteIsDelaunay) {
    // A kite 2 wide and 6 high: the circle through three corners of the long diagonal holds the fourth.
    const std::vector<glm::dvec2> points{{0, -3}, {1, 0}, {0, 3}, {-1, 0}};
    std::vector<int> vertexOf;
    const Triangulation t = Triangulation::ofPoints(points, &vertexOf);
    ASSERT_EQ(t.triangles().size(), 2u);
    for (const Triangle& triangle : t.triangles()) {
        EXPECT_EQ(std::count(triangle.v.begin(), triangle.v.end(), vertexOf[1]), 1);
        EXPECT_EQ(std::count(triangle.v.begin(), triangle.v.end(), vertexOf[3]), 1);
    }
}

TEST(Triangulation, EveryPointKnowsItsVertex) {
    Random random(3);
    std::vector<glm::dvec2> points;
    for (int i = 0; i < 500; i++) points.push_back(random.onIntegerGrid(15));
    std::vector<int> vertexOf;
    const Triangulation t = Triangulation::ofPoints(points, &vertexOf);
    std::set<std::pair<double, double>> distinct;
    for (size_t i = 0; i < points.size(); i++) {
        EXPECT_EQ(t.vertices()[u(vertexOf[i])], points[i]);
        distinct.insert({points[i].x, points[i].y});
    }
    EXPECT_EQ(t.vertices().size(), distinct.size());
}

TEST(Triangulation, AFullGridHasTwoTrianglesASquareAndKeepsItsStraightHull) {
    std::vector<glm::dvec2> points;
    for (int x = 0; x < 20; x++) {
        for (int y = 0; y < 12; y++) points.push_back({x, y});
    }
    const Triangulation t = Triangulation::ofPoints(points);
    ASSERT_EQ(t.fault(), std::nullopt);
    EXPECT_EQ(t.triangles().size(), 2u * 19 * 11);
    EXPECT_EQ(t.hull().size(), 2u * (19 + 11));
}

TEST(Triangulation, RandomPointsKeepEveryInvariant) {
    for (uint64_t seed = 1; seed <= 200; seed++) {
        Random random(seed);
        std::vector<glm::dvec2> points;
        const int count = 3 + random.below(120), size = 2 + random.below(12);
        for (int i = 0; i < count; i++) {
            points.push_back(seed % 2 ? random.onIntegerGrid(size) : random.inSquare(size));
        }
        const Triangulation t = Triangulation::ofPoints(points);
        ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed;
        // Euler: a hull of h corners over n vertices holds 2 n - h - 2 triangles.
        if (t.triangles().empty()) continue;
        EXPECT_EQ(t.triangles().size(), 2 * t.vertices().size() - t.hull().size() - 2);
    }
}

TEST(Triangulation, PointsAtTheEdgeOfReachAndAGridStepApartAreExact) {
    std::vector<glm::dvec2> points{{-4096, -4096}, {4096, -4096}, {4096, 4096}, {-4096, 4096}};
    for (int i = 0; i < 9; i++) points.push_back({(i % 3) * gridStep, (i / 3) * gridStep});
    points.push_back({4096 - gridStep, 4096 - 2 * gridStep});
    const Triangulation t = Triangulation::ofPoints(points);
    EXPECT_EQ(t.fault(), std::nullopt);
    EXPECT_EQ(t.vertices().size(), points.size());
}

TEST(Triangulation, PointByPointIsTheSameAsAllAtOnce) {
    // No four points on one circle: the Delaunay triangulation is unique.
    Random random(11);
    std::vector<glm::dvec2> points{{0, 0}, {10, 0}, {10, 10}, {0, 10.5}};
    Triangulation one = Triangulation::ofBox({0, 0}, {10, 10});
    std::vector<glm::dvec2> inner;
    for (int i = 0; i < 200; i++)
        inner.push_back(random.between(0.1, 9.9) * glm::dvec2(0, 1) +
                        glm::dvec2(random.between(0.1, 9.9), 0));
    points = {{0, 0}, {10, 0}, {10, 10}, {0, 10}};
    points.insert(points.end(), inner.begin(), inner.end());
    for (const glm::dvec2 p : inner) one.insertPoint(p);
    ASSERT_EQ(one.fault(), std::nullopt);
    const Triangulation all = Triangulation::ofPoints(points);
    const auto corners = [](const Triangulation& t) {
        std::set<std::set<std::pair<double, double>>> set;
        for (const Triangle& triangle : t.triangles()) {
            std::set<std::pair<double, double>> places;
            for (const int v : triangle.v) places.insert({t.vertices()[u(v)].x, t.vertices()[u(v)].y});
            set.insert(places);
        }
        return set;
    };
    EXPECT_EQ(corners(one), corners(all));
}

TEST(Triangulation, LocateTellsInsideEdgeVertexAndOutside) {
    const Triangulation t = Triangulation::ofBox({0, 0}, {2, 2});
    EXPECT_EQ(t.locate({1.5, 0.5}).where, Where::Inside);
    EXPECT_EQ(t.locate({1, 1}).where, Where::OnEdge);
    EXPECT_EQ(t.locate({1, 0}).where, Where::OnEdge);
    EXPECT_EQ(t.locate({2, 2}).where, Where::OnVertex);
    const Location out = t.locate({1, -1});
    EXPECT_EQ(out.where, Where::Outside);
    EXPECT_EQ(t.triangles()[u(out.triangle)].neighbour[u(out.index)], -1);
}

TEST(Triangulation, LocateFindsEveryPlaceFromEveryHint) {
    Random random(21);
    Triangulation t = Triangulation::ofBox({0, 0}, {12, 12});
    for (int i = 0; i < 40; i++) {
        const glm::dvec2 a = random.onIntegerGrid(13), b = random.onIntegerGrid(13);
        t.insertLine(a, b);
    }
    const int count = static_cast<int>(t.triangles().size());
    for (int i = 0; i < 3000; i++) {
        const glm::dvec2 p = i % 2 ? random.onIntegerGrid(13) : random.inSquare(12);
        expectHolds(t, t.locate(p, random.below(count)), p);
    }
}

TEST(TagPool, SetsAreCombinedModuloTwo) {
    TagPool pool;
    const TagSet a = pool.single(4), b = pool.single(2);
    const TagSet ab = pool.symmetricDifference(a, b);
    EXPECT_EQ(pool.tags(ab), (std::vector<int>{2, 4}));
    EXPECT_EQ(pool.symmetricDifference(b, a), ab);
    EXPECT_EQ(pool.symmetricDifference(ab, a), b);
    EXPECT_EQ(pool.symmetricDifference(ab, ab), 0u);
    EXPECT_EQ(pool.single(4), a);
    EXPECT_TRUE(pool.tags(0).empty());
}
