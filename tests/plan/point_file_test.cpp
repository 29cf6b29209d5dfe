#include <ctime>
#include <fstream>
#include <random>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "plan/read_points.h"
#include "plan_text.h"

namespace underfoot {
namespace {

namespace fs = std::filesystem;
using test::foot;

struct Points {
    std::vector<Shot> shots;
    Diagnostics faults;
};

Points readPoints(std::string_view text, const PointFileForm& form = {}) {
    Points points;
    readPointText(text, "p.csv", form, points.shots, points.faults);
    return points;
}

TEST(PointFiles, northingComesFirstInPNEZD) {
    const Points points = readPoints("101,5.5,20.25,99.5,at the gate\n");
    ASSERT_EQ(points.shots.size(), 1u);
    const Shot& shot = points.shots[0];
    EXPECT_EQ(shot.number, "101");
    EXPECT_DOUBLE_EQ(shot.at.x, 20.25 * foot);
    EXPECT_DOUBLE_EQ(shot.at.y, 5.5 * foot);
    EXPECT_DOUBLE_EQ(shot.height, 99.5 * foot);
    EXPECT_EQ(shot.description, "at the gate");
    EXPECT_EQ(shot.place.file, "p.csv");
    EXPECT_EQ(shot.place.line, 1);
}

TEST(PointFiles, eastingComesFirstInPENZD) {
    const Points points = readPoints("1,5.5,20.25,99.5\n", {false, LengthUnit::Metre});
    ASSERT_EQ(points.shots.size(), 1u);
    EXPECT_DOUBLE_EQ(points.shots[0].at.x, 5.5);
    EXPECT_DOUBLE_EQ(points.shots[0].at.y, 20.25);
}

TEST(PointFiles, columnsMayBePartedByCommasTabsOrBlanks) {
    for (const char* text : {"7,1,2,3,big rock, mossy\n", "7\t1\t2\t3\tbig rock, mossy\n"}) {
        const Points points = readPoints(text);
        ASSERT_TRUE(points.faults.empty());
        ASSERT_EQ(points.shots.size(), 1u) << text;
    }
    EXPECT_EQ(readPoints("7 1 2 3 rock, mossy\n").shots.size(), 1u);
    const Points blanks = readPoints("  7   1  2 3   big rock\n");
    ASSERT_EQ(blanks.shots.size(), 1u);
    EXPECT_EQ(blanks.shots[0].description, "big rock");
    EXPECT_EQ(readPoints("7,1,2,3,big rock, mossy\n").shots[0].description, "big rock, mossy");
}

TEST(PointFiles, descriptionsEndOfFileAndQuotesAreTaken) {
    const Points points =
        readPoints("1, 1, 2, 3\r\n2,4,5,6,\"fence, post\"\r\n\r\n# a remark\n; another\n3,7,8,+9");
    ASSERT_TRUE(points.faults.empty());
    ASSERT_EQ(points.shots.size(), 3u);
    EXPECT_EQ(points.shots[0].description, "");
    EXPECT_EQ(points.shots[1].description, "fence, post");
    EXPECT_EQ(points.shots[2].place.line, 6);
    EXPECT_DOUBLE_EQ(points.shots[2].height, 9 * foot);
}

TEST(PointFiles, oneLineOfHeadingsIsSteppedOver) {
    const Points points = readPoints("Point,Northing,Easting,Elevation,Description\n1,1,2,3,x\n");
    EXPECT_TRUE(points.faults.empty());
    EXPECT_EQ(points.shots.size(), 1u);
    EXPECT_FALSE(readPoints("1,1,2,3\nPoint,Northing,Easting,Elevation\n").faults.empty());
}

TEST(PointFiles, faultsNameLineColumnAndRemedy) {
    const Points points = readPoints("1,1,2,3\n2,1,two,3\n3,1\n4,1,,3\n5,1,2,nan\n6,1,2,1e9\n7,1,2,3,fine\n");
    ASSERT_EQ(points.faults.size(), 5u);
    EXPECT_EQ(points.shots.size(), 2u);
    EXPECT_EQ(points.faults[0].place.line, 2);
    EXPECT_EQ(points.faults[0].place.column, 5);
    EXPECT_NE(points.faults[0].what.find("easting \"two\" is not a number"), std::string::npos);
    EXPECT_NE(points.faults[1].what.find("only 2 of the columns"), std::string::npos);
    EXPECT_NE(points.faults[2].what.find("easting is missing"), std::string::npos) << points.faults[2].what;
    EXPECT_NE(points.faults[3].what.find("height \"nan\" can't be meant"), std::string::npos)
        << points.faults[3].what;
    EXPECT_NE(points.faults[4].what.find("can't be meant"), std::string::npos);
    for (const Diagnostic& fault : points.faults) EXPECT_FALSE(fault.remedy.empty());
}

TEST(PointFiles, manyFaultsAreCounted) {
    std::string text = "1,1,2,3\n";
    for (int i = 0; i < 100; ++i) text += "x,y,z,w\n";
    const Points points = readPoints(text);
    EXPECT_EQ(points.faults.size(), 21u);
    EXPECT_NE(points.faults.back().what.find("80 more"), std::string::npos);
}

TEST(PointFiles, readsTwoHundredThousandShotsInATwinkling) {
    std::string text;
    for (int i = 0; i < 200000; ++i)
        text += fmt::format("{},{:.3f},{:.3f},{:.3f},ground\n", i, i * 0.013, i % 977 * 0.11,
                            99 + i % 13 * 0.017);
    const std::clock_t start = std::clock();  // time of this process: others may be busy
    const Points points = readPoints(text);
    const double seconds = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
    EXPECT_EQ(points.shots.size(), 200000u);
    EXPECT_DOUBLE_EQ(points.shots[1234].at.y, 1234 * 0.013 * foot);
    RecordProperty("megabytes_per_second",
                   fmt::format("{:.0f}", static_cast<double>(text.size()) / 1e6 / seconds));
    EXPECT_LT(seconds, 2.0);  // far above what it takes; catches work that grows faster than the file
}

// ---------------------------------------------------------------- lines read the quick way

/// Any line of a point file, most of them plain.
std::string anyLine(std::mt19937& random) {
    const auto pick = [&](int count) { return static_cast<int>(random() % static_cast<unsigned>(count)); };
    const auto number = [&]() -> std::string {
        switch (pick(24)) {
            case 0:
                return "";
            case 1:
                return "+12.5";
            case 2:
                return "-0.25";
            case 3:
                return "1e3";
            case 4:
                return ".5";
            case 5:
                return "7.";
            case 6:
                return "1234567890.123456";
            case 7:
                return "nan";
            case 8:
                return "-";
            case 9:
                return " 3.25";
            case 10:
                return "\"4.5\"";
            case 11:
                return "99999999";
            case 12:
                return "0.000000000000001";
            case 13:
                return "1.2.3";
            default:
                return fmt::format("{:.{}f}", 0.001 * pick(900000), pick(5));
        }
    };
    const char* separators[] = {",", ",", ",", ",", "\t", " ", "  ", ", ", " ,"};
    const char* ends[] = {"",   "",   "",     ",gate", ",gate, left", ",\"fence, post\"",
                          ", ", "\r", ",x\r", "\rx",   " ",           "\t"};
    const char* starts[] = {"", "", "", "", "", "", " ", "#", ";", "\"", "\r", "\t"};
    std::string line = starts[pick(12)];
    const int columns = pick(15) == 0 ? pick(5) : 4;
    const char* separator = separators[pick(9)];
    for (int i = 0; i < columns; ++i) {
        if (i > 0) line += pick(40) == 0 ? separators[pick(9)] : separator;
        line += i == 0 && pick(2) == 0 ? std::to_string(pick(10000)) : number();
    }
    return line + ends[pick(12)];
}

TEST(PointFiles, plainLinesAreReadAsAllOthers) {
    // A blank in front sends a line the careful way and changes nothing else.
    std::mt19937 random(5);
    int read = 0;
    for (const char* first : {"1,2,3,4", "1 2 3 4", "1\t2\t3\t4"})
        for (int i = 0; i < 4000; ++i) {
            const std::string line = anyLine(random);
            const Points quick = readPoints(std::string(first) + "\n" + line);
            const Points careful = readPoints(std::string(first) + "\n " + line);
            ASSERT_EQ(quick.shots.size(), careful.shots.size()) << line;
            ASSERT_EQ(quick.faults.size(), careful.faults.size()) << line;
            if (quick.shots.size() < 2) continue;
            ++read;
            const Shot &a = quick.shots[1], &b = careful.shots[1];
            ASSERT_EQ(a.number, b.number) << line;
            ASSERT_EQ(a.at, b.at) << line;
            ASSERT_EQ(a.height, b.height) << line;
            ASSERT_EQ(a.description, b.description) << line;
        }
    EXPECT_GT(read, 1000);
}

TEST(PointFiles, numbersAreRoundedOnce) {
    // Digits over a power of ten, both exact: the nearest double, which is what the compiler makes of them.
    const PointFileForm metres{true, LengthUnit::Metre};
    const Points points =
        readPoints("1,1,1,1\n2,0.1,123456.789012345,0.3\n3,9.007199254740,1000000.123,2.675\n", metres);
    ASSERT_EQ(points.shots.size(), 3u);
    EXPECT_EQ(points.shots[1].at.y, 0.1);
    EXPECT_EQ(points.shots[1].at.x, 123456.789012345);
    EXPECT_EQ(points.shots[1].height, 0.3);
    EXPECT_EQ(points.shots[2].at.y, 9.007199254740);
    EXPECT_EQ(points.shots[2].at.x, 1000000.123);
    EXPECT_EQ(points.shots[2].height, 2.675);
}

TEST(PointFiles, aScanHasThePlacesOfItsShots) {
    const std::string text = "P,N,E,Z\n1,5.5,20.25,99.5,gate\n# remark\n2, 1, 2, 3\n3,4,5,+6\n";
    std::vector<glm::dvec3> scan;
    Diagnostics faults;
    readScanText(text, "p.csv", {}, scan, faults);
    const Points points = readPoints(text);
    ASSERT_EQ(scan.size(), points.shots.size());
    for (size_t i = 0; i < scan.size(); ++i) {
        EXPECT_EQ(glm::dvec2(scan[i]), points.shots[i].at);
        EXPECT_EQ(scan[i].z, points.shots[i].height);
    }
    EXPECT_EQ(linesIn(""), 0u);
    EXPECT_EQ(linesIn("a"), 1u);
    EXPECT_EQ(linesIn("a\n"), 1u);
    EXPECT_EQ(linesIn("a\nb"), 2u);
}

/// A folder of its own for the files of one test, gone after it.
class FileTest : public testing::Test {
  protected:
    void SetUp() override {
        folder_ =
            fs::temp_directory_path() /
            fmt::format("underfoot-{}-{}", testing::UnitTest::GetInstance()->current_test_info()->name(),
                        static_cast<const void*>(this));
        fs::create_directories(folder_);
    }
    void TearDown() override { fs::remove_all(folder_); }
    fs::path write(const std::string& name, const std::string& bytes) const {
        std::ofstream(folder_ / name, std::ios::binary) << bytes;
        return folder_ / name;
    }
    /// Faults of the sound plan with a point file beside its shots.
    std::string faultsWith(const std::string& entry, const std::string& extend = "nearest") const {
        const auto plan = test::readText(
            test::edited("extend = \"nearest\"", "extend = \"" + extend + "\"\nfiles = [ " + entry + " ]"),
            folder_);
        return plan ? "" : test::all(plan.error());
    }
    fs::path folder_;
};

class PointFileOfPlan : public FileTest {};

TEST_F(PointFileOfPlan, isFoundBesideThePlan) {
    write("more.csv", "50,3,21,98.9,by the steps\n");
    const Plan plan = test::sound(
        test::edited("extend = \"nearest\"",
                     "extend = \"nearest\"\nfiles = [ { path = \"more.csv\", order = \"PNEZD\" } ]"),
        folder_);
    ASSERT_EQ(plan.ground.shots.size(), 6u);
    EXPECT_EQ(plan.ground.shots[3].number, "50");
    EXPECT_DOUBLE_EQ(plan.ground.shots[3].at.x, 21 * foot);
}

TEST_F(PointFileOfPlan, takesItsOwnUnit) {
    write("more.csv", "50,1.5,4,30.1\n");
    const Plan plan = test::sound(
        test::edited(
            "extend = \"nearest\"",
            "extend = \"nearest\"\nfiles = [ { path = \"more.csv\", order = \"PENZD\", unit = \"m\" } ]"),
        folder_);
    ASSERT_EQ(plan.ground.shots.size(), 6u);
    EXPECT_DOUBLE_EQ(plan.ground.shots[3].at.x, 1.5);
    EXPECT_DOUBLE_EQ(plan.ground.shots[3].height, 30.1);
}

TEST_F(PointFileOfPlan, isFoundBesideAPlanReadFromDisk) {
    write("more.csv", "50,3,21,98.9\n");
    const fs::path file =
        write("plan.toml",
              test::edited("extend = \"nearest\"",
                           "extend = \"nearest\"\nfiles = [ { path = \"more.csv\", order = \"PNEZD\" } ]"));
    const auto plan = readPlan(file);
    ASSERT_TRUE(plan) << test::all(plan.error());
    EXPECT_EQ(plan->ground.shots.size(), 6u);
    EXPECT_EQ(plan->file, file.string());
}

TEST_F(PointFileOfPlan, faultsAreToldInTheFile) {
    write("bad.csv", "1,1,2,3\n2,1,two,3\n");
    EXPECT_NE(faultsWith("{ path = \"bad.csv\", order = \"PNEZD\" }").find("bad.csv:2:5: The easting"),
              std::string::npos);
}

// Files this long are read on threads of their own.
TEST_F(PointFileOfPlan, longFilesOfGroundAndTopsAreReadAsShortOnes) {
    std::string remarks;
    for (int i = 0; i < 4000; ++i) remarks += "# " + std::string(97, '-') + "\n";  // 400 kB
    const std::string square = "1,0,0,99\n2,0,40,99\n3,40,40,99\n4,40,0,99\n";
    const auto text = [&](const std::string& name) {
        return test::edited("extend = \"nearest\"", "extend = \"nearest\"\nfiles = [ { path = \"" + name +
                                                        ".csv\", order = \"PNEZD\" } ]") +
               "\n[[measured_top]]\nlayer = \"sand\"\nfiles = [ { path = \"" + name +
               "-top.csv\", order = \"PNEZD\" } ]\n";
    };
    write("long.csv", "5,3,21,98.9\n" + remarks);
    write("long-top.csv", square + remarks);
    const Plan plan = test::sound(text("long"), folder_);
    EXPECT_EQ(plan.ground.shots.size(), 6u);
    ASSERT_EQ(plan.measuredTops.size(), 2u);
    EXPECT_EQ(plan.measuredTops[1].shots.size(), 4u);
    write("odd.csv", remarks + "5,three,21,98.9\n");
    write("odd-top.csv", square + "5,3,twenty,98\n" + remarks);
    const auto odd = test::readText(text("odd"), folder_);
    ASSERT_FALSE(odd);
    ASSERT_EQ(odd.error().size(), 2u) << test::all(odd.error());
    EXPECT_EQ(odd.error()[0].place.file, "odd-top.csv");
    EXPECT_EQ(odd.error()[0].place.line, 5);
    EXPECT_EQ(odd.error()[1].place.line, 4001);
}

TEST_F(PointFileOfPlan, sameplaceInTwoFilesNamesBothLines) {
    write("one.csv", "1,3,21,98.9\n");
    write("two.csv", "\n1,3,21,98.8\n");
    const std::string faults =
        faultsWith("{ path = \"one.csv\", order = \"PNEZD\" }, { path = \"two.csv\", order = \"PNEZD\" }");
    EXPECT_NE(faults.find("two.csv:2:1: Two shots of the ground stand at one place"), std::string::npos)
        << faults;
    EXPECT_NE(faults.find("in one.csv line 1"), std::string::npos) << faults;
}

TEST_F(PointFileOfPlan, northingAndEastingSwappedIsTold) {
    // The court lies at x 0 to 26, y 0 to 20 ft, and these lie at y 3 to 25, x 30 to 60: with the two
    // swapped, inside... and none as stated.
    std::string text =
        "unit = \"ft\"\nfinish = { level = 100 }\n[[build_up]]\nname = \"b\"\nlayers = [ { role = \"slab\", "
        "thickness = \"4 in\" } ]\n"
        "[[area]]\nname = \"a\"\nbuild_up = \"b\"\nrectangle = { corner = [100, 10], size = [40, 20] "
        "}\n[ground]\nextend = \"nearest\"\nfiles = [ { path = \"s.csv\", order = \"PNEZD\" } ]\n";
    write("s.csv", "1,105,12,99\n2,135,14,99\n3,120,28,98\n4,110,20,98\n");  // easting, northing
    const auto wrong = test::readText(text, folder_);
    ASSERT_FALSE(wrong);
    EXPECT_NE(
        test::all(wrong.error())
            .find("With the order PNEZD the shots of this file do not cover the areas; with PENZD they do"),
        std::string::npos)
        << test::all(wrong.error());
    EXPECT_TRUE(test::readText(test::edited("PNEZD", "PENZD", text), folder_));
}

TEST_F(PointFileOfPlan, swappedIsToldWhereShotsMustCoverTheAreas) {
    std::string text =
        "unit = \"ft\"\nfinish = { level = 100 }\n[[build_up]]\nname = \"b\"\nlayers = [ { role = \"slab\", "
        "thickness = \"4 in\" } ]\n"
        "[[area]]\nname = \"a\"\nbuild_up = \"b\"\nrectangle = { corner = [0, 0], size = [40, 10] "
        "}\n[ground]\nextend = \"refuse\"\nfiles = [ { path = \"s.csv\", order = \"PNEZD\" } ]\n";
    write("s.csv", "1,-1,-1,99\n2,41,-1,99\n3,41,11,98\n4,-1,11,98\n5,20,5,99\n");  // easting, northing
    EXPECT_FALSE(test::readText(text, folder_));
    EXPECT_TRUE(test::readText(test::edited("PNEZD", "PENZD", text), folder_));
    // Shots that may be extended are not doubted for reaching only part of the areas.
    EXPECT_TRUE(test::readText(test::edited("refuse", "nearest", text), folder_));
}

TEST_F(PointFileOfPlan, foldersEmptyAndBinaryFilesAreTold) {
    fs::create_directories(folder_ / "sub");
    write("empty.csv", "# nothing\n");
    write("binary.csv", std::string("1,1,2,3\n\0x", 10));
    write("utf16.csv", "\xFF\xFE" + std::string("1\0,\0", 4));
    write("latin.csv", "1,1,2,3,B\xF6schung\n");
    const auto faults = [&](const std::string& name) {
        return faultsWith("{ path = \"" + name + "\", order = \"PNEZD\" }");
    };
    EXPECT_NE(faults("sub").find("This is a folder"), std::string::npos);
    EXPECT_NE(faults("empty.csv").find("no shots in it"), std::string::npos);
    EXPECT_NE(faults("binary.csv").find("binary.csv:2:1: There is a zero byte"), std::string::npos)
        << faults("binary.csv");
    EXPECT_NE(faults("utf16.csv").find("UTF-16"), std::string::npos);
    EXPECT_NE(faults("latin.csv").find("latin.csv:1:10: There is a sign here that is not UTF-8"),
              std::string::npos)
        << faults("latin.csv");
    EXPECT_NE(faults("/dev/zero").find("not an ordinary file"), std::string::npos);
}

TEST_F(PointFileOfPlan, oversizeIsRefusedBeforeItIsRead) {
    write("large.csv", "1,1,2,3\n");
    fs::resize_file(folder_ / "large.csv",
                    static_cast<uintmax_t>(greatestPointFileBytes) + 1);  // a hole on disk
    EXPECT_NE(faultsWith("{ path = \"large.csv\", order = \"PNEZD\" }").find("at most 256.0 MB are read"),
              std::string::npos);
}

// ---------------------------------------------------------------- scans

class ScanFile : public FileTest {
  protected:
    /// Points over the areas of the sound plan, on a slope, in feet; `end` ends the lines.
    static std::string scanText(int count, const char* end = "\n") {
        std::string text;
        for (int i = 0; i < count; ++i)
            text += fmt::format("{},{:.3f},{:.3f},{:.4f},scan{}", i, -1 + i % 71 * 0.33, -1 + i / 71 * 0.007,
                                99 + i % 71 * 0.001, end);
        return text;
    }
    Checked<Plan> planWith(const std::string& bytes, const std::string& more = "",
                           const std::string& extend = "nearest", const std::string& order = "PNEZD") const {
        write("scan.csv", bytes);
        return test::readText(
            test::edited("extend = \"nearest\"", "extend = \"" + extend +
                                                     "\"\nfiles = [ { path = \"scan.csv\", order = \"" +
                                                     order + "\" } ]") +
                more,
            folder_);
    }
    std::string faultsOf(const std::string& bytes) const {
        const auto plan = planWith(bytes);
        return plan ? "" : test::all(plan.error());
    }
};

TEST_F(ScanFile, isAFileOfMorePointsThanAnybodyShoots) {
    const auto plan = planWith(scanText(5001));
    ASSERT_TRUE(plan) << test::all(plan.error());
    ASSERT_EQ(plan->ground.scan.points.size(), 5001u);
    EXPECT_EQ(plan->ground.scan.files, std::vector<std::string>{"scan.csv"});
    EXPECT_EQ(plan->ground.shots.size(), 5u);  // those written in the plan
    EXPECT_FALSE(plan->ground.assumed());
    EXPECT_DOUBLE_EQ(plan->ground.scan.points[1].x, -1 * foot);
    EXPECT_DOUBLE_EQ(plan->ground.scan.points[1].y, -0.67 * foot);
    EXPECT_DOUBLE_EQ(plan->ground.scan.points[1].z, 99.001 * foot);
    const auto fewer = planWith(scanText(5000));
    ASSERT_TRUE(fewer);
    EXPECT_TRUE(fewer->ground.scan.points.empty());
    EXPECT_EQ(fewer->ground.shots.size(), 5005u);
}

TEST_F(ScanFile, thePlanMaySayFromWhichCountOn) {
    const std::string limit =
        "\n[[limit]]\nrule = \"scan.points\"\nvalue = 100\nreason = \"Few are enough.\"\n";
    const auto plan = planWith(scanText(101), limit);
    ASSERT_TRUE(plan) << test::all(plan.error());
    EXPECT_EQ(plan->ground.scan.points.size(), 101u);
    EXPECT_TRUE(planWith(scanText(100), limit)->ground.scan.points.empty());
}

TEST_F(ScanFile, thinToIsRead) {
    const Plan plan = test::sound(test::soundPlan);
    EXPECT_DOUBLE_EQ(plan.ground.scan.thinTo.value(), 0.002);
    EXPECT_DOUBLE_EQ(plan.measuredTops.at(0).scan.thinTo.value(), foot / 12 / 16);
    for (const char* wrong : {"\"0 mm\"", "\"-1 mm\"", "\"20 cm\"", "true"})
        EXPECT_FALSE(test::readText(test::edited("\"2 mm\"", wrong))) << wrong;
    EXPECT_FALSE(test::sound(test::edited("thin_to = \"2 mm\"", "")).ground.scan.thinTo);
}

TEST_F(ScanFile, isTheSameHoweverItsLinesEnd) {
    const std::string plain = scanText(9000);
    const auto expected = planWith(plain)->ground.scan.points;
    std::string noEnd = plain;
    noEnd.pop_back();
    std::string lone = plain;
    std::replace(lone.begin(), lone.end(), '\n', '\r');  // as old files have them: read as a whole
    for (const std::string& bytes :
         {scanText(9000, "\r\n"), noEnd, "\xEF\xBB\xBF" + plain, "P,N,E,Z,D\n" + plain})
        EXPECT_EQ(planWith(bytes)->ground.scan.points, expected);
    const auto plan = planWith(lone);
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->ground.scan.points, expected);
}

TEST_F(ScanFile, descriptionsMayHaveAnySigns) {
    std::string text = scanText(9000);
    text += "9001,1,1,99,B\xC3\xB6schung \xE2\x80\x94 oben\n";
    EXPECT_EQ(planWith(text)->ground.scan.points.size(), 9001u);
    text += "9002,1,1,99," + std::string(600000, 'x') + "\n9003,1,2,99\n";  // a line longer than any piece
    const auto plan = planWith(text);
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->ground.scan.points.size(), 9003u);
}

TEST_F(ScanFile, faultsNameTheirLine) {
    const std::string text = scanText(20000);
    EXPECT_NE(faultsOf(text + "x,1,two,3\n").find("scan.csv:20001:5: The easting \"two\""),
              std::string::npos);
    EXPECT_NE(faultsOf(text + "x,1,2,99,B\xF6schung\n").find("scan.csv:20001:11: There is a sign here"),
              std::string::npos);
    EXPECT_NE(faultsOf(text + std::string("1,2,3\0", 6)).find("scan.csv:20001:6: There is a zero byte"),
              std::string::npos);
}

TEST_F(ScanFile, mayRepeatAPlaceAtAnotherHeight) {
    const std::string text = scanText(6000);
    EXPECT_TRUE(planWith(text + "1,5,5,99\n2,5,5,99.01\n"));
}

TEST_F(ScanFile, ofOneLineOrFarAwayIsTold) {
    std::string line =
        "unit = \"m\"\nfinish = { level = 100 }\n[[build_up]]\nname = \"b\"\nlayers = [ { role = \"slab\", "
        "thickness = \"4 in\" } ]\n[[area]]\nname = \"a\"\nbuild_up = \"b\"\nrectangle = { corner = [0, 0], "
        "size = [40, 20] "
        "}\n[ground]\nextend = \"nearest\"\nfiles = [ { path = \"s.csv\", order = \"PENZD\" } ]\n";
    std::string inLine, far, swapped;
    for (int i = 0; i < 6000; ++i) {
        inLine += fmt::format("{0},{1:.3f},{1:.3f},99\n", i, i * 0.001);
        far += fmt::format("{},{:.3f},{},99\n", i, i % 100 * 0.1, i == 5999 ? 2000 : i / 100);
        swapped += fmt::format("{},{:.3f},{:.3f},99\n", i, i % 100 * 0.19, 21 + i / 100 * 0.3);
    }
    const auto faults = [&](const std::string& bytes) {
        write("s.csv", bytes);
        const auto plan = test::readText(line, folder_);
        return plan ? "" : test::all(plan.error());
    };
    EXPECT_NE(faults(inLine).find("lie in one line"), std::string::npos) << faults(inLine);
    EXPECT_NE(faults(far).find("A point of the scan of the ground lies more than 1 km"), std::string::npos)
        << faults(far);
    EXPECT_NE(faults(swapped).find("with PNEZD they do"), std::string::npos) << faults(swapped);
}

TEST_F(ScanFile, ofSeveralFilesIsOne) {
    write("one.csv", scanText(5500));
    write("two.csv", scanText(6500));
    write("few.csv", "1,3,3,99\n");
    const auto plan = test::readText(
        test::edited("extend = \"nearest\"",
                     "extend = \"nearest\"\nfiles = [ { path = \"one.csv\", order = \"PNEZD\" }, { path = "
                     "\"few.csv\", order = \"PNEZD\" }, { path = \"two.csv\", order = \"PNEZD\" } ]"),
        folder_);
    ASSERT_TRUE(plan) << test::all(plan.error());
    EXPECT_EQ(plan->ground.scan.points.size(), 12000u);
    EXPECT_EQ(plan->ground.scan.files, (std::vector<std::string>{"one.csv", "two.csv"}));
    EXPECT_EQ(plan->ground.shots.size(), 6u);
}

class PlanFile : public FileTest {
  protected:
    static Diagnostic faultOf(const fs::path& file) {
        const auto plan = readPlan(file);
        EXPECT_FALSE(plan);
        return plan || plan.error().empty() ? Diagnostic{} : plan.error().front();
    }
};

TEST_F(PlanFile, missingFoldersAndOddFilesAreTold) {
    EXPECT_EQ(faultOf(folder_ / "none.toml").what, "There is no such file.");
    EXPECT_EQ(faultOf(folder_ / "none.toml").place.file, (folder_ / "none.toml").string());
    EXPECT_EQ(faultOf(folder_).what, "This is a folder, not a file.");
    EXPECT_NE(faultOf(write("zero.toml", std::string("title = \"a\"\n\0", 13))).what.find("zero byte"),
              std::string::npos);
    EXPECT_EQ(faultOf(write("zero.toml", std::string("title = \"a\"\n\0", 13))).place.line, 2);
    EXPECT_NE(faultOf(write("latin.toml", "title = \"\xE9\"\n")).what.find("not UTF-8"), std::string::npos);
    for (const char* bad : {"\xC0\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xE2\x82", "\x80"})
        EXPECT_NE(faultOf(write("bad.toml", std::string("title = \"") + bad + "\"\n")).what.find("not UTF-8"),
                  std::string::npos);
}

TEST_F(PlanFile, utf16WithAndWithoutItsMarkIsTold) {
    std::string little, big;
    for (const char c : test::soundPlan.substr(0, 200)) {
        little += c;
        little += '\0';
        big += '\0';
        big += c;
    }
    for (const std::string& bytes : {little, big, "\xFF\xFE" + little, "\xFE\xFF" + big})
        EXPECT_NE(faultOf(write("wide.toml", bytes)).what.find("UTF-16"), std::string::npos);
}

TEST_F(PlanFile, oversizeIsRefusedBySizeAndNotRead) {
    const fs::path file = write("large.toml", "unit = \"ft\"\n");
    fs::resize_file(file, static_cast<uintmax_t>(greatestPlanBytes) + 1);
    EXPECT_NE(faultOf(file).what.find("at most 16.0 MB are read"), std::string::npos);
    fs::resize_file(file, 1ULL << 40);
    EXPECT_NE(faultOf(file).what.find("at most 16.0 MB"), std::string::npos);
    EXPECT_NE(faultOf("/dev/zero").what.find("more than 16.0 MB, and no more is read"), std::string::npos);
}

TEST_F(PlanFile, oversizeTextIsRefused) {
    const auto plan = test::readText(std::string(static_cast<size_t>(greatestPlanBytes) + 1, ' '));
    ASSERT_FALSE(plan);
    EXPECT_NE(plan.error()[0].what.find("at most 16777216"), std::string::npos);
}

TEST_F(PlanFile, windowsLineEndsKeepTheLinesOfFaults) {
    std::string text;
    for (const char c : test::edited("layer = \"fill\"", "layer = \"fell\"")) {
        if (c == '\n') text += '\r';
        text += c;
    }
    EXPECT_EQ(faultOf(write("crlf.toml", text)).place.line, test::lineOf(text, "[[measured_top]]"));
}

}  // namespace
}  // namespace underfoot
