// Offcuts nested into units, against pieces worked by hand and an exhaustive search.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <random>
#include <set>

#include "study/nesting_offcuts.h"

namespace underfoot {
namespace {

PieceToSaw rectangle(double length, double width) {
    return {{{0, 0}, {length, 0}, {length, width}, {0, width}}, {true, false, false, true}};
}

// 0.1 + 0.1 = 0.2 is one unit with a saw that takes nothing; with 3 mm lost it is 0.203, and two are sawn.
TEST(NestOffcuts, TheKerfDecidesWhetherTwoHalvesShareAUnit) {
    const std::vector<PieceToSaw> halves{rectangle(0.1, 0.1), rectangle(0.1, 0.1)};
    EXPECT_EQ(nestOffcuts(0.2, 0.1, halves, 0, false).units, 1);
    EXPECT_EQ(nestOffcuts(0.2, 0.1, halves, 0.003, false).units, 2);
    // 0.0985 + 0.003 + 0.0985 = 0.2.
    const std::vector<PieceToSaw> shorter{rectangle(0.0985, 0.1), rectangle(0.0985, 0.1)};
    EXPECT_EQ(nestOffcuts(0.2, 0.1, shorter, 0.003, false).units, 1);
}

// Two units are no fewer than two: no nesting is told. They are fewer than three.
TEST(NestOffcuts, ANestingThatTakesTooManyIsNotTold) {
    const std::vector<PieceToSaw> halves{rectangle(0.1, 0.1), rectangle(0.1, 0.1)};
    EXPECT_EQ(nestOffcuts(0.2, 0.1, halves, 0.003, false, 2).units, 2);
    EXPECT_TRUE(nestOffcuts(0.2, 0.1, halves, 0.003, false, 2).pieces.empty());
    EXPECT_EQ(nestOffcuts(0.2, 0.1, halves, 0.003, false, 3).pieces.size(), 2u);
}

// A square cut along its diagonal gives both triangles: one of them turned by two quarters.
TEST(NestOffcuts, TwoTrianglesComeFromOneSquare) {
    const PieceToSaw triangle{{{0, 0}, {0.3, 0}, {0, 0.3}}, {true, false, true}};
    EXPECT_EQ(nestOffcuts(0.3, 0.3, {triangle, triangle}, 0, true).units, 1);
    EXPECT_EQ(nestOffcuts(0.3, 0.3, {triangle, triangle}, 0.003, true).units, 2);
    // Legs of 0.29: the hypotenuses stand (0.6 - 0.58) / sqrt 2 = 14 mm apart.
    const PieceToSaw smaller{{{0, 0}, {0.29, 0}, {0, 0.29}}, {true, false, true}};
    const OffcutNesting both = nestOffcuts(0.3, 0.3, {smaller, smaller}, 0.003, true);
    EXPECT_EQ(both.units, 1);
    EXPECT_EQ(both.pieces[1].quarters, 2);
}

// Three strips of 0.09 with two kerfs of 5 mm are 0.28 of 0.3; the one in the middle has lost its bevel.
TEST(NestOffcuts, BevelledSidesStayOutside) {
    const PieceToSaw strip{{{0, 0}, {0.3, 0}, {0.3, 0.09}, {0, 0.09}}, {true, true, false, true}};
    EXPECT_EQ(nestOffcuts(0.3, 0.3, {strip, strip, strip}, 0.005, false).units, 1);
    EXPECT_EQ(nestOffcuts(0.3, 0.3, {strip, strip, strip}, 0.005, true).units, 2);
}

// A pinwheel: 0.19 x 0.11 four times round 0.08 x 0.08 just fills 0.3 x 0.3, but no cut runs across it, and
// 3 x 0.11 is more than 0.3.
TEST(NestOffcuts, WhatNoSawCutRunsAcrossIsNotOneUnit) {
    const std::vector<PieceToSaw> wheel{rectangle(0.19, 0.11), rectangle(0.19, 0.11), rectangle(0.19, 0.11),
                                        rectangle(0.19, 0.11), rectangle(0.08, 0.08)};
    EXPECT_EQ(leastUnits(0.09, {0.0209, 0.0209, 0.0209, 0.0209, 0.0064}), 1);
    EXPECT_EQ(nestOffcuts(0.3, 0.3, wheel, 0, false).units, 2);
}

TEST(NestOffcuts, LeastByArea) {
    EXPECT_EQ(leastUnits(1, {}), 0);
    EXPECT_EQ(leastUnits(1, {0.4, 0.4, 0.4}), 2);       // 1.2
    EXPECT_EQ(leastUnits(1, {0.6, 0.6, 0.6}), 3);       // 1.8, but no two share one
    EXPECT_EQ(leastUnits(1, {0.6, 0.6, 0.5, 0.5}), 3);  // 2.2
    EXPECT_EQ(leastUnits(1, {0.7, 0.7, 0.4, 0.4}), 3);  // 0.4 finds 0.3 beside 0.7: 2 + 0.8
}

// ---------------------------------------------------------------- exhaustive search

struct Size {
    double length, width;
};

/// Every way of sawing across: all places where sides of pieces, one beside the other, add up to.
class Exact {
  public:
    Exact(std::vector<Size> pieces, double length, double width, double kerf)
        : pieces_(std::move(pieces)), length_(length), width_(width), kerf_(kerf) {}

    int least() {
        best_ = static_cast<int>(pieces_.size());
        assign(0, {});
        return best_;
    }

  private:
    void assign(size_t piece, std::vector<unsigned> units) {
        if (static_cast<int>(units.size()) >= best_ + (piece < pieces_.size() ? 1 : 0)) return;
        if (piece == pieces_.size()) {
            best_ = std::min(best_, static_cast<int>(units.size()));
            return;
        }
        for (size_t u = 0; u <= units.size(); ++u) {
            std::vector<unsigned> next = units;
            if (u == next.size()) next.push_back(0);
            next[u] |= 1u << piece;
            if (fits(length_, width_, next[u])) assign(piece + 1, next);
        }
    }

    double areaOf(unsigned set) const {
        double area = 0;
        for (size_t i = 0; i < pieces_.size(); ++i)
            if ((set >> i & 1) != 0) area += pieces_[i].length * pieces_[i].width;
        return area;
    }

    std::set<double> places(unsigned set, double most) const {
        std::set<double> out{-kerf_};
        for (size_t i = 0; i < pieces_.size(); ++i) {
            if ((set >> i & 1) == 0) continue;
            const std::set<double> before = out;
            for (const double at : before)
                for (const double side : {pieces_[i].length, pieces_[i].width})
                    if (at + kerf_ + side < most) out.insert(at + kerf_ + side);
        }
        out.erase(-kerf_);
        return out;
    }

    bool fits(double length, double width, unsigned set) const {
        if (set == 0) return true;
        if (length <= 0 || width <= 0 || areaOf(set) > length * width + 1e-6) return false;
        if ((set & (set - 1)) == 0) {
            const Size& p = pieces_[static_cast<size_t>(std::countr_zero(set))];
            constexpr double slack = 1e-7;
            const auto in = [&](double l, double w) { return l <= length + slack && w <= width + slack; };
            return in(p.length, p.width) || in(p.width, p.length);
        }
        for (unsigned part = (set - 1) & set; part != 0; part = (part - 1) & set) {
            for (const double x : places(part, length))
                if (fits(x, width, part) && fits(length - x - kerf_, width, set & ~part)) return true;
            for (const double y : places(part, width))
                if (fits(length, y, part) && fits(length, width - y - kerf_, set & ~part)) return true;
        }
        return false;
    }

    std::vector<Size> pieces_;
    double length_, width_, kerf_;
    int best_ = 0;
};

// A hundred lots of two to five rectangles: never better than exact, the bound never above it, and nearly
// always as good.
TEST(NestOffcuts, AgainstEveryWayOfSawing) {
    std::mt19937 random(7);
    const auto drawn = [&](int from, int to) {
        return from + static_cast<int>(random() % static_cast<unsigned>(to - from + 1));
    };
    int same = 0, all = 0;
    for (int lot = 0; lot < 100; ++lot) {
        std::vector<Size> sizes;
        std::vector<PieceToSaw> pieces;
        for (int i = 0, n = drawn(2, 5); i < n; ++i) {
            sizes.push_back({0.01 * drawn(4, 30), 0.01 * drawn(4, 20)});
            pieces.push_back(rectangle(sizes.back().length, sizes.back().width));
        }
        const int exact = Exact(sizes, 0.3, 0.2, 0.003).least();
        const OffcutNesting nesting = nestOffcuts(0.3, 0.2, pieces, 0.003, false);
        EXPECT_GE(nesting.units, exact) << "lot " << lot;
        EXPECT_LE(nesting.units, exact + 1) << "lot " << lot;
        EXPECT_LE(nesting.atLeast, exact) << "lot " << lot;
        same += nesting.units == exact ? 1 : 0;
        ++all;
    }
    EXPECT_GE(same, all - 5);
}

// Whatever is nested lies in its unit, and boxes of pieces of one unit keep the kerf.
TEST(NestOffcuts, PiecesKeepTheirUnitAndTheirDistance) {
    std::mt19937 random(11);
    std::vector<PieceToSaw> pieces;
    const auto drawn = [&](unsigned from, unsigned count) {
        return 0.01 * static_cast<double>(from + random() % count);
    };
    for (int i = 0; i < 60; ++i) pieces.push_back(rectangle(drawn(4, 20), drawn(4, 12)));
    const OffcutNesting nesting = nestOffcuts(0.3, 0.2, pieces, 0.003, false);
    ASSERT_EQ(nesting.pieces.size(), pieces.size());
    EXPECT_LT(nesting.units, 40);
    for (size_t i = 0; i < nesting.pieces.size(); ++i) {
        const auto box = [](const SawnPiece& p) {
            const auto [x0, x1] =
                std::minmax_element(p.shape.begin(), p.shape.end(), [](auto a, auto b) { return a.x < b.x; });
            const auto [y0, y1] =
                std::minmax_element(p.shape.begin(), p.shape.end(), [](auto a, auto b) { return a.y < b.y; });
            return std::array<double, 4>{x0->x, x1->x, y0->y, y1->y};
        };
        const auto a = box(nesting.pieces[i]);
        EXPECT_TRUE(a[0] > -1e-6 && a[1] < 0.3 + 1e-6 && a[2] > -1e-6 && a[3] < 0.2 + 1e-6);
        for (size_t k = 0; k < i; ++k) {
            if (nesting.pieces[k].unit != nesting.pieces[i].unit) continue;
            const auto b = box(nesting.pieces[k]);
            const double apart = std::max({a[0] - b[1], b[0] - a[1], a[2] - b[3], b[2] - a[3]});
            EXPECT_GT(apart, 0.003 - 1e-6);
        }
    }
}

}  // namespace
}  // namespace underfoot
