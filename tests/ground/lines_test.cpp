// Lines laid into a triangulation: by hand, at random, and counted by parity.

#include <algorithm>
#include <array>
#include <numbers>

#include <gtest/gtest.h>

#include "ground/tolerance.h"
#include "ground/triangulation.h"
#include "index.h"
#include "random_plan.h"

using namespace underfoot;
using namespace underfoot_test;

namespace {

struct TaggedEdge {
    int a, b;
    TagSet tags;
};

std::vector<TaggedEdge> constrainedEdges(const Triangulation& t) {
    std::vector<TaggedEdge> edges;
    for (size_t k = 0; k < t.triangles().size(); k++) {
        const Triangle& triangle = t.triangles()[k];
        for (size_t i = 0; i < 3; i++) {
            if (!triangle.constrained[i] || triangle.neighbour[i] > static_cast<int>(k)) continue;
            edges.push_back({triangle.v[(i + 1) % 3], triangle.v[(i + 2) % 3], triangle.tags[i]});
        }
    }
    return edges;
}

double length(const Triangulation& t, const TaggedEdge& e) {
    const glm::dvec2 d = t.vertices()[u(e.b)] - t.vertices()[u(e.a)];
    return std::hypot(d.x, d.y);
}

double taggedLength(const Triangulation& t, int tag) {
    double sum = 0;
    for (const TaggedEdge& e : constrainedEdges(t)) {
        const std::vector<int>& tags = t.tagPool().tags(e.tags);
        if (std::binary_search(tags.begin(), tags.end(), tag)) sum += length(t, e);
    }
    return sum;
}

void layRing(Triangulation& t, const std::vector<glm::dvec2>& ring, int tag) {
    const TagSet tags = t.tagPool().single(tag);
    for (size_t i = 0; i < ring.size(); i++) t.insertLine(ring[i], ring[(i + 1) % ring.size()], tags);
}

// Whether each triangle lies inside the rings of the tag, counted by crossing tagged edges from the hull
// inwards. Fails the test where two ways in disagree.
std::vector<bool> insideByParity(const Triangulation& t, int tag) {
    std::vector<int> parity(t.triangles().size(), -1);
    std::vector<int> open;
    const auto flips = [&](const Triangle& triangle, size_t i) {
        const std::vector<int>& tags = t.tagPool().tags(triangle.tags[i]);
        return std::binary_search(tags.begin(), tags.end(), tag) ? 1 : 0;
    };
    const auto reach = [&](int k, int value) {
        if (parity[u(k)] < 0) {
            parity[u(k)] = value;
            open.push_back(k);
        }
        EXPECT_EQ(parity[u(k)], value) << "tag " << tag << " is no closed ring at triangle " << k;
    };
    for (int k = 0; k < static_cast<int>(parity.size()); k++) {
        const Triangle& triangle = t.triangles()[u(k)];
        for (size_t i = 0; i < 3; i++) {
            if (triangle.neighbour[i] < 0) reach(k, flips(triangle, i));
        }
    }
    while (!open.empty()) {
        const int k = open.back();
        open.pop_back();
        const Triangle& triangle = t.triangles()[u(k)];
        for (size_t i = 0; i < 3; i++) {
            if (triangle.neighbour[i] >= 0) reach(triangle.neighbour[i], parity[u(k)] ^ flips(triangle, i));
        }
    }
    std::vector<bool> inside;
    for (const int value : parity) inside.push_back(value == 1);
    return inside;
}

// Twice the area over the longest side: the height.
double thinness(const Triangulation& t, const Triangle& triangle) {
    const glm::dvec2 a = t.vertices()[u(triangle.v[0])], b = t.vertices()[u(triangle.v[1])],
                     c = t.vertices()[u(triangle.v[2])];
    const double area2 = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    const double longest = std::max({std::hypot(b.x - a.x, b.y - a.y), std::hypot(c.x - b.x, c.y - b.y),
                                     std::hypot(a.x - c.x, a.y - c.y)});
    return area2 / longest;
}

void expectMembership(const Triangulation& t, const std::vector<glm::dvec2>& ring, int tag) {
    const std::vector<bool> inside = insideByParity(t, tag);
    for (size_t k = 0; k < inside.size(); k++) {
        const Triangle& triangle = t.triangles()[k];
        if (thinness(t, triangle) < 20 * tolerance::onPlanLine) continue;
        const glm::dvec2 centroid = (t.vertices()[u(triangle.v[0])] + t.vertices()[u(triangle.v[1])] +
                                     t.vertices()[u(triangle.v[2])]) /
                                    3.0;
        ASSERT_EQ(inside[k], isInside(ring, centroid)) << "at " << centroid.x << ", " << centroid.y;
    }
}

}  // namespace

TEST(Lines, TwoThatCrossMeetAtTheCrossing) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    t.insertLine({1, 1}, {3, 3}, t.tagPool().single(1));
    t.insertLine({1, 3}, {3, 1}, t.tagPool().single(2));
    ASSERT_EQ(t.fault(), std::nullopt);
    EXPECT_EQ(t.vertices().size(), 9u);  // 4 of the box, 4 ends, 1 crossing
    EXPECT_EQ(t.vertices().back(), glm::dvec2(2, 2));
    EXPECT_EQ(constrainedEdges(t).size(), 4u);
    EXPECT_NEAR(taggedLength(t, 1), 2 * std::sqrt(2.0), 1e-9);
    EXPECT_NEAR(taggedLength(t, 2), 2 * std::sqrt(2.0), 1e-9);
}

TEST(Lines, AnOverlapCancelsTheTagTheyShare) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    const TagSet one = t.tagPool().single(1), two = t.tagPool().single(2);
    t.insertLine({0.5, 1}, {2.5, 1}, t.tagPool().symmetricDifference(one, two));
    t.insertLine({3.5, 1}, {1.5, 1}, one);
    ASSERT_EQ(t.fault(), std::nullopt);
    // 1 rules from 0.5 to 1.5 and from 2.5 to 3.5, not on the overlap of 1 m; 2 on the whole first line.
    EXPECT_NEAR(taggedLength(t, 1), 2, 1e-12);
    EXPECT_NEAR(taggedLength(t, 2), 2, 1e-12);
    EXPECT_EQ(constrainedEdges(t).size(), 3u);
}

TEST(Lines, TheSameLineTwiceIsNoBoundaryButStaysAnEdge) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    for (int i = 0; i < 2; i++) t.insertLine({1, 1}, {3, 2}, t.tagPool().single(7));
    ASSERT_EQ(t.fault(), std::nullopt);
    ASSERT_EQ(constrainedEdges(t).size(), 1u);
    EXPECT_EQ(constrainedEdges(t)[0].tags, 0u);
}

TEST(Lines, APassingLineGoesThroughAVertexWithinTolerance) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    const int vertex = t.insertPoint({2, 2 + 0.9e-6});
    t.insertLine({1, 2}, {3, 2}, t.tagPool().single(1));
    ASSERT_EQ(t.fault(), std::nullopt);
    ASSERT_EQ(constrainedEdges(t).size(), 2u);
    for (const TaggedEdge& e : constrainedEdges(t)) EXPECT_TRUE(e.a == vertex || e.b == vertex);
}

TEST(Lines, APassingLineLeavesAVertexPastTolerance) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    t.insertPoint({2, 2 + 1.1e-6});
    t.insertLine({1, 2}, {3, 2}, t.tagPool().single(1));
    ASSERT_EQ(t.fault(), std::nullopt);
    EXPECT_EQ(constrainedEdges(t).size(), 1u);
}

TEST(Lines, APointWithinToleranceOfALineBendsIt) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    t.insertLine({1, 2}, {3, 2}, t.tagPool().single(1));
    const int vertex = t.insertPoint({2, 2 - 0.9e-6});
    ASSERT_EQ(t.fault(), std::nullopt);
    ASSERT_EQ(constrainedEdges(t).size(), 2u);
    for (const TaggedEdge& e : constrainedEdges(t)) EXPECT_TRUE(e.a == vertex || e.b == vertex);
    EXPECT_NEAR(taggedLength(t, 1), 2, 1e-9);
}

TEST(Lines, APointWithinToleranceOfAVertexIsThatVertex) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    const int vertex = t.insertPoint({2, 2});
    EXPECT_EQ(t.insertPoint({2 + 0.7e-6, 2 + 0.7e-6}), vertex);  // 0.99e-6 away
    EXPECT_NE(t.insertPoint({2 + 0.8e-6, 2 + 0.8e-6}), vertex);  // 1.13e-6 away
    EXPECT_EQ(t.fault(), std::nullopt);
}

TEST(Lines, ALineShorterThanToleranceDoesNothing) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    t.insertLine({2, 2}, {2 + 0.5e-6, 2}, t.tagPool().single(1));
    EXPECT_EQ(t.vertices().size(), 4u);
}

TEST(Lines, AlongTheBoxSideTheyMarkTheHull) {
    Triangulation t = Triangulation::ofBox({0, 0}, {4, 4});
    layRing(t, {{0, 0}, {4, 0}, {4, 4}, {0, 4}}, 1);
    t.insertLine({1, 0}, {3, 0}, t.tagPool().single(1));
    ASSERT_EQ(t.fault(), std::nullopt);
    EXPECT_NEAR(taggedLength(t, 1), 14, 1e-12);
    EXPECT_EQ(t.hull().size(), 6u);
}

TEST(Lines, RandomOnesOnACoarseGridKeepEveryInvariant) {
    for (uint64_t seed = 1; seed <= 60; seed++) {
        Random random(seed);
        const int size = 3 + random.below(8);
        Triangulation t = Triangulation::ofBox({0, 0}, {size - 1, size - 1});
        for (int i = 0; i < 40; i++) {
            const glm::dvec2 a = random.onIntegerGrid(size), b = random.onIntegerGrid(size);
            t.insertLine(a, b, t.tagPool().single(i % 5));
            ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed << ", line " << i;
        }
    }
}

TEST(Lines, RandomCrossingOnesKeepEveryInvariant) {
    for (uint64_t seed = 1; seed <= 20; seed++) {
        Random random(seed);
        Triangulation t = Triangulation::ofBox({-1, -1}, {11, 11});
        for (int i = 0; i < 60; i++) {
            const glm::dvec2 a = random.inSquare(10), b = random.inSquare(10);
            t.insertLine(a, b, t.tagPool().single(i));
            ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed << ", line " << i;
        }
    }
}

TEST(Lines, NearlyTheSameOnesKeepEveryInvariant) {
    for (uint64_t seed = 1; seed <= 40; seed++) {
        Random random(seed);
        Triangulation t = Triangulation::ofBox({-1, -1}, {11, 11});
        const std::array<double, 4> spreads{1e-9, 1e-7, 1e-6, 3e-6};
        const double spread = spreads[seed % 4];
        const glm::dvec2 from = random.inSquare(10), to = random.inSquare(10);
        const auto jitter = [&](glm::dvec2 p) {
            const double x = random.between(-spread, spread);
            return p + glm::dvec2(x, random.between(-spread, spread));
        };
        for (int i = 0; i < 40; i++) {
            const double s = random.between(0, 0.6), e = random.between(s, 1);
            t.insertLine(jitter(from + s * (to - from)), jitter(from + e * (to - from)),
                         t.tagPool().single(i));
            ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed << ", line " << i;
        }
    }
}

TEST(Lines, TinyOnesInACrowdKeepEveryInvariant) {
    // Everything happens within a few tolerances, where snapping moves as much as there is.
    for (uint64_t seed = 1; seed <= 60; seed++) {
        Random random(seed);
        Triangulation t = Triangulation::ofBox({-1, -1}, {1, 1});
        for (int i = 0; i < 60; i++) {
            const glm::dvec2 a = random.inSquare(8e-6), b = random.inSquare(8e-6);
            t.insertLine(a, b, t.tagPool().single(i % 3));
            ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed << ", line " << i;
        }
    }
}

TEST(Lines, ConstraintsBetweenPointsCloserThanToleranceEnd) {
    // Points taken as they are may lie a grid step apart; constraints between them still have to end.
    for (uint64_t seed = 1; seed <= 60; seed++) {
        Random random(seed);
        std::vector<glm::dvec2> points;
        const double size = seed % 2 ? 6 * gridStep : 2e-6;
        for (int i = 0; i < 25; i++) points.push_back(random.inSquare(size));
        points.insert(points.end(), {{-1, -1}, {1, -1.5}, {0, 1}});
        Triangulation t = Triangulation::ofPoints(points);
        ASSERT_EQ(t.fault(), std::nullopt);
        const int count = static_cast<int>(t.vertices().size());
        for (int i = 0; i < 60; i++) {
            t.insertConstraint(random.below(count), random.below(count), t.tagPool().single(i % 3));
            ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed << ", line " << i;
        }
    }
}

TEST(Lines, ParityInsideStarsIsTheEvenOddRule) {
    for (uint64_t seed = 1; seed <= 25; seed++) {
        Random random(seed);
        Triangulation t = Triangulation::ofBox({-11, -11}, {21, 21});
        std::vector<std::vector<glm::dvec2>> rings;
        for (int tag = 0; tag < 6; tag++) {
            rings.push_back(starPolygon(random, random.inSquare(10), 10, 5 + random.below(12)));
            layRing(t, rings.back(), tag);
        }
        ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed;
        for (int tag = 0; tag < 6; tag++) expectMembership(t, rings[u(tag)], tag);
    }
}

TEST(Lines, ParityInsideTangledRingsOnACoarseGridIsTheEvenOddRule) {
    for (uint64_t seed = 1; seed <= 40; seed++) {
        Random random(seed);
        Triangulation t = Triangulation::ofBox({-1, -1}, {8, 8});
        std::vector<std::vector<glm::dvec2>> rings;
        for (int tag = 0; tag < 4; tag++) {
            std::vector<glm::dvec2> ring;
            for (int i = 0; i < 9; i++) ring.push_back(random.onIntegerGrid(8));
            rings.push_back(ring);
            layRing(t, ring, tag);
        }
        ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed;
        for (int tag = 0; tag < 4; tag++) expectMembership(t, rings[u(tag)], tag);
    }
}

TEST(Lines, ParityHoldsForRingsThatNearlyShareSides) {
    for (uint64_t seed = 1; seed <= 30; seed++) {
        Random random(seed);
        const double spread = seed % 2 ? 1e-7 : 1.5e-6;
        Triangulation t = Triangulation::ofBox({-11, -11}, {21, 21});
        const std::vector<glm::dvec2> ring = starPolygon(random, {5, 5}, 10, 9);
        for (int tag = 0; tag < 5; tag++) {
            std::vector<glm::dvec2> moved;
            for (size_t i = 0; i < ring.size(); i++) {
                const double x = random.between(-spread, spread);
                moved.push_back(ring[i] + glm::dvec2(x, random.between(-spread, spread)));
                // a corner somewhere on the side, as a neighbouring outline would have
                const double s = random.unit();
                moved.push_back(ring[i] + s * (ring[(i + 1) % ring.size()] - ring[i]));
            }
            layRing(t, moved, tag);
        }
        ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed;
        for (int tag = 0; tag < 5; tag++) expectMembership(t, ring, tag);
    }
}

TEST(Lines, ALongOneAcrossManyTrianglesIsOneEdge) {
    Random random(8);
    Triangulation t = Triangulation::ofBox({-1, -1}, {11, 11});
    for (int i = 0; i < 2000; i++) t.insertPoint(random.inSquare(10));
    const size_t before = t.vertices().size();
    t.insertLine({-0.9, 2.3}, {10.9, 8.1}, t.tagPool().single(1));
    ASSERT_EQ(t.fault(), std::nullopt);
    EXPECT_EQ(t.vertices().size(), before + 2);
    ASSERT_EQ(constrainedEdges(t).size(), 1u);
    EXPECT_NEAR(taggedLength(t, 1), std::hypot(11.8, 5.8), 1e-8);
}

TEST(Lines, BetweenShotsUpToTheHullKeepEveryInvariant) {
    for (uint64_t seed = 1; seed <= 30; seed++) {
        Random random(seed);
        std::vector<glm::dvec2> points;
        for (int i = 0; i < 50; i++) points.push_back(random.inSquare(10));
        Triangulation t = Triangulation::ofPoints(points);
        const std::vector<int> hull = t.hull();
        const int shots = static_cast<int>(t.vertices().size()), corners = static_cast<int>(hull.size());
        for (int i = 0; i < 25; i++) {
            const int a = hull[u(random.below(corners))], b = hull[u(random.below(corners))];
            t.insertConstraint(a, i % 2 ? b : random.below(shots), t.tagPool().single(i));
            ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed << ", line " << i;
        }
        EXPECT_EQ(t.hull(), hull);
    }
}

namespace {

// Places that are awkward together: the same again, in line, or apart by about a tolerance.
class AwkwardPlaces {
  public:
    explicit AwkwardPlaces(uint64_t seed) : random_(seed), kind_(static_cast<int>(seed % 6)) {
        const std::array<double, 6> spreads{1e-8, 1e-7, 1e-6, 5e-6, 1e-4, 1};
        spread_ = spreads[u(random_.below(6))];
        crowd_ = random_.inSquare(10);
        for (int i = 0; i < 8; i++) ends_.push_back(random_.inSquare(10));
    }
    Random& random() { return random_; }

    glm::dvec2 next() {
        if (kind_ == 0) return random_.onIntegerGrid(6);
        if (kind_ == 1) return near(random_.onIntegerGrid(6), spread_);
        if (kind_ == 2) return near(crowd_, 10 * spread_);
        if (kind_ == 3) return near(onOneOfFourLines(), spread_);
        if (kind_ == 4) return near(onASpoke(), 0.01 * spread_);
        return random_.below(2) ? random_.inSquare(10) : near(crowd_, spread_);
    }

  private:
    glm::dvec2 near(glm::dvec2 p, double size) { return p + random_.inSquare(size); }
    glm::dvec2 onOneOfFourLines() {
        const int line = random_.below(4);
        const double share = random_.below(3) ? random_.unit() : 0.5;
        return ends_[u(2 * line)] + share * (ends_[u(2 * line + 1)] - ends_[u(2 * line)]);
    }
    glm::dvec2 onASpoke() {
        const double turn = random_.below(12) * std::numbers::pi / 6;
        return static_cast<double>(random_.below(5)) * glm::dvec2(std::cos(turn), std::sin(turn));
    }

    Random random_;
    int kind_;
    double spread_ = 0;
    glm::dvec2 crowd_{0, 0};
    std::vector<glm::dvec2> ends_;
};

void layRingByVertices(Triangulation& t, AwkwardPlaces& places, int tag) {
    std::vector<int> ring;
    const int corners = 3 + places.random().below(12);
    for (int i = 0; i < corners; i++) ring.push_back(t.insertPoint(places.next()));
    const TagSet tags = t.tagPool().single(tag);
    for (size_t i = 0; i < ring.size(); i++) t.insertConstraint(ring[i], ring[(i + 1) % ring.size()], tags);
}

}  // namespace

TEST(Lines, AwkwardPointsAndLinesKeepEveryInvariantAndEveryRingClosed) {
    for (uint64_t seed = 1; seed <= 200; seed++) {
        AwkwardPlaces places(seed);
        Triangulation t = Triangulation::ofBox({-20, -20}, {20, 20});
        for (int i = 0; i < 60; i++) {
            if (i % 20 == 10) layRingByVertices(t, places, i / 20);
            if (i % 9 == 0) t.insertPoint(places.next());
            const glm::dvec2 a = places.next(), b = places.next();
            t.insertLine(a, b, t.tagPool().single(100));
            if (i % 5 == 0) {
                ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed << ", line " << i;
            }
        }
        ASSERT_EQ(t.fault(), std::nullopt) << "seed " << seed;
        for (int tag = 0; tag < 3; tag++) insideByParity(t, tag);
        ASSERT_FALSE(HasFailure()) << "seed " << seed;
    }
}

TEST(Lines, SameInputGivesTheSameTriangles) {
    const auto build = [] {
        Random random(5);
        Triangulation t = Triangulation::ofBox({-1, -1}, {11, 11});
        for (int i = 0; i < 80; i++) {
            const glm::dvec2 a = random.inSquare(10), b = random.inSquare(10);
            t.insertLine(a, b, t.tagPool().single(i));
        }
        return t;
    };
    const Triangulation a = build(), b = build();
    ASSERT_EQ(a.triangles().size(), b.triangles().size());
    EXPECT_EQ(a.vertices(), b.vertices());
    for (size_t i = 0; i < a.triangles().size(); i++) {
        EXPECT_EQ(a.triangles()[i].v, b.triangles()[i].v);
        EXPECT_EQ(a.triangles()[i].tags, b.triangles()[i].tags);
    }
}
