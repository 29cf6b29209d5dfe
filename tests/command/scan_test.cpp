// From a scanner's file to what a builder is told of it, as one program run.

#include <cmath>
#include <string>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "command/exit_code.h"
#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

using command::ExitCode;
using testing::EndsWith;
using testing::HasSubstr;
using testing::StartsWith;

/// A sound plan on scanned ground; `more` is added to the ground.
std::string planOnScan(const std::string& more = "") {
    return "title = \"Scanned\"\nunit = \"m\"\n"
           "finish = { at = [0, 0], level = 30, fall = \"2 %\" }\n"
           "area = [{ name = \"a\", build_up = \"b\", rectangle = { corner = [0, 0], size = [4, 3] } }]\n"
           "[ground]\nfiles = [{ path = \"scan.csv\", order = \"PENZD\" }]\n" +
           more +
           "\n[[build_up]]\nname = \"b\"\nlayers = [\n"
           "{ name = \"units\", role = \"units\", thickness = \"60 mm\" },\n"
           "{ name = \"bedding\", role = \"bedding\", thickness = \"25 mm\" },\n"
           "{ name = \"base\", role = \"base\", thickness = \"110 mm\", beyond = \"150 mm\", lift = \"110 "
           "mm\" "
           "},\n]\n";
}

/// 81 by 81 points, 100 mm apart, over x and y from -2 to 6; the ground waves by 40 mm.
std::string scan() {
    std::string text = "Point,Easting,Northing,Elevation,Code\n";
    for (int i = 0; i < 81 * 81; ++i) {
        const double x = -2 + 0.1 * (i % 81), y = -2 + 0.1 * (i / 81);
        text += fmt::format("{},{:.4f},{:.4f},{:.4f},GND\n", i + 1, x, y,
                            29.7 + 0.04 * std::sin(x) * std::cos(y));
    }
    return text;
}

TEST(Scan, isThinnedAndTold) {
    const Folder folder;
    writeText(folder / "scan.csv", scan());
    writeText(folder / "plan.toml", planOnScan());
    const Ran ran = underfoot("check plan.toml", folder.path());
    EXPECT_EQ(ran.code, static_cast<int>(ExitCode::Fine)) << ran.out << ran.err;
    EXPECT_THAT(ran.out, StartsWith("Of the ground's scan "));
    EXPECT_THAT(ran.out, HasSubstr(" of 6,561 points are kept; the farthest lies "));
    EXPECT_THAT(ran.out, EndsWith("\nNothing to look at.\n"));
    const auto said =
        nlohmann::json::parse(underfoot("check plan.toml --json", folder.path()).out).at("scans").at(0);
    EXPECT_EQ(said.at("points"), 6561);
    EXPECT_LT(said.at("kept"), 2000);
    EXPECT_LE(said.at("greatest_deviation").at("m"), 0.001);
}

TEST(Scan, aCoarserOneKeepsFewer) {
    const Folder folder;
    writeText(folder / "scan.csv", scan());
    writeText(folder / "fine.toml", planOnScan());
    writeText(folder / "coarse.toml", planOnScan("thin_to = \"5 mm\""));
    const auto kept = [&](const std::string& plan) {
        const Ran ran = underfoot("check --json " + plan, folder.path());
        return nlohmann::json::parse(ran.out).at("scans").at(0).at("kept").get<int>();
    };
    EXPECT_LT(kept("coarse.toml"), kept("fine.toml") / 3);
}

TEST(Scan, aFaultNamesFileAndLine) {
    const Folder folder;
    writeText(folder / "scan.csv", scan() + "6562,1.0,1,0,29.7\n6563,1.0,one,29.7\n");
    writeText(folder / "plan.toml", planOnScan());
    const Ran ran = underfoot("check plan.toml", folder.path());
    EXPECT_EQ(ran.code, static_cast<int>(ExitCode::PlanWrong));
    EXPECT_THAT(ran.err, StartsWith("scan.csv:6564:10: The northing \"one\" is not a number."));
}

}  // namespace
}  // namespace underfoot::test
