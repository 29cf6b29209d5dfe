// Published limits asked of whole plans, from the plan's text to its findings: at the limit nothing is found,
// a sixteenth of an inch (or a hair of slope) past it something is.

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "outside/published_plan.h"
#include "plan/catalogue.h"
#include "study/findings.h"
#include "study/thickness.h"

namespace underfoot::outside {
namespace {

constexpr double inch = metresPerInch;

struct Patio {
    std::string fall = "2 %";
    std::string units = "2 1/2 in", bedding = "1 in", base = "4 in";
    std::string baseMore{};
    /// Of the base above its design, in inches; none shot when empty.
    std::string baseHigh{};
    std::string more{};  // in the area's table
};

/// A top shot round the patio and in its middle, all the same depth (in inches) under a finish of 2 %.
std::string measuredTop(const char* layer, double depth) {
    std::string text = fmt::format("[[measured_top]]\nlayer = \"{}\"\nshots = [", layer);
    for (const auto& [x, y] : {std::pair{-1, -1}, {13, -1}, {13, 13}, {-1, 13}, {6, 6}})
        text += fmt::format(" [{}, {}, {:.12f}],", x, y, 100 - 0.02 * y - depth / 12);
    return text + " ]\n";
}

// 12 x 12 ft out from a house along y = 0. The base's top is to be 3 1/2 in under the finish. Where the base
// is shot, so is the fabric under it, just as designed.
std::string textOf(const Patio& patio) {
    std::string text = "unit = \"ft\"\n";
    text += fmt::format("finish = {{ at = [0, 0], level = 100, fall = \"{}\" }}\n", patio.fall);
    text +=
        "area = [{ name = \"patio\", build_up = \"usual\", rectangle = { corner = [0, 0], size = [12, 12] }" +
        patio.more + " }]\n";
    text += "[[build_up]]\nname = \"usual\"\nlayers = [\n";
    text += fmt::format("  {{ name = \"units\", role = \"units\", thickness = \"{}\" }},\n", patio.units);
    text +=
        fmt::format("  {{ name = \"bedding\", role = \"bedding\", thickness = \"{}\", take_up = true }},\n",
                    patio.bedding);
    text += fmt::format("  {{ name = \"base\", role = \"base\", thickness = \"{}\"{} }},\n", patio.base,
                        patio.baseMore);
    text += "  { name = \"fabric\", role = \"geotextile\", thickness = \"1/16 in\" },\n]\n";
    text +=
        "[ground]\nextend = \"nearest\"\nshots = [ [-5, -5, 100], [17, -5, 100], [17, 17, 99.7], [-5, 17, "
        "99.7] ]\n";
    if (patio.baseHigh.empty()) return text;
    return text + measuredTop("base", 3.5 - std::stod(patio.baseHigh)) + measuredTop("fabric", 7.5);
}

std::vector<Finding> found(const Patio& patio, FindingKind kind, const std::string& layer = "") {
    const Model model = mustBuild(textOf(patio));
    auto all = findings(model, loadCatalogue(model.plan));
    std::erase_if(all, [&](const Finding& f) {
        return f.kind != kind || (!layer.empty() && f.layer != model.findLayer(layer));
    });
    return all;
}

/// None at the limit, and one past it that says by which rule.
void expectLimit(const Patio& at, const Patio& past, FindingKind kind, const std::string& layer,
                 const std::string& rule) {
    EXPECT_TRUE(found(at, kind, layer).empty()) << found(at, kind, layer).front().what;
    const auto findings = found(past, kind, layer);
    ASSERT_FALSE(findings.empty()) << rule;
    EXPECT_EQ(findings.front().rule, rule);
    EXPECT_FALSE(findings.front().source.empty());
}

// ---------------------------------------------------------------- slope

TEST(PublishedSlope, AtLeastTwoPercentBesideAFoundation) {
    // IRC R401.3, exception; the same in ICPI, Construction Tolerances and Recommendations for Interlocking
    // Concrete Pavements.
    expectLimit({.fall = "2 %"}, {.fall = "1.99 %"}, FindingKind::SlopeUnder, "", "slope.least");
    expectLimit({.fall = "1:50"}, {.fall = "3/16 in/ft"}, FindingKind::SlopeUnder, "", "slope.least");
}

TEST(PublishedSlope, AtMostOneToFortyEightAcross) {
    // 2010 ADA Standards for Accessible Design 403.3: cross slope 1:48 = 1/4 in per ft = 2.0833 %; the window
    // between this and 2 % is 0.1 in over 10 ft.
    expectLimit({.fall = "1/4 in/ft"}, {.fall = "2.09 %"}, FindingKind::SlopeOver, "",
                "slope.greatest.cross");
    EXPECT_TRUE(found({.fall = "1/4 in/ft"}, FindingKind::SlopeUnder).empty());
    EXPECT_TRUE(found({.fall = "2 %"}, FindingKind::SlopeOver).empty());
}

TEST(PublishedSlope, AtMostOneToTwentyAlong) {
    // 2010 ADA Standards 403.3, running slope 1:20 (from memory).
    EXPECT_EQ(found({.fall = "1:20"}, FindingKind::SlopeOver).front().rule, "slope.greatest.cross");
    EXPECT_EQ(found({.fall = "5.01 %"}, FindingKind::SlopeOver).front().rule, "slope.greatest.running");
}

double finishAt(const Model& model, double x, double y) {
    return stackAtPoint(model, model.toLocal(glm::dvec2{x, y} * metresPerFoot)).front().top;
}

TEST(PublishedSlope, FallsInInches) {
    // Arithmetic: 3/16 in per ft over 4 ft falls 3/4 in; 1/4 in per ft over 10 ft 2 1/2 in; IRC R401.3, 6 in
    // in the first 10 ft is 5 %.
    for (const auto& [fall, feet, inches] : {std::tuple{"3/16 in/ft", 4.0, 0.75},
                                             {"1/4 in/ft", 10.0, 2.5},
                                             {"1/8 in/ft", 8.0, 1.0},
                                             {"6 in / 10 ft", 10.0, 6.0},
                                             {"5 %", 10.0, 6.0}}) {
        const Model model = mustBuild(textOf({.fall = fall}));
        EXPECT_NEAR(finishAt(model, 6, 1) - finishAt(model, 6, 1 + feet), inches * inch, 1e-9) << fall;
    }
}

TEST(PublishedSlope, AHundredthOfAFoot) {
    // Arithmetic: 0.01 ft = 0.12 in = 3.048 mm, here as the difference of two shots on a base.
    const auto bed = [](const char* high) {
        const Model model = mustBuild(textOf({.baseHigh = high}));
        return stackAtPoint(model, model.toLocal(glm::dvec2{6, 6} * metresPerFoot))[1].thickness();
    };
    EXPECT_NEAR(bed("0") - bed("0.12"), 0.003048, 1e-12);
}

// ---------------------------------------------------------------- layers

TEST(PublishedLayers, LeastBaseOfAPatioFourInches) {
    // ICPI, Construction Tolerances and Recommendations for Interlocking Concrete Pavements.
    expectLimit({.base = "4 in"}, {.base = "3 15/16 in"}, FindingKind::LayerThin, "base", "base.least.patio");
}

TEST(PublishedLayers, BaseThicknessThreeQuartersOverAndAHalfUnder) {
    // The same document: +3/4 in, -1/2 in.
    expectLimit({.baseHigh = "0.75"}, {.baseHigh = "0.8125"}, FindingKind::LayerThick, "base", "base.over");
    expectLimit({.baseHigh = "-0.5"}, {.baseHigh = "-0.5625"}, FindingKind::LayerThin, "base", "base.under");
}

TEST(PublishedLayers, BeddingFromThreeQuartersToOneAndAHalf) {
    // 1 in nominal: the same document; 3/4 to 1 1/2 in: from memory. A base 1/4 in high leaves 3/4 in.
    expectLimit({.baseHigh = "0.25"}, {.baseHigh = "0.3125"}, FindingKind::BeddingThin, "bedding",
                "bedding.least");
    expectLimit({.baseHigh = "-0.5"}, {.baseHigh = "-0.5625"}, FindingKind::BeddingThick, "bedding",
                "bedding.greatest");
}

TEST(PublishedLayers, LippageOfAnEighth) {
    // The same document: at most 1/8 in. A base 1 in high leaves no bed, what it is higher the units stand
    // proud by.
    expectLimit({.baseHigh = "1.125"}, {.baseHigh = "1.1875"}, FindingKind::StandsProud, "", "proud");
}

// ---------------------------------------------------------------- limits as data

TEST(PublishedLimits, ThatTheProgramKeeps) {
    const Catalogue catalogue = loadCatalogue();
    const auto value = [&](const char* rule) {
        const Limit* limit = catalogue.findLimit(rule);
        EXPECT_NE(limit, nullptr) << rule;
        return limit != nullptr ? limit->value : -1;
    };
    // ICPI, Construction Tolerances and Recommendations for Interlocking Concrete Pavements.
    EXPECT_DOUBLE_EQ(value("base.least.driveway"), 6 * inch);
    EXPECT_DOUBLE_EQ(value("base.beyond"), 6 * inch);
    EXPECT_DOUBLE_EQ(value("base.deviation"), 3.0 / 8 * inch);
    EXPECT_DOUBLE_EQ(value("finish.deviation.over"), 120 * inch);
    EXPECT_DOUBLE_EQ(value("joint.least"), inch / 16);
    EXPECT_DOUBLE_EQ(value("joint.greatest"), 3.0 / 16 * inch);
    EXPECT_DOUBLE_EQ(value("unit.length_to_thickness"), 4);
    EXPECT_DOUBLE_EQ(value("joint.sand.below_top"), inch / 2);
    EXPECT_DOUBLE_EQ(value("cut_unit.least_part"), 1.0 / 3);
    EXPECT_DOUBLE_EQ(value("cut_unit.least_width"), 3.0 / 8 * inch);
    // 2010 ADA Standards 303.
    EXPECT_DOUBLE_EQ(value("level.change"), inch / 4);
    // One-call laws of the states, 18 to 24 in; 29 CFR 1926.651-652; IFC 307.4; NIOSH 94-110, 51 lb.
    EXPECT_DOUBLE_EQ(value("dig.by_hand"), 24 * inch);
    EXPECT_DOUBLE_EQ(value("dig.protect"), 60 * inch);
    EXPECT_DOUBLE_EQ(value("dig.spoil"), 24 * inch);
    EXPECT_DOUBLE_EQ(value("fire.open"), 300 * inch);
    EXPECT_DOUBLE_EQ(value("fire.portable"), 180 * inch);
    EXPECT_NEAR(value("lifting.load_constant"), 51 * 0.45359237, 1e-3);
    // Common practice, no source.
    EXPECT_DOUBLE_EQ(value("bedding.under_panels"), inch / 2);
    EXPECT_DOUBLE_EQ(value("lift.greatest"), 4 * inch);
    EXPECT_DOUBLE_EQ(value("geotextile.overlap"), 12 * inch);
    EXPECT_DOUBLE_EQ(value("waste.uncut"), 0.05);
    EXPECT_DOUBLE_EQ(value("waste.cut"), 0.10);
}

TEST(PublishedDensities, ThatTheProgramKeeps) {
    const Catalogue catalogue = loadCatalogue();
    const auto loose = [&](const char* name) { return catalogue.findMaterial(name)->densityLoose; };
    const auto compacted = [&](const char* name) { return catalogue.findMaterial(name)->densityCompacted; };
    // Published engineering tables: moist earth 78 lb/ft³, dry sand 97, crushed and rounded stone 100 (weak),
    // dry gravel 105. The tables give both units, rounded apart: 78 lb/ft³ is 1249 kg/m³.
    constexpr double pound = 16.0185;  // kg/m³ in 1 lb/ft³
    EXPECT_NEAR(loose("native soil") / pound, 78, 0.5);
    EXPECT_NEAR(loose("fill") / pound, 78, 0.5);
    EXPECT_NEAR(loose("sand") / pound, 97, 0.5);
    EXPECT_NEAR(loose("joint sand") / pound, 97, 0.5);
    EXPECT_NEAR(loose("base stone") / pound, 100, 0.5);
    EXPECT_NEAR(loose("infill stone") / pound, 100, 0.5);
    EXPECT_NEAR(compacted("infill stone") / pound, 105, 0.5);
    // From memory: concrete units 145 lb/ft³, dense-graded base 140.
    EXPECT_NEAR(compacted("concrete unit") / pound, 145, 0.5);
    EXPECT_NEAR(compacted("base stone") / pound, 140, 0.5);
}

TEST(PublishedLayers, AFillOfTwelveInchesIsThreeLifts) {
    // Common practice, no source: a walk-behind plate compacts lifts of 4 in.
    const Model model = mustBuild(textOf({.base = "12 in", .baseMore = ", lift = \"4 in\""}));
    for (const LayerVolume& layer : volumes(model).layers) {
        if (layer.layer != model.findLayer("base")) continue;
        ASSERT_EQ(layer.lifts.size(), 3U);
        // 144 ft² of 4 in each.
        for (const LiftVolume& lift : layer.lifts) EXPECT_NEAR(lift.volume / cubicFoot, 48, 1e-6);
    }
}

TEST(PublishedEdging, SpikesTenInchesLongAFootApart) {
    // Common practice, no source: 3/8 x 10 in, 12 in apart on straights (from memory).
    const Model model = mustBuild(textOf({.more = ", edging = [ { edges = [2] } ]"}));
    ASSERT_GE(model.spikes.size(), 12U);
    std::vector<double> offsets;
    for (const Spike& spike : model.spikes) {
        EXPECT_NEAR(spike.length, 10 * inch, 1e-9);
        EXPECT_NEAR(spike.diameter, 3.0 / 8 * inch, 5e-5);
        offsets.push_back(model.toPlan(spike.at).y);
    }
    std::sort(offsets.begin(), offsets.end());
    for (size_t i = 1; i < offsets.size(); ++i) EXPECT_LE(offsets[i] - offsets[i - 1], 12 * inch + 1e-9);
}

}  // namespace
}  // namespace underfoot::outside
