#include "study/cautions.h"

#include <filesystem>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "outside/published_plan.h"

namespace underfoot {
namespace {

using outside::mustBuild;
using outside::planText;
using testing::HasSubstr;

const Caution& of(const CautionsPage& page, const std::string& key) {
    for (const Caution& one : page.cautions)
        if (one.key == key) return one;
    ADD_FAILURE() << key;
    return page.cautions.front();
}
std::string here(const Caution& one) {
    std::string text;
    for (const std::string& sentence : one.here) text += sentence + ' ';
    return text;
}

/// 20 x 10 ft with its formation at 0 under level ground.
CautionsPage page(const std::string& ground, const std::string& more) {
    const Model model = mustBuild(planText(
        "rectangle = { corner = [0, 0], size = [20, 10] }", 4, "at = [0, 0], level = 1",
        "shots = [ [-5, -5, " + ground + "], [25, -5, " + ground + "], [25, 15, " + ground + "] ]\n" + more));
    return cautionsPage(model, loadCatalogue(model.plan));
}
const std::string us = "[code]\ncountry = \"US\"\n";

// 29 CFR 1926.652(a): protection from 5 ft.
TEST(Cautions, OpenCutIsPastItsLimitFromFiveFeetInTheUs) {
    EXPECT_TRUE(of(page("5", us), "open cuts").pastLimit);
    const CautionsPage less = page("4.99", us);
    EXPECT_TRUE(of(less, "open cuts").applies);
    EXPECT_FALSE(of(less, "open cuts").pastLimit);
    EXPECT_THAT(here(of(less, "open cuts")), HasSubstr("4' 11 7/8\" below the ground"));
    EXPECT_THAT(of(less, "open cuts").said.back().sentence, HasSubstr("5' 0\" deep"));
}

TEST(Cautions, OtherCountriesSeeNoRuleOfTheUsButAreSentToTheirOwn) {
    for (const char* code : {"", "[code]\ncountry = \"NZ\"\n"}) {
        const CautionsPage found = page("9", code);
        for (const Caution& one : found.cautions) {
            EXPECT_EQ(one.said.size(), 1u) << one.key;
            EXPECT_THAT(one.ask, HasSubstr("your local")) << one.key;
        }
        EXPECT_FALSE(of(found, "open cuts").pastLimit);
    }
    EXPECT_TRUE(of(page("9", us), "open cuts").ask.empty());
}

TEST(Cautions, ThePlansOwnLimitRulesAnywhereWithItsReason) {
    const std::string own = "[[limit]]\nrule = \"dig.protect\"\nvalue = \"4 ft\"\nreason = \"Site rules.\"\n";
    const CautionsPage anywhere = page("4.5", own), inUs = page("4.5", own + us);
    EXPECT_TRUE(of(anywhere, "open cuts").pastLimit);
    EXPECT_THAT(of(anywhere, "open cuts").said.back().sentence, HasSubstr("Here: 4' 0\"."));
    EXPECT_THAT(of(anywhere, "open cuts").said.back().source, HasSubstr("Site rules."));
    EXPECT_TRUE(of(inUs, "open cuts").pastLimit);
    EXPECT_THAT(of(inUs, "open cuts").said.back().sentence, HasSubstr("protected from 4' 0\" deep"));
    EXPECT_THAT(of(inUs, "open cuts").said.back().source, HasSubstr("published: 60\""));
}

// IFC 307.4: 25 ft. From the house's corner (20, -25) to the fire's (27, -1) it is 7 over and 24 out: 25 ft.
TEST(Cautions, FireIsHeldToItsDistanceFromTheHouse) {
    const std::string house = us +
                              "[[fixed]]\nkind = \"house\"\nname = \"house\"\ntop = 9\nbottom = -9\n"
                              "rectangle = { corner = [0, -35], size = [20, 10] }\n";
    const auto fire = [&](const char* corner, const char* more = "") {
        return of(page("2", house + "[[fire]]\nname = \"pit\"\nrectangle = { corner = " + corner +
                                ", size = [2, 2] }\n" + more),
                  "fire");
    };
    EXPECT_FALSE(fire("[27, -1]").pastLimit);
    EXPECT_THAT(here(fire("[27, -1]")), HasSubstr("\"pit\" stands 25' 0\" from \"house\"."));
    const Caution near = fire("[27, -1.01]");
    EXPECT_TRUE(near.pastLimit);
    // 7² + 23.99² = 24.9904²: 0.0096 ft short, 1/8 in.
    EXPECT_THAT(here(near), HasSubstr("That is 1/8\" less than the 25' 0\""));
    EXPECT_FALSE(fire("[5, -10]", "portable = true\n").pastLimit);  // 15 ft
    EXPECT_TRUE(fire("[5, -10.01]", "portable = true\n").pastLimit);
    EXPECT_THAT(here(fire("[5, -30]")), HasSubstr("stands 0\" from"));  // inside the house
    EXPECT_FALSE(of(page("2", house), "fire").applies);
}

// The pipe's top is its invert and 4 in: at -1 ft it lies 8 in below the formation.
TEST(Cautions, PipesThatTheDigMeetsOrComesNearAreNamed) {
    const auto lines = [](const std::string& invert) {
        return here(
            of(page("2",
                    "[[pipe]]\nname = \"gas\"\ndiameter = \"4 in\"\npoints = [ { at = [5, -2], invert "
                    "= " +
                        invert + " }, { at = [5, 12], invert = " + invert + " } ]\n"),
               "buried lines"));
    };
    EXPECT_THAT(lines("-1"), HasSubstr("comes within 8\" of the top of the plan's pipe \"gas\""));
    EXPECT_THAT(lines("-0.2"), HasSubstr("meets the plan's pipe \"gas\""));
    EXPECT_THAT(lines("-3"), testing::Not(HasSubstr("gas")));
}

// The area begins at x = 0; a pipe of 4 in runs beside it, its side 2 in nearer than its middle.
TEST(Cautions, PipesBesideTheDigAreNamedToo) {
    const auto lines = [](const std::string& x, const std::string& invert) {
        const std::string ends = "{ at = [" + x + ", -2], invert = " + invert + " }, { at = [" + x +
                                 ", 12], invert = " + invert + " }";
        return here(
            of(page("2", "[[pipe]]\nname = \"gas\"\ndiameter = \"4 in\"\npoints = [ " + ends + " ]\n"),
               "buried lines"));
    };
    EXPECT_THAT(lines("-1", "0.5"), HasSubstr("comes within 10\" of the side of the plan's pipe \"gas\""));
    EXPECT_THAT(lines("-1", "-2.3"), HasSubstr("of the side of"));  // its top 23.6 in below the formation
    EXPECT_THAT(lines("-1", "-2.4"), testing::Not(HasSubstr("gas")));
    EXPECT_THAT(lines("-2.2", "0.5"), testing::Not(HasSubstr("gas")));  // 24.4 in off; 24 in are dug by hand
}

TEST(Cautions, FoundationIsComparedWithTheDigBesideIt) {
    const auto beside = [](const std::string& bottom, const std::string& y) {
        return of(page("2", "[[fixed]]\nkind = \"house\"\nname = \"house\"\ntop = 9\nbottom = " + bottom +
                                "\nrectangle = { corner = [0, " + y + "], size = [20, 5] }\n"),
                  "foundations");
    };
    EXPECT_TRUE(beside("0.5", "-5").pastLimit);
    EXPECT_THAT(here(beside("0.5", "-5")), HasSubstr("6\" below its underside"));
    EXPECT_FALSE(beside("-1", "-5").pastLimit);
    EXPECT_THAT(here(beside("-1", "-5")), HasSubstr("ends 1' 0\" above its underside"));
    // 3.5 ft off is farther than the 3 ft that are looked at; the wall that the area stands against is left.
    EXPECT_THAT(here(beside("0.5", "-8.5")), HasSubstr("whose underside the plan doesn't give"));
}

TEST(Cautions, FoundationBesideTheMiddleOfALongSideIsSeen) {
    // A pier of 1 ft, 0.8 ft beyond the far side of the 20 ft wide area: no corner of the area is within 3 ft
    // of it. And one that stands within the area.
    for (const char* corner : {"[9.5, 10.8]", "[9.5, 5]"}) {
        const Caution found =
            of(page("2", std::string("[[fixed]]\nkind = \"wall\"\nname = \"pier\"\ntop = 9\nbottom = 0.5"
                                     "\nrectangle = { corner = ") +
                             corner + ", size = [1, 1] }\n"),
               "foundations");
        EXPECT_TRUE(found.pastLimit) << corner;
        EXPECT_THAT(here(found), HasSubstr("6\" below its underside")) << corner;
    }
}

class CautionsOfScene : public testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(All, CautionsOfScene, testing::Values("first-plan", "terrace", "courtyard", "seat"));

TEST_P(CautionsOfScene, AllSentencesHaveSourcesAndTheLastDefers) {
    const auto plan = readPlan(std::filesystem::path(UNDERFOOT_SOURCE_DIR) / "scenes" /
                               (std::string(GetParam()) + ".toml"));
    const Model model = mustBuild(*plan);
    const CautionsPage found = cautionsPage(model, loadCatalogue(model.plan));
    EXPECT_EQ(found.cautions.size(), loadCatalogue().cautions.size());
    bool applied = true;
    for (const Caution& one : found.cautions) {
        EXPECT_FALSE(one.here.empty()) << one.key;
        EXPECT_TRUE(applied || !one.applies) << "those that apply come first";
        applied = one.applies;
        for (const Sourced& said : one.said) {
            EXPECT_FALSE(said.source.empty()) << one.key;
            EXPECT_EQ(said.sentence.find('{'), std::string::npos) << said.sentence;
        }
    }
    EXPECT_THAT(found.closing, HasSubstr("Local codes"));
    EXPECT_THAT(found.closing, HasSubstr("licensed practice rule"));
}

}  // namespace
}  // namespace underfoot
