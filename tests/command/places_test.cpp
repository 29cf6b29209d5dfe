// Lengths, stations, places and sizes as the command line takes them.

#include "command/places.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>

namespace underfoot::command {
namespace {

using testing::HasSubstr;

constexpr double foot = 0.3048;

Plan feetPlan() {
    return {};
}

Plan metresPlan() {
    Plan plan;
    plan.bareUnit = LengthUnit::Metre;
    plan.show.style = LengthStyle::Metres;
    return plan;
}

TEST(Stations, BareNumbersCountInThePlansUnit) {
    EXPECT_NEAR(readStation("14", feetPlan()).value(), 14 * foot, 1e-12);
    EXPECT_NEAR(readStation("14", metresPlan()).value(), 14, 1e-12);
    EXPECT_NEAR(readStation("12 ft 6 in", metresPlan()).value(), 12.5 * foot, 1e-12);
}

TEST(Stations, FullStationsAreAHundredFeetOrAThousandMetres) {
    EXPECT_NEAR(readStation("1+25.5", feetPlan()).value(), 125.5 * foot, 1e-12);
    EXPECT_NEAR(readStation("0+14.3", feetPlan()).value(), 14.3 * foot, 1e-12);
    EXPECT_NEAR(readStation("2+004.36", metresPlan()).value(), 2004.36, 1e-12);
}

TEST(Stations, AMinusCountsForTheWhole) {
    // -0+05 lies 5 ft before the start; -1+25 is -(100 + 25).
    EXPECT_NEAR(readStation("-0+05", feetPlan()).value(), -5 * foot, 1e-12);
    EXPECT_NEAR(readStation("-1+25", feetPlan()).value(), -125 * foot, 1e-12);
}

TEST(Stations, WhatIsNoStationIsRefusedWithASentence) {
    for (const char* text : {"", "north", "1+", "+", "1+2+3", "1+2x"}) {
        const auto station = readStation(text, feetPlan());
        ASSERT_FALSE(station.has_value()) << text;
        EXPECT_FALSE(station.error().empty());
    }
}

TEST(Places, StationAndOffsetFollowTheBaseline) {
    Plan plan = feetPlan();
    plan.baseline.from = {1, 2};
    plan.baseline.to = {1, 12};  // runs along +y, so positive offsets to the left run along -x
    const auto place = readStationOffset("10 ft, 5 ft", plan);
    ASSERT_TRUE(place.has_value());
    EXPECT_NEAR(place->x, 1 - 5 * foot, 1e-12);
    EXPECT_NEAR(place->y, 2 + 10 * foot, 1e-12);
}

TEST(Places, NegativeNumbersAreRead) {
    const auto place = readXY("-3,-4", feetPlan());
    ASSERT_TRUE(place.has_value());
    EXPECT_NEAR(place->x, -3 * foot, 1e-12);
    EXPECT_NEAR(place->y, -4 * foot, 1e-12);
}

TEST(Places, OneCommaIsWanted) {
    for (const char* text : {"14", "14,9,2", ""})
        EXPECT_THAT(readXY(text, feetPlan()).error(), HasSubstr("X,Y"));
}

TEST(Lines, BlanksOrSemicolonsStandBetweenPlaces) {
    const auto blanks = readLine("0,5 26,5  26,9", feetPlan());
    const auto semicolons = readLine("0,5; 26 ft, 5 ft; 26,9;", feetPlan());
    ASSERT_TRUE(blanks.has_value());
    ASSERT_TRUE(semicolons.has_value());
    EXPECT_EQ(blanks->size(), 3u);
    EXPECT_EQ(*blanks, *semicolons);
}

TEST(Lines, OnePlaceIsNoLine) {
    EXPECT_THAT(readLine("3,4", feetPlan()).error(), HasSubstr("two places"));
    EXPECT_THAT(readLine("", feetPlan()).error(), HasSubstr("two places"));
}

TEST(Sizes, FromSixteenPixelsToEightThousand) {
    EXPECT_EQ(readSize("1600x1000").value(), glm::ivec2(1600, 1000));
    EXPECT_EQ(readSize("16x8192").value(), glm::ivec2(16, 8192));
    for (const char* text : {"15x100", "100x8193", "100", "axb", "10x10x10", "-100x100", "1e3x100"})
        EXPECT_FALSE(readSize(text).has_value()) << text;
}

TEST(Scales, WithOrWithoutTheOne) {
    EXPECT_EQ(readScale("1:20").value(), 20);
    EXPECT_EQ(readScale("50").value(), 50);
    for (const char* text : {"0", "1:0", "-5", "2:1", "1:20.5", "big", "1:10001"})
        EXPECT_FALSE(readScale(text).has_value()) << text;
}

}  // namespace
}  // namespace underfoot::command
