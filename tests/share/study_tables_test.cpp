// What was placed, earthwork and stakes as JSON and as CSV, and stakes on paper.

#include "share/placed_tables.h"

#include <algorithm>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "../model/make_plan.h"
#include "share/earthwork_tables.h"
#include "share/stakes_tables.h"

namespace underfoot {
namespace {

using made::shot;

// A hump of 15 mm in the middle of a base otherwise on plan (-75 mm).
Model humped() {
    Plan plan = made::plainPlan({0, 0}, {6, 4}, 0, made::planeShots(-0.175));
    plan.measuredTops.push_back(
        {"base",
         {shot(0, 0, -0.075), shot(6, 0, -0.075), shot(6, 4, -0.075), shot(0, 4, -0.075), shot(3, 2, -0.060)},
         Extend::Nearest,
         {},
         {}});
    return *buildModel(plan);
}

TEST(PlacedTables, JsonSaysWhatWasShotForetoldAndWanted) {
    const Model model = humped();
    const auto root = nlohmann::json::parse(placedJson(model, placed(model, loadCatalogue(model.plan))));
    const auto& top = root.at("tops").at(0);
    EXPECT_EQ(top.at("layer"), "base");
    EXPECT_EQ(top.at("passes"), false);
    EXPECT_NEAR(top.at("surface").at("greatest").at("m").get<double>(), 0.015, 1e-8);
    EXPECT_NEAR(top.at("surface").at("greatest_at").at("x_m").get<double>(), 3, 1e-6);
    EXPECT_EQ(top.at("finishes").at(0).at("way"), "to strings");
    EXPECT_NEAR(top.at("finishes").at(0).at("beds").at(0).at("least").at("m").get<double>(), 0.010, 1e-8);
    EXPECT_EQ(top.at("strings_stay").at("patches").at(0).at("what"), "shave");
    EXPECT_EQ(top.at("strings_stay").at("shift").at("m"), 0);
}

TEST(PlacedTables, CsvHasARowForEachPatch) {
    const Model model = humped();
    const Placed all = placed(model, loadCatalogue(model.plan));
    const std::string csv = placedCsv(model, all);
    const PlacedTop& top = all.tops.at(0);
    const size_t patches = top.surface.high.size() + top.surface.low.size() + top.surface.gaps.size() +
                           top.stringsMove.patches.size();
    EXPECT_GE(patches, 1u);
    EXPECT_EQ(static_cast<size_t>(std::count(csv.begin(), csv.end(), '\n')), patches + 1);
    EXPECT_NE(csv.find("base,high,3.000000"), std::string::npos);
    // Strings raised by 15 - 9.525 = 5.475 mm: the tip is within 3/8 in of plan, and nothing is left to
    // shave.
    EXPECT_NEAR(top.stringsMove.shift, 0.005475, 2e-5);
    EXPECT_EQ(csv.find("shave"), std::string::npos);
}

// 6 x 4 m with its finish at 0: 50 mm units, 25 mm bed and 100 mm base put the formation at -0.175. Level
// ground at 0.05 lies 0.225 above it.
Model dugIn() {
    return *buildModel(made::plainPlan({0, 0}, {6, 4}, 0, made::planeShots(0.05)));
}

size_t linesOf(const std::string& csv) {
    return static_cast<size_t>(std::count(csv.begin(), csv.end(), '\n'));
}

// Strings 0.15 above the finish: 0.325 down to the formation, 0.225 to the base. Under a line of sight at 1.5
// the rod reads 1.675 on the formation.
TEST(StakesTables, JsonCsvAndPaperAgree) {
    const Model model = dugIn();
    const StakesAnswer answer{stakes(model, cornerPoints(model), 0.15), 1.5, {}, {}};
    ASSERT_EQ(answer.stakes.size(), 4u);
    const auto root = nlohmann::json::parse(stakesJson(model, answer));
    const auto& first = root.at("stakes").at(0);
    const auto metres = [](const nlohmann::json& length) { return length.at("m").get<double>(); };
    EXPECT_NEAR(metres(first.at("cut")), 0.225, 1e-9);
    EXPECT_EQ(first.at("mark"), "C-0.225");
    EXPECT_NEAR(metres(first.at("string")), 0.15, 1e-9);
    EXPECT_NEAR(metres(first.at("formation_down")), 0.325, 1e-9);
    EXPECT_EQ(first.at("layers").at(2).at("layer"), "base");
    EXPECT_NEAR(metres(first.at("layers").at(2).at("down")), 0.225, 1e-9);
    EXPECT_NEAR(metres(first.at("rod").at("formation")), 1.675, 1e-9);
    // Four stakes of three layers and the formation, and the heads.
    const std::string csv = stakesCsv(model, answer);
    EXPECT_EQ(linesOf(csv), 4u * 4 + 1);
    EXPECT_NE(csv.find("C-0.225"), std::string::npos);
    EXPECT_NE(csv.find(",1.675000"), std::string::npos);
    const auto sheets = stakesSheets(model, answer.stakes);
    ASSERT_EQ(sheets.size(), 1u);
    for (const char* words :
         {"C-0.225", ">325 mm<", ">225 mm<", ">200 mm<", "150 mm above the finish", "court, corner 4"})
        EXPECT_NE(sheets[0].find(words), std::string::npos) << words;
}

TEST(StakesTables, LongNamesAreCutShortOnPaperNotLettersMadeSmall) {
    const Model model = dugIn();
    auto set = stakes(model, cornerPoints(model));
    for (Stake& stake : set)
        for (int i = 0; i < 40; ++i) stake.name += "\u00e4";
    const std::string sheet = stakesSheets(model, set).at(0);
    EXPECT_NE(sheet.find("\u00e4\u2026<"), std::string::npos);
    EXPECT_NE(sheet.find("font-size=\"4.5\""), std::string::npos) << sheet.substr(0, 2000);
}

TEST(StakesTables, TheTableHasTheEndsOfStringsAndRails) {
    // A string 0.15 above the level finish, and two rails (one bay of 6 m) at the bed's top, 50 mm below it.
    const Model model = dugIn();
    StakesAnswer answer;
    answer.strings.push_back(*stringRun(model, model.toLocal({0, 1}), model.toLocal({6, 1}), 0.15));
    answer.rails = *screedRails(model, 6);
    const std::string csv = stakesCsv(model, answer);
    EXPECT_EQ(linesOf(csv), 1u + 2 + 4) << csv;
    EXPECT_NE(
        csv.find(
            ",string 1,6.000000,0+006.00,1.000000,1.000 m,6.000000,1.000000,,,,,,string,,0.150000,,,\r\n"),
        std::string::npos)
        << csv;
    EXPECT_NE(
        csv.find(
            ",\"court, 2\",6.000000,0+006.00,4.000000,4.000 m,6.000000,4.000000,,,,,,rail,,-0.050000,,,\r\n"),
        std::string::npos)
        << csv;
}

TEST(StakesTables, ManyStakesTakeSeveralSheetsAndEachIsOnOne) {
    const Model model = dugIn();
    const auto set = stakes(model, *gridPoints(model, 0.5));
    ASSERT_GT(set.size(), 60u);
    const auto sheets = stakesSheets(model, set);
    ASSERT_GT(sheets.size(), 2u);
    size_t marks = 0;
    for (const std::string& sheet : sheets)
        for (size_t at = sheet.find("C-0.225"); at != std::string::npos; at = sheet.find("C-0.225", at + 1))
            ++marks;
    EXPECT_EQ(marks, set.size());
}

// 24 m2 x 0.225 m = 5.4 m3 of cut in place; 24 x 0.1 = 2.4 m3 of base in one lift.
TEST(EarthworkTables, JsonAndCsvAgree) {
    const Model model = dugIn();
    const Catalogue catalogue = loadCatalogue(model.plan);
    const EarthworkAnswer answer{
        earthBalance(model, catalogue), cutToFillLines(model), liftsToPlace(model, catalogue), {}};
    const auto root = nlohmann::json::parse(earthworkJson(model, answer));
    EXPECT_NEAR(root.at("cut").at("in_place").at("m3").get<double>(), 5.4, 1e-6);
    EXPECT_NEAR(root.at("fill").at("compacted").at("m3").get<double>(), 0, 1e-9);
    ASSERT_EQ(root.at("lifts").size(), 1u);
    EXPECT_NEAR(root.at("lifts").at(0).at("compacted").at("m3").get<double>(), 2.4, 1e-6);
    EXPECT_NEAR(root.at("lifts").at(0).at("thickness").at("m").get<double>(), 0.1, 1e-9);
    EXPECT_TRUE(root.at("end_areas").is_null());
    const std::string csv = earthworkCsv(model, answer);
    EXPECT_NE(csv.find("\ncut,,,,5.4"), std::string::npos) << csv;
    EXPECT_NE(csv.find("base,1,,"), std::string::npos) << csv;
    EXPECT_NE(csv.find("\ncut used as fill,,,,0.000000,"), std::string::npos) << csv;
    // No line; the outline of the one lift: four corners, and the first again.
    const std::string lines = linesCsv(model, answer);
    EXPECT_EQ(linesOf(lines), 6u) << lines;
    EXPECT_NE(lines.find("\nbase,1,1,0.000000,"), std::string::npos) << lines;
}

// What a lift is told of: rows of the page that go with it, and the passes in the table.
TEST(EarthworkTables, PlacesTooSmallToShowAreLeftOutAndPassesOfAThickLiftToo) {
    const Model model = dugIn();
    const Catalogue catalogue = loadCatalogue(model.plan);
    EarthworkAnswer answer{earthBalance(model, catalogue), {}, liftsToPlace(model, catalogue), {}};
    const auto subRows = [&] {
        size_t count = 0;
        const Page page = earthworkPage(model, answer);
        for (const PagePart& part : page.parts())
            for (const PageRow& row : part.table.rows) count += row.sub;
        return count;
    };
    LiftToPlace& lift = answer.lifts.at(0);
    lift.places.push_back(lift.places.front());
    EXPECT_EQ(subRows(), 2u);
    lift.places.back().planArea = 0.001;  // m2, shown to a hundredth
    EXPECT_EQ(subRows(), 0u);
    EXPECT_NE(earthworkCsv(model, answer).find("0.100000,0.140000,4,"), std::string::npos);
    lift.tooThick = true;
    EXPECT_NE(earthworkCsv(model, answer).find("0.100000,0.140000,too thick,"), std::string::npos);
    const auto says = [&](const std::string& words) {
        const Page page = earthworkPage(model, answer);
        return std::any_of(page.parts().begin(), page.parts().end(),
                           [&](const PagePart& part) { return part.text.starts_with(words); });
    };
    EXPECT_TRUE(says("Base is up to 100 mm thick: place it in thinner lifts"));
    answer.lifts.push_back(lift);
    EXPECT_TRUE(says("2 lifts of base are up to 100 mm thick: place them in thinner lifts"));
}

}  // namespace
}  // namespace underfoot
