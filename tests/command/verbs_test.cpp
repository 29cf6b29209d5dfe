// Every verb on every scene, and numbers that can be worked by hand.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <ostream>
#include <regex>

#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

using testing::ContainsRegex;
using testing::HasSubstr;

/// A scene, and where a cut goes through its layers.
struct Scene {
    const char* name;
    const char* station;
    const char* along;
};

void PrintTo(const Scene& scene, std::ostream* out) {
    *out << scene.name;
}

class EveryScene : public testing::TestWithParam<Scene> {
  protected:
    std::string plan() const { return std::string("scenes/") + GetParam().name + ".toml"; }
    std::string atStation() const { return std::string(" --station ") + GetParam().station; }
    std::string along() const { return std::string(" --along '") + GetParam().along + "'"; }
};

INSTANTIATE_TEST_SUITE_P(Scenes, EveryScene,
                         testing::Values(Scene{"first-plan", "4", "0,1.2 7,1.2"},
                                         Scene{"courtyard", "4", "0,1.2 7,1.2"},
                                         Scene{"terrace", "4", "0,1.2 7,1.2"},
                                         Scene{"seat", "12", "4,33 20,33"}),
                         [](const auto& scene) {
                             std::string name = scene.param.name;
                             std::replace(name.begin(), name.end(), '-', '_');
                             return name;
                         });

TEST(Scenes, AreAllTested) {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(source("scenes")))
        if (entry.path().extension() == ".toml") names.push_back(entry.path().stem());
    EXPECT_THAT(names, testing::UnorderedElementsAre("first-plan", "courtyard", "terrace", "seat"));
}

TEST_P(EveryScene, CheckAnswersWithFindingsOrNone) {
    const Ran ran = underfoot("check " + plan());
    EXPECT_EQ(ran.err, "");
    const bool none = ran.out == "Nothing to look at.\n";
    EXPECT_EQ(ran.code, none ? 0 : 1) << ran.out;
    EXPECT_THAT(ran.out, HasSubstr("to look at.\n"));
}

TEST_P(EveryScene, SectionListsEachLayerOnce) {
    const Ran ran = underfoot("section " + plan() + atStation() + " --every 1m");
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("Section at station 0+"));
    EXPECT_THAT(ran.out, HasSubstr("Thinnest"));
    EXPECT_THAT(ran.out, HasSubstr("Surface"));
    const auto lines = linesOf(ran.out);
    const auto names = [&](const char* layer) {
        return std::count_if(lines.begin(), lines.end(),
                             [&](const auto& line) { return line.starts_with(layer); });
    };
    EXPECT_EQ(names("  units "), 1) << ran.out;
    EXPECT_LE(names("  base "), 1) << ran.out;
    EXPECT_LE(names("  fill "), 1) << ran.out;
}

TEST_P(EveryScene, SectionDrawsAndTabulates) {
    const Folder folder;
    const Ran ran = underfoot("section " + plan() + along() + " --svg " + (folder / "a.svg").string() +
                              " --csv " + (folder / "a.csv").string());
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(readFile(folder / "a.svg"), HasSubstr("<svg"));
    EXPECT_THAT(readFile(folder / "a.svg"), HasSubstr("</svg>"));
    EXPECT_GT(linesOf(readFile(folder / "a.csv")).size(), 4u);
    EXPECT_THAT(folder.names(), testing::ElementsAre("a.csv", "a.svg"));
}

TEST_P(EveryScene, VolumesSumUp) {
    const Ran ran = underfoot("volumes " + plan());
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("inside the outlines"));
    EXPECT_THAT(ran.out, HasSubstr("sod and topsoil taken off"));
}

// Text, JSON and table agree on what is bought; an item that is none is told with those there are.
TEST_P(EveryScene, TakeoffSaysTheSameEachWay) {
    const Folder folder;
    const std::string csv = (folder / "a.csv").string();
    const auto answer = nlohmann::json::parse(underfoot("takeoff " + plan() + " --json --csv " + csv).out);
    const std::string text = underfoot("takeoff " + plan()).out, table = readFile(csv);
    for (const auto& item : answer["items"]) {
        EXPECT_THAT(text, HasSubstr("  " + item["title"].get<std::string>() + "  "));
        EXPECT_THAT(table, HasSubstr(item["material"].get<std::string>()));
    }
    EXPECT_THAT(table, HasSubstr("\r\ntotal,"));
    EXPECT_EQ(underfoot("takeoff " + plan() + " --why stone").code, 0);
    EXPECT_EQ(underfoot("takeoff " + plan() + " --why \"bedding sand\"").code, 0) << "as the table calls it";
    const Ran none = underfoot("takeoff " + plan() + " --why marble");
    EXPECT_EQ(none.code, 2);
    EXPECT_THAT(none.err, HasSubstr("Base stone"));
}

TEST(Compare, FourDesignsPrintOnOneSheet) {
    const Folder folder;
    const std::string file = (folder / "a.pdf").string();
    ASSERT_EQ(underfoot("compare scenes/courtyard.toml --raise 1in --cut A --pdf " + file).code, 0);
    EXPECT_THAT(readFile(file), HasSubstr("/MediaBox [ 0 0 612 792 ]"));  // letter, in points
}

TEST(Compare, MoreDesignsPrintOnMoreSheets) {
    const Folder folder;
    const std::string file = (folder / "a.pdf").string();
    ASSERT_EQ(
        underfoot("compare scenes/courtyard.toml --raise 1in --raise 2in --fall \"2 %\" --cut A --pdf " +
                  file)
            .code,
        0);
    const std::string pdf = readFile(file), letter = "/MediaBox [ 0 0 612 792 ]";
    size_t sheets = 0;
    for (size_t at = pdf.find(letter); at != std::string::npos; at = pdf.find(letter, at + 1)) ++sheets;
    EXPECT_EQ(sheets, 2u);  // three of the six on each
}

TEST_P(EveryScene, ComparedWithItselfDiffersInNothing) {
    const Folder folder;
    const Ran ran = underfoot("compare " + plan() + ' ' + plan() + along() + " --json --svg " +
                              (folder / "a.svg").string());
    ASSERT_EQ(ran.code, 0) << ran.err;
    const auto answer = nlohmann::json::parse(ran.out);
    ASSERT_GE(answer["designs"].size(), 2u);
    for (const auto& figure : answer["figures"]) EXPECT_EQ(figure["differences"].back(), 0) << figure;
    EXPECT_THAT(readFile(folder / "a.svg"), HasSubstr(">as planned<"));
}

TEST_P(EveryScene, CautionsEndByDeferring) {
    const Ran ran = underfoot("cautions " + plan());
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, ContainsRegex("licensed practice rule[^\n]*\n?[^\n]*right\\.\n$"));
}

TEST_P(EveryScene, ModelIsBinaryGltfOfItsWholeLength) {
    const Folder folder;
    const Ran ran = underfoot("model " + plan() + " " + (folder / "a.glb").string());
    ASSERT_EQ(ran.code, 0) << ran.err;
    const std::string bytes = readFile(folder / "a.glb");
    ASSERT_GT(bytes.size(), 1000u);
    EXPECT_EQ(bytes.substr(0, 4), "glTF");
    // glTF 2.0, 4.4.2: the third word of the header is the length of the whole file, little-endian.
    uint32_t length = 0;
    for (size_t i = 0; i < 4; ++i)
        length |= static_cast<uint32_t>(static_cast<unsigned char>(bytes[8 + i])) << (8 * i);
    EXPECT_EQ(length, bytes.size());
}

TEST_P(EveryScene, PictureIsAPngOfTheSizeAskedFor) {
    const Folder folder;
    const Ran ran =
        underfoot("picture " + plan() + " " + (folder / "a.png").string() + " --size 320x200" + atStation());
    ASSERT_EQ(ran.code, 0) << ran.err;
    const std::string bytes = readFile(folder / "a.png");
    ASSERT_GT(bytes.size(), 1000u);
    EXPECT_EQ(bytes.substr(1, 3), "PNG");
    // PNG (W3C), 11.2.2: width and height are the first two words of the header chunk, big-endian.
    EXPECT_EQ(bytes.substr(16, 8), std::string("\0\0\1\100\0\0\0\310", 8));  // 320 = 0x140, 200 = 0xC8
    EXPECT_THAT(folder.names(), testing::ElementsAre("a.png"));
}

TEST_P(EveryScene, SameCommandGivesTheSameBytes) {
    const Folder folder;
    for (const char* name : {"1", "2"}) {
        const std::string stem = (folder / name).string();
        ASSERT_EQ(underfoot("model " + plan() + " " + stem + ".glb").code, 0);
        ASSERT_EQ(
            underfoot("section " + plan() + atStation() + " --svg " + stem + ".svg --csv " + stem + ".csv")
                .code,
            0);
    }
    for (const char* kind : {".glb", ".svg", ".csv"})
        EXPECT_EQ(readFile(folder / (std::string("1") + kind)), readFile(folder / (std::string("2") + kind)))
            << kind;
}

TEST_P(EveryScene, NothingIsColouredThatIsNoTerminal) {
    const Ran ran = underfoot("check " + plan());
    EXPECT_EQ(ran.out.find('\x1b'), std::string::npos);
    EXPECT_EQ(underfoot("section " + plan() + atStation()).out.find('\x1b'), std::string::npos);
}

// The plan of scenes/first-plan.toml: 12 ft by 10 ft beside the house, finish 100 ft at the house falling 1/4
// in/ft.

TEST(FirstPlan, StackAtAPlace) {
    const Ran ran = underfoot("thickness scenes/first-plan.toml --at 6,5");
    ASSERT_EQ(ran.code, 0) << ran.err;
    // Finish 5 ft out: 100 ft - 5 x 1/4 in = 99 ft 10 3/4 in. Bedding from 2 3/8 in below that: 99 ft 8 3/8
    // in; base from 1 in lower, 99 ft 7 3/8 in, to 4 in lower, 99 ft 3 3/8 in.
    EXPECT_THAT(ran.out, ContainsRegex("units +99' 10 3/4\" +99' 8 3/8\" +2 3/8\" +2 3/8\""));
    EXPECT_THAT(ran.out, ContainsRegex("bedding +99' 8 3/8\" +99' 7 3/8\" +1\" +3/4\" to 1 1/2\""));
    EXPECT_THAT(ran.out, ContainsRegex("base +99' 7 3/8\" +99' 3 3/8\" +4\" +4\""));
}

TEST(FirstPlan, XYAndStationOffsetAreOnePlaceOnAPlainBaseline) {
    EXPECT_EQ(underfoot("thickness scenes/first-plan.toml --at 6,5").out,
              underfoot("thickness scenes/first-plan.toml --xy 6ft,60in").out);
}

TEST(FirstPlan, StationsAreReadAsSurveyorsWriteThem) {
    EXPECT_EQ(underfoot("section scenes/first-plan.toml --station 0+06").out,
              underfoot("section scenes/first-plan.toml --station 6").out);
    EXPECT_EQ(underfoot("section scenes/first-plan.toml --station '72 in'").out,
              underfoot("section scenes/first-plan.toml --station 6").out);
}

TEST(FirstPlan, Volumes) {
    const Ran ran = underfoot("volumes scenes/first-plan.toml");
    ASSERT_EQ(ran.code, 0) << ran.err;
    // 12 x 10 = 120 ft²: units 120 x 2.375/12 = 23.75 ft³, bedding 120 x 1/12 = 10 ft³. The base runs 6 in
    // beyond on three sides, not under the house: 13 x 10.5 = 136.5 ft² x 4/12 = 45.5 ft³, of it 40 ft³
    // inside.
    EXPECT_THAT(ran.out, HasSubstr("120.0 ft² inside the outlines"));
    EXPECT_THAT(ran.out, ContainsRegex("units +23\\.7[5-9]? ft³|units +23\\.8 ft³"));
    EXPECT_THAT(ran.out, ContainsRegex("bedding +10\\.00? ft³"));
    EXPECT_THAT(ran.out, ContainsRegex("base +45\\.50? ft³ +40\\.00? ft³ +136\\.50? ft²"));
}

TEST(FirstPlan, RowsOfACutAtAStationStandOnWholeOffsets) {
    const Ran ran = underfoot("section scenes/first-plan.toml --station 6 --every 2");
    ASSERT_EQ(ran.code, 0) << ran.err;
    // Finish 100 ft less 1/4 in a foot: at 4 ft 99 ft 11 in, at 10 ft it is the edge, at 2 ft 99 ft 11 1/2
    // in.
    EXPECT_THAT(ran.out, ContainsRegex("\n  2' 0\" +99' 11 1/2\" +2 3/8\" +1\" +4\""));
    EXPECT_THAT(ran.out, ContainsRegex("\n  4' 0\" +99' 11\" +2 3/8\" +1\" +4\""));
}

TEST(FirstPlan, SectionFromTheHouseOut) {
    const Ran ran = underfoot("section scenes/first-plan.toml --along '6,0 6,10'");
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("10' 0\" long"));
    // 10 ft x 2 3/8 in = 1.979 ft², 10 ft x 4 in = 3.333 ft².
    EXPECT_THAT(ran.out, ContainsRegex("units +2 3/8\".*1\\.98? ft²|units +2 3/8\".*2\\.0 ft²"));
    EXPECT_THAT(ran.out, ContainsRegex("base +4\".*3\\.33? ft²"));
}

// The string of scenes/courtyard.toml shows the fill 2 7/8 in down at station 14, offset 9.2. Above it lie
// 1/16 in of fabric, then the bed, 3/4 in of panels and 2 in of units: the bed is 2 7/8 - 1/16 - 3/4 - 2 =
// 1/16 in.

TEST(Courtyard, BedIsThinOnTheRidge) {
    const Ran ran = underfoot("thickness scenes/courtyard.toml --at 14,9.2");
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, ContainsRegex("sand .* 1/16\" +1/4\" to 1\""));
}

TEST(Courtyard, CheckNamesTheThinBedWithItsPlaceAndTheMeasure) {
    const Ran ran = underfoot("check scenes/courtyard.toml");
    EXPECT_EQ(ran.code, 1);
    // 1/4 in wanted, 1/16 in there: short by 3/16 in.
    EXPECT_THAT(ran.out, ContainsRegex("3/16.*0\\+14\\.0"));
}

TEST(Courtyard, FieldOfTheBedIsThinnestOnTheRidge) {
    const Ran ran = underfoot("thickness scenes/courtyard.toml --field sand");
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("Thinnest 1/16\" at station 0+14.0, offset 9' 2 3/8\""));
    EXPECT_THAT(ran.out, ContainsRegex("thin +1/16\" +0\\+14\\.0 +9' 2 3/8\""));
    EXPECT_THAT(ran.out, ContainsRegex("thick +"));
}

TEST(Courtyard, NamedCutIsTheSameAsItsStation) {
    const auto tail = [](const std::string& text) { return text.substr(text.find("  Layer")); };
    const Ran named = underfoot("section scenes/courtyard.toml --cut A");
    const Ran station = underfoot("section scenes/courtyard.toml --station 14");
    ASSERT_EQ(named.code, 0) << named.err;
    EXPECT_EQ(tail(named.out), tail(station.out));
}

TEST(Courtyard, WithoutAChoiceTheFirstCutOfThePlanIsMeant) {
    EXPECT_EQ(underfoot("section scenes/courtyard.toml").out,
              underfoot("section scenes/courtyard.toml --cut A").out);
}

TEST(Courtyard, JsonSaysTheSameAsTheWords) {
    using nlohmann::json;
    const json stack = json::parse(underfoot("thickness scenes/courtyard.toml --at 14,9.2 --json").out);
    EXPECT_EQ(stack.at("plan"), "Courtyard behind the row house");
    const auto bed = std::find_if(stack.at("layers").begin(), stack.at("layers").end(),
                                  [](const json& layer) { return layer.at("layer") == "sand"; });
    ASSERT_NE(bed, stack.at("layers").end());
    EXPECT_NEAR(bed->at("thickness").at("m").get<double>(), 0.0254 / 16, 1e-6);  // 1/16 in
    EXPECT_EQ(bed->at("thickness").at("text"), "1/16\"");

    const Ran check = underfoot("check scenes/courtyard.toml --json");
    EXPECT_EQ(check.code, 1);
    EXPECT_EQ(json::parse(check.out).at("count"), json::parse(check.out).at("findings").size());
    const json field = json::parse(underfoot("thickness scenes/courtyard.toml --field sand --json").out);
    EXPECT_NEAR(field.at("least").at("m").get<double>(), 0.0254 / 16, 1e-6);
    const json section = json::parse(underfoot("section scenes/courtyard.toml --cut A --json").out);
    EXPECT_EQ(section.at("name"), "Section A");
    const json volumes = json::parse(underfoot("volumes scenes/courtyard.toml --json").out);
    EXPECT_GT(volumes.at("fill").at("m3").get<double>(), 1);
}

TEST(Terrace, AnswersInMetres) {
    const Ran ran = underfoot("thickness scenes/terrace.toml --at 1.8,2.9");
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, ContainsRegex("units .* 60 mm +60 mm"));
    // The base was shot 12 mm high here (it should lie 85 mm down): 25 - 12 = 13 mm of bed.
    EXPECT_THAT(ran.out, ContainsRegex("bedding .* 13 mm +18 mm to 38 mm"));
    EXPECT_EQ(ran.out.find('"'), std::string::npos);
}

TEST(Version, IsTheBuilds) {
    std::smatch parts;
    const std::string build = readFile(source("CMakeLists.txt"));
    ASSERT_TRUE(std::regex_search(build, parts, std::regex(R"(project\(underfoot VERSION ([0-9.]+))")));
    EXPECT_EQ(underfoot("--version").out, "underfoot " + parts[1].str() + "\n");
}

// On the stone strip only a fabric lies under the stones; on the court it lies below panels, sand and base.
TEST(Stakes, ColumnsStandInTheOrderOfTheLayersOfAllBuildUps) {
    const Ran ran = underfoot("stakes scenes/courtyard.toml --grid 5ft");
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, testing::ContainsRegex("to panels +to sand +to base +to fabric +to formation"));
}

// By the plan 2 in of unit, 3/4 in of panel and 1/2 in of sand lie over the base, 3 1/4 in in all; at station
// 14 its ridge was shot 2 13/16 in below the string.
TEST(Stakes, AreSetToTheDesignUnlessWhatWasShotIsAskedFor) {
    const Folder folder;
    const std::string at = "stakes scenes/courtyard.toml --along-cuts 9.19ft --cut A --json";
    const auto down = [&](const std::string& more) {
        const Ran ran = underfoot(at + more);
        EXPECT_EQ(ran.code, 0) << ran.err;
        const auto root = nlohmann::json::parse(ran.out);
        for (const auto& layer : root["stakes"][1]["layers"])
            if (layer["layer"] == "base") return layer["down"]["m"].get<double>();
        return 0.0;
    };
    EXPECT_NEAR(down("") / 0.0254, 3.25, 1e-9);
    EXPECT_NEAR(down(" --as-placed") / 0.0254, 2.8125, 0.01);
}

}  // namespace
}  // namespace underfoot::test
