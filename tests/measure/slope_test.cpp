#include "measure/slope.h"

#include <cmath>
#include <locale>

#include <gtest/gtest.h>

#include "measure/diagnostic.h"
#include "measure/number.h"

namespace underfoot {
namespace {

double readSlope(std::string_view text) {
    const auto slope = parseSlope(text);
    EXPECT_TRUE(slope) << text << ": " << (slope ? "" : slope.error());
    return slope.value_or(std::nan(""));
}

std::string slopeFault(std::string_view text) {
    const auto slope = parseSlope(text);
    EXPECT_FALSE(slope) << text << " was read as " << slope.value_or(0);
    return slope ? "" : slope.error();
}

TEST(SlopeReading, inchesPerFootAreTwelfths) {
    // Arithmetic: n in/ft = n / 12. 1/8 is 1:96, 3/16 is 1:64, 1/4 is 1:48.
    EXPECT_DOUBLE_EQ(readSlope("1/8 in/ft"), 1.0 / 96);
    EXPECT_DOUBLE_EQ(readSlope("3/16 in/ft"), 1.0 / 64);
    EXPECT_DOUBLE_EQ(readSlope("1/4 in/ft"), 1.0 / 48);
    EXPECT_DOUBLE_EQ(readSlope("3/8 in/ft"), 0.03125);
    EXPECT_DOUBLE_EQ(readSlope("1/2 in/ft"), 1.0 / 24);
}

TEST(SlopeReading, ratiosAreRiseToRun) {
    EXPECT_DOUBLE_EQ(readSlope("1:48"), 1.0 / 48);
    EXPECT_DOUBLE_EQ(readSlope("1:50"), 0.02);
    EXPECT_DOUBLE_EQ(readSlope("1:20"), 0.05);
    EXPECT_DOUBLE_EQ(readSlope("1:12"), 1.0 / 12);
    EXPECT_DOUBLE_EQ(readSlope("1:2"), 0.5);
    EXPECT_DOUBLE_EQ(readSlope("-1 : 40"), -0.025);
}

TEST(SlopeReading, aQuarterInchPerFootIsOneToFortyEight) {
    EXPECT_EQ(readSlope("1/4 in/ft"), readSlope("1:48"));
}

TEST(SlopeReading, twoPercentIsLessThanAQuarterInchPerFoot) {
    // The window between IRC R401.3 (2 %) and 2010 ADA 403.3 (1:48) is 0.1 in over 10 ft: 120 in / 48 - 120
    // in * 0.02.
    EXPECT_NEAR((readSlope("1/4 in/ft") - readSlope("2 %")) * 120, 0.1, 1e-12);
}

TEST(SlopeReading, takesTheOtherWays) {
    EXPECT_DOUBLE_EQ(readSlope("2 %"), 0.02);
    EXPECT_DOUBLE_EQ(readSlope("2%"), 0.02);
    EXPECT_DOUBLE_EQ(readSlope("1.5 percent"), 0.015);
    EXPECT_DOUBLE_EQ(readSlope("1/2 %"), 0.005);
    EXPECT_DOUBLE_EQ(readSlope("20 mm/m"), 0.02);
    EXPECT_DOUBLE_EQ(readSlope("1 cm/m"), 0.01);
    EXPECT_DOUBLE_EQ(readSlope("1/4 in per ft"), 1.0 / 48);
    EXPECT_DOUBLE_EQ(readSlope("1/4\"/ft"), 1.0 / 48);
    EXPECT_DOUBLE_EQ(readSlope("¼ in/ft"), 1.0 / 48);
    EXPECT_DOUBLE_EQ(readSlope("6 in / 10 ft"), 0.05);
    EXPECT_DOUBLE_EQ(readSlope("0.02"), 0.02);
    EXPECT_DOUBLE_EQ(readSlope("-0.02"), -0.02);
    EXPECT_DOUBLE_EQ(readSlope("0"), 0);
}

TEST(SlopeReading, refusesWhatItCannotReadWithASentence) {
    EXPECT_NE(slopeFault("").find("empty"), std::string::npos);
    EXPECT_NE(slopeFault("1/4").find("in/ft"), std::string::npos);
    EXPECT_NE(slopeFault("steep").find("not a slope"), std::string::npos);
    EXPECT_NE(slopeFault("1:0").find("more than zero"), std::string::npos);
    EXPECT_NE(slopeFault("1:-4").find("more than zero"), std::string::npos);
    EXPECT_NE(slopeFault("1/4 in/0 ft").find("more than zero"), std::string::npos);
    EXPECT_NE(slopeFault("3 per ft").find("needs its unit"), std::string::npos);
    slopeFault("1/4 in");
    slopeFault("2 %%");
    slopeFault("nan");
    slopeFault(":");
    slopeFault("/");
    slopeFault("%");
    slopeFault(" per ");
}

TEST(SlopeWriting, showsPercentAndInchesPerFoot) {
    EXPECT_EQ(formatSlope(1.0 / 48, {}), "2.08 % (1/4 in/ft)");
    EXPECT_EQ(formatPercent(1.0 / 48), "2.08 %");
    EXPECT_EQ(formatPercent(-1e-7), "0.00 %");
    EXPECT_EQ(formatSlope(1.0 / 64, {}), "1.56 % (3/16 in/ft)");
    EXPECT_EQ(formatSlope(1.0 / 96, {}), "1.04 % (1/8 in/ft)");
    EXPECT_EQ(formatSlope(0.15, {}), "15.00 % (1.80 in/ft)");
    EXPECT_EQ(formatSlope(0, {}), "0.00 % (0 in/ft)");
    EXPECT_EQ(formatSlope(-1.0 / 48, {}), "-2.08 % (-1/4 in/ft)");
    EXPECT_EQ(formatSlope(1.0 / 48, {LengthStyle::Metres, 16}), "2.08 %");
    EXPECT_EQ(formatSlope(std::nan(""), {}), "no slope");
}

TEST(SlopeWriting, writesNoFractionForWhatIsAHairOffIt) {
    EXPECT_EQ(formatSlope(0.02, {}), "2.00 % (0.24 in/ft)");
    EXPECT_EQ(formatSlope(0.021, {}), "2.10 % (0.25 in/ft)");
}

TEST(Numbers, readFractionsAndSigns) {
    EXPECT_DOUBLE_EQ(*parseNumber("1/2"), 0.5);
    EXPECT_DOUBLE_EQ(*parseNumber("-1 1/2"), -1.5);
    EXPECT_DOUBLE_EQ(*parseNumber(" 30 "), 30);
    EXPECT_FALSE(parseNumber("30 x"));
    EXPECT_FALSE(parseNumber("-"));
    EXPECT_FALSE(parseNumber("."));
}

TEST(Diagnostics, areWrittenOnOneLine) {
    const Diagnostic whole{{"a.toml", 0, 0}, "It is empty.", "Write a plan."};
    const Diagnostic placed{{"a.toml", 12, 5}, "It is wrong.", "Mend it."};
    EXPECT_EQ(formatDiagnostic(whole), "a.toml: It is empty. Write a plan.");
    EXPECT_EQ(formatDiagnostic(placed), "a.toml:12:5: It is wrong. Mend it.");
}

}  // namespace
}  // namespace underfoot
