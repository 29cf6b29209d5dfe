// The written rule of sections on whole plans, each case on both sides: along a shared face, along outlines
// and rims, through corners, bent in a corner, outside, and of no length.

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "plan/read_plan.h"
#include "study/section.h"

namespace underfoot {
namespace {

// Two patios side by side along x = 3, 3 x 4 m each: base 0.1 m deep on the left, stone 0.2 m on the right,
// level with the ground round them. Nothing runs past the outlines.
Model twoPatios() {
    const auto plan = readPlanText(
        "unit = \"m\"\nfinish = { at = [0, 0], level = 0 }\n"
        "area = [ { name = \"left\", build_up = \"thin\", rectangle = { corner = [0, 0], size = [3, 4] } },\n"
        "  { name = \"right\", build_up = \"thick\", rectangle = { corner = [3, 0], size = [3, 4] } } ]\n"
        "[[build_up]]\nname = \"thin\"\nlayers = [ { name = \"base\", role = \"base\", thickness = 0.1 } ]\n"
        "[[build_up]]\nname = \"thick\"\nlayers = [ { name = \"stone\", role = \"base\", thickness = 0.2 } "
        "]\n"
        "[ground]\nextend = \"nearest\"\nshots = [ [-2, -2, 0], [8, -2, 0], [8, 6, 0], [-2, 6, 0] ]\n",
        "two.toml", ".");
    EXPECT_TRUE(plan.has_value()) << (plan ? "" : formatDiagnostic(plan.error().front()));
    const auto model = buildModel(*plan);
    EXPECT_TRUE(model.has_value());
    EXPECT_EQ(modelFault(*model), std::nullopt);
    return *model;
}

struct Faces {
    double base = 0, stone = 0;
};

/// The cut faces along a line of plan points.
Faces faces(const Model& model, std::vector<glm::dvec2> line) {
    for (glm::dvec2& p : line) p = model.toLocal(p);
    Faces found;
    for (const Extremes& one : extremes(model, cut(model, line)))
        (model.layers[static_cast<size_t>(one.layer)].name == "base" ? found.base : found.stone) += one.area;
    return found;
}

double covered(const Model& model, std::vector<glm::dvec2> line) {
    for (glm::dvec2& p : line) p = model.toLocal(p);
    double sum = 0;
    for (const SectionInterval& i : cut(model, line).intervals) sum += i.to - i.from;
    return sum;
}

void expectFaces(const Faces& found, double base, double stone, double within = 1e-9) {
    EXPECT_NEAR(found.base, base, within);
    EXPECT_NEAR(found.stone, stone, within);
}

TEST(SectionRule, AlongASharedFaceCutsWhatLiesToTheLeft) {
    // 4 m of base 0.1 or of stone 0.2.
    const Model model = twoPatios();
    expectFaces(faces(model, {{3, -1}, {3, 5}}), 0.4, 0);
    expectFaces(faces(model, {{3, 5}, {3, -1}}), 0, 0.8);
    // A micrometre to either side the direction makes no difference.
    for (const bool up : {true, false}) {
        const double from = up ? -1 : 5, to = up ? 5 : -1;
        expectFaces(faces(model, {{3 - 1e-6, from}, {3 - 1e-6, to}}), 0.4, 0);
        expectFaces(faces(model, {{3 + 1e-6, from}, {3 + 1e-6, to}}), 0, 0.8);
    }
}

TEST(SectionRule, AtTheStationOfASharedFaceTheLesserStationIsCut) {
    // Offsets grow to the left of the baseline: going out, the lesser stations lie to the left.
    const Model model = twoPatios();
    Faces found;
    for (const Extremes& one : extremes(model, cutAtStation(model, 3)))
        (model.layers[static_cast<size_t>(one.layer)].name == "base" ? found.base : found.stone) += one.area;
    expectFaces(found, 0.4, 0);
}

TEST(SectionRule, AlongAnOutlineCutsThePatioOrTheSoil) {
    const Model model = twoPatios();
    expectFaces(faces(model, {{-1, 0}, {7, 0}}), 0.3, 0.6);
    expectFaces(faces(model, {{7, 0}, {-1, 0}}), 0, 0);
    expectFaces(faces(model, {{7, 4}, {-1, 4}}), 0.3, 0.6);
    expectFaces(faces(model, {{-1, 4}, {7, 4}}), 0, 0);
    expectFaces(faces(model, {{0, 5}, {0, -1}}), 0.4, 0);
    expectFaces(faces(model, {{0, -1}, {0, 5}}), 0, 0);
    EXPECT_NEAR(covered(model, {{7, 0}, {-1, 0}}), 8, 1e-9);
}

TEST(SectionRule, ThroughACornerOfTwoPatiosBothWays) {
    // (1, -2) to (6, 3) comes in through (3, 0) and leaves through (6, 3): 3 sqrt 2 of stone. (6, -3) to
    // (-1, 4) comes in there too: over (0, 3), 3 sqrt 2 of base.
    const Model model = twoPatios();
    const double run = 3 * std::sqrt(2.0);
    expectFaces(faces(model, {{1, -2}, {7, 4}}), 0, 0.2 * run);
    expectFaces(faces(model, {{7, 4}, {1, -2}}), 0, 0.2 * run);
    expectFaces(faces(model, {{6, -3}, {-1, 4}}), 0.1 * run, 0);
    expectFaces(faces(model, {{-1, 4}, {6, -3}}), 0.1 * run, 0);
    // Past an outer corner: nothing but soil.
    expectFaces(faces(model, {{-1, 1}, {1, -1}}), 0, 0);
    expectFaces(faces(model, {{1, -1}, {-1, 1}}), 0, 0);
}

TEST(SectionRule, BentInACornerEachLegGoesByItsOwnLeft) {
    // Along the outline to (3, 0), base on its left, then up the shared face, base on its left again. The
    // same way back: first stone, then soil.
    const Model model = twoPatios();
    expectFaces(faces(model, {{-1, 0}, {3, 0}, {3, 5}}), 0.3 + 0.4, 0);
    expectFaces(faces(model, {{3, 5}, {3, 0}, {-1, 0}}), 0, 0.8);
}

TEST(SectionRule, FromAndToASharedFace) {
    const Model model = twoPatios();
    expectFaces(faces(model, {{3, 1}, {5, 1}}), 0, 0.4);
    expectFaces(faces(model, {{1, 1}, {3, 1}}), 0.2, 0);
    expectFaces(faces(model, {{3, 1}, {3, 2}}), 0.1, 0);
    expectFaces(faces(model, {{3, 2}, {3, 1}}), 0, 0.2);
    expectFaces(faces(model, {{3, 0}, {4, 1}}), 0, 0.2 * std::sqrt(2.0));  // from a corner
}

TEST(SectionRule, AlongTheRimOfTheModelBothWays) {
    const Model model = twoPatios();
    const glm::dvec2 low = model.toPlan(model.site.low), high = model.toPlan(model.site.high);
    const glm::dvec2 size = high - low;
    for (const bool back : {false, true}) {
        const auto side = [&](glm::dvec2 a, glm::dvec2 b) {
            return back ? covered(model, {b, a}) : covered(model, {a, b});
        };
        EXPECT_NEAR(side(low, {high.x, low.y}), size.x, 1e-9);
        EXPECT_NEAR(side({high.x, low.y}, high), size.y, 1e-9);
        EXPECT_NEAR(side({low.x, high.y}, high), size.x, 1e-9);
        EXPECT_NEAR(side(low, {low.x, high.y}), size.y, 1e-9);
        // A micrometre outside there is nothing, a micrometre inside there is all.
        EXPECT_EQ(side({low.x, low.y - 1e-6}, {high.x, low.y - 1e-6}), 0);
        EXPECT_NEAR(side({low.x, low.y + 1e-6}, {high.x, low.y + 1e-6}), size.x, 1e-9);
    }
}

// The same patios turned as 3, 4, 5 and pushed: no edge lies on the grid, and the edges of a rough ground's
// triangles break the sides at many places.
Model askewPatios(bool shots) {
    std::string text =
        "unit = \"m\"\nfinish = { at = [0, 0], level = 0 }\nbaseline = { from = [1, 2], to = [4, 6] }\n"
        "area = [ { name = \"left\", build_up = \"thin\", outline = [ { s = 0, o = 0 }, { s = 3, o = 0 }, "
        "{ s = 3, o = 4 }, { s = 0, o = 4 } ] },\n  { name = \"right\", build_up = \"thick\", outline = [ { "
        "s = 3, o = 0 }, { s = 6, o = 0 }, { s = 6, o = 4 }, { s = 3, o = 4 } ] } ]\n"
        "[[build_up]]\nname = \"thin\"\nlayers = [ { name = \"base\", role = \"base\", thickness = 0.1 } ]\n"
        "[[build_up]]\nname = \"thick\"\nlayers = [ { name = \"stone\", role = \"base\", thickness = 0.2 } "
        "]\n";
    if (shots) {
        text +=
            "[ground]\nextend = \"nearest\"\nshots = [ [-12, -12, 0], [12, -12, 0], [12, 14, 0], [-12, 14, "
            "0]";
        for (int i = 0; i < 40; ++i)
            text += ", { at = { s = " + std::to_string(0.17 + 0.147 * i) +
                    ", o = " + std::to_string(0.1 + 1.37 * i - 3.9 * std::floor(1.37 * i / 3.9)) +
                    " }, height = 0 }";
        text += " ]\n";
    }
    const auto plan = readPlanText(text, "askew.toml", ".");
    EXPECT_TRUE(plan.has_value()) << (plan ? "" : formatDiagnostic(plan.error().front()));
    const auto model = buildModel(*plan);
    EXPECT_TRUE(model.has_value());
    return *model;
}

TEST(SectionRule, AlongSidesThatRunAskewItIsTheSame) {
    // As above, in stations and offsets; 0.2 micrometres to the side show nowhere: 1e-6.
    for (const bool shots : {true, false}) {
        const Model model = askewPatios(shots);
        const Baseline& baseline = model.plan.baseline;
        const auto along = [&](glm::dvec2 a, glm::dvec2 b) {
            return faces(model, {baseline.at(a.x, a.y), baseline.at(b.x, b.y)});
        };
        for (const double past : {0.0, 0.5}) {
            expectFaces(along({3, -past}, {3, 4 + past}), 0.4, 0, 1e-6);
            expectFaces(along({3, 4 + past}, {3, -past}), 0, 0.8, 1e-6);
            expectFaces(along({-past, 0}, {6 + past, 0}), 0.3, 0.6, 1e-6);
            expectFaces(along({6 + past, 4}, {-past, 4}), 0.3, 0.6, 1e-6);
            // The soil beside them.
            expectFaces(along({6 + past, 0}, {-past, 0}), 0, 0, 1e-6);
            expectFaces(along({-past, 4}, {6 + past, 4}), 0, 0, 1e-6);
        }
    }
}

TEST(SectionRule, OutsideOrTouchingACornerThereIsNothing) {
    const Model model = twoPatios();
    const glm::dvec2 low = model.toPlan(model.site.low), high = model.toPlan(model.site.high);
    EXPECT_EQ(covered(model, {{100, 100}, {130, 90}}), 0);
    EXPECT_EQ(covered(model, {high, high + glm::dvec2(5, 5)}), 0);
    EXPECT_EQ(covered(model, {low - glm::dvec2(1, -1), low + glm::dvec2(1, -1)}), 0);
    EXPECT_TRUE(cutAtStation(model, high.x + 1).intervals.empty());
}

TEST(SectionRule, OfNoLengthIsEmpty) {
    const Model model = twoPatios();
    for (const glm::dvec2 p : {glm::dvec2(1, 1), {3, 2}, {3, 0}, {100, 100}}) {
        EXPECT_EQ(covered(model, {p, p}), 0);
        EXPECT_EQ(covered(model, {p, p, p}), 0);
        EXPECT_EQ(covered(model, {p, p + glm::dvec2(1e-10, 0)}), 0);  // below the grid's nanometre
    }
}

}  // namespace
}  // namespace underfoot
