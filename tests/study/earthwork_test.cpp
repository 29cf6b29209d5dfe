#include "study/earthwork.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "hand_model.h"
#include "outside/published_plan.h"
#include "plan/read_plan.h"
#include "study/end_areas.h"

namespace underfoot {
namespace {

using outside::cubicFoot;
using outside::mustBuild;
using outside::planText;
constexpr double squareFoot = metresPerFoot * metresPerFoot;

Model scene(const char* name) {
    const auto plan = readPlan(std::string(UNDERFOOT_SOURCE_DIR) + "/scenes/" + name + ".toml");
    EXPECT_TRUE(plan);
    const auto model = buildModel(*plan);
    EXPECT_TRUE(model);
    return *model;
}

double volumeOf(const Model& model, Role role) {
    double sum = 0;
    for (const LayerVolume& one : volumes(model).layers)
        if (model.layers[static_cast<size_t>(one.layer)].role == role) sum += one.volume;
    return sum;
}

// 20 x 10 ft, formation at 0; the ground falls from 1 ft above it at one end to 1 ft below it at the other.
// Half is a wedge of cut, half one of fill: 10 x 1 / 2 x 10 = 50 ft³ each.
Model halfAndHalf(const std::string& more = "") {
    return mustBuild(planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4, "at = [0, 0], level = 1",
                              more + "shots = [ [0, -5, 1], [20, -5, -1], [20, 15, -1], [0, 15, 1] ]"));
}

// ---------------------------------------------------------------- balance

TEST(EarthBalance, WithoutAWordNothingOfTheCutIsUsed) {
    const EarthBalance balance = earthBalance(halfAndHalf(), loadCatalogue());
    // Common earth: 50 in place are 62.5 loose and 45 compacted; 50 compacted are 50 / 0.9 x 1.25 = 69.444
    // loose.
    EXPECT_NEAR(balance.cut.inPlace / cubicFoot, 50, 1e-6);
    EXPECT_NEAR(balance.cut.loose / cubicFoot, 62.5, 1e-6);
    EXPECT_NEAR(balance.cut.compacted / cubicFoot, 45, 1e-6);
    EXPECT_NEAR(balance.fill / cubicFoot, 50, 1e-6);
    EXPECT_EQ(balance.cutUsed, 0);
    EXPECT_NEAR(balance.looseOut() / cubicFoot, 62.5, 1e-6);
    EXPECT_NEAR(balance.looseIn() / cubicFoot, 69.444444, 1e-5);
    ASSERT_GE(balance.assumptions.size(), 3u);
    EXPECT_NE(balance.assumptions[0].find("names no soil"), std::string::npos);
    EXPECT_NE(balance.assumptions[2].find("cut_as_fill"), std::string::npos);
}

TEST(EarthBalance, CutMakesFillWhereThePlanSaysSo) {
    const EarthBalance balance = earthBalance(halfAndHalf("cut_as_fill = true\n"), loadCatalogue());
    // All 50 in place pack down to 45; 5 compacted are lacking, 5 / 0.9 x 1.25 = 6.944 loose.
    EXPECT_NEAR(balance.cutUsed / cubicFoot, 50, 1e-6);
    EXPECT_NEAR(balance.looseOut(), 0, 1e-9);
    ASSERT_EQ(balance.hauledIn.size(), 1u);
    EXPECT_NEAR(balance.hauledIn[0].compacted / cubicFoot, 5, 1e-6);
    EXPECT_NEAR(balance.looseIn() / cubicFoot, 6.944444, 1e-5);
}

TEST(EarthBalance, FillThatIsHauledInIsSpreadByItsOwnRatio) {
    // Sand: 1.11 / 0.95 = 1.17 of the cut, and the fill that 2.5 ft³ are lacking of is common earth, 1.25 /
    // 0.90 = 1.39. Where the ground is common earth too both are one.
    const auto said = [](const EarthBalance& balance) {
        return std::count_if(
            balance.assumptions.begin(), balance.assumptions.end(), [](const std::string& one) {
                return one.find("cut, which is spread 1.17 times") != std::string::npos &&
                       one.find("spread the fill that is hauled in 1.39 times") != std::string::npos;
            });
    };
    const std::string cut = "cut_as_fill = true\n";
    EXPECT_EQ(said(earthBalance(halfAndHalf(cut + "soil = \"sand\"\n"), loadCatalogue())), 1);
    const EarthBalance same = earthBalance(halfAndHalf(cut), loadCatalogue());
    EXPECT_TRUE(std::none_of(same.assumptions.begin(), same.assumptions.end(),
                             [](const std::string& one) { return one.find("spread") != std::string::npos; }));
}

TEST(Lifts, OfFillMostlyHauledInAreSpreadByItsRatio) {
    // Sand, the ground 0.5 ft lower: a wedge of cut 5 ft long and 0.5 ft deep, 12.5 ft³, is 11.9 compacted of
    // a fill of 15 x 1.5 / 2 x 10 = 112.5 ft³. The rest is common earth, 1.25 / 0.90.
    const std::string text =
        "cut_as_fill = true\nsoil = \"sand\"\nshots = [ [0, -5, 0.5], [20, -5, -1.5], [20, 15, "
        "-1.5], [0, 15, 0.5] ]";
    const Model model = mustBuild(
        planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4, "at = [0, 0], level = 1", text));
    const EarthBalance balance = earthBalance(model, loadCatalogue());
    EXPECT_NEAR(balance.cut.inPlace / cubicFoot, 12.5, 1e-6);
    EXPECT_FALSE(balance.fillIsMostlyCut());
    for (const LiftToPlace& lift : liftsToPlace(model, loadCatalogue()))
        if (model.layers[static_cast<size_t>(lift.layer)].role == Role::Fill) {
            EXPECT_NEAR(lift.loose / lift.volume, 1.25 / 0.9, 1e-9);
        }
    EXPECT_TRUE(
        std::any_of(balance.assumptions.begin(), balance.assumptions.end(), [](const std::string& one) {
            return one.find("as of the fill that is hauled in") != std::string::npos &&
                   one.find("spread the cut 1.17 times") != std::string::npos;
        }));
}

TEST(EarthBalance, RockSwellsSoThatSomeIsLeft) {
    // Blasted rock: 50 in place make 65 compacted; the fill takes 50 / 1.3 = 38.462 in place, 11.538 are
    // left, 1.5 times that loose: 17.308.
    const EarthBalance balance =
        earthBalance(halfAndHalf("cut_as_fill = true\nsoil = \"blasted rock\"\n"), loadCatalogue());
    EXPECT_TRUE(balance.soilNamed);
    EXPECT_NEAR(balance.cutUsed / cubicFoot, 38.461538, 1e-5);
    EXPECT_NEAR(balance.looseOut() / cubicFoot, 17.307692, 1e-5);
    EXPECT_EQ(balance.looseIn(), 0);
}

TEST(EarthBalance, TopsoilGoesBackBesideTheEdgeAndIsNeverFill) {
    // 20 x 10 ft of ground at 0 stripped by 0.5 ft, base 1 ft thick that runs 1 ft past the edge, its top at
    // -0.5: strip 22 x 12 x 0.5 = 132; cut 264; backfill over the strip of 64 ft² 0.5 deep is 32 compacted,
    // 32 / 0.9 = 35.556 in place of the topsoil.
    std::string text =
        planText("rectangle = { corner = [0, 0], size = [20, 10] }", 0, "at = [0, 0], level = -0.5",
                 "strip = 0.5\ncut_as_fill = true\nshots = [ [-9, -9, 0], [29, -9, 0], [29, 19, 0], "
                 "[-9, 19, 0] ]");
    const size_t at = text.find("thickness = \"1 ft\" }");
    ASSERT_NE(at, std::string::npos);
    text.replace(at, 20, "thickness = \"1 ft\", beyond = 1 }");
    const EarthBalance balance = earthBalance(mustBuild(text), loadCatalogue());
    EXPECT_NEAR(balance.strip.inPlace / cubicFoot, 132, 1e-6);
    EXPECT_NEAR(balance.cut.inPlace / cubicFoot, 264, 1e-6);
    EXPECT_NEAR(balance.backfill / cubicFoot, 32, 1e-6);
    EXPECT_NEAR(balance.stripUsed / cubicFoot, 35.555556, 1e-5);
    EXPECT_NEAR(balance.stripLeft.inPlace / cubicFoot, 132 - 35.555556, 1e-5);
    EXPECT_NEAR(balance.cutLeft.loose / cubicFoot, 330, 1e-6);
    EXPECT_TRUE(balance.hauledIn.empty());
}

TEST(EarthBalance, WhatIsTakenAndBroughtAddsUpOnEveryScene) {
    for (const char* name : {"first-plan", "courtyard", "terrace", "seat"}) {
        Model model = scene(name);
        for (const bool cutAsFill : {false, true}) {
            model.plan.ground.cutAsFill = cutAsFill;
            const EarthBalance b = earthBalance(model, loadCatalogue());
            double brought = 0;
            for (const HauledIn& one : b.hauledIn) brought += one.compacted;
            EXPECT_NEAR((b.stripUsed + b.cutAsBackfill + b.cutUsed) * b.soil.compacted + brought,
                        b.fill + b.backfill, 1e-8)
                << name;
            EXPECT_NEAR(b.stripUsed + b.stripLeft.inPlace, b.strip.inPlace, 1e-9) << name;
            EXPECT_NEAR(b.cutUsed + b.cutAsBackfill + b.cutLeft.inPlace, b.cut.inPlace, 1e-9) << name;
        }
    }
}

TEST(EarthBalance, APlanInMetresGivesTheSame) {
    // The same wedge: 6.096 x 3.048 m, heights 0.3048.
    std::string text =
        planText("rectangle = { corner = [0, 0], size = [6.096, 3.048] }", 4, "at = [0, 0], level = 0.3048",
                 "shots = [ [0, -1.524, 0.3048], [6.096, -1.524, -0.3048], [6.096, 4.572, -0.3048], "
                 "[0, 4.572, 0.3048] ]");
    text.replace(text.find("unit = \"ft\""), 11, "unit = \"m\"");
    const EarthBalance feet = earthBalance(halfAndHalf(), loadCatalogue()),
                       metres = earthBalance(mustBuild(text), loadCatalogue());
    EXPECT_NEAR(feet.cut.inPlace, metres.cut.inPlace, 1e-8);
    EXPECT_NEAR(feet.fill, metres.fill, 1e-8);
    EXPECT_NEAR(feet.looseIn(), metres.looseIn(), 1e-8);
}

TEST(EarthBalance, RaisingTheFinishAddsItsHeightTimesTheAreaToTheFillAndNothingAbove) {
    // All on fill: ground at -2 ft, formation 0; 0.25 ft more over 200 ft² are 50 ft³.
    const auto raised = [](double by) {
        return mustBuild(planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4,
                                  fmt::format("at = [0, 0], level = {}, fall = \"2 %\"", 1 + by),
                                  "shots = [ [0, -5, -2], [20, -5, -2.5], [20, 15, -2.25], [0, 15, -2] ]"));
    };
    const Model low = raised(0), high = raised(0.25);
    const double more = earthBalance(high, loadCatalogue()).fill - earthBalance(low, loadCatalogue()).fill;
    EXPECT_NEAR(more / cubicFoot, 50, 1e-6);
    EXPECT_NEAR(volumeOf(high, Role::Base), volumeOf(low, Role::Base), 1e-9);
    EXPECT_NEAR(earthBalance(high, loadCatalogue()).cut.inPlace, 0, 1e-12);
}

// A roof of formation over level ground at 0: 0.8 ft above it along the middle of 20 ft, falling 0.1 a foot
// both ways, or the same upside down.
Model roof(bool mirrored) {
    const char* form =
        mirrored ? "join = \"valley\", planes = [ { at = [0, 10], level = 0.2, fall = 0.1 }, { at = [0, "
                   "10], level = 0.2, fall = -0.1 } ]"
                 : "join = \"ridge\", planes = [ { at = [0, 10], level = 1.8, fall = 0.1 }, { at = [0, "
                   "10], level = 1.8, fall = -0.1 } ]";
    return mustBuild(planText("rectangle = { corner = [0, 0], size = [20, 20] }", 4, form,
                              "shots = [ [-5, -5, 0], [25, -5, 0], [25, 25, 0], [-5, 25, 0] ]"));
}

TEST(EarthBalance, ARidgeMirroredIsAValleyWithCutForFill) {
    // Ridge: fill 16 x 0.8 / 2 x 20 = 128, cut twice 2 x 0.2 / 2 x 20 = 8 ft³.
    const EarthBalance ridge = earthBalance(roof(false), loadCatalogue()),
                       valley = earthBalance(roof(true), loadCatalogue());
    EXPECT_NEAR(ridge.fill / cubicFoot, 128, 1e-6);
    EXPECT_NEAR(ridge.cut.inPlace / cubicFoot, 8, 1e-6);
    EXPECT_NEAR(valley.fill / cubicFoot, 8, 1e-6);
    EXPECT_NEAR(valley.cut.inPlace / cubicFoot, 128, 1e-6);
}

// ---------------------------------------------------------------- where cut changes to fill

TEST(CutToFill, OneLineHalfWay) {
    const Model model = halfAndHalf();
    const auto lines = cutToFillLines(model);
    ASSERT_EQ(lines.size(), 1u);
    EXPECT_FALSE(lines[0].closed);
    EXPECT_NEAR(lines[0].length, 10 * metresPerFoot, 1e-6);
    ASSERT_EQ(lines[0].points.size(), 2u);
    for (const glm::dvec2 p : lines[0].points) EXPECT_NEAR(model.toPlan(p).x, 10 * metresPerFoot, 1e-6);
    // Fill, past 10 ft, lies to its left: it runs toward the house.
    EXPECT_GT(lines[0].points[0].y, lines[0].points[1].y);
}

TEST(CutToFill, BothSidesOfARidgeAndOfAValley) {
    for (const bool mirrored : {false, true}) {
        const Model model = roof(mirrored);
        const auto lines = cutToFillLines(model);
        ASSERT_EQ(lines.size(), 2u);
        double least = 100, greatest = 0;
        for (const PlanLine& line : lines) {
            EXPECT_NEAR(line.length, 20 * metresPerFoot, 1e-6);
            least = std::min(least, model.toPlan(line.points[0]).y);
            greatest = std::max(greatest, model.toPlan(line.points[0]).y);
        }
        EXPECT_NEAR(least, 2 * metresPerFoot, 1e-6);
        EXPECT_NEAR(greatest, 18 * metresPerFoot, 1e-6);
    }
}

TEST(CutToFill, NoneWhereAllIsCutOrAllIsFill) {
    for (const double level : {-3.0, 5.0}) {
        const Model model =
            mustBuild(planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4,
                               fmt::format("at = [0, 0], level = {}", level),
                               "shots = [ [0, -5, 1], [20, -5, -1], [20, 15, -1], [0, 15, 1] ]"));
        EXPECT_TRUE(cutToFillLines(model).empty());
    }
}

TEST(CutToFill, RoundAMoundItIsClosed) {
    // A mound of four sides in level ground at -1, 1 ft over the formation at 0 in its middle: a square round
    // it.
    const Model model =
        mustBuild(planText("rectangle = { corner = [0, 0], size = [20, 20] }", 4, "at = [0, 0], level = 1",
                           "shots = [ [0, 0, -1], [20, 0, -1], [20, 20, -1], [0, 20, -1], [10, 10, 1] ]"));
    const auto lines = cutToFillLines(model);
    ASSERT_EQ(lines.size(), 1u);
    EXPECT_TRUE(lines[0].closed);
    // Half way up every side: a square of 10 ft.
    EXPECT_NEAR(lines[0].length, 40 * metresPerFoot, 1e-5);
}

TEST(CutToFill, CutsThroughCellsThatAreBoth) {
    // Cells as they are after heights were moved: the stripped ground passes through the formation inside
    // them.
    hand::Grid grid;
    grid.columns = 3, grid.rows = 2;
    grid.stripped = hand::plane(-0.2 + 0.37, -1, 0);
    const auto lines =
        cutToFillLines(hand::gridModel(grid, hand::patioLayers(), {hand::patioStack(hand::level(-0.1))}));
    ASSERT_EQ(lines.size(), 1u);
    EXPECT_NEAR(lines[0].length, 1, 1e-9);
    for (const glm::dvec2 p : lines[0].points) EXPECT_NEAR(p.x, 0.37, 1e-9);
}

TEST(CutToFill, RunsAlongAStepBetweenAreas) {
    // Stripped ground at -0.3 all over: on the left the formation lies at -0.2, on the right at -0.5.
    hand::Grid grid;
    grid.columns = 4, grid.rows = 2;
    grid.stripped = hand::level(-0.3);
    grid.stackOf = [](glm::dvec2 p) { return p.x < 0.5 ? 0 : 1; };
    const auto lines = cutToFillLines(
        hand::gridModel(grid, hand::patioLayers(),
                        {hand::patioStack(hand::level(-0.1)), hand::patioStack(hand::level(-0.1), -0.5)}));
    ASSERT_EQ(lines.size(), 1u);
    EXPECT_NEAR(lines[0].length, 1, 1e-12);
    ASSERT_EQ(lines[0].points.size(), 2u);
    EXPECT_EQ(lines[0].points[0].x, 0.5);
    // The filled side lies to the left: upward.
    EXPECT_LT(lines[0].points[0].y, lines[0].points[1].y);
}

// ---------------------------------------------------------------- lifts

// Formation at 0; the ground lies 0.2 ft under it but for a hollow of 1.2 ft at station 5 and one of 0.9 ft
// at 15, each with even sides 5 ft long. Lifts of 0.5 ft from the top: three.
Model hollows(const std::string& more = "") {
    std::string shots;
    for (const auto& [x, z] : {std::pair{0, -0.2}, {5, -1.2}, {10, -0.2}, {15, -0.9}, {20, -0.2}})
        shots += fmt::format("[{0}, -5, {1}], [{0}, 15, {1}], ", x, z);
    return mustBuild(planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4, "at = [0, 0], level = 1",
                              "fill_lift = 0.5\n" + more + "shots = [ " + shots + "]"));
}

TEST(Lifts, LowPlacesFirst) {
    const Model model = hollows();
    const auto lifts = liftsToPlace(model, loadCatalogue());
    ASSERT_EQ(lifts.size(), 4u);  // three of fill, then the base
    // The lowest fills the deeper hollow from -1.2 to -1.0: 0.2 deep and 2 x 0.2 / 0.2 = 2 ft wide, 10 ft
    // long.
    ASSERT_EQ(lifts[0].places.size(), 1u);
    EXPECT_EQ(lifts[0].lift, 0);
    EXPECT_NEAR(lifts[0].volume / cubicFoot, 2, 1e-6);
    EXPECT_NEAR(lifts[0].planArea / squareFoot, 20, 1e-5);
    EXPECT_NEAR(lifts[0].places[0].lowest, -1.2 * metresPerFoot, 1e-9);
    // The next: 7 to 2 ft wide and 0.5 deep, 22.5 ft³, and the other hollow, 0.4 deep and 0.8 / 0.14 = 5.714
    // ft wide, 11.429 ft³; the lower one comes first.
    ASSERT_EQ(lifts[1].places.size(), 2u);
    EXPECT_NEAR(lifts[1].places[0].lowest, -1.0 * metresPerFoot, 1e-9);
    EXPECT_NEAR(lifts[1].places[0].volume / cubicFoot, 22.5, 1e-6);
    EXPECT_NEAR(lifts[1].places[0].planArea / squareFoot, 70, 1e-5);
    EXPECT_NEAR(lifts[1].places[1].lowest, -0.9 * metresPerFoot, 1e-9);
    EXPECT_NEAR(lifts[1].places[1].volume / cubicFoot, 11.428571, 1e-5);
    EXPECT_NEAR(lifts[1].places[1].planArea / squareFoot, 57.142857, 1e-4);
    EXPECT_NEAR(lifts[2].planArea / squareFoot, 200, 1e-5);
    EXPECT_EQ(model.layers[static_cast<size_t>(lifts[3].layer)].role, Role::Base);
}

TEST(Lifts, OutlinesHoldTheirAreas) {
    for (const LiftToPlace& lift : liftsToPlace(hollows(), loadCatalogue())) {
        for (const LiftPlace& place : lift.places) {
            double area = 0;
            for (const auto& ring : place.outline) area += signedArea(ring);
            EXPECT_NEAR(area, place.planArea, 1e-9);
        }
    }
}

TEST(Lifts, SpreadLooseAndPassedOver) {
    const auto lifts = liftsToPlace(hollows(), loadCatalogue());
    // Common earth 1.25 / 0.90: 0.5 ft compacted is 0.694444 ft loose.
    EXPECT_NEAR(lifts[2].greatest / metresPerFoot, 0.5, 1e-9);
    EXPECT_NEAR(lifts[2].greatestLoose / metresPerFoot, 0.694444, 1e-6);
    EXPECT_NEAR(lifts[2].loose, lifts[2].volume * 1.25 / 0.9, 1e-12);
    // 6 in is more than the 4 in that a walk-behind plate compacts (common practice, no source); 0.2 ft is
    // not.
    EXPECT_TRUE(lifts[2].tooThick);
    EXPECT_FALSE(lifts[0].tooThick);
    EXPECT_EQ(lifts[0].passes, 4);
    EXPECT_EQ(lifts[0].passesSource, "Common practice, no source");
    // Base stone by its densities: 2240 / 1600 = 1.4.
    EXPECT_NEAR(lifts[3].greatestLoose / lifts[3].greatest, 1.4, 1e-12);
}

TEST(Lifts, ThePlansOwnCompactorAndSoilCount) {
    Model model = hollows();
    model.plan.limits.push_back({"lift.passes", 6, "the plate's maker", {}});
    model.plan.limits.push_back({"lift.greatest", 8 * metresPerInch, "the plate's maker", {}});
    const auto lifts = liftsToPlace(model, loadCatalogue(model.plan));
    EXPECT_EQ(lifts[2].passes, 6);
    EXPECT_FALSE(lifts[2].tooThick);
    EXPECT_NE(lifts[2].passesSource.find("the plate's maker"), std::string::npos);
    // 45 of 50 ft³ of the fill come from the cut: clay, 1.43 / 0.90.
    const Model clay = halfAndHalf("soil = \"clay\"\ncut_as_fill = true\n");
    const LiftToPlace fill = liftsToPlace(clay, loadCatalogue()).at(0);
    EXPECT_EQ(clay.layers[static_cast<size_t>(fill.layer)].role, Role::Fill);
    EXPECT_NEAR(fill.greatestLoose / fill.greatest, 1.43 / 0.90, 1e-12);
}

TEST(Lifts, OfEverySceneAddUpToTheLayersVolumes) {
    for (const char* name : {"first-plan", "courtyard", "terrace", "seat"}) {
        const Model model = scene(name);
        double fill = 0, base = 0;
        for (const LiftToPlace& lift : liftsToPlace(model, loadCatalogue()))
            (model.layers[static_cast<size_t>(lift.layer)].role == Role::Fill ? fill : base) += lift.volume;
        EXPECT_NEAR(fill, volumeOf(model, Role::Fill), 1e-5) << name;
        EXPECT_NEAR(base, volumeOf(model, Role::Base), 1e-5) << name;
    }
}

// ---------------------------------------------------------------- end areas

TEST(EndAreas, WedgesByHand) {
    // Stations every 10 ft: faces of cut 10 and 0 ft², of fill 0 and 10: 50 ft³ of each, as it is.
    const auto areas = endAreas(halfAndHalf(), 10 * metresPerFoot);
    ASSERT_TRUE(areas);
    ASSERT_EQ(areas->intervals.size(), 2u);
    EXPECT_NEAR(areas->stations[0].after.cut / squareFoot, 10, 1e-6);
    EXPECT_NEAR(areas->stations[1].before.cut / squareFoot, 0, 1e-6);
    EXPECT_NEAR(areas->byEndAreas.cut / cubicFoot, 50, 1e-6);
    EXPECT_NEAR(areas->byEndAreas.fill / cubicFoot, 50, 1e-6);
    ASSERT_TRUE(areas->bySimpson);
    EXPECT_NE(areas->difference.find("the exact volumes"), std::string::npos) << areas->difference;
}

TEST(EndAreas, ExactVolumesAreThoseOfTheCellsAtAnyInterval) {
    for (const char* name : {"first-plan", "courtyard", "terrace", "seat"}) {
        const Model model = scene(name);
        const Volumes all = volumes(model);
        for (const double interval : {0.17, 0.5, 1.3, 50.0}) {
            const auto areas = endAreas(model, interval);
            ASSERT_TRUE(areas) << areas.error();
            EXPECT_NEAR(areas->exact.cut, all.cut, 1e-8) << name << ' ' << interval;
            EXPECT_NEAR(areas->exact.fill, all.fill, 1e-8) << name << ' ' << interval;
        }
    }
}

TEST(EndAreas, CloserStationsComeNearer) {
    // A quarter of the interval gives less than half of the error.
    const Model model = scene("courtyard");
    const auto error = [&](double interval) {
        const auto areas = endAreas(model, interval);
        return std::abs(areas->byEndAreas.cut - areas->exact.cut) +
               std::abs(areas->byEndAreas.fill - areas->exact.fill);
    };
    EXPECT_LT(error(0.1), 0.5 * error(0.4));
    EXPECT_LT(error(0.4), 0.5 * error(1.6));
}

TEST(EndAreas, OnlyBetweenTheStationsAskedFor) {
    // From 5 to 15 ft of the wedges: 5 x 0.5 / 2 x 10 = 12.5 ft³ of each.
    const auto areas = endAreas(halfAndHalf(), 5 * metresPerFoot, 5 * metresPerFoot, 15 * metresPerFoot);
    ASSERT_TRUE(areas);
    EXPECT_NEAR(areas->exact.cut / cubicFoot, 12.5, 1e-6);
    EXPECT_NEAR(areas->byEndAreas.fill / cubicFoot, 12.5, 1e-6);
}

TEST(EndAreas, WhatCannotBeAsked) {
    const Model model = halfAndHalf();
    EXPECT_FALSE(endAreas(model, 0));
    EXPECT_FALSE(endAreas(model, std::nan("")));
    EXPECT_FALSE(endAreas(model, 1, 5, 5));
    EXPECT_FALSE(endAreas(model, 1e-5));
    EXPECT_NE(endAreas(model, 1, 5, 3).error().find("does not lie past"), std::string::npos);
}

TEST(EndAreas, StartWithTheWholeFaceOnABaselineAskew) {
    // 20 x 10 ft dug 1 ft deep with upright ends: every face is 10 ft², and the end areas give the 200 ft³.
    // Turned as 3, 4, 5, corners lie off their stations by rounding.
    std::string shots = "shots = [ [-60, -60, 1], [60, -60, 1], [60, 60, 1], [-60, 60, 1]";
    for (int i = 0; i < 20; ++i)
        shots += fmt::format(", {{ at = {{ s = {}, o = {} }}, height = 1 }}", 0.3 + i, 1000.5 + (7 * i) % 9);
    std::string text = planText(
        "outline = [ { s = 0, o = 1000 }, { s = 20, o = 1000 }, { s = 20, o = 1010 }, "
        "{ s = 0, o = 1010 } ]",
        4, "at = [0, 0], level = 1", shots + " ]");
    text.replace(text.find("from = [0, -1000], to = [1, -1000]"), 34, "from = [801, -598], to = [804, -594]");
    const auto areas = endAreas(mustBuild(text), 5 * metresPerFoot);
    ASSERT_TRUE(areas);
    EXPECT_NEAR(areas->stations.front().after.cut / squareFoot, 10, 1e-3);
    EXPECT_NEAR(areas->stations.back().before.cut / squareFoot, 10, 1e-3);
    EXPECT_NEAR(areas->exact.cut / cubicFoot, 200, 1e-3);
    EXPECT_NEAR(areas->byEndAreas.cut / cubicFoot, 200, 1e-2);
}

TEST(EndAreas, TheBaselineMayRunTheOtherWay) {
    // Offsets to the right of a baseline turned round: stations count from the other end, the volumes stay.
    Model model = halfAndHalf();
    Baseline& baseline = model.plan.baseline;
    std::swap(baseline.from, baseline.to);
    baseline.offsetLeft = false;
    const auto areas = endAreas(model, 3 * metresPerFoot);
    ASSERT_TRUE(areas);
    EXPECT_NEAR(areas->exact.cut / cubicFoot, 50, 1e-6);
    EXPECT_NEAR(areas->exact.fill / cubicFoot, 50, 1e-6);
    EXPECT_NEAR(areas->byPrismoid.cut / cubicFoot, areas->byEndAreas.cut / cubicFoot, 1);
}

}  // namespace
}  // namespace underfoot
