#include "measure/length.h"
#include "measure/mass.h"
#include "measure/number.h"

#include <clocale>
#include <cmath>
#include <limits>
#include <locale>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace underfoot {
namespace {

constexpr double inch = 0.0254;
constexpr double foot = 0.3048;

double read(std::string_view text, LengthUnit bare = LengthUnit::Foot) {
    const auto metres = parseLength(text, bare);
    EXPECT_TRUE(metres) << text << ": " << (metres ? "" : metres.error());
    return metres.value_or(std::nan(""));
}

std::string fault(std::string_view text, LengthUnit bare = LengthUnit::Foot) {
    const auto metres = parseLength(text, bare);
    EXPECT_FALSE(metres) << text << " was read as " << metres.value_or(0);
    return metres ? "" : metres.error();
}

TEST(LengthReading, takesFeetAndInchesInWords) {
    EXPECT_DOUBLE_EQ(read("12 ft 6 1/2 in"), 150.5 * inch);
    EXPECT_DOUBLE_EQ(read("12ft 6.5in"), 150.5 * inch);
    EXPECT_DOUBLE_EQ(read("99 ft 8 in"), 1196 * inch);
    EXPECT_DOUBLE_EQ(read("100 ft"), 30.48);
    EXPECT_DOUBLE_EQ(read("2 feet 3 inches"), 27 * inch);
    EXPECT_DOUBLE_EQ(read("1 foot 1 inch"), 13 * inch);
}

TEST(LengthReading, takesMarks) {
    EXPECT_DOUBLE_EQ(read("12' 6-1/2\""), 150.5 * inch);
    EXPECT_DOUBLE_EQ(read("12'-6 1/2\""), 150.5 * inch);
    EXPECT_DOUBLE_EQ(read("12'6\""), 150 * inch);
    EXPECT_DOUBLE_EQ(read("12'"), 12 * foot);
    EXPECT_DOUBLE_EQ(read("6''"), 6 * inch);
    EXPECT_DOUBLE_EQ(read("12' 6"), 150 * inch);
}

TEST(LengthReading, takesTypographicMarks) {
    EXPECT_DOUBLE_EQ(read("12′ 6½″"), 150.5 * inch);
    EXPECT_DOUBLE_EQ(read("12’ 6”"), 150 * inch);
    EXPECT_DOUBLE_EQ(read("3⁄8 in"), 0.375 * inch);
    EXPECT_DOUBLE_EQ(read("⅜ in"), 0.375 * inch);
    EXPECT_DOUBLE_EQ(read("−2 in"), -2 * inch);
    EXPECT_DOUBLE_EQ(read("12\u00A0ft"), 12 * foot);
}

TEST(LengthReading, takesFractions) {
    EXPECT_DOUBLE_EQ(read("3/8 in"), 0.375 * inch);
    EXPECT_DOUBLE_EQ(read("1 7/16 in"), 1.4375 * inch);
    EXPECT_DOUBLE_EQ(read("1/2 ft"), 0.5 * foot);
    EXPECT_DOUBLE_EQ(read("3/8", LengthUnit::Inch), 0.375 * inch);
}

TEST(LengthReading, takesMetricUnits) {
    EXPECT_DOUBLE_EQ(read("3.81 m"), 3.81);
    EXPECT_DOUBLE_EQ(read("38 mm"), 0.038);
    EXPECT_DOUBLE_EQ(read("15 cm"), 0.15);
    EXPECT_DOUBLE_EQ(read("2 yd"), 6 * foot);
}

TEST(LengthReading, givesBareNumbersThePlansUnit) {
    EXPECT_DOUBLE_EQ(read("12", LengthUnit::Foot), 12 * foot);
    EXPECT_DOUBLE_EQ(read("12.5", LengthUnit::Inch), 12.5 * inch);
    EXPECT_DOUBLE_EQ(read("12", LengthUnit::Metre), 12);
    EXPECT_DOUBLE_EQ(read(".5", LengthUnit::Millimetre), 0.0005);
}

TEST(LengthReading, takesASignForTheWhole) {
    EXPECT_DOUBLE_EQ(read("-2 in"), -2 * inch);
    EXPECT_DOUBLE_EQ(read("-1' 6\""), -18 * inch);
    EXPECT_DOUBLE_EQ(read("+6 in"), 6 * inch);
}

TEST(LengthReading, refusesAFractionWithoutAUnitInFeet) {
    // In a plan in feet "3/8" would be 4 1/2 in; nobody means that.
    EXPECT_NE(fault("3/8").find("needs its unit"), std::string::npos);
    EXPECT_NE(fault("1 1/2", LengthUnit::Metre).find("needs its unit"), std::string::npos);
}

TEST(LengthReading, refusesWhatItCannotReadWithASentence) {
    EXPECT_NE(fault("").find("empty"), std::string::npos);
    EXPECT_NE(fault("about a foot").find("number"), std::string::npos);
    EXPECT_NE(fault("3 furlong").find("furlong"), std::string::npos);
    EXPECT_NE(fault("3,81 m").find("comma"), std::string::npos);
    EXPECT_NE(fault("1/0 in").find("zero"), std::string::npos);
    EXPECT_NE(fault("12 ft 6 m").find("inches"), std::string::npos);
    EXPECT_NE(fault("6 in 2 ft").find("2 ft"), std::string::npos);
    EXPECT_NE(fault("12 6").find("can't be read"), std::string::npos);
    EXPECT_NE(fault("12 ft 6 in 3").find("can't be read"), std::string::npos);
    EXPECT_NE(fault("--3 in").find("number"), std::string::npos);
    EXPECT_NE(fault(std::string(400, '9') + " in").find("too large"), std::string::npos);
    fault("nan");
    fault("inf in");
    fault("0x10 in");
    fault("1e3 in");
}

TEST(LengthWriting, dropsTheEmptyPartOfShortLengths) {
    const LengthFormat sixteenths{LengthStyle::FeetInches, 16};
    EXPECT_EQ(formatLength(7.0 / 16 * inch, sixteenths), "7/16\"");
    EXPECT_EQ(formatLength(6.5 * inch, sixteenths), "6 1/2\"");
    EXPECT_EQ(formatLength(0, sixteenths), "0\"");
    EXPECT_EQ(formatLength(0.038, {LengthStyle::Metres, 16}), "38 mm");
}

TEST(LengthWriting, writesTheThreeStyles) {
    // 12 ft 6 1/2 in = 150.5 in = 3.8227 m = 12.541666… ft
    EXPECT_EQ(formatLength(150.5 * inch, {LengthStyle::FeetInches, 16}), "12' 6 1/2\"");
    EXPECT_EQ(formatLength(150.5 * inch, {LengthStyle::DecimalFeet, 16}), "12.542 ft");
    EXPECT_EQ(formatLength(150.5 * inch, {LengthStyle::Metres, 16}), "3.823 m");
    EXPECT_EQ(formatLength(12 * foot, {LengthStyle::FeetInches, 16}), "12' 0\"");
    EXPECT_EQ(formatLength(144.25 * inch, {LengthStyle::FeetInches, 16}), "12' 0 1/4\"");
}

TEST(LengthWriting, roundsHalfAwayFromZero) {
    const LengthFormat half{LengthStyle::FeetInches, 2};
    EXPECT_EQ(formatLength(0.25 * inch, half), "1/2\"");
    EXPECT_EQ(formatLength(-0.25 * inch, half), "-1/2\"");
    EXPECT_EQ(formatLength(0.2499 * inch, half), "0\"");
    EXPECT_EQ(formatLength(-0.2 * inch, half), "0\"");  // no sign on nothing
    EXPECT_EQ(formatLength(1.0005, {LengthStyle::Metres, 16}), "1.001 m");
    EXPECT_EQ(formatLength(0.9996, {LengthStyle::Metres, 16}), "1.000 m");
    EXPECT_EQ(formatLength(0.0005 * foot, {LengthStyle::DecimalFeet, 16}), "0.001 ft");
}

TEST(LengthWriting, carriesIntoTheNextInchAndFoot) {
    const LengthFormat sixteenths{LengthStyle::FeetInches, 16};
    EXPECT_EQ(formatLength(11.99 * inch, sixteenths), "1' 0\"");
    EXPECT_EQ(formatLength(23.98 * inch, sixteenths), "2' 0\"");
}

TEST(LengthWriting, writesThicknessInInchesOnly) {
    EXPECT_EQ(formatThickness(1.4375 * inch, {LengthStyle::FeetInches, 16}), "1 7/16\"");
    EXPECT_EQ(formatThickness(14.5 * inch, {LengthStyle::FeetInches, 16}), "14 1/2\"");
    EXPECT_EQ(formatThickness(0.038, {LengthStyle::Metres, 16}), "38 mm");
    EXPECT_EQ(formatThickness(0.0016, {LengthStyle::Metres, 16}), "1.6 mm");
    EXPECT_EQ(formatThickness(0.002, {LengthStyle::Metres, 16}), "2 mm");
    EXPECT_EQ(formatThickness(0.1 * foot, {LengthStyle::DecimalFeet, 16}), "0.100 ft");
}

TEST(LengthWriting, writesStations) {
    // 0+00 and 1+25: US Navy Engineering Aid manuals; the tenth is this program's own.
    const LengthFormat feet{LengthStyle::FeetInches, 16};
    EXPECT_EQ(formatStation(14.3 * foot, feet), "0+14.3");
    EXPECT_EQ(formatStation(0, feet), "0+00.0");
    EXPECT_EQ(formatStation(125 * foot, feet), "1+25.0");
    EXPECT_EQ(formatStation(99.96 * foot, feet), "1+00.0");
    EXPECT_EQ(formatStation(-14.3 * foot, feet), "-0+14.3");
    EXPECT_EQ(formatStation(-0.01 * foot, feet), "0+00.0");
    EXPECT_EQ(formatStation(14.28 * foot, feet, StationFor::Set), "0+14.28");
    EXPECT_EQ(formatStation(99.996 * foot, feet, StationFor::Set), "1+00.00");
    EXPECT_EQ(formatStation(-3 * foot, feet, StationFor::Set), "-0+03.00");
    EXPECT_EQ(formatStation(4.36, {LengthStyle::Metres, 16}, StationFor::Set), "0+004.36");
    EXPECT_EQ(formatStation(4.36, {LengthStyle::Metres, 16}), "0+004.36");
    EXPECT_EQ(formatStation(1234.5, {LengthStyle::Metres, 16}), "1+234.50");
}

TEST(LengthWriting, writesAreasAndVolumes) {
    const LengthFormat feet{LengthStyle::FeetInches, 16}, metres{LengthStyle::Metres, 16};
    EXPECT_EQ(formatArea(10 * foot * foot, feet), "10.0 ft²");
    EXPECT_EQ(formatArea(10, metres), "10.00 m²");
    EXPECT_EQ(formatVolume(27 * foot * foot * foot, feet), "27.0 ft³");
    EXPECT_EQ(formatVolume(27 * foot * foot * foot, feet, true), "1.00 yd³");
    EXPECT_EQ(formatVolume(1.25, metres), "1.250 m³");
}

TEST(LengthWriting, setsThousandsApart) {
    EXPECT_EQ(grouped("999"), "999");
    EXPECT_EQ(grouped("1000"), "1,000");
    EXPECT_EQ(grouped("-999.5"), "-999.5");
    EXPECT_EQ(grouped("-12345.6789"), "-12,345.6789");
    EXPECT_EQ(formatVolume(1234567, {LengthStyle::Metres, 16}), "1,234,567.000 m³");
    EXPECT_EQ(formatMass(15792 * 0.45359237, {}), "15,792 lb");
}

TEST(LengthWriting, saysWhenThereIsNoLength) {
    EXPECT_EQ(formatLength(std::nan(""), {}), "no length");
    EXPECT_EQ(formatThickness(std::numeric_limits<double>::infinity(), {}), "no length");
    EXPECT_EQ(formatStation(std::nan(""), {}), "no length");
    EXPECT_FALSE(formatLength(1e300, {}).empty());
}

TEST(LengthRoundTrip, everyThirtySecondOfAnInchToFortyFeet) {
    const LengthFormat format{LengthStyle::FeetInches, 32};
    for (int count = -40 * 12 * 32; count <= 40 * 12 * 32; ++count) {
        const double metres = count / 32.0 * inch;
        const std::string text = formatLength(metres, format);
        ASSERT_NEAR(read(text), metres, 1e-12) << text;
        ASSERT_EQ(formatLength(read(text), format), text);
        ASSERT_NEAR(read(formatThickness(metres, format)), metres, 1e-12) << text;
    }
}

TEST(LengthRoundTrip, everyMillimetreToTwelveMetres) {
    const LengthFormat format{LengthStyle::Metres, 16};
    for (int count = -12000; count <= 12000; ++count)
        ASSERT_NEAR(read(formatLength(count / 1000.0, format)), count / 1000.0, 1e-12);
}

/// Decimals with a comma and groups of three: what a German or French machine would use.
class CommaLocale : public std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
};

TEST(LengthLocale, makesNoDifference) {
    const std::locale before = std::locale::global(std::locale(std::locale(), new CommaLocale));
    const char* named = std::setlocale(LC_NUMERIC, "de_DE.UTF-8");
    ASSERT_EQ(fmt::format("{:L}", 1234.5), "1.234,5") << "the locale of this test is not in force";
    EXPECT_DOUBLE_EQ(read("3.81 m"), 3.81);
    EXPECT_EQ(formatLength(1234.5678, {LengthStyle::Metres, 16}), "1234.568 m");
    EXPECT_EQ(formatLength(1234.5 * foot, {LengthStyle::DecimalFeet, 16}), "1234.500 ft");
    EXPECT_EQ(formatStation(1214.3 * foot, {}), "12+14.3");
    EXPECT_EQ(formatArea(12345.678, {LengthStyle::Metres, 16}), "12,345.68 m²");
    EXPECT_NE(fault("3,81 m").find("comma"), std::string::npos);
    std::locale::global(before);
    if (named) std::setlocale(LC_NUMERIC, "C");
}

}  // namespace
}  // namespace underfoot
