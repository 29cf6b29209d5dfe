// Units counted, weighed and started elsewhere.

#include <algorithm>
#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "measure/cross.h"
#include "measure/mass.h"
#include "model/make_plan.h"
#include "study/lifting.h"
#include "study/start_line.h"
#include "study/unit_rows.h"
#include "study/units.h"

namespace underfoot {
namespace {

constexpr double inch = metresPerInch;

/// A level court from (0, 0), stack bond without joints.
Plan court(double length, double width, UnitSize size, double joint = 0) {
    Plan plan = made::plainPlan({0, 0}, {length, width}, 1, made::planeShots(0.9));
    UnitLayout units;
    units.pattern = Pattern::Stack;
    units.sizes = {size};
    units.joint = joint;
    plan.areas[0].units = units;
    return plan;
}

Model built(const Plan& plan) {
    Checked<Model> model = buildModel(plan);
    EXPECT_TRUE(model);
    return std::move(*model);
}

// 2.0 x 1.0 of units 0.3 x 0.3: six and 0.2 along, three and 0.1 across. 18 whole; cut 3 of 0.2 x 0.3, 6 of
// 0.3 x 0.1 and one of 0.2 x 0.1. With 1/8 in lost to a cut 0.2 leaves no 0.1; two strips of 0.1 share a
// unit: 3 + 7 / 2 = 7 units. Least: three are over half, 3 x 0.06; the other 0.2 less the 0.09 beside them is
// 0.11, over one unit of 0.09: 3 + 2.
TEST(Units, CountsAndNestsARectangle) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const UnitsReport report = unitsReport(model, loadCatalogue(model.plan));
    ASSERT_EQ(report.counts.size(), 1u);
    const UnitCount& count = report.counts[0];
    EXPECT_EQ(count.whole, 18);
    EXPECT_EQ(count.cut.size(), 10u);
    EXPECT_EQ(count.nesting.units, 7);
    EXPECT_EQ(count.nesting.atLeast, 5);
    EXPECT_EQ(count.bought(), 25);
    EXPECT_NEAR(count.waste(), 1 - 2.0 / 2.25, 1e-9);
    EXPECT_NEAR(count.laidArea, 2.0, 1e-9);
    int small = 0;
    for (const CutUnit& cut : count.cut) {
        small += cut.tooSmall ? 1 : 0;
        EXPECT_FALSE(cut.tooNarrow);
        EXPECT_NEAR(cut.smallestAngle, 1.5707963, 1e-6);
        EXPECT_NEAR(cut.part, cut.length * cut.width / 0.09, 1e-9);
    }
    EXPECT_EQ(small, 1);  // 0.02 of 0.09; a third is 0.03
}

// 1.02 x 0.52 with joints of 5 mm holds 25 units of 0.2 x 0.1 (5 x 0.2 + 4 x 0.005): 0.5304 less 0.5 is open.
// Units 50 mm thick: 0.0304 x 0.05 to the top; 1/2 in less deep 0.0304 x 0.0373.
TEST(Units, JointsAndTheirSand) {
    const Model model = built(court(1.02, 0.52, {0.2, 0.1}, 0.005));
    const UnitsReport report = unitsReport(model, loadCatalogue(model.plan));
    ASSERT_EQ(report.joints.size(), 1u);
    EXPECT_NEAR(report.joints[0].openArea, 0.0304, 1e-9);
    EXPECT_NEAR(report.joints[0].sandToTop, 0.00152, 1e-9);
    EXPECT_NEAR(report.joints[0].sandToLimit, 0.0304 * 0.0373, 1e-9);
    // 5 mm is more than 3/16 in (4.8 mm).
    ASSERT_EQ(report.cautions.size(), 1u);
    EXPECT_THAT(report.cautions[0], ::testing::HasSubstr("at most 4.8 mm is usual (ICPI"));
    Plan own = court(1.02, 0.52, {0.2, 0.1}, 0.005);
    own.limits.push_back({"joint.greatest", 0.0045, "Maker's sheet.", {}});
    EXPECT_THAT(unitsReport(built(own), loadCatalogue(own)).cautions.at(0),
                ::testing::HasSubstr("at most 4.5 mm is the plan's own (Maker's sheet.)."));
}

// 24 x 24 x 2 in is 2/3 ft³; at 145 lb/ft³ (common concrete, from memory) 96.7 lb.
TEST(Units, WeightOfALargeSlab) {
    Plan plan = court(3 * 24 * inch, 2 * 24 * inch, {24 * inch, 24 * inch});
    plan.buildUps[0].layers[0].thickness = 2 * inch;
    const Model model = built(plan);
    Catalogue catalogue = loadCatalogue(model.plan);
    for (Material& material : catalogue.materials)
        if (material.name == "concrete unit")
            material.densityCompacted =
                145 * kilogramsPerPound / (metresPerFoot * metresPerFoot * metresPerFoot);
    const UnitsReport report = unitsReport(model, catalogue);
    ASSERT_EQ(report.counts.size(), 1u);
    EXPECT_EQ(report.counts[0].whole, 6);
    EXPECT_NEAR(report.counts[0].weight / kilogramsPerPound, 96.667, 0.001);
    EXPECT_EQ(report.counts[0].sawPasses, 1);
    ASSERT_FALSE(report.cautions.empty());
    EXPECT_THAT(report.cautions[0], ::testing::HasSubstr("4.1 times"));  // 96.67 / 23.67 = 4.08
}

// One pass goes 2 in deep (common practice, no source): 2 in in one, 4 in in two, a hair more in three.
TEST(Units, DeepCutsTakeMorePasses) {
    for (const auto& [thickness, passes] : {std::pair{2.0, 1}, {2.375, 2}, {4.0, 2}, {4.0625, 3}}) {
        Plan plan = court(1.0, 0.5, {0.3, 0.3});
        plan.buildUps[0].layers[0].thickness = thickness * inch;
        const Model model = built(plan);
        const UnitsReport report = unitsReport(model, loadCatalogue(plan));
        EXPECT_EQ(report.counts.at(0).sawPasses, passes) << thickness;
        const bool told =
            std::any_of(report.cautions.begin(), report.cautions.end(),
                        [](const std::string& s) { return s.find("sawn in") != std::string::npos; });
        EXPECT_EQ(told, passes > 1);
    }
}

// ICPI, Construction Tolerances and Recommendations for Interlocking Concrete Pavements: at most 4 : 1.
TEST(Units, SlenderOnesAreToldOf) {
    const auto told = [](double thickness) {
        Plan plan = court(0.8, 0.4, {0.2, 0.1});
        plan.buildUps[0].layers[0].thickness = thickness;
        const UnitsReport report = unitsReport(built(plan), loadCatalogue(plan));
        return std::count_if(report.cautions.begin(), report.cautions.end(), [](const std::string& s) {
            return s.find("times as long as they are thick; under foot traffic at most 4") !=
                   std::string::npos;
        });
    };
    EXPECT_EQ(told(0.05), 0);
    EXPECT_EQ(told(0.049), 1);  // 4.1 : 1
}

// NIOSH publication 94-110: 51 lb x 10/15 x (1 - 0.0075 x 20) x (0.82 + 1.8/20) x 0.90 = 23.67 lb.
TEST(Lifting, RecommendedWeight) {
    const Lift usual = usualLift(loadCatalogue());
    EXPECT_NEAR(recommendedWeight(usual) / kilogramsPerPound, 23.67, 0.01);
    Lift best = usual;
    best.reach = 10 * inch, best.from = 30 * inch, best.travel = 10 * inch, best.coupling = 1;
    EXPECT_NEAR(recommendedWeight(best) / kilogramsPerPound, 51, 0.01);
    best.reach = 5 * inch, best.travel = 2 * inch;
    EXPECT_NEAR(recommendedWeight(best) / kilogramsPerPound, 51, 0.01);
    best.reach = 26 * inch;
    EXPECT_EQ(recommendedWeight(best), 0);
    // 90 lb over 23.67 lb: 3.8 times.
    EXPECT_EQ(timesOver(90 * kilogramsPerPound, recommendedWeight(usual)), "3.8 times");
    EXPECT_EQ(timesOver(10.4, 10), "a little more than");
}

// The rectangle above: one sliver (0.2 x 0.1). A row of 0.1 at one end always leaves one in its corner, so
// the rows share it: two of 0.2 each, four rows and seven columns, 6 x 2 whole of 28. The smallest is then
// the corner, 0.2 x 0.2 of 0.09.
TEST(StartLine, SharesTheCutBetweenBothEnds) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const Catalogue catalogue = loadCatalogue(model.plan);
    const auto line = startLine(model, catalogue, 0, {});
    ASSERT_TRUE(line) << line.error();
    EXPECT_EQ(line->before.whole, 18);
    EXPECT_EQ(line->before.cut, 10);
    EXPECT_EQ(line->before.slivers, 1);
    EXPECT_EQ(line->after.slivers, 0);
    EXPECT_EQ(line->after.cut, 16);
    EXPECT_EQ(line->after.whole, 12);
    EXPECT_NEAR(line->after.smallestPart, 0.04 / 0.09, 1e-6);
    EXPECT_TRUE(line->exact);
}

// Symmetrical: 5 x 0.3 + 2 x 0.25 along, 2 x 0.3 + 2 x 0.2 across: 10 of 28 whole.
TEST(StartLine, SymmetricalCutsAlikeAtOppositeSides) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const auto line = startLine(model, loadCatalogue(model.plan), 0, {true, 0, 0});
    ASSERT_TRUE(line) << line.error();
    EXPECT_EQ(line->after.slivers, 0);
    EXPECT_EQ(line->after.whole, 10);
    EXPECT_EQ(line->after.cut, 18);
    EXPECT_NEAR(line->after.smallestPart, 0.05 / 0.09, 1e-6);
}

// 2.0 m of 0.3 m units: six and two pieces of 0.1 are symmetrical, from 0.1 or, the same, 0.4 or 1.9 on; so
// are seven with a whole one in the middle, from 0.15 on less 0.3. The least of the moves is never more than
// half a unit.
TEST(StartLine, TheMoveIsTheLeastOfAllThatLayTheSame) {
    for (const bool symmetrical : {true, false}) {
        const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
        const auto line = startLine(model, loadCatalogue(model.plan), 0, {symmetrical, 0, 0});
        ASSERT_TRUE(line) << line.error();
        EXPECT_LE(std::abs(line->shift.x), 0.15 + 1e-9);
        EXPECT_LE(std::abs(line->shift.y), 0.15 + 1e-9);
        // The place it names is where the first unit began, moved by that and by whole units.
        const glm::dvec2 off = (line->start - line->shift) / 0.3;
        EXPECT_NEAR(off.x, std::round(off.x), 1e-4);
        EXPECT_NEAR(off.y, std::round(off.y), 1e-4);
    }
}

// What it says goes into the plan, and the model then has these numbers; so on every pattern and a slanted
// side.
TEST(StartLine, ThePlanWithItHasTheNumbersItSays) {
    for (const Pattern pattern : {Pattern::Stack, Pattern::Running, Pattern::Herringbone90,
                                  Pattern::Herringbone45, Pattern::BasketWeave}) {
        Plan plan = court(0.83, 0.57, {0.2, 0.1}, 0.003);
        plan.areas[0].outline = made::ringOf({{0, 0}, {0.83, 0}, {0.83, 0.4}, {0.6, 0.57}, {0, 0.57}});
        plan.areas[0].units->pattern = pattern;
        const Model model = built(plan);
        const Catalogue catalogue = loadCatalogue(plan);
        const auto line = startLine(model, catalogue, 0, {});
        ASSERT_TRUE(line) << line.error();
        EXPECT_FALSE(line->exact);
        EXPECT_LE(line->after.slivers, line->before.slivers);
        plan.areas[0].units->start = line->start;
        const UnitsReport report = unitsReport(built(plan), catalogue);
        ASSERT_EQ(report.counts.size(), 1u);
        EXPECT_EQ(report.counts[0].whole, line->after.whole);
        EXPECT_EQ(static_cast<int>(report.counts[0].cut.size()), line->after.cut);
    }
}

TEST(StartLine, NothingCutIsLeftAlone) {
    const Model model = built(court(3.0, 1.5, {0.3, 0.3}));
    const auto line = startLine(model, loadCatalogue(model.plan), 0, {});
    ASSERT_TRUE(line);
    EXPECT_EQ(line->tried, 0);
    EXPECT_EQ(line->after.whole, 50);
}

// ---------------------------------------------------------------- what to mark

// The same 2.0 x 1.0 of 0.3 x 0.3: four rows from offset 0 on, 0.3 apart, seven units each; the last of each
// 0.2 long, and all of the fourth sawn to 0.1.
TEST(UnitRows, OfAStackRunFromSideToSide) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const auto rows = unitRows(model);
    ASSERT_EQ(rows.size(), 4u);
    for (size_t i = 0; i < 4; ++i) {
        EXPECT_EQ(rows[i].number, static_cast<int>(i) + 1);
        const glm::dvec2 from = model.stationOffset(rows[i].from), to = model.stationOffset(rows[i].to);
        EXPECT_NEAR(from.x, 0, 1e-6);
        EXPECT_NEAR(to.x, 2, 1e-6);
        EXPECT_NEAR(from.y, 0.3 * static_cast<double>(i), 1e-6);
        EXPECT_NEAR(to.y, from.y, 1e-6);
        EXPECT_EQ(rows[i].units, 7);
        EXPECT_EQ(rows[i].cut, i < 3 ? 1 : 7);
        EXPECT_NEAR(rows[i].first, 0.3, 1e-6);
        EXPECT_NEAR(rows[i].last, 0.2, 1e-6);
        EXPECT_EQ(rows[i].firstCut, i == 3);
        EXPECT_TRUE(rows[i].lastCut);
    }
}

// Running bond of 0.2 x 0.1 with joints of 5 mm: rows 0.105 apart; every other one starts with a half, which
// keeps half a joint less: (0.205 / 2 - 0.005) = 0.0975 long.
TEST(UnitRows, OfARunningBondStartWithWholesAndHalvesInTurn) {
    Plan plan = court(1.02, 0.52, {0.2, 0.1}, 0.005);
    plan.areas[0].units->pattern = Pattern::Running;
    const Model model = built(plan);
    const auto rows = unitRows(model);
    ASSERT_EQ(rows.size(), 5u);
    int units = 0;
    for (size_t i = 0; i < 5; ++i) {
        EXPECT_NEAR(model.stationOffset(rows[i].from).y, 0.105 * static_cast<double>(i), 1e-6);
        EXPECT_EQ(rows[i].firstCut, i % 2 == 1);
        EXPECT_NEAR(rows[i].first, i % 2 == 1 ? 0.0975 : 0.2, 1e-6);
        units += rows[i].units;
    }
    EXPECT_EQ(units, static_cast<int>(model.units.size()));
    plan.areas[0].units->pattern = Pattern::Herringbone90;
    EXPECT_THAT(unitRows(built(plan)), ::testing::IsEmpty());
}

// A unit of 0.3 x 0.3 of which 0.2 is kept is sawn straight across, 0.2 from the left or 0.1 from it; one of
// 0.2 x 0.1 takes two cuts that meet inside the unit.
TEST(CutLines, AreMarkedAlongTheUnitsOwnSides) {
    const Model model = built(court(2.0, 1.0, {0.3, 0.3}));
    const UnitsReport report = unitsReport(model, loadCatalogue(model.plan));
    int straight = 0, corners = 0;
    for (const CutUnit& cut : report.counts[0].cut) {
        const auto lines = cutLines(cut, 0.3, 0.3);
        double sawn = 0;
        for (const CutLine& line : lines) sawn += line.length;
        EXPECT_NEAR(sawn, cut.sawn, 1e-9);
        const auto inside = [](const CutMark& mark) { return mark.side == CutMark::Side::Inside; };
        if (lines.size() == 1) {
            ++straight;
            EXPECT_NEAR(lines[0].length, 0.3, 1e-6);
            EXPECT_NEAR(lines[0].from.along, lines[0].to.along, 1e-6);
            EXPECT_FALSE(inside(lines[0].from) || inside(lines[0].to));
            EXPECT_NE(lines[0].from.side, lines[0].to.side);
            const auto place = [](const CutMark& mark) {
                const bool upright = mark.side == CutMark::Side::Left || mark.side == CutMark::Side::Right;
                const bool high = mark.side == CutMark::Side::Right || mark.side == CutMark::Side::Far;
                const double across = high ? 0.3 : 0;
                return upright ? glm::dvec2{across, mark.along} : glm::dvec2{mark.along, across};
            };
            glm::dvec2 middle{0, 0};
            for (const glm::dvec2& p : cut.piece.shape) middle += p / 4.0;
            EXPECT_GT(cross(place(lines[0].to) - place(lines[0].from), middle - place(lines[0].from)), 0)
                << "what is kept lies to the left";
        } else {
            ++corners;
            ASSERT_EQ(lines.size(), 2u);
            EXPECT_TRUE(inside(lines[0].to) || inside(lines[0].from));
        }
    }
    EXPECT_EQ(straight, 9);
    EXPECT_EQ(corners, 1);
}

// A unit of 0.2 x 0.1 whose right end is sawn to a quarter round of 0.1 about its near left part: six chords
// from (0.2, 0) to (0.1, 0.1), which bulge 0.1 (1 - cos 45 deg) = 29 mm past the straight line.
TEST(CutLines, ChordsOfACurveAreOneCut) {
    CutUnit cut;
    cut.piece.shape = {{0, 0}};
    cut.piece.factory = {true};
    for (int i = 0; i <= 6; ++i) {
        const double turn = i * 15.0 / 180 * 3.14159265358979;
        cut.piece.shape.push_back({0.1 + 0.1 * std::cos(turn), 0.1 * std::sin(turn)});
        cut.piece.factory.push_back(i == 6);
    }
    cut.piece.shape.push_back({0, 0.1});
    cut.piece.factory.push_back(true);
    const auto lines = cutLines(cut, 0.2, 0.1);
    ASSERT_EQ(lines.size(), 1u);
    EXPECT_EQ(lines[0].from.side, CutMark::Side::Near);
    EXPECT_EQ(lines[0].to.side, CutMark::Side::Far);
    EXPECT_NEAR(lines[0].to.along, 0.1, 1e-9);
    EXPECT_NEAR(lines[0].bow, 0.1 * (1 - std::sqrt(0.5)), 1e-9);
    EXPECT_NEAR(lines[0].length, 6 * 0.2 * std::sin(7.5 / 180 * 3.14159265358979), 1e-9);
}

}  // namespace
}  // namespace underfoot
