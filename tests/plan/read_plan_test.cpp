// Sound plans: every key of the format arrives where it belongs, in metres.

#include <numbers>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "plan_text.h"

namespace underfoot {
namespace {

using test::edited;
using test::sound;
using test::soundPlan;

using test::foot;
using test::inch;

void expectPoint(glm::dvec2 p, double x, double y) {
    EXPECT_NEAR(p.x, x, 1e-12);
    EXPECT_NEAR(p.y, y, 1e-12);
}

TEST(PlanReading, takesTheHead) {
    const Plan plan = sound(soundPlan);
    EXPECT_EQ(plan.file, "trial.toml");
    EXPECT_EQ(plan.title, "Trial court");
    EXPECT_EQ(plan.datum, "Door sill is 100 ft");
    EXPECT_EQ(plan.bareUnit, LengthUnit::Foot);
    EXPECT_EQ(plan.show.style, LengthStyle::FeetInches);
    EXPECT_EQ(plan.show.denominator, 16);
    expectPoint(plan.baseline.to, 26 * foot, 0);
    EXPECT_TRUE(plan.baseline.offsetLeft);
}

TEST(PlanReading, takesEveryWayToShowLengths) {
    for (const int d : {2, 4, 8, 16, 32})
        EXPECT_EQ(sound(edited("ft-in 1/16", "ft-in 1/" + std::to_string(d))).show.denominator, d);
    EXPECT_EQ(sound(edited("\"ft-in 1/16\"", "\"ft\"")).show.style, LengthStyle::DecimalFeet);
    EXPECT_EQ(sound(edited("\"ft-in 1/16\"", "\"m\"")).show.style, LengthStyle::Metres);
}

TEST(PlanReading, takesFinishes) {
    const Plan plan = sound(soundPlan);
    ASSERT_EQ(plan.finishes.size(), 3u);
    const Finish& own = plan.finishes[0];
    EXPECT_EQ(own.name, "");
    ASSERT_EQ(own.planes.size(), 1u);
    EXPECT_DOUBLE_EQ(own.planes[0].level, (99 * 12 + 8) * inch);
    EXPECT_DOUBLE_EQ(own.planes[0].fall, 1.0 / 48);
    const Finish& upper = plan.finishes[1];
    EXPECT_EQ(upper.name, "upper");
    EXPECT_EQ(upper.join, PlaneJoin::Ridge);
    ASSERT_EQ(upper.planes.size(), 2u);
    expectPoint(upper.planes[1].at, 13 * foot, 0);
    EXPECT_DOUBLE_EQ(upper.planes[1].crossFall, 1.0 / 96);
    ASSERT_EQ(plan.finishes[2].spots.size(), 3u);
    EXPECT_DOUBLE_EQ(plan.finishes[2].spots[2].level, 99.5 * foot);
}

TEST(PlanReading, takesBuildUps) {
    const Plan plan = sound(soundPlan);
    ASSERT_EQ(plan.buildUps.size(), 2u);
    const std::vector<Layer>& layers = plan.buildUps[0].layers;
    ASSERT_EQ(layers.size(), 5u);
    EXPECT_EQ(layers[0].role, Role::Units);
    EXPECT_EQ(layers[0].material, "concrete unit");
    EXPECT_EQ(layers[1].role, Role::Underlayment);
    EXPECT_EQ(layers[1].material, "underlayment panel");  // the role's own, where none is named
    EXPECT_DOUBLE_EQ(layers[1].thickness, 0.75 * inch);
    EXPECT_TRUE(layers[2].takesUp);
    EXPECT_DOUBLE_EQ(*layers[2].least, 0.25 * inch);
    EXPECT_DOUBLE_EQ(*layers[2].greatest, inch);
    EXPECT_DOUBLE_EQ(layers[2].beyond, 6 * inch);
    EXPECT_EQ(layers[3].corners, CornerStyle::Round);
    EXPECT_EQ(layers[4].role, Role::Fill);
    EXPECT_TRUE(layers[4].takesUp);
    EXPECT_EQ(layers[4].thickness, 0);
    EXPECT_DOUBLE_EQ(layers[4].lift, 4 * inch);
    EXPECT_EQ(layers[2].place.line, test::lineOf(soundPlan, "name = \"sand\""));
}

TEST(PlanReading, takesAreas) {
    const Plan plan = sound(soundPlan);
    ASSERT_EQ(plan.areas.size(), 2u);
    const Area& court = plan.areas[0];
    ASSERT_EQ(court.outline.edges.size(), 5u);
    expectPoint(court.outline.start, 0, 0);
    expectPoint(court.outline.edges[1].to, 26 * foot, 14 * foot);
    ASSERT_TRUE(court.outline.edges[2].through);
    expectPoint(*court.outline.edges[2].through, 20 * foot, 18 * foot);
    expectPoint(court.outline.edges[4].to, 0, 0);
    ASSERT_EQ(court.openings.size(), 2u);
    EXPECT_EQ(court.openings[0].edges.size(), 2u);
    EXPECT_EQ(court.finish, "upper");
    EXPECT_EQ(court.around, std::vector<std::string>{"hearth"});
    EXPECT_EQ(court.againstWall, std::vector<int>{0});
}

TEST(PlanReading, takesUnitsAndEdging) {
    const Plan plan = sound(soundPlan);
    ASSERT_TRUE(plan.areas[0].units);
    const UnitLayout& units = *plan.areas[0].units;
    EXPECT_EQ(units.pattern, Pattern::Running);
    ASSERT_EQ(units.sizes.size(), 1u);
    EXPECT_DOUBLE_EQ(units.sizes[0].length, 2 * foot);
    EXPECT_DOUBLE_EQ(units.joint, inch / 16);
    EXPECT_DOUBLE_EQ(units.shift, 0.5);
    EXPECT_DOUBLE_EQ(units.angle, std::numbers::pi / 6);
    EXPECT_DOUBLE_EQ(units.chamfer, inch / 8);
    ASSERT_TRUE(units.start);
    ASSERT_EQ(units.borders.size(), 1u);
    EXPECT_EQ(units.borders[0].edges, (std::vector<int>{1, 2}));
    EXPECT_FALSE(units.borders[0].soldier);
    EXPECT_DOUBLE_EQ(units.borders[0].size.width, 6 * inch);
    ASSERT_EQ(plan.areas[0].edgings.size(), 1u);
    const Edging& edging = plan.areas[0].edgings[0];
    EXPECT_DOUBLE_EQ(edging.height, 1.75 * inch);
    EXPECT_DOUBLE_EQ(edging.thickness, 5.0 / 16 * inch);
    EXPECT_DOUBLE_EQ(edging.top, 0.5 * inch);
    EXPECT_DOUBLE_EQ(edging.spikeLength, 10 * inch);
    EXPECT_DOUBLE_EQ(edging.spikeDiameter, 0.375 * inch);
    EXPECT_DOUBLE_EQ(edging.spikeSpacing, 12 * inch);
    EXPECT_DOUBLE_EQ(edging.spikeSpacingOnCurves, 8 * inch);
}

TEST(PlanReading, takesEveryPattern) {
    const std::pair<const char*, Pattern> patterns[]{{"stack", Pattern::Stack},
                                                     {"running", Pattern::Running},
                                                     {"herringbone 45", Pattern::Herringbone45},
                                                     {"herringbone 90", Pattern::Herringbone90},
                                                     {"basket weave", Pattern::BasketWeave}};
    for (const auto& [word, pattern] : patterns)
        EXPECT_EQ(sound(edited("\"running\"", '"' + std::string(word) + '"')).areas[0].units->pattern,
                  pattern);
    const Plan plan = sound(edited("pattern = \"running\"",
                                   "pattern = \"repeat\", repeat = [ { at = [0, 0], size = [1, 1] }, { at = "
                                   "[1, 0], size = [2, 1] } ], step = [3, 1]"));
    ASSERT_EQ(plan.areas[0].units->repeat.size(), 2u);
    expectPoint(plan.areas[0].units->repeatStep, 3 * foot, foot);
    EXPECT_DOUBLE_EQ(plan.areas[0].units->repeat[1].size.length, 2 * foot);
}

TEST(PlanReading, takesTheGround) {
    const Plan plan = sound(soundPlan);
    const Ground& ground = plan.ground;
    EXPECT_DOUBLE_EQ(ground.strip, 4 * inch);
    EXPECT_EQ(ground.extend, Extend::Nearest);
    EXPECT_EQ(ground.fillLifts, FillLifts::Level);
    EXPECT_DOUBLE_EQ(ground.fillLift, 4 * inch);
    EXPECT_DOUBLE_EQ(ground.sideSlope, 0.5);
    EXPECT_DOUBLE_EQ(ground.shoulder, 6 * inch);
    ASSERT_EQ(ground.shots.size(), 5u);
    EXPECT_EQ(ground.shots[1].number, "7");
    EXPECT_EQ(ground.shots[1].description, "fence post");
    expectPoint(ground.shots[1].at, 4 * foot, 10 * foot);
    EXPECT_NEAR(ground.shots[3].height, (100 + 4.32 - 5.5) * foot, 1e-12);
    // The string falls from 99 to 98 over 20 ft; in its middle it stands at 98.5, and 6 in below that is 98.
    EXPECT_NEAR(ground.shots[4].height, 98 * foot, 1e-12);
    ASSERT_EQ(plan.measuredTops.size(), 1u);
    EXPECT_EQ(plan.measuredTops[0].layer, "fill");
    EXPECT_EQ(plan.measuredTops[0].extend, Extend::Nearest);
    EXPECT_EQ(plan.measuredTops[0].shots.size(), 3u);
}

TEST(PlanReading, takesPipesFixedThingsLimitsAndCuts) {
    const Plan plan = sound(soundPlan);
    ASSERT_EQ(plan.buriedRuns.size(), 1u);
    EXPECT_DOUBLE_EQ(plan.buriedRuns[0].diameter, 4 * inch);
    EXPECT_DOUBLE_EQ(plan.buriedRuns[0].points[1].invert, 97.75 * foot);
    ASSERT_EQ(plan.fixedThings.size(), 1u);
    EXPECT_EQ(plan.fixedThings[0].kind, FixedKind::Slab);
    EXPECT_DOUBLE_EQ(plan.fixedThings[0].bottom, 99 * foot);
    ASSERT_EQ(plan.limits.size(), 1u);
    EXPECT_DOUBLE_EQ(plan.limits[0].value, 0.25 * inch);
    ASSERT_EQ(plan.cuts.size(), 2u);
    // A cut at a station stands square to the baseline and runs past the areas on both sides.
    ASSERT_EQ(plan.cuts[0].along.size(), 2u);
    EXPECT_NEAR(plan.cuts[0].along[0].x, 12 * foot, 1e-12);
    EXPECT_LT(plan.cuts[0].along[0].y, 0);
    EXPECT_GT(plan.cuts[0].along[1].y, 20 * foot);
    expectPoint(plan.cuts[1].along[1], 26 * foot, 5 * foot);
}

TEST(PlanReading, takesTheCodeAndPlacesForFire) {
    const Plan plan =
        sound(std::string(soundPlan) +
              "\n[code]\ncountry = \"US\"\nname = \"Town code\"\n[[fire]]\nname = \"hearth\"\narea = "
              "\"hearth\"\n[[fire]]\nname = \"bowl\"\nportable = true\ncircle = { centre = [3, 4], "
              "diameter = \"2 ft\" }\n");
    EXPECT_EQ(plan.code.country, "US");
    EXPECT_EQ(plan.code.name, "Town code");
    ASSERT_EQ(plan.fires.size(), 2u);
    EXPECT_EQ(plan.fires[0].outline.edges.size(), plan.areas[1].outline.edges.size());
    EXPECT_FALSE(plan.fires[0].portable);
    EXPECT_TRUE(plan.fires[1].portable);
    const auto wrong = readPlanText(
        std::string(soundPlan) + "\n[code]\ncountry = \"usa\"\n[[fire]]\nname = \"x\"\narea = \"herth\"\n",
        "plan.toml", ".");
    ASSERT_FALSE(wrong);
    ASSERT_EQ(wrong.error().size(), 2u);
    EXPECT_EQ(wrong.error()[0].what, "\"usa\" is no country as ISO 3166 writes it.");
    EXPECT_EQ(wrong.error()[1].remedy, "Did you mean \"hearth\"?");
}

TEST(PlanReading, turnsAClockwiseOutlineAndItsEdgeNumbers) {
    // Written clockwise: edge 1 runs up the left side, edge 2 along the top, 3 down the right side, 4 back
    // along the bottom.
    const std::string text =
        edited("polygon = { centre = [18, 8], sides = 6, across_flats = \"6 ft\", turn = 30 }",
               "outline = [[15, 5], [15, 9], [20, 9], [20, 5]]\nagainst_wall = [1, 4]");
    const Plan plan = sound(text);
    const Area& hearth = plan.areas[1];
    const Chords chords = toChords(hearth.outline, 0.001);
    EXPECT_NEAR(signedArea(chords.corners), 20 * foot * foot, 1e-9);
    // Counter-clockwise from the same corner: bottom (0), right (1), top (2), left (3).
    EXPECT_EQ(hearth.againstWall, (std::vector<int>{3, 0}));
    expectPoint(hearth.outline.start, 15 * foot, 5 * foot);
    expectPoint(hearth.outline.edges[0].to, 20 * foot, 5 * foot);
    expectPoint(hearth.outline.edges[3].to, 15 * foot, 5 * foot);
}

TEST(PlanReading, keepsAnArcWhenTheOutlineIsTurned) {
    const std::string text =
        edited("polygon = { centre = [18, 8], sides = 6, across_flats = \"6 ft\", turn = 30 }",
               "outline = [[15, 5], { through = [17.5, 7.5], to = [20, 5] }]");
    const Ring ring = sound(text).areas[1].outline;
    ASSERT_EQ(ring.edges.size(), 2u);
    EXPECT_FALSE(ring.edges[0].through);
    ASSERT_TRUE(ring.edges[1].through);
    // Half a circle of 2.5 ft radius.
    EXPECT_NEAR(signedArea(toChords(ring, 1e-6).corners), std::numbers::pi * 2.5 * 2.5 / 2 * foot * foot,
                1e-5);
}

TEST(PlanReading, takesReadyShapes) {
    const char* polygon = "polygon = { centre = [18, 8], sides = 6, across_flats = \"6 ft\", turn = 30 }";
    // A hexagon of 6 ft across flats covers 2 sqrt(3) (3 ft)² = 31.1769 ft².
    const Ring hexagon = sound(soundPlan).areas[1].outline;
    ASSERT_EQ(hexagon.edges.size(), 6u);
    EXPECT_NEAR(signedArea(toChords(hexagon, 0.001).corners) / (foot * foot), 2 * std::sqrt(3.0) * 9, 1e-9);
    const Ring turned =
        sound(edited(polygon, "rectangle = { corner = [18, 8], size = [2, 1], turn = \"90 deg\" }"))
            .areas[1]
            .outline;
    expectPoint(turned.edges[0].to, 18 * foot, 10 * foot);
    expectPoint(turned.edges[2].to, 17 * foot, 8 * foot);
    const Ring circle =
        sound(edited(polygon, "circle = { centre = [18, 8], diameter = 2 }")).areas[1].outline;
    EXPECT_NEAR(signedArea(toChords(circle, 1e-7).corners), std::numbers::pi * foot * foot, 1e-6);
}

TEST(PlanReading, polygonHasAFlatTowardTheBaselineBeforeItIsTurned) {
    const Ring ring = sound(edited("turn = 30", "turn = 0")).areas[1].outline;
    EXPECT_NEAR(ring.start.y, 5 * foot, 1e-12);
    EXPECT_NEAR(ring.edges[0].to.y, 5 * foot, 1e-12);
}

TEST(PlanReading, acceptsAnOutlineClosedByHand) {
    const Plan plan = sound(edited("outline = [[30, 0], [40, 0], [40, 10], [30, 10]]",
                                   "outline = [[30, 0], [40, 0], [40, 10], [30, 10], [30, 0]]"));
    EXPECT_EQ(plan.fixedThings[0].outline.edges.size(), 4u);
}

TEST(PlanReading, aroundAllMeansTheAreasWithin) {
    EXPECT_EQ(sound(edited("around = [\"hearth\"]", "around = \"all\"")).areas[0].around,
              std::vector<std::string>{"hearth"});
    const std::string outside = edited("centre = [18, 8]", "centre = [40, 30]",
                                       edited("around = [\"hearth\"]", "around = [\"all\"]"));
    EXPECT_TRUE(sound(outside).areas[0].around.empty());
}

TEST(PlanReading, offsetsToTheRightStandOnTheOtherSide) {
    const Plan plan = sound(
        edited("positive = \"left\"", "positive = \"right\"", edited("{ s = 26, o = 14 }", "[26, 14]")));
    expectPoint(plan.ground.shots[1].at, 4 * foot, -10 * foot);
}

TEST(PlanReading, readsAPlanWithWindowsLineEndsAndAByteOrderMark) {
    std::string text = "\xEF\xBB\xBF";
    for (const char c : soundPlan) {
        if (c == '\n') text += '\r';
        text += c;
    }
    EXPECT_EQ(sound(text).areas.size(), 2u);
}

TEST(PlanReading, sameTextSamePlanInEveryUnit) {
    // The same rectangle written in feet, inches, metres and millimetres.
    for (const auto& [unit, length, width] :
         {std::tuple("ft", "12", "10"), std::tuple("in", "144", "120"), std::tuple("m", "3.6576", "3.048"),
          std::tuple("mm", "3657.6", "3048")}) {
        const std::string text =
            std::string("unit = \"") + unit +
            "\"\nfinish = { level = \"100 ft\" }\n[[area]]\nname = \"a\"\nbuild_up = \"b\"\nrectangle = { "
            "corner = [0, 0], size = [" +
            length + ", " + width +
            "] }\n[[build_up]]\nname = \"b\"\nlayers = [ { role = \"slab\", thickness = \"4 in\" } ]\n";
        const Plan plan = sound(text);
        expectPoint(plan.areas[0].outline.edges[1].to, 3.6576, 3.048);
        EXPECT_EQ(plan.buildUps[0].layers[0].name, "slab");
        EXPECT_TRUE(plan.ground.shots.empty());
    }
}

TEST(PlanReading, readsEveryScene) {
    int scenes = 0;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::filesystem::path(UNDERFOOT_SOURCE_DIR) / "scenes")) {
        if (entry.path().extension() != ".toml") continue;
        ++scenes;
        const auto plan = readPlan(entry.path());
        EXPECT_TRUE(plan) << (plan ? "" : test::all(plan.error()));
    }
    EXPECT_GE(scenes, 3);
}

TEST(PlanReading, isTheSameEveryTime) {
    const Plan one = sound(soundPlan), two = sound(soundPlan);
    const auto a = toChords(one.areas[0].outline, 0.001).corners,
               b = toChords(two.areas[0].outline, 0.001).corners;
    EXPECT_EQ(a, b);
}

}  // namespace
}  // namespace underfoot
