#include "plan/catalogue.h"

#include <set>

#include <gtest/gtest.h>

#include "plan_text.h"

namespace underfoot {
namespace {

using test::inch;

double valueOf(const char* rule) {
    const Catalogue catalogue = loadCatalogue();
    const Limit* limit = catalogue.findLimit(rule);
    EXPECT_NE(limit, nullptr) << rule;
    return limit ? limit->value : -1;
}

TEST(Limits, areThePublishedOnes) {
    // IRC R401.3 and its exception; 2010 ADA Standards 403.3.
    EXPECT_DOUBLE_EQ(valueOf("slope.least"), 0.02);
    EXPECT_DOUBLE_EQ(valueOf("slope.least.ground"), 0.05);
    EXPECT_DOUBLE_EQ(valueOf("slope.least.within"), 120 * inch);
    EXPECT_DOUBLE_EQ(valueOf("slope.greatest.cross"), 1.0 / 48);
    EXPECT_DOUBLE_EQ(valueOf("slope.greatest.running"), 1.0 / 20);
    // ICPI, Construction Tolerances and Recommendations for Interlocking Concrete Pavements.
    EXPECT_DOUBLE_EQ(valueOf("finish.deviation"), 0.375 * inch);
    EXPECT_DOUBLE_EQ(valueOf("proud"), 0.125 * inch);
    EXPECT_DOUBLE_EQ(valueOf("base.least.patio"), 4 * inch);
    EXPECT_DOUBLE_EQ(valueOf("base.over"), 0.75 * inch);
    EXPECT_DOUBLE_EQ(valueOf("base.under"), 0.5 * inch);
    EXPECT_DOUBLE_EQ(valueOf("bedding.nominal"), inch);
    EXPECT_DOUBLE_EQ(valueOf("cut_unit.least_part"), 1.0 / 3);
    EXPECT_DOUBLE_EQ(valueOf("cut_unit.least_width"), 0.375 * inch);
    // From memory: 3/4 to 1 1/2 in. Judgement: 12 in over a pipe.
    EXPECT_DOUBLE_EQ(valueOf("bedding.least"), 0.75 * inch);
    EXPECT_DOUBLE_EQ(valueOf("bedding.greatest"), 1.5 * inch);
    EXPECT_DOUBLE_EQ(valueOf("pipe.cover.least"), 12 * inch);
}

TEST(Limits, haveOneNameASentenceAndASource) {
    std::set<std::string> names;
    for (const Limit& limit : loadCatalogue().limits) {
        EXPECT_TRUE(names.insert(limit.rule).second) << limit.rule;
        EXPECT_TRUE(limit.sentence.ends_with('.')) << limit.rule;
        EXPECT_FALSE(limit.source.empty()) << limit.rule;
        EXPECT_TRUE(limit.reason.empty());
        EXPECT_EQ(limit.value, limit.published);
    }
    EXPECT_EQ(loadCatalogue().findLimit("no such rule"), nullptr);
}

TEST(Limits, aPlanOverridesWithItsReason) {
    const Catalogue catalogue = loadCatalogue(test::sound(test::soundPlan));
    const Limit* limit = catalogue.findLimit("bedding.least");
    ASSERT_NE(limit, nullptr);
    EXPECT_DOUBLE_EQ(limit->value, 0.25 * inch);
    EXPECT_DOUBLE_EQ(limit->published, 0.75 * inch);
    EXPECT_EQ(limit->reason, "Panel maker's sheet asks for no more.");
    EXPECT_DOUBLE_EQ(catalogue.findLimit("proud")->value, 0.125 * inch);
}

TEST(Limits, areReadInTheirOwnUnit) {
    const auto read = [](const char* rule, const char* value) {
        return test::sound(test::edited("rule = \"bedding.least\"\nvalue = \"1/4 in\"",
                                        std::string("rule = \"") + rule + "\"\nvalue = " + value))
            .limits[0]
            .value;
    };
    EXPECT_DOUBLE_EQ(read("slope.least", "\"1/4 in/ft\""), 1.0 / 48);
    EXPECT_DOUBLE_EQ(read("cut_unit.least_part", "\"1/4\""), 0.25);
    EXPECT_DOUBLE_EQ(read("pipe.cover.least", "2"), 24 * inch);
}

TEST(Materials, everyRoleHasOne) {
    const Catalogue catalogue = loadCatalogue();
    for (int i = 0; i <= static_cast<int>(Role::NativeSoil); ++i) {
        const Role role = static_cast<Role>(i);
        EXPECT_EQ(catalogue.material("", role).name, defaultMaterial(role));
        EXPECT_EQ(catalogue.material("concrete", role).name, "concrete");
        EXPECT_EQ(catalogue.material("no such thing", role).name, defaultMaterial(role));
    }
}

TEST(Materials, areWhole) {
    const std::set<std::string> grains{"soil",  "fill", "fabric",   "stone",  "sand",
                                       "panel", "unit", "concrete", "pebble", "edging"};
    const std::set<std::string> hatches{"earth", "fill", "membrane", "crushed stone", "sand",
                                        "panel", "unit", "concrete", "pebble",        "solid"};
    const std::set<std::string> ways{"ton", "cubic yard", "bag", "piece", "roll"};
    for (const Material& material : loadCatalogue().materials) {
        EXPECT_TRUE(grains.contains(material.grain)) << material.name;
        EXPECT_TRUE(hatches.contains(material.hatch)) << material.name;
        EXPECT_TRUE(ways.contains(material.boughtBy)) << material.name;
        EXPECT_TRUE(material.purpose.ends_with('.')) << material.name;
        EXPECT_GT(material.densityLoose, 0);
        EXPECT_GE(material.densityCompacted, material.densityLoose);
        for (const double part : material.colour) {
            EXPECT_GE(part, 0);
            EXPECT_LE(part, 1);
        }
    }
}

TEST(Supplies, sayWhatABagHolds) {
    const Catalogue catalogue = loadCatalogue();
    for (const Material& material : catalogue.materials) {
        if (material.boughtBy != "bag") continue;
        const Supply supply = catalogue.supplyOf(material.name);
        EXPECT_TRUE(supply.bagMass > 0 || supply.bagVolume > 0) << material.name;
    }
}

TEST(Supplies, aPlanSaysHowItBuysAndWhatThatCosts) {
    const Plan plan = test::sound(std::string(test::soundPlan) + R"(
[prices]
currency = "crowns"
[[price]]
material = "base stone"
per = "cubic yard"
price = 31.5
[[material]]
name = "base stone"
bought_by = "cubic yard"
density_compacted = "150 lb/ft3"
[[material]]
name = "geotextile"
roll = ["4 ft", "100 ft"]
[[carrier]]
kind = "truck"
name = "tandem"
holds = "10 yd3"
carries = "14 ton"
)");
    const Catalogue catalogue = loadCatalogue(plan);
    const Material& stone = *catalogue.findMaterial("base stone");
    EXPECT_EQ(stone.boughtBy, "cubic yard");
    EXPECT_NEAR(stone.densityCompacted, 150 * 16.018463, 1e-3);  // 1 lb/ft³ is 16.018463 kg/m³
    EXPECT_DOUBLE_EQ(catalogue.supplyOf("geotextile").roll.length, 1200 * inch);
    EXPECT_DOUBLE_EQ(catalogue.supplyOf("geotextile").roll.width, 48 * inch);
    EXPECT_EQ(plan.currency, "crowns");
    EXPECT_DOUBLE_EQ(plan.prices.at(0).amount, 31.5);
    EXPECT_NEAR(plan.carriers.at(0).holds, 7.645549, 1e-6);     // 10 yd³
    EXPECT_NEAR(plan.carriers.at(0).carries, 12700.586, 1e-3);  // 28,000 lb
    // In a plan that shows metres, tonnes and metric sizes.
    Plan metric;
    metric.show.style = LengthStyle::Metres;
    EXPECT_EQ(loadCatalogue(metric).findMaterial("base stone")->boughtBy, "tonne");
    EXPECT_DOUBLE_EQ(loadCatalogue(metric).supplyOf("edging").stock, 2.5);
}

TEST(Supplies, whatCannotBeIsToldWithItsRemedy) {
    const auto fault = [](const char* more) {
        const auto plan = readPlanText(std::string(test::soundPlan) + more, "test.toml", "");
        return plan ? std::string() : formatDiagnostic(plan.error().at(0));
    };
    const char* perTon = "\n[prices]\ncurrency = \"crowns\"\n[[price]]\nmaterial = \"base stone\"\nper = ";
    EXPECT_NE(fault((std::string(perTon) + "\"bag\"\nprice = 3").c_str()).find("it is bought by ton"),
              std::string::npos);
    EXPECT_NE(fault((std::string(perTon) + "\"ton\"\nprice = -3").c_str()).find("can't be used"),
              std::string::npos);
    EXPECT_NE(fault("\n[[price]]\nmaterial = \"sand\"\nper = \"ton\"\nprice = 3").find("currency"),
              std::string::npos);
    EXPECT_NE(fault("\n[[material]]\nname = \"base ston\"").find("\"base stone\""), std::string::npos);
    EXPECT_NE(fault("\n[[material]]\nname = \"edging\"\nbought_by = \"ton\"").find("always bought by piece"),
              std::string::npos);
    EXPECT_NE(fault("\n[[material]]\nname = \"base stone\"\nbought_by = \"bag\"").find("what a bag holds"),
              std::string::npos);
    EXPECT_NE(fault("\n[[material]]\nname = \"sand\"\nbag = \"big\"").find("50 lb"), std::string::npos);
    // Panels of a millimetre would be millions.
    const std::string panel = "\n[[material]]\nname = \"underlayment panel\"\npanel = ";
    EXPECT_NE(fault((panel + "[\"1 mm\", \"600 mm\"]").c_str()).find("at least"), std::string::npos);
    EXPECT_EQ(fault((panel + "[\"100 mm\", \"600 mm\"]").c_str()), "");
    EXPECT_NE(fault("\n[[material]]\nname = \"geotextile\"\nroll = [\"1 mm\", \"30 m\"]").find("at least"),
              std::string::npos);
    EXPECT_NE(fault("\n[[material]]\nname = \"edging\"\nstock = \"99 mm\"").find("at least"),
              std::string::npos);
}

TEST(Materials, takeTheirColourFromSixDigits) {
    // #E3C78F: 227, 199, 143 of 255.
    const Catalogue catalogue = loadCatalogue();
    const auto& colour = catalogue.material("sand", Role::Bedding).colour;
    EXPECT_DOUBLE_EQ(colour[0], 227.0 / 255);
    EXPECT_DOUBLE_EQ(colour[1], 199.0 / 255);
    EXPECT_DOUBLE_EQ(colour[2], 143.0 / 255);
}

TEST(Materials, aSlabWeighsWhatItShould) {
    // 24 x 24 x 2 in at 145 lb/ft³ is 0.6667 ft³, 96.7 lb: 43.9 kg (1 lb = 0.45359237 kg). 2320 kg/m³ is
    // 144.8 lb/ft³.
    const double volume = 24 * 24 * 2 * inch * inch * inch;
    const Catalogue catalogue = loadCatalogue();
    EXPECT_NEAR(catalogue.material("concrete unit", Role::Units).densityCompacted * volume, 96.7 * 0.45359237,
                0.1);
}

}  // namespace
}  // namespace underfoot
