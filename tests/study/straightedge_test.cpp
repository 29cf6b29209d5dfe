#include "study/straightedge.h"

#include <cmath>
#include <functional>
#include <random>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "study/plane_parts.h"
#include "study/profile_gap.h"

namespace underfoot {
namespace {

using HeightOf = std::function<double(glm::dvec2)>;

// Squares of a grid, each cut from its lower left to its upper right corner.
HeightField gridField(int columns, int rows, double width, double height, const HeightOf& heightOf) {
    HeightField field;
    const auto at = [&](int i, int j) { return glm::dvec2{width * i / columns, height * j / rows}; };
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < columns; ++i) {
            const glm::dvec2 a = at(i, j), b = at(i + 1, j), c = at(i + 1, j + 1), d = at(i, j + 1);
            for (const auto& corners : {std::array{a, b, c}, std::array{a, c, d}})
                field.push_back(
                    {-1, corners, {heightOf(corners[0]), heightOf(corners[1]), heightOf(corners[2])}});
        }
    }
    return field;
}

HeightOf bumps(unsigned seed, double size) {
    return [=](glm::dvec2 p) {
        std::mt19937 random(seed * 1'000'003u + static_cast<unsigned>(std::lround(p.x * 1000) * 7919) +
                            static_cast<unsigned>(std::lround(p.y * 1000) * 104729));
        return std::uniform_real_distribution<double>(-size, size)(random);
    };
}

double heightIn(const HeightField& field, glm::dvec2 p) {
    for (const HeightPiece& piece : field) {
        const glm::dvec2 a = piece.at[0], b = piece.at[1] - a, c = piece.at[2] - a, d = p - a;
        const double det = b.x * c.y - b.y * c.x;
        const double s = (d.x * c.y - d.y * c.x) / det, t = (b.x * d.y - b.y * d.x) / det;
        if (s < -1e-9 || t < -1e-9 || s + t > 1 + 1e-9) continue;
        return piece.value[0] * (1 - s - t) + piece.value[1] * s + piece.value[2] * t;
    }
    return std::nan("");
}

// Every pair of places of a fine grid no farther apart than the length, and places between them.
double bruteGap(const HeightField& field, double width, double height, double length, int steps) {
    std::vector<glm::dvec2> places;
    std::vector<double> heights;
    for (int j = 0; j <= steps; ++j)
        for (int i = 0; i <= steps; ++i) places.push_back({width * i / steps, height * j / steps});
    for (const glm::dvec2& p : places) heights.push_back(heightIn(field, p));
    double most = 0;
    for (size_t a = 0; a < places.size(); ++a) {
        for (size_t b = 0; b < a; ++b) {
            if (glm::distance(places[a], places[b]) > length) continue;
            for (int k = 1; k < 8; ++k) {
                const double t = k / 8.0;
                const double under = heightIn(field, places[a] + (places[b] - places[a]) * t);
                most = std::max(most, (1 - t) * heights[a] + t * heights[b] - under);
            }
        }
    }
    return most;
}

TEST(Straightedge, APlaneHasNoGap) {
    const HeightField field = gridField(4, 4, 4, 4, [](glm::dvec2 p) { return 0.02 * p.x - 0.01 * p.y + 3; });
    const StraightedgeGap gap = greatestGap(field, 3);
    EXPECT_LE(gap.gap, 1e-12);
    EXPECT_LE(gap.atMost, 2.501e-4);
}

TEST(Straightedge, NothingHasNoGap) {
    EXPECT_EQ(greatestGap({}, 3).gap, 0);
    EXPECT_EQ(greatestGap({}, 3).atMost, 0);
}

// A trough along y: 10 mm deep at x = 2, level from 1 m beside it on. The straightedge rests on both rims,
// which stand 2 m apart: the whole 10 mm show under 3 m, and under exactly 2 m.
TEST(Straightedge, RestsOnBothRimsOfATrough) {
    const HeightField field =
        gridField(8, 8, 4, 4, [](glm::dvec2 p) { return -0.01 * std::max(0.0, 1 - std::abs(p.x - 2)); });
    EXPECT_NEAR(greatestGap(field, 3).gap, 0.010, 2.5e-4);
    EXPECT_NEAR(greatestGap(field, 2).gap, 0.010, 2.5e-4);
    // Under 1 m the ends rest on the sides, 0.5 m from the bottom: 5 mm above it.
    const StraightedgeGap shorter = greatestGap(field, 1);
    EXPECT_NEAR(shorter.gap, 0.005, 2.5e-4);
    EXPECT_NEAR(shorter.at.x, 2, 0.02);
    EXPECT_LE(glm::distance(shorter.from, shorter.to), 1 + 1e-9);
}

// A ridge 10 mm high at x = 2, level from 1 m beside it on. On the ridge and 3 m away the straightedge stands
// 10 x 2/3 = 6.67 mm above the foot of the ridge, 1 m away; the surface is long enough for it.
TEST(Straightedge, RestsOnARidgeAndOnTheLevel) {
    const HeightField field =
        gridField(16, 4, 8, 2, [](glm::dvec2 p) { return 0.01 * std::max(0.0, 1 - std::abs(p.x - 2)); });
    const StraightedgeGap gap = greatestGap(field, 3, {2.5e-4, 20'000});
    EXPECT_GE(gap.gap, 0.01 * 2 / 3 - 2.5e-4);
    EXPECT_LE(gap.gap, 0.01 * 2 / 3 + 1e-9);
    EXPECT_GE(gap.atMost, 0.01 * 2 / 3 - 1e-12);
    EXPECT_LE(gap.atMost, gap.gap + 2.501e-4);
}

// Over a pit the gap is shown at its lowest corner, not beside it: 10 mm from rim to rim.
TEST(Straightedge, TheGreatestGapOverAPitIsAtItsCorner) {
    const HeightField field = gridField(16, 12, 4, 3, [](glm::dvec2 p) {
        return -0.01 * std::max(0.0, 1 - glm::distance(p, {1.75, 1.25}));
    });
    const StraightedgeGap gap = greatestGap(field, 3, {5e-4});
    EXPECT_NEAR(gap.gap, 0.010, 1e-9);
    EXPECT_LE(glm::distance(gap.at, {1.75, 1.25}), 1e-9);
}

TEST(Straightedge, IsNoLessThanEveryPairOfPlacesTried) {
    for (unsigned seed = 1; seed <= 6; ++seed) {
        const HeightField field = gridField(3, 3, 2, 2, bumps(seed, 0.01));
        const double brute = bruteGap(field, 2, 2, 1.2, 12);
        const StraightedgeGap gap = greatestGap(field, 1.2);
        EXPECT_GE(gap.atMost, brute) << seed;
        EXPECT_GE(gap.gap, brute - 2.501e-4) << seed;
        EXPECT_LE(gap.atMost - gap.gap, 2.501e-4) << seed;
        const glm::dvec2 run = gap.to - gap.from;
        const double t = glm::distance(gap.from, gap.at) / glm::length(run);
        const double shown =
            (1 - t) * heightIn(field, gap.from) + t * heightIn(field, gap.to) - heightIn(field, gap.at);
        EXPECT_NEAR(shown, gap.gap, 1e-9) << seed;
        EXPECT_LE(glm::length(run), 1.2 + 1e-9) << seed;
    }
}

TEST(Straightedge, AddingAPlaneChangesNoGapAndScalingScalesIt) {
    const HeightOf rough = bumps(5, 0.008);
    const StraightedgeGap plain = greatestGap(gridField(6, 6, 4, 4, rough), 2);
    const StraightedgeGap tilted = greatestGap(
        gridField(6, 6, 4, 4, [&](glm::dvec2 p) { return rough(p) + 0.02 * p.x - 0.03 * p.y; }), 2);
    const StraightedgeGap doubled =
        greatestGap(gridField(6, 6, 4, 4, [&](glm::dvec2 p) { return 2 * rough(p); }), 2);
    EXPECT_NEAR(plain.gap, tilted.gap, 2.6e-4);
    EXPECT_NEAR(2 * plain.gap, doubled.gap, 8e-4);
}

// Under a hollow of radius R a straightedge of length L stands L^2 / (8 R) above it (sagitta, to first
// order): 3 m and 112.5 m make 10 mm. Facets of 0.25 m lie up to 0.25^2 x 2 / (8 x 112.5) = 0.14 mm off it.
// Every place is as bad as the next: the work ends at `most`, and what is proved stays true.
TEST(Straightedge, AHollowOfKnownRadius) {
    const HeightField field =
        gridField(16, 16, 4, 4, [](glm::dvec2 p) { return glm::dot(p, p) / (2 * 112.5); });
    const StraightedgeGap gap = greatestGap(field, 3, {2.5e-4, 1500});
    EXPECT_NEAR(gap.gap, 0.010, 0.0002);
    EXPECT_GE(gap.atMost, 0.00986);
    EXPECT_LE(gap.atMost, 0.013);
    EXPECT_LE(gap.looked, 1508u);
}

TEST(Straightedge, AskedWhetherAGapPassesABoundItSaysSo) {
    for (unsigned seed = 1; seed <= 4; ++seed) {
        const HeightField field = gridField(3, 3, 2, 2, bumps(seed, 0.01));
        const double greatest = greatestGap(field, 1.2).gap;
        const StraightedgeGap over = greatestGap(field, 1.2, {2.5e-4, 4000, greatest + 0.0005});
        EXPECT_LE(over.atMost, greatest + 0.0005 + 1e-12) << seed;
        EXPECT_GT(greatestGap(field, 1.2, {2.5e-4, 4000, greatest - 0.0005}).gap, greatest - 0.0005) << seed;
    }
}

// A valley along y that falls by 0.1 on either side, filled to 0.01, between ends aslant by 45 degrees. A
// straightedge of 1 m straight across rests at 0.05 over the filling's edge, 0.1 from the bottom's line:
// 0.04. Over the corners of the valley's ends one end of it leaves the plan; aslant along an end it reaches
// 0.3536 to either side, over the lowest corner 0.0254.
TEST(Straightedge, HeldHeightsAreTriedWhereTheyBendToo) {
    const auto side = [](glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, double za, double zb, double zc) {
        return HeightPiece{-1, {a, b, c}, {za, zb, zc}};
    };
    const HeightField valley{
        side({-1, -1}, {0, 0}, {0, 10}, 0.1, 0, 0), side({-1, -1}, {0, 10}, {-1, 9}, 0.1, 0, 0.1),
        side({0, 0}, {1, 1}, {1, 11}, 0, 0.1, 0.102), side({0, 0}, {1, 11}, {0, 10}, 0, 0.102, 0)};
    const StraightedgeEffort atOnce{2.5e-4, 0, 0.03};
    const StraightedgeGap gap = Straightedge(valley, 1).greatestHeld(0.01, 1, atOnce);
    EXPECT_EQ(gap.looked, 0u);
    EXPECT_GT(gap.gap, 0.03);
    EXPECT_LE(gap.gap, 0.0411);
    // Asked for more than there is, what is found is still a gap that is there.
    EXPECT_LE(Straightedge(valley, 1).greatestHeld(0.01, 1, {2.5e-4, 0, 0.06}).gap, 0.0411);
}

// A hump of 15 mm over 6 x 4 m, strings raised by 15 - 9.525 = 5.475 mm: heights held to 9.525 mm either way
// are those of the hump itself, and no gap under it passes 9.525 mm. The bound is long in coming down; it is
// not given up for that.
TEST(Straightedge, IsNotGivenUpWhereAllSquaresCanBeLookedRound) {
    const std::array<glm::dvec2, 4> rim{{{0, 0}, {6, 0}, {6, 4}, {0, 4}}};
    HeightField field;
    for (size_t i = 0; i < 4; ++i) field.push_back({-1, {rim[i], rim[(i + 1) % 4], {3, 2}}, {0, 0, 0.015}});
    constexpr double tolerance = 0.009525, shift = 0.015 - tolerance;
    const StraightedgeGap gap =
        Straightedge(field, 3.048)
            .greatestHeld(shift - tolerance, shift + tolerance, {2.5e-4, 1500, tolerance});
    EXPECT_LE(gap.atMost, tolerance);
}

TEST(Straightedge, GapsOverCornersAreTheGreatestThereAndNowhereMore) {
    const HeightField field =
        gridField(8, 8, 4, 4, [](glm::dvec2 p) { return -0.01 * std::max(0.0, 1 - std::abs(p.x - 2)); });
    const HeightField gaps = Straightedge(field, 3).gapsOver(0);
    for (const HeightPiece& piece : gaps) {
        for (size_t k = 0; k < 3; ++k) {
            EXPECT_LE(piece.value[k], 0.010 + 1e-9);
            // At the bottom all of it, on the level beside it none.
            if (piece.at[k].x == 2) {
                EXPECT_NEAR(piece.value[k], 0.010, 3e-4);
            }
            if (std::abs(piece.at[k].x - 2) >= 1) {
                EXPECT_LE(piece.value[k], 1e-9);
            }
        }
    }
}

// Along a line through a place everything that lies on it, whatever its height: the greatest gap over the
// place.
double gapAlong(const HeightField& field, glm::dvec2 at, double angle, double length, double floor) {
    const glm::dvec2 along{std::cos(angle), std::sin(angle)}, across{-along.y, along.x};
    Profile profile;
    double least = 1e300;
    for (const HeightPiece& piece : field) {
        double from = 1e300, to = -1e300, z0 = 0, z1 = 0;
        for (size_t i = 0; i < 3; ++i) {
            const glm::dvec2 a = piece.at[i] - at, b = piece.at[(i + 1) % 3] - at;
            const double ya = glm::dot(a, across), yb = glm::dot(b, across);
            if (a == glm::dvec2{0, 0}) least = std::min(least, piece.value[i]);
            if ((ya > 1e-9 && yb > 1e-9) || (ya < -1e-9 && yb < -1e-9)) continue;
            for (const double t :
                 {std::abs(ya) <= 1e-9 ? 0.0 : ya / (ya - yb), std::abs(yb) <= 1e-9 ? 1.0 : ya / (ya - yb)}) {
                const double x = glm::dot(a + (b - a) * t, along),
                             z = piece.value[i] + (piece.value[(i + 1) % 3] - piece.value[i]) * t;
                if (x < from) from = x, z0 = z;
                if (x > to) to = x, z1 = z;
            }
        }
        if (from > to) continue;
        const double slope = to > from ? (z1 - z0) / (to - from) : 0;
        profile.add({from, to, z0 - slope * from, slope});
    }
    return profile.greatestOver(0, least, length, floor).gap;
}

// Rough waves with a hole, so that straightedges reach across. No direction is passed by that shows more.
TEST(Straightedge, GapsOverCornersAreTheGreatestOfThirtySixLinesEachByItself) {
    const HeightOf rough = bumps(11, 0.002);
    HeightField field = gridField(
        20, 16, 5, 4, [&](glm::dvec2 p) { return rough(p) + 0.01 * std::sin(3.1 * p.x + 0.7 * p.y); });
    std::erase_if(field, [](const HeightPiece& piece) {
        return glm::distance(piece.at[0] + piece.at[1] + piece.at[2], {7.5, 6}) < 1.5;
    });
    constexpr double past = 0.006, length = 1.5;
    size_t over = 0;
    const HeightField gaps = Straightedge(field, length).gapsOver(past);
    for (size_t p = 0; p < gaps.size(); p += 10)
        for (size_t k = 0; k < 3; ++k) {
            const HeightPiece& piece = gaps[p];
            if (piece.value[k] <= past) continue;
            ++over;
            double most = past;
            for (int i = 0; i < 36; ++i) most = gapAlong(field, piece.at[k], i * M_PI / 36, length, most);
            EXPECT_NEAR(piece.value[k], most, 1e-9);
        }
    EXPECT_GT(over, 20u);
}

// Every triangle cut into four at the middles of its sides, so many times.
HeightField cutUp(HeightField field, int times) {
    for (; times > 0; --times) {
        HeightField finer;
        for (const HeightPiece& p : field) {
            std::array<glm::dvec2, 3> at{};
            std::array<double, 3> value{};
            for (size_t i = 0; i < 3; ++i) {
                at[i] = (p.at[i] + p.at[(i + 1) % 3]) * 0.5;
                value[i] = (p.value[i] + p.value[(i + 1) % 3]) * 0.5;
            }
            finer.push_back({-1, at, value});
            for (size_t i = 0; i < 3; ++i)
                finer.push_back(
                    {-1, {p.at[i], at[i], at[(i + 2) % 3]}, {p.value[i], value[i], value[(i + 2) % 3]}});
        }
        field = std::move(finer);
    }
    return field;
}

TEST(Straightedge, CuttingFlatPiecesUpChangesNoGap) {
    for (unsigned seed = 1; seed <= 3; ++seed) {
        const HeightField field = gridField(3, 3, 2, 2, bumps(seed, 0.01)), finer = cutUp(field, 2);
        EXPECT_NEAR(greatestGap(field, 1.2).gap, greatestGap(finer, 1.2).gap, 2.501e-4) << seed;
        const HeightField over = Straightedge(field, 1.2).gapsOver(0),
                          overFiner = Straightedge(finer, 1.2).gapsOver(0);
        for (size_t i = 0; i < over.size(); ++i)
            for (const HeightPiece& piece : overFiner) {
                if (piece.at[0] != over[i].at[0]) continue;
                EXPECT_NEAR(piece.value[0], over[i].value[0], 1e-9) << seed;
            }
    }
}

// A square of 4 m with a square hole of 1 m in one plane: at least four convex parts lie around the hole, and
// no more than four times as many. Their areas make 15 m2 (shoelace).
TEST(PlaneParts, OfOnePlaneWithAHoleAreFewAndConvex) {
    HeightField field = cutUp(gridField(4, 4, 4, 4, [](glm::dvec2 p) { return 0.3 * p.x - 0.2 * p.y; }), 1);
    std::erase_if(field, [](const HeightPiece& piece) {
        const glm::dvec2 centre = (piece.at[0] + piece.at[1] + piece.at[2]) / 3.0;
        return std::abs(centre.x - 1.5) < 0.5 && std::abs(centre.y - 1.5) < 0.5;
    });
    const PlaneParts flat = planeParts(field);
    EXPECT_EQ(flat.regions, 1);
    EXPECT_GE(flat.parts.size(), 4u);
    EXPECT_LE(flat.parts.size(), 16u);
    double twice = 0;
    for (const PlanePart& part : flat.parts) {
        const auto corner = [&](int i) {
            return flat.corners[static_cast<size_t>(part.firstCorner + i % part.corners)];
        };
        for (int i = 0; i < part.corners; ++i) {
            const glm::dvec2 a = corner(i), b = corner(i + 1), c = corner(i + 2);
            twice += a.x * b.y - a.y * b.x;
            EXPECT_GT((b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x), 0);
        }
    }
    EXPECT_NEAR(twice / 2, 15, 1e-9);
}

// Two planes that meet at a fold, and one beside it that stands 5 mm higher: three regions.
TEST(PlaneParts, FoldsAndStepsPartRegions) {
    const HeightField field = gridField(4, 2, 4, 2, [](glm::dvec2 p) { return 0.01 * std::abs(p.x - 2); });
    EXPECT_EQ(planeParts(field).regions, 2);
    EXPECT_EQ(planeParts(field).parts.size(), 2u);
    HeightField stepped = field;
    for (HeightPiece& piece : stepped)
        if (piece.at[0].x + piece.at[1].x + piece.at[2].x > 9)
            for (double& value : piece.value) value += 0.005;
    EXPECT_EQ(planeParts(stepped).regions, 3);
}

}  // namespace
}  // namespace underfoot
