#include "study/stakes.h"

#include <array>
#include <utility>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "outside/published_plan.h"

namespace underfoot {
namespace {

using outside::mustBuild;
constexpr LengthFormat decimalFeet{LengthStyle::DecimalFeet, 16};

// 12 x 10 ft, 2 % away from the baseline; units 2 in, bedding 1 in, base 4 in: 7 in to the formation. `more`
// follows.
Model patio(const std::string& finish = "{ at = [0, 0], level = 100, fall = \"2 %\" }",
            const std::string& more = "", double ground = 100,
            const std::string& shape = "rectangle = { corner = [0, 0], size = [12, 10] }") {
    return mustBuild(
        fmt::format("unit = \"ft\"\nfinish = {0}\narea = [{{ name = \"patio\", build_up = \"plain\", "
                    "{3} }}]\n[[build_up]]\nname = \"plain\"\nlayers = [ {{ name = \"units\", "
                    "role = \"units\", "
                    "thickness = \"2 in\" }}, {{ name = \"bedding\", role = \"bedding\", thickness = \"1 "
                    "in\", take_up = true }}, "
                    "{{ name = \"base\", role = \"base\", thickness = \"4 in\" }} ]\n[ground]\nextend = "
                    "\"nearest\"\nshots = [ [-5, "
                    "-5, {2}], [17, -5, {2}], [17, 15, {2}], [-5, 15, {2}] ]\n{1}",
                    finish, more, ground, shape));
}

TEST(Stakes, MeasureDownFromAStringAtTheFinish) {
    // String at the finish, 2 % fall: 3 in down to the base and 7 in to the formation, all along (computed).
    const Model model = patio();
    const auto points = gridPoints(model, 2 * metresPerFoot);
    ASSERT_TRUE(points);
    const auto set = stakes(model, *points);
    ASSERT_EQ(set.size(), 42u);  // 0 to 12 by 0 to 10 ft: 7 x 6
    for (const Stake& stake : set) {
        ASSERT_EQ(stake.layers.size(), 3u);
        EXPECT_NEAR(stake.layers[2].down, 3 * metresPerInch, 1e-9);
        EXPECT_NEAR(stake.down(), 7 * metresPerInch, 1e-9);
        EXPECT_NEAR(stake.finish, 100 * metresPerFoot - 0.02 * stake.offset, 1e-9);
        EXPECT_EQ(formatThickness(stake.down(), model.plan.show), "7\"");
    }
}

TEST(Stakes, AHigherStringMeasuresFartherDownAndMovesNothingElse) {
    const Model model = patio();
    const auto low = stakes(model, cornerPoints(model)), high = stakes(model, cornerPoints(model), 0.1);
    ASSERT_EQ(low.size(), 4u);
    for (size_t i = 0; i < 4; ++i) {
        EXPECT_NEAR(high[i].down(), low[i].down() + 0.1, 1e-12);
        EXPECT_EQ(high[i].formation, low[i].formation);
        EXPECT_EQ(high[i].cut(), low[i].cut());
    }
}

// Two areas of 6 ft beside each other share two corners; slabs 3 in on the same base reach as deep: 2 + 1 + 4
// = 3 + 4 in. With slabs of 2 in their side is dug an inch less, and each keeps its own stakes.
TEST(Stakes, OneStandsWhereAreasShareACorner) {
    const auto set = [](const char* slabs) {
        const Model model = mustBuild(fmt::format(
            R"(unit = "ft"
finish = {{ at = [0, 0], level = 100, fall = "2 %" }}
area = [{{ name = "court", build_up = "units", rectangle = {{ corner = [0, 0], size = [6, 6] }} }},
        {{ name = "strip", build_up = "slabs", rectangle = {{ corner = [6, 0], size = [6, 6] }} }}]
[[build_up]]
name = "units"
layers = [ {{ name = "units", role = "units", thickness = "2 in" }}, {{ name = "sand", role = "bedding", thickness = "1 in" }},
           {{ name = "base", role = "base", thickness = "4 in" }} ]
[[build_up]]
name = "slabs"
layers = [ {{ name = "slabs", role = "units", thickness = "{}" }}, {{ name = "base", role = "base", thickness = "4 in" }} ]
[ground]
extend = "nearest"
shots = [ [-5, -5, 100], [17, -5, 100], [17, 15, 100], [-5, 15, 100] ]
)",
            slabs));
        return stakes(model, cornerPoints(model));
    };
    const auto alike = set("3 in");
    ASSERT_EQ(alike.size(), 6u);
    EXPECT_EQ(alike[1].name, "court, corner 2; strip, corner 1");
    EXPECT_EQ(alike[2].name, "court, corner 3; strip, corner 4");
    ASSERT_EQ(alike[1].layers.size(), 3u);  // units, sand, base; the slabs' top is the finish too
    EXPECT_NEAR(alike[1].layers[2].down, 3 * metresPerInch, 1e-9);
    EXPECT_EQ(set("2 in").size(), 8u);
}

TEST(Stakes, CarryCutAndFillInTheUnitOfThePlan) {
    // US Navy, Engineering Aid: a stake carries C or F and the amount, C-2.58.
    EXPECT_EQ(cutOrFill(2.58 * metresPerFoot, {}), "C-2.58");
    EXPECT_EQ(cutOrFill(-2.58 * metresPerFoot, decimalFeet), "F-2.58");
    EXPECT_EQ(cutOrFill(0.2144, {LengthStyle::Metres, 16}), "C-0.214");
    EXPECT_EQ(cutOrFill(-0.004 * metresPerFoot, {}), "0.00");
    EXPECT_EQ(cutOrFill(0.005 * metresPerFoot, {}), "C-0.01");
    // Ground at 100 ft, formation at 100 - 7/12 at the house: 0.58 ft of cut.
    const Model model = patio();
    EXPECT_EQ(cutOrFill(stakes(model, cornerPoints(model))[0].cut(), model.plan.show), "C-0.58");
}

TEST(Stakes, GradeRodLessGroundRodIsTheCut) {
    // US Navy, Engineering Aid (NAVEDTRA 14069), fig. 14-36: mark 106.35, backsight 4.65, so the line of
    // sight is at 111.00; wanted 107.85 reads 3.15; ground rod 2.40, so 0.75 ft of cut. Here the formation is
    // what is wanted: the finish is 7 in above it and the ground at 108.60.
    const double instrument = (106.35 + 4.65) * metresPerFoot;
    const Model model =
        patio(fmt::format("{{ at = [0, 0], level = {:.12f} }}", 107.85 + 7.0 / 12), "", 108.60);
    const Stake stake = stakes(model, cornerPoints(model))[0];
    EXPECT_NEAR(rodAt(instrument, stake.formation) / metresPerFoot, 3.15, 1e-9);
    EXPECT_NEAR(rodAt(instrument, stake.ground) / metresPerFoot, 2.40, 1e-9);
    EXPECT_NEAR(stake.cut(), rodAt(instrument, stake.formation) - rodAt(instrument, stake.ground), 1e-12);
    EXPECT_EQ(cutOrFill(stake.cut(), model.plan.show), "C-0.75");
}

TEST(StakePoints, CornersEdgesAndGridByCount) {
    const Model model = patio();
    const auto edges = edgePoints(model, 5 * metresPerFoot);
    ASSERT_TRUE(edges);
    // Four corners; 5 and 10 ft on the two sides of 12, 5 ft on the two of 10 (10 is the corner).
    EXPECT_EQ(edges->size(), 10u);
    EXPECT_EQ((*edges)[1].name, "patio, edge 1 at 5' 0\"");
    EXPECT_EQ(stakes(model, *edges).size(), 10u);
    EXPECT_FALSE(edgePoints(model, 0));
    EXPECT_FALSE(gridPoints(model, 1e-4));
}

TEST(StakePoints, AlongANamedCutFromWhereItEntersToWhereItLeaves) {
    const Model model = patio("{ at = [0, 0], level = 100 }", "[[cut]]\nname = \"A\"\nstation = 6\n");
    const auto points = cutPoints(model, 4 * metresPerFoot, "A");
    ASSERT_TRUE(points) << points.error();
    const auto set = stakes(model, *points);
    ASSERT_EQ(set.size(), 4u);  // 0, 4, 8 and 10 ft
    constexpr std::array<double, 4> offsets{0, 4, 8, 10};
    for (size_t i = 0; i < 4; ++i) EXPECT_NEAR(set[i].offset / metresPerFoot, offsets[i], 1e-6);
    EXPECT_FALSE(cutPoints(model, 1, "B"));
}

TEST(StakePoints, ACutAlongAnOutlineHasThemWhicheverWayItIsDrawn) {
    for (const char* line : {"[[0, 0], [12, 0]]", "[[12, 0], [0, 0]]", "[[-1, 10], [14, 10]]"}) {
        const Model model =
            patio("{ at = [0, 0], level = 100 }", fmt::format("[[cut]]\nname = \"A\"\nalong = {}\n", line));
        const auto points = cutPoints(model, 5 * metresPerFoot, "A");
        ASSERT_TRUE(points);
        const auto set = stakes(model, *points);
        ASSERT_EQ(set.size(), 4u) << line;  // the ends, 5 and 10 ft
        const double first = line[2] == '1' ? 12 : 0, step = line[2] == '1' ? -5 : 5;
        EXPECT_NEAR(set[0].station / metresPerFoot, first, 1e-6) << line;
        EXPECT_NEAR(set[2].station / metresPerFoot, first + 2 * step, 1e-6) << line;
        EXPECT_EQ(set[3].name, "cut A at 12' 0\"");
    }
}

TEST(Strings, FallOverTheirRun) {
    // 10 ft at 2 %: 0.2 ft.
    const Model model = patio();
    const auto run =
        stringRun(model, model.toLocal({1, 0}), model.toLocal(glm::dvec2{1, 10 * metresPerFoot}), 0.05);
    ASSERT_TRUE(run) << run.error();
    EXPECT_NEAR(run->fall() / metresPerFoot, 0.2, 1e-9);
    EXPECT_NEAR(run->fromHeight, 100 * metresPerFoot + 0.05, 1e-9);
    EXPECT_NEAR(run->off, 0, 1e-9);
    EXPECT_FALSE(stringRun(model, model.toLocal({1, 1}), model.toLocal({1, 90})));
    EXPECT_FALSE(stringRun(model, model.toLocal({1, 1}), model.toLocal({1, 1})));
}

constexpr const char* ridgeFinish =
    "{ join = \"ridge\", planes = [ { at = [6, 0], level = 100, cross_fall = 0.02 }, { at = [6, 0], level = "
    "100, "
    "cross_fall = -0.02 } ] }";
constexpr const char* valleyFinish =
    "{ join = \"valley\", planes = [ { at = [6, 0], level = 100, cross_fall = 0.02 }, { at = [6, 0], level = "
    "100, "
    "cross_fall = -0.02 } ] }";

TEST(Strings, TellWhereTheFinishBendsUnderThem) {
    // Along 12 ft over a ridge in the middle both ends are level and the finish stands 6 x 0.02 ft above the
    // string; in a valley it lies so far below.
    for (const auto& [finish, off] : {std::pair{ridgeFinish, 0.12}, {valleyFinish, -0.12}}) {
        const Model model = patio(finish);
        const auto run =
            stringRun(model, model.toLocal({0, 1}), model.toLocal(glm::dvec2{12 * metresPerFoot, 1}));
        ASSERT_TRUE(run);
        EXPECT_NEAR(run->fall(), 0, 1e-9);
        EXPECT_NEAR(run->off / metresPerFoot, off, 1e-6);
        EXPECT_NEAR(model.toPlan(run->offAt).x / metresPerFoot, 6, 1e-6);
    }
}

TEST(Rails, ReachForABoard) {
    // 12 ft with a board of 5 ft: three bays of 4 ft, four rails of 10 ft, 2 in below the finish.
    const Model model = patio();
    const auto all = screedRails(model, 5 * metresPerFoot);
    ASSERT_TRUE(all);
    ASSERT_EQ(all->rails.size(), 4u);
    ASSERT_EQ(all->bays.size(), 3u);
    for (const Rail& rail : all->rails) {
        EXPECT_NEAR(rail.length / metresPerFoot, 10, 1e-6);
        ASSERT_EQ(rail.points.size(), 2u);
        EXPECT_NEAR(rail.points[0].height, 100 * metresPerFoot - 2 * metresPerInch, 1e-9);
        EXPECT_NEAR(rail.points[1].height, 99.8 * metresPerFoot - 2 * metresPerInch, 1e-9);
        EXPECT_NEAR(rail.bedLeast, metresPerInch, 1e-9);
        EXPECT_NEAR(rail.finishHigh(), 0, 1e-9);
    }
    for (const Bay& bay : all->bays) {
        EXPECT_NEAR(bay.width / metresPerFoot, 4, 1e-6);
        EXPECT_NEAR(bay.bend, 0, 1e-9);
    }
    EXPECT_EQ(screedRails(model, 6 * metresPerFoot, true)->bays.size(), 2u);  // 10 ft across
    EXPECT_FALSE(screedRails(model, 0));
}

TEST(Rails, LieWholeAlongTheSidesOfAnAreaAskew) {
    // 12 x 10 ft turned as 3, 4, 5: four rails of 10 ft, the first and the last along the sides, whose
    // corners lie off them by rounding.
    const Model model = patio(
        "{ at = { s = 0, o = 0 }, level = 100, fall = \"2 %\" }", "[baseline]\nfrom = [0, 0]\nto = [4, 3]\n",
        100, "outline = [ { s = 0, o = 0 }, { s = 12, o = 0 }, { s = 12, o = 10 }, { s = 0, o = 10 } ]");
    const auto all = screedRails(model, 5 * metresPerFoot);
    ASSERT_TRUE(all);
    ASSERT_EQ(all->rails.size(), 4u);
    for (const Rail& rail : all->rails) {
        EXPECT_NEAR(rail.length / metresPerFoot, 10, 1e-4);
        EXPECT_NEAR(rail.points.front().height - rail.points.back().height, 0.2 * metresPerFoot, 1e-6);
    }
}

TEST(Rails, LieWholeAlongTheInnerSideOfAnL) {
    // 22 ft of stations with a board of 7 ft: five rails, the middle one along the inner side at station 61,
    // from the house to offset 20. The side's corners come out a nanometre beside the rail.
    const Model model = patio(
        "{ at = { s = 50, o = 0 }, level = 100 }",
        "[baseline]\nfrom = [39.31, -1.77]\nto = [39.31, 23.23]\nstart = 50\npositive = \"right\"\n", 100,
        "outline = [ { s = 50, o = 0 }, { s = 72, o = 0 }, { s = 72, o = 9 }, { s = 61, o = 9 }, { s = 61, o "
        "= 20 "
        "}, { s = 50, o = 20 } ]");
    const auto all = screedRails(model, 7 * metresPerFoot);
    ASSERT_TRUE(all);
    ASSERT_EQ(all->rails.size(), 5u);
    EXPECT_NEAR(all->rails[2].length / metresPerFoot, 20, 1e-4);
}

TEST(Rails, OnTheBaseTheyCarryItsErrorsToTheFinish) {
    // The base shot 3/8 in high all over: the bed under a rail at the string is 5/8 in; on the base the
    // finish stands 3/8 in proud.
    const double top = 100 - 3.0 / 12 + 0.375 / 12;
    const Model model = patio(
        "{ at = [0, 0], level = 100 }",
        fmt::format(
            "[[measured_top]]\nlayer = \"base\"\nshots = [ [-1, -1, {0:.12f}], [13, -1, {0:.12f}], [13, 11, "
            "{0:.12f}], [-1, 11, {0:.12f}] ]\n",
            top));
    const auto all = screedRails(model, 12 * metresPerFoot);
    ASSERT_TRUE(all);
    for (const Rail& rail : all->rails) {
        EXPECT_NEAR(rail.bedLeast, 0.625 * metresPerInch, 1e-9);
        EXPECT_NEAR(rail.finishLow(), 0.375 * metresPerInch, 1e-9);
        EXPECT_NEAR(rail.finishHigh(), 0.375 * metresPerInch, 1e-9);
    }
}

TEST(Rails, ABoardOverARidgeIsTold) {
    // One bay of 12 ft over a ridge of 0.12 ft; with a rail on it there is no bend.
    const Model model = patio(ridgeFinish);
    const auto one = screedRails(model, 12 * metresPerFoot), two = screedRails(model, 6 * metresPerFoot);
    ASSERT_TRUE(one && two);
    EXPECT_NEAR(one->bays[0].bend / metresPerFoot, 0.12, 1e-6);
    for (const Bay& bay : two->bays) EXPECT_NEAR(bay.bend, 0, 1e-9);
    EXPECT_NEAR(screedRails(patio(valleyFinish), 12 * metresPerFoot)->bays[0].bend / metresPerFoot, -0.12,
                1e-6);
}

}  // namespace
}  // namespace underfoot
