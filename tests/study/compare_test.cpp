#include "study/compare.h"

#include <cmath>
#include <filesystem>
#include <fstream>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "outside/published_plan.h"
#include "plan/read_plan.h"
#include "study/earthwork.h"
#include "study/search_finish.h"
#include "study/takeoff.h"

namespace underfoot {
namespace {

using outside::cubicFoot;
using outside::mustBuild;
using outside::mustRead;
using outside::planText;
using testing::HasSubstr;
constexpr double foot = metresPerFoot;

Plan scene(const char* name) {
    const auto plan =
        readPlan(std::filesystem::path(UNDERFOOT_SOURCE_DIR) / "scenes" / (std::string(name) + ".toml"));
    EXPECT_TRUE(plan);
    return asDesigned(*plan);
}

/// 20 x 10 ft with walls all round, 1 ft of base under a finish at `level`: its formation lies 1 ft below.
/// The ground falls from 1 ft above 0 at one end to 1 ft below it at the other.
Plan slopingGround(double level, const std::string& more = "") {
    return mustRead(planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4,
                             fmt::format("at = [0, 0], level = {}", level),
                             "shots = [ [0, -5, 1], [20, -5, -1], [20, 15, -1], [0, 15, 1] ]\n" + more));
}

double valueOf(const CompareReport& report, const std::string& key, size_t design) {
    for (const Figure& figure : report.figures)
        if (figure.key == key) return figure.values[design].value_or(NAN);
    return NAN;
}

CompareReport compared(const std::vector<Plan>& plans, const std::vector<Sill>& sills = {}) {
    std::vector<Model> models;
    for (const Plan& plan : plans) models.push_back(mustBuild(plan));
    std::vector<Design> designs;
    for (const Model& model : models) designs.push_back({"design", &model});
    return compareDesigns(designs, sills);
}

// ---------------------------------------------------------------- figures

class CompareScene : public testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(All, CompareScene, testing::Values("first-plan", "terrace", "courtyard", "seat"));

TEST_P(CompareScene, APlanDiffersFromItselfInNothing) {
    const Plan plan = scene(GetParam());
    const CompareReport report = compared({plan, plan});
    EXPECT_GE(report.figures.size(), 12u);
    for (const Figure& figure : report.figures) {
        ASSERT_TRUE(figure.difference(1)) << figure.key;
        EXPECT_EQ(*figure.difference(1), 0) << figure.key;
    }
    EXPECT_TRUE(report.findings[1].added.empty());
    EXPECT_TRUE(report.findings[1].gone.empty());
    EXPECT_EQ(report.findings[0].all.size(), report.findings[1].all.size());
}

// Raised by 0.5 ft above ground that lies below all of it: 20 x 10 x 0.5 = 100 ft³ more fill, the base as it
// was: 200 ft³. The formation at 3 ft lies 2 to 4 ft over the ground, 600 ft³ of fill.
TEST(Compare, RaisingAddsItsHeightTimesTheAreaToTheFillAndNothingAbove) {
    Variant raised;
    raised.raise = 0.5 * foot;
    const Plan plan = slopingGround(4);
    const CompareReport report = compared({plan, *withVariant(plan, raised, plan.buildUps)});
    EXPECT_NEAR(valueOf(report, "layer fill", 0) / cubicFoot, 600, 1e-6);
    EXPECT_NEAR(valueOf(report, "layer fill", 1) / cubicFoot, 700, 1e-6);
    EXPECT_NEAR(valueOf(report, "layer base", 0) / cubicFoot, 200, 1e-6);
    EXPECT_NEAR(valueOf(report, "layer base", 1) / cubicFoot, 200, 1e-6);
    EXPECT_EQ(valueOf(report, "cut", 1), 0);
}

// Formation at 0 against formation at -1 ft: the wedge of 10 x 1 / 2 x 10 = 50 ft³ of cut becomes one from
// 2 ft to 0 over 20 ft: 200 ft³; the deepest dig 1 ft, then 2 ft.
TEST(Compare, AThickerLayerDigsDeeper) {
    Variant thicker;
    thicker.layers = {{"base", 2 * foot}};
    const Plan plan = slopingGround(1);
    const CompareReport report = compared({plan, *withVariant(plan, thicker, plan.buildUps)});
    EXPECT_NEAR(valueOf(report, "cut", 0) / cubicFoot, 50, 1e-6);
    EXPECT_NEAR(valueOf(report, "cut", 1) / cubicFoot, 200, 1e-6);
    EXPECT_NEAR(valueOf(report, "deepest", 0) / foot, 1, 1e-9);
    EXPECT_NEAR(valueOf(report, "deepest", 1) / foot, 2, 1e-9);
    // Base of 140 lb/ft³ (memory) is 2240 kg/m³: 200 ft³ more of it, 50 ft³ of fill less.
    const double base = loadCatalogue().material("", Role::Base).densityCompacted,
                 fill = loadCatalogue().material("", Role::Fill).densityCompacted;
    EXPECT_NEAR(valueOf(report, "carried", 1) - valueOf(report, "carried", 0),
                (200 * base - 50 * fill) * cubicFoot, 1e-6);
}

TEST(Compare, SillsAndFallsAreMeasuredAtTheFinish) {
    Variant falling;
    falling.fall = 0.02;
    falling.raise = 0.25 * foot;
    const Plan plan = slopingGround(4);
    const std::vector<Sill> sills{{"door", {5 * foot, -1 * foot}, 4.5 * foot, {}}};
    // The nearest finish is at (5, 0): 4 ft, so 6 in below the door; raised by 3 in it is 3 in.
    const CompareReport report = compared({plan, *withVariant(plan, falling, plan.buildUps)}, sills);
    EXPECT_NEAR(valueOf(report, "sill door", 0), 0.5 * foot, 1e-9);
    EXPECT_NEAR(valueOf(report, "sill door", 1), 0.25 * foot, 1e-9);
    EXPECT_NEAR(valueOf(report, "fall", 0), 0, 1e-9);
    EXPECT_NEAR(valueOf(report, "fall", 1), 0.02, 1e-9);
}

TEST(Compare, ASlabIsMeasuredWhereTheFinishLiesNearest) {
    // A slab comes to a point 6 in beyond the middle of a long side, far from any corner of the finish, which
    // falls 1 in 10 along that side: 4 - 0.1 x 10 = 3 ft there. The slab lies 2 ft below.
    const Plan plan = mustRead(planText(
        "rectangle = { corner = [0, 0], size = [20, 10] }", 4,
        "at = [0, 0], level = 4, fall = 0, cross_fall = \"10 %\"",
        "shots = [ [0, -5, 1], [20, -5, -1], [20, 15, -1], [0, 15, 1] ]\n[[fixed]]\nkind = \"slab\"\n"
        "name = \"path\"\noutline = [ [10, 10.5], [11, 12], [9, 12] ]\ntop = 1\nbottom = 0\n"));
    EXPECT_NEAR(valueOf(compared({plan}), "slab path", 0) / foot, 2, 1e-9);
}

TEST(Compare, CostsAreThoseOfTheTakeoffAndSayWhatTheyLeaveOut) {
    Plan plan = slopingGround(1), free = plan;
    plan.currency = "USD";
    plan.prices = {{"base stone", {}, "tonne", 30, {}}};
    const CompareReport report = compared({plan, free});
    const Model model = mustBuild(plan);
    EXPECT_DOUBLE_EQ(valueOf(report, "cost", 0), *takeoff(model, loadCatalogue(plan)).total);
    // 200 ft³ of base are 5.66 m³, more than 12 t.
    EXPECT_GT(valueOf(report, "cost", 0), 12 * 30);
    EXPECT_TRUE(std::isnan(valueOf(report, "cost", 1)));
    ASSERT_EQ(report.notes.size(), 1u);  // the fill has no price
    EXPECT_THAT(report.notes[0], HasSubstr("leaves out"));
}

TEST(Compare, DoesNotSetOneCurrencyAgainstAnother) {
    Plan dollars = slopingGround(1), euros = dollars;
    dollars.currency = "USD", euros.currency = "EUR";
    dollars.prices = euros.prices = {{"base stone", {}, "tonne", 30, {}}};
    const CompareReport report = compared({dollars, euros, euros});
    EXPECT_GT(valueOf(report, "cost", 0), 0);
    EXPECT_TRUE(std::isnan(valueOf(report, "cost", 1)));
    EXPECT_TRUE(std::isnan(valueOf(report, "cost in EUR", 0)));
    EXPECT_EQ(valueOf(report, "cost in EUR", 1), valueOf(report, "cost", 0));
    EXPECT_EQ(valueOf(report, "cost in EUR", 2), valueOf(report, "cost", 0));
}

TEST(Compare, SaysOnceWhatEveryCostLeavesOut) {
    Plan plan = slopingGround(1);
    plan.currency = "USD";
    plan.prices = {{"base stone", {}, "tonne", 30, {}}};
    const CompareReport report = compared({plan, plan, plan});
    EXPECT_THAT(report.notes, testing::ElementsAre("The cost of each leaves out fill, for want of a price."));
    Plan terrace = scene("terrace");  // goods are called what the takeoff's table calls them
    terrace.currency = "EUR";
    terrace.prices = {{"base stone", {}, "tonne", 30, {}}};
    EXPECT_THAT(compared({terrace}).notes.at(0), HasSubstr("bedding mortar, concrete, bedding sand, "));
}

// ---------------------------------------------------------------- variants in the file

TEST(Variants, AreReadFromThePlansFileAndUseBuildUpsOfTheirOwn) {
    const auto file = std::filesystem::temp_directory_path() / "underfoot-variants.toml";
    std::ofstream(file) << planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4,
                                    "at = [0, 0], level = 1",
                                    "shots = [ [0, -5, 1], [20, -5, -1], [20, 15, -1] ]\n"
                                    "[[build_up]]\nname = \"slab\"\nlayers = [ { name = \"slab\", role = "
                                    "\"slab\", thickness = \"4 in\" } ]\n"
                                    "[[variant]]\nname = \"slab\"\nraise = \"-2 in\"\nfall = \"1 %\"\nareas "
                                    "= [ { area = \"dig\", build_up = "
                                    "\"slab\" } ]\nlayers = [ { layer = \"slab\", thickness = \"5 in\" } ]\n"
                                    "[[sill]]\nname = \"door\"\nat = [1, 0]\nheight = 1.5\n");
    const auto plan = readPlan(file);
    ASSERT_TRUE(plan) << formatDiagnostic(plan.error()[0]);
    EXPECT_EQ(plan->buildUps.size(), 1u);
    const auto comparison = readComparison(*plan);
    std::filesystem::remove(file);
    ASSERT_TRUE(comparison);
    ASSERT_EQ(comparison->variants.size(), 1u);
    EXPECT_NEAR(comparison->sills.at(0).height, 1.5 * foot, 1e-12);
    const auto changed = withVariant(*plan, comparison->variants[0], comparison->buildUps);
    ASSERT_TRUE(changed);
    EXPECT_NEAR(changed->finishes[0].planes[0].level, 1 * foot - 2 * metresPerInch, 1e-12);
    EXPECT_DOUBLE_EQ(changed->finishes[0].planes[0].fall, 0.01);
    ASSERT_EQ(changed->buildUps.size(), 1u);
    EXPECT_EQ(changed->buildUps[0].layers[0].name, "slab");
    EXPECT_NEAR(changed->buildUps[0].layers[0].thickness, 5 * metresPerInch, 1e-12);
}

TEST(Variants, NameWhatThereIs) {
    const auto plan = readPlanText(
        planText("rectangle = { corner = [0, 0], size = [20, 10] }", 4, "at = [0, 0], level = 1",
                 "shots = [ [0, -5, 1], [20, -5, -1], [20, 15, -1] ]\n"
                 "[[variant]]\nname = \"v\"\nareas = [ { area = \"dg\", build_up = \"base\" } ]\n"),
        "plan.toml", ".");
    ASSERT_FALSE(plan);
    EXPECT_EQ(plan.error()[0].what, "There is no area \"dg\".");
    EXPECT_EQ(plan.error()[0].remedy, "Did you mean \"dig\"?");
}

// ---------------------------------------------------------------- balance

RaiseBounds within(double metres) {
    return {-metres, metres, "as far as is looked", "as far as is looked"};
}

// The ground falls 0.1 ft a foot. With the formation at x the cut is a wedge 1 - x high and 10 (1 - x) long,
// 10 wide: 50 (1 - x)², the fill 50 (1 + x)². Common earth packs to 0.9: 0.9 (1 - x)² = (1 + x)², so x =
// (√0.9 - 1) / (√0.9 + 1) = -0.026334 ft.
TEST(Balance, IsFoundByHandsNumbers) {
    const Plan plan = slopingGround(1);
    const auto search = balanceCutAndFill(plan, loadCatalogue(plan), within(0.9 * foot));
    ASSERT_TRUE(search);
    EXPECT_TRUE(search->found) << search->why;
    const double x = (std::sqrt(0.9) - 1) / (std::sqrt(0.9) + 1);
    EXPECT_NEAR(search->raise, x * foot, balanceTolerance);
    EXPECT_NEAR(search->cut / cubicFoot, 50 * (1 - x) * (1 - x), 1e-3);
    EXPECT_NEAR(search->fill / cubicFoot, 50 * (1 + x) * (1 + x), 1e-3);
    EXPECT_LT(search->steps, 30);
    EXPECT_THAT(search->why, HasSubstr("lowered by 5/16\""));
}

TEST(Balance, LeavesNoHandfulOfFillToBuy) {
    for (const double level : {0.9, 1.0, 1.05, 1.1, 1.15}) {
        Plan plan = slopingGround(level);
        plan.ground.cutAsFill = true;
        const auto search = balanceCutAndFill(plan, loadCatalogue(plan), within(0.3));
        ASSERT_TRUE(search);
        Variant balanced;
        balanced.raise = search->raise;
        const Model model = mustBuild(*withVariant(plan, balanced, {}));
        EXPECT_NEAR(earthBalance(model, loadCatalogue(plan)).looseIn(), 0, 1e-9);
        const Takeoff bought = takeoff(model, loadCatalogue(plan));
        ASSERT_EQ(bought.rows.front().item, "fill");
        EXPECT_GT(bought.rows.front().inPlace, 1.2);
        EXPECT_EQ(bought.rows.front().bought, 0) << level;
    }
}

TEST(Balance, SaysWhichIsShortWhereThereIsNone) {
    const Plan high = slopingGround(4), low = slopingGround(-3);
    const auto up = balanceCutAndFill(high, loadCatalogue(high), within(foot));
    ASSERT_TRUE(up);
    EXPECT_FALSE(up->found);
    EXPECT_EQ(up->raise, -foot);
    EXPECT_THAT(up->why, HasSubstr("than the cut gives"));
    const auto down = balanceCutAndFill(low, loadCatalogue(low), within(foot));
    ASSERT_TRUE(down);
    EXPECT_FALSE(down->found);
    EXPECT_THAT(down->why, HasSubstr("than the fill takes"));
    const auto none = balanceCutAndFill(low, loadCatalogue(low), {1, -1, "a", "b"});
    ASSERT_TRUE(none);
    EXPECT_THAT(none->why, HasSubstr("No level is left: a asks for"));
}

TEST(Balance, OfACourtyardIsBetterThanAGridRoundIt) {
    const Plan plan = scene("courtyard");
    const Catalogue catalogue = loadCatalogue(plan);
    const auto search = balanceCutAndFill(plan, catalogue, within(0.3));
    ASSERT_TRUE(search);
    ASSERT_TRUE(search->found) << search->why;
    // 36 m² of patio and what runs beyond it: a micrometre of level is some 1e-4 m³.
    EXPECT_LT(std::abs(search->surplus), 2e-4);
    for (const int i : {-20, -1, 0, 1, 20}) {
        Variant variant;
        variant.raise = search->raise + 0.01 * i;
        const double surplus = fillSurplus(*buildModel(*withVariant(plan, variant, {})), catalogue);
        if (i == 0) {
            EXPECT_NEAR(surplus, search->surplus, 1e-9);
            continue;
        }
        EXPECT_GT(std::abs(surplus), std::abs(search->surplus));
        EXPECT_EQ(surplus > 0, i < 0);
    }
}

// 6 in below the sill; at least 2 in and at most 7 3/4 in are asked for: 4 in up, 1 3/4 in down.
TEST(Balance, SillsBoundTheLevel) {
    const Plan plan = slopingGround(4);
    const RaiseBounds bounds =
        raiseBounds(mustBuild(plan), loadCatalogue(plan), {{"door", {5 * foot, 0}, 4.5 * foot, {}}});
    EXPECT_NEAR(bounds.high, 4 * metresPerInch, 1e-9);
    EXPECT_NEAR(bounds.low, -1.75 * metresPerInch, 1e-9);
    EXPECT_EQ(bounds.highBy, "the sill \"door\"");
}

// ---------------------------------------------------------------- least fall

/// 10 x 10 ft against a house along the baseline, level across or not.
Plan besideTheHouse(const std::string& finish) {
    return mustRead(
        "unit = \"ft\"\nbaseline = { from = [0, 0], to = [10, 0] }\nfinish = { " + finish + " }\n" +
        "area = [{ name = \"patio\", build_up = \"b\", rectangle = { corner = [0, 0], size = [10, 10] }, "
        "against_wall = [1] }]\n[[build_up]]\nname = \"b\"\nlayers = [ { name = \"base\", role = \"base\", "
        "thickness = \"6 in\" } ]\n");
}

// IRC R401.3, exception: 2 % away from the house within 10 ft, whatever the fall along it.
TEST(LeastFall, KeepsTwoPercentBesideTheHouseAndNoHairLess) {
    for (const char* finish : {"at = [0, 0], level = 1, fall = \"1 %\"",
                               "at = [0, 0], level = 1, fall = \"4 %\", cross_fall = \"1 %\""}) {
        const Plan plan = besideTheHouse(finish);
        const Catalogue catalogue = loadCatalogue(plan);
        const auto search = leastFall(plan, catalogue);
        ASSERT_TRUE(search);
        ASSERT_TRUE(search->found) << search->why;
        EXPECT_NEAR(search->fall, 0.02, 2 * fallTolerance);
        EXPECT_FALSE(search->faults.empty());
        Variant kept, less;
        kept.fall = search->fall;
        less.fall = search->fall - 1e-6;
        EXPECT_TRUE(waterFaults(mustBuild(*withVariant(plan, kept, {})), catalogue).empty());
        EXPECT_FALSE(waterFaults(mustBuild(*withVariant(plan, less, {})), catalogue).empty());
    }
    // 2 % out and 1 % along are 2.236 % together, past the 1:48 of 2010 ADA Standards 403.3.
    const Plan across = besideTheHouse("at = [0, 0], level = 1, fall = 0.04, cross_fall = \"1 %\"");
    EXPECT_EQ(leastFall(across, loadCatalogue(across))->over.size(), 1u);
}

TEST(LeastFall, IsFoundWhereMoreFallWouldPondAgain) {
    // A walk with a finish of its own holds the patio's water up, whose other sides stand against walls: the
    // patio ends at 1 - 10 f, the walk stands at 0.79 ft, and 1/8 in may stand. So 0.02 <= f <= 0.022.
    Plan plan = besideTheHouse("at = [0, 0], level = 1, fall = \"1 %\"");
    const Plan walk = mustRead(
        "unit = \"ft\"\nfinish = { at = [0, 0], level = 1, fall = \"1 %\" }\nfinishes = { walk = { at = [0, "
        "10], "
        "level = 0.79, fall = \"2 %\" } }\narea = [{ name = \"walk\", build_up = \"b\", finish = \"walk\", "
        "rectangle = { corner = [0, 10], size = [10, 5] }, against_wall = [2, 4] }]\n[[build_up]]\nname = "
        "\"b\"\n"
        "layers = [ { name = \"base\", role = \"base\", thickness = \"6 in\" } ]\n");
    plan.areas[0].againstWall = {0, 1, 3};
    plan.areas.push_back(walk.areas[0]);
    plan.finishes.push_back(walk.finishes[1]);
    const Catalogue catalogue = loadCatalogue(plan);
    const auto search = leastFall(plan, catalogue);
    ASSERT_TRUE(search);
    ASSERT_TRUE(search->found) << search->why;
    EXPECT_NEAR(search->fall, 0.02, 2 * fallTolerance);
    for (const auto& [fall, keeps] : {std::pair{0.0219, true}, {0.0221, false}, {0.05, false}}) {
        Variant variant;
        variant.fall = fall;
        EXPECT_EQ(waterFaults(mustBuild(*withVariant(plan, variant, {})), catalogue).empty(), keeps) << fall;
    }
}

TEST(LeastFall, IsNoneWhereTheRuleAsksForMoreThanIsWalked) {
    Plan plan = besideTheHouse("at = [0, 0], level = 1, fall = \"1 %\"");
    plan.limits.push_back({"slope.least", 0.06, "Local code.", {}});
    const auto search = leastFall(plan, loadCatalogue(plan));
    ASSERT_TRUE(search);
    EXPECT_FALSE(search->found);
    EXPECT_DOUBLE_EQ(search->fall, 0.05);
    EXPECT_FALSE(search->faults.empty());
    plan.finishes[0].planes.clear();
    plan.finishes[0].spots = {{{0, 0}, 1, {}}, {{1, 0}, 1, {}}, {{0, 1}, 1, {}}};
    EXPECT_FALSE(leastFall(plan, loadCatalogue(plan)));
}

}  // namespace
}  // namespace underfoot
