#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <clocale>
#include <map>
#include <nlohmann/json.hpp>

#include "hand_model.h"
#include "share/csv.h"
#include "share/json.h"
#include "share/water_tables.h"

namespace underfoot {
namespace {

using Json = nlohmann::json;
using Rows = std::vector<std::vector<std::string>>;

/// Reads RFC 4180.
Rows readCsv(const std::string& text) {
    Rows rows(1, {""});
    bool quoted = false;
    for (size_t i = 0; i < text.size(); ++i) {
        std::string& field = rows.back().back();
        if (quoted && text[i] == '"' && i + 1 < text.size() && text[i + 1] == '"')
            field += text[i++];
        else if (text[i] == '"')
            quoted = !quoted;
        else if (!quoted && text[i] == ',')
            rows.back().emplace_back();
        else if (!quoted && text.compare(i, 2, "\r\n") == 0)
            rows.push_back({""}), ++i;
        else
            field += text[i];
    }
    rows.pop_back();
    return rows;
}

size_t column(const Rows& rows, const std::string& name) {
    for (size_t i = 0; i < rows[0].size(); ++i)
        if (rows[0][i] == name) return i;
    ADD_FAILURE() << "no column " << name;
    return 0;
}

class Tables : public testing::Test {
  protected:
    Model model_ = test::handModel();
};

TEST(Csv, QuotesWhatNeedsItAndEndsLinesWithCrLf) {
    CsvTable table({"a", "b"});
    table.add({"1,5", "say \"x\"\nand y"});
    EXPECT_EQ(table.text(), "a,b\r\n\"1,5\",\"say \"\"x\"\"\nand y\"\r\n");
    EXPECT_EQ(readCsv(table.text()), (Rows{{"a", "b"}, {"1,5", "say \"x\"\nand y"}}));
}

TEST_F(Tables, WaterThatIsNoneIsNoTrace) {
    WaterAnswer answer;
    answer.report.planArea = 10;
    answer.report.pieces.resize(1);
    answer.report.inlets.resize(2);
    answer.report.inletCatchments = {0, 1e-6};
    const Page page = waterPage(model_, answer);
    std::map<std::string, std::string> drained;
    for (const PagePart& part : page.parts())
        for (const PageRow& row : part.table.rows) drained[row.cells[0]] = row.cells[1];
    EXPECT_EQ(drained["drain 1"], formatArea(0, model_.plan.show));
    EXPECT_EQ(drained["drain 2"], "a trace");
}

TEST_F(Tables, WaterHasTheFallFromTheHouseAndWhereAPondSpills) {
    WaterReport report;
    report.pieces.resize(1);
    report.pieces[0].slope = 0.025, report.pieces[0].away = 0.015;
    report.ponds.resize(1);
    report.ponds[0].spill = model_.toLocal({2, 1.5});
    report.ponds[0].level = 99.5;
    const Rows rows = readCsv(waterCsv(model_, report));
    ASSERT_EQ(rows.size(), 4U);
    for (const auto& row : rows) EXPECT_EQ(row.size(), rows[0].size());
    EXPECT_EQ(rows[1][column(rows, "away")], "0.015000");
    EXPECT_EQ(rows[3][column(rows, "what")], "spill");
    EXPECT_EQ(rows[3][column(rows, "name")], "pond 1");
    EXPECT_EQ(rows[3][column(rows, "station_m")], "2.000000");
    EXPECT_EQ(rows[3][column(rows, "level_m")], "99.500000");
}

TEST_F(Tables, ADrainThatAPondSpillsIntoIsOfUse) {
    WaterAnswer answer;
    answer.report.planArea = 10;
    answer.report.pieces.resize(1);
    answer.report.inlets.resize(2);
    answer.report.inletCatchments = {0, 0};
    answer.report.ponds.resize(2);  // one spills into the other, that into the first drain
    answer.report.ponds[0].overflow = {WaterEndKind::Pond, 1};
    answer.report.ponds[0].catchment = 4;
    answer.report.ponds[1].overflow = {WaterEndKind::Inlet, 0};
    std::string said;
    const Page page = waterPage(model_, answer);
    for (const PagePart& part : page.parts()) said += part.text + '\n';
    EXPECT_THAT(said,
                testing::HasSubstr("Pond 2 spills into drain 1: the drain belongs where it is deepest"));
    EXPECT_THAT(said, testing::HasSubstr("  One drain is of no use there"));
}

// 1.5 % away and 2.5 % along: steeper than the 2 % that are wanted away from the house. A piece too small to
// show is counted only, and one whose fall shows as none is level.
TEST_F(Tables, APieceThatFallsTooLittleAwayFromTheHouseTellsHowMuch) {
    WaterAnswer answer;
    answer.report.pieces.resize(3);
    FlatPiece& piece = answer.report.pieces[0];
    piece.slope = std::hypot(0.015, 0.025), piece.away = 0.015, piece.planArea = 24;
    piece.verdicts = {FallVerdict::Under};
    answer.report.pieces[1] = {0, 2e-8, {0, 1}, 2e-8, 1, {0, 0}, 0, {FallVerdict::Under}};
    answer.report.pieces[2].planArea = 1e-4;
    const Page page = waterPage(model_, answer);
    const PageTable& table = page.parts().at(2).table;
    ASSERT_EQ(table.rows.size(), 2U);
    EXPECT_EQ(table.rows[0].cells.back(), "under the least fall, 1.50 % away from the house");
    EXPECT_EQ(table.rows[1].cells.back(), "under the least fall");
    EXPECT_EQ(table.rows[1].cells[4], "level");
    EXPECT_EQ(page.parts().at(3).text, "  and 1 smaller piece (all of them with --csv or --json)");
}

TEST(Csv, NumbersCarryAPointWhateverTheLocale) {
    const bool german = std::setlocale(LC_ALL, "de_DE.UTF-8") != nullptr;
    EXPECT_EQ(csvNumber(1234.5), "1234.500000");
    if (german) std::setlocale(LC_ALL, "C");
    EXPECT_EQ(csvNumber(-1e-9), "0.000000");
    EXPECT_EQ(csvNumber(std::numeric_limits<double>::quiet_NaN()), "");
}

// Through the dip at (2, 1.5): distance 2.5 along a line from (2, -1).
TEST_F(Tables, SectionTableHoldsTheDipInBothUnits) {
    const Rows rows = readCsv(sectionCsv(model_, cut(model_, {{2, -1}, {2, 4}})));
    const size_t layer = column(rows, "layer"), at = column(rows, "distance_m"),
                 thick = column(rows, "thickness_m");
    int dips = 0;
    for (const auto& row : rows) {
        EXPECT_EQ(row.size(), rows[0].size());
        if (row[layer] != "bedding" || row[at] != "2.500000") continue;
        ++dips;
        EXPECT_EQ(row[thick], "0.012000");
        EXPECT_EQ(row[column(rows, "thickness")], "1/2\"");  // 12 mm is 7.56 sixteenths
        EXPECT_EQ(row[column(rows, "offset_m")], "1.500000");
        EXPECT_EQ(row[column(rows, "station_m")], "2.000000");
        EXPECT_EQ(row[column(rows, "top_m")], "99.920000");  // 100 - 0.02 * 1.5 - 0.05
    }
    EXPECT_EQ(dips, 2);  // the end of one interval and the start of the next
}

// 9 grid corners lie on or in the court; bedding has one thickness at each.
TEST_F(Tables, ThicknessTableHasEachCornerOnce) {
    const Rows rows = readCsv(thicknessCsv(model_, test::bedding));
    ASSERT_EQ(rows.size(), 10U);
    int dips = 0;
    for (const auto& row : rows) dips += row[column(rows, "thickness_m")] == "0.012000" ? 1 : 0;
    EXPECT_EQ(dips, 1);
    EXPECT_EQ(readCsv(thicknessCsv(model_, test::soil, 5)).size(), 1U);
}

TEST_F(Tables, StackTableIsTopFirst) {
    const Rows rows = readCsv(stackCsv(model_, stackAtPoint(model_, {2, 1.5})));
    ASSERT_EQ(rows.size(), 5U);
    EXPECT_EQ(rows[1][0], "units");
    EXPECT_EQ(rows[2][column(rows, "thickness_m")], "0.012000");
    EXPECT_EQ(rows[4][0], "native soil");
}

TEST_F(Tables, VolumeTableHoldsTheHandWorkedVolumes) {
    const Rows rows = readCsv(volumesCsv(model_, volumes(model_)));
    std::map<std::string, double> volume;
    for (const auto& row : rows)
        if (row != rows[0]) volume[row[0]] = std::stod(row[column(rows, "volume_m3")]);
    EXPECT_NEAR(volume.at("bedding"), test::beddingVolume, 1e-6);
    EXPECT_NEAR(volume.at("base"), test::baseVolume, 1e-6);
    EXPECT_NEAR(volume.at("units"), test::unitsVolume, 1e-6);
    EXPECT_TRUE(volume.contains("strip"));
}

TEST_F(Tables, SectionAnswerHoldsExtremesAndIntervals) {
    const Json answer = Json::parse(sectionJson(model_, cut(model_, {{2, -1}, {2, 4}}), "A"));
    EXPECT_EQ(answer["plan"], "Court by the \"old\" wall & gate");
    EXPECT_EQ(answer["name"], "A");
    EXPECT_NEAR(answer["length"]["m"].get<double>(), 5, 1e-9);
    bool found = false;
    for (const Json& layer : answer["layers"]) {
        if (layer["layer"] != "bedding") continue;
        found = true;
        EXPECT_NEAR(layer["least"]["m"].get<double>(), 0.012, 1e-9);
        EXPECT_NEAR(layer["least_at"]["offset"]["m"].get<double>(), 1.5, 1e-9);
        // 3 m long, 30 mm thick less a triangle 3 m wide and 18 mm deep: 0.09 - 0.027 = 0.063 m².
        EXPECT_NEAR(layer["cut_face"]["m2"].get<double>(), 0.063, 1e-8);
    }
    EXPECT_TRUE(found);
    double covered = 0;
    for (const Json& interval : answer["intervals"])
        covered += interval["to_m"].get<double>() - interval["from_m"].get<double>();
    EXPECT_NEAR(covered, 5, 1e-7);
    EXPECT_EQ(answer["intervals"][0]["area"], nullptr);
}

TEST_F(Tables, StackAnswerOutsideTheModelIsEmptyNotAnError) {
    EXPECT_EQ(Json::parse(stackJson(model_, {50, 50}, stackAtPoint(model_, {50, 50})))["layers"].size(), 0U);
    const Json there = Json::parse(stackJson(model_, {2, 1.5}, stackAtPoint(model_, {2, 1.5})));
    EXPECT_NEAR(there["layers"][1]["thickness"]["m"].get<double>(), 0.012, 1e-9);
    EXPECT_EQ(there["layers"][1]["thickness"]["text"], "1/2\"");
    EXPECT_EQ(there["layers"][1]["role"], "bedding");
}

// Bedding under 20 mm: a pyramid-like dip; mean 0.306 / 12 = 0.0255.
TEST_F(Tables, ThicknessAnswerHoldsRangeAndPatches) {
    const Json answer = Json::parse(thicknessJson(model_, thicknessField(model_, test::bedding)));
    EXPECT_NEAR(answer["mean"]["m"].get<double>(), 0.0255, 1e-9);
    EXPECT_NEAR(answer["wanted_least"]["m"].get<double>(), 0.02, 1e-9);
    ASSERT_EQ(answer["patches"].size(), 1U);
    EXPECT_TRUE(answer["patches"][0]["thin"].get<bool>());
    EXPECT_GT(answer["under"]["area"]["m2"].get<double>(), 0);
    EXPECT_EQ(answer["area"], nullptr);
    const Json base = Json::parse(thicknessJson(model_, thicknessField(model_, test::base)));
    EXPECT_EQ(base["wanted_least"], nullptr);
}

TEST_F(Tables, VolumesAnswer) {
    const Json answer = Json::parse(volumesJson(model_, volumes(model_)));
    ASSERT_EQ(answer["layers"].size(), 3U);  // native soil is left out
    EXPECT_NEAR(answer["layers"][1]["volume"]["m3"].get<double>(), test::beddingVolume, 1e-7);
    EXPECT_NEAR(answer["finish_area"]["m2"].get<double>(), 12, 1e-7);
}

TEST_F(Tables, CheckReportHoldsEveryFinding) {
    Finding finding;
    finding.kind = FindingKind::BeddingThin;
    finding.area = 0;
    finding.layer = test::bedding;
    finding.at = {2, 1.5};
    finding.measured = 0.012;
    finding.wanted = 0.02;
    finding.what = "Bed short, \"really\".";
    const std::string text = findingsJson(model_, {finding, finding});
    const Json answer = Json::parse(text);
    EXPECT_EQ(answer["count"], 2);
    EXPECT_EQ(answer["findings"][0]["layer"], "bedding");
    EXPECT_EQ(answer["findings"][0]["kind"], findingName(FindingKind::BeddingThin));
    EXPECT_EQ(text.back(), '\n');
    const Rows rows = readCsv(findingsCsv(model_, {finding}));
    ASSERT_EQ(rows.size(), 2U);
    EXPECT_EQ(rows[1][0], "Bed short, \"really\".");
    EXPECT_EQ(rows[1][column(rows, "measured")], "0.012000");
}

TEST_F(Tables, TextThatIsNotUtf8DoesNotBreakTheAnswer) {
    model_.plan.title = "caf\xE9";
    EXPECT_NO_THROW({ EXPECT_TRUE(Json::accept(volumesJson(model_, volumes(model_)))); });
}

}  // namespace
}  // namespace underfoot
