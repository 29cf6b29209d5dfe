// What the program answers its caller with, and that it never answers "fine" for work that was not done.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "command/exit_code.h"
#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

using command::ExitCode;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr const char* verbsOnPlans[] = {"check",   "section", "thickness", "placed",
                                        "volumes", "model",   "picture",   "view"};

void expectCode(const Ran& ran, ExitCode code) {
    EXPECT_EQ(ran.code, static_cast<int>(code)) << ran.out << ran.err;
}

/// A plan with one area and nothing to complain of.
std::string soundPlan() {
    return "title = \"Sound\"\nunit = \"ft\"\n"
           "finish = { at = [0, 0], level = 100, fall = \"1/4 in/ft\" }\n"
           "area = [{ name = \"a\", build_up = \"b\", rectangle = { corner = [0, 0], size = [12, 10] } }]\n"
           "[ground]\nshots = [[-9, -9, 99.5], [21, -9, 99.5], [21, 19, 99.5], [-9, 19, 99.5]]\n"
           "[[build_up]]\nname = \"b\"\nlayers = [\n"
           "{ name = \"units\", role = \"units\", thickness = \"2 3/8 in\" },\n"
           "{ name = \"bedding\", role = \"bedding\", thickness = \"1 in\" },\n"
           "{ name = \"base\", role = \"base\", thickness = \"4 in\", beyond = \"6 in\", lift = \"4 in\" "
           "},\n]\n";
}

TEST(ExitCodes, FineWithoutFindings) {
    const Folder folder;
    writeText(folder / "sound.toml", soundPlan());
    const Ran ran = underfoot("check sound.toml", folder.path());
    expectCode(ran, ExitCode::Fine);
    EXPECT_EQ(ran.out, "Nothing to look at.\n");
}

TEST(ExitCodes, FindingsPresent) {
    expectCode(underfoot("check scenes/courtyard.toml"), ExitCode::FindingsPresent);
}

TEST(ExitCodes, BadUsage) {
    for (const char* line : {"",
                             "dig",
                             "check",
                             "check scenes/courtyard.toml --deeper",
                             "section scenes/courtyard.toml --station",
                             "section scenes/courtyard.toml --station north",
                             "section scenes/courtyard.toml --cut nowhere",
                             "section scenes/courtyard.toml --station 3 --cut A",
                             "section scenes/courtyard.toml --along 3,4",
                             "section scenes/courtyard.toml --along '3,4 5'",
                             "section scenes/courtyard.toml --station 4 --every 0",
                             "section scenes/courtyard.toml --station 4 --svg x.svg --scale big",
                             "thickness scenes/courtyard.toml",
                             "thickness scenes/courtyard.toml --at 14",
                             "thickness scenes/courtyard.toml --at 14,9,2",
                             "thickness scenes/courtyard.toml --field gold",
                             "thickness scenes/courtyard.toml --at 1,1 --xy 1,1",
                             "model scenes/courtyard.toml",
                             "model scenes/courtyard.toml a.obj",
                             "model scenes/courtyard.toml a.glb --layer gold",
                             "picture scenes/courtyard.toml a.jpg",
                             "picture scenes/courtyard.toml a.png --size 4",
                             "picture scenes/courtyard.toml a.png --lift-apart 2"}) {
        const Ran ran = underfoot(line);
        EXPECT_EQ(ran.code, static_cast<int>(ExitCode::BadUsage)) << line << '\n' << ran.err;
        EXPECT_THAT(ran.err, testing::StartsWith("underfoot: ")) << line;
        EXPECT_THAT(ran.out, IsEmpty()) << line;
    }
}

TEST(ExitCodes, APlanThatIsNotThere) {
    for (const char* verb : {"check", "section", "volumes"}) {
        const Ran ran = underfoot(std::string(verb) + " scenes/no-such-plan.toml");
        expectCode(ran, ExitCode::PlanWrong);
        EXPECT_THAT(ran.err, HasSubstr("no-such-plan.toml"));
        EXPECT_THAT(ran.out, IsEmpty());
    }
}

TEST(ExitCodes, APlanThatIsWrongNamesFileAndLine) {
    const Folder folder;
    writeText(folder / "bad.toml",
              "title = \"Bad\"\nunit = \"ft\"\n[finish]\nat = [0, 0]\nlevel = \"ninety\"\n");
    const Ran ran = underfoot("check bad.toml", folder.path());
    expectCode(ran, ExitCode::PlanWrong);
    EXPECT_THAT(ran.err, HasSubstr("bad.toml:5:"));
}

TEST(ExitCodes, AMissingFolderCannotBeWrittenTo) {
    const Folder folder;
    const std::string plan = source("scenes/courtyard.toml").string();
    for (const std::string& line : std::vector<std::string>{
             "model " + plan + " no/such/a.glb", "section " + plan + " --station 14 --svg no/such/a.svg",
             "section " + plan + " --station 14 --pdf no/such/a.pdf",
             "cautions " + plan + " --pdf no/such/a.pdf", "stakes " + plan + " --print no/such/a.pdf",
             "compare " + plan + " --station 14 --pdf no/such/a.pdf",
             "section " + plan + " --station 14 --csv no/such/a.csv",
             "volumes " + plan + " --csv no/such/a.csv", "takeoff " + plan + " --xlsx no/such/a.xlsx",
             "thickness " + plan + " --field sand --csv no/such/a.csv",
             "picture " + plan + " no/such/a.png --size 64x64"}) {
        const Ran ran = underfoot(line, folder.path());
        EXPECT_EQ(ran.code, static_cast<int>(ExitCode::CannotWrite)) << line << '\n' << ran.err;
        EXPECT_THAT(ran.err, HasSubstr("no/such")) << line;
        EXPECT_THAT(folder.names(), IsEmpty()) << line;
    }
}

TEST(ExitCodes, AFullDiskIsNoticed) {
    for (const char* line :
         {"section scenes/courtyard.toml --station 14 --svg /dev/full",
          "section scenes/courtyard.toml --station 14 --pdf /dev/full",
          "cautions scenes/courtyard.toml --pdf /dev/full",
          "section scenes/courtyard.toml --station 14 --csv /dev/full",
          "volumes scenes/courtyard.toml --csv /dev/full", "takeoff scenes/courtyard.toml --xlsx /dev/full"})
        EXPECT_EQ(underfoot(line).code, static_cast<int>(ExitCode::CannotWrite)) << line;
}

TEST(ExitCodes, AFullDiskBehindStandardOutputIsNoticed) {
    for (const char* line :
         {"check scenes/courtyard.toml", "volumes scenes/courtyard.toml",
          "section scenes/courtyard.toml --station 14", "volumes scenes/courtyard.toml --json",
          "thickness scenes/courtyard.toml --at 14,9", "--help", "check --help"}) {
        const Ran ran = underfoot(line, {}, ">/dev/full");
        EXPECT_EQ(ran.code, static_cast<int>(ExitCode::CannotWrite)) << line;
        EXPECT_THAT(ran.err, HasSubstr("could not be written")) << line;
    }
}

TEST(ExitCodes, AnOldFileIsReplacedWholeAndNothingElseIsLeft) {
    const Folder folder;
    writeText(folder / "a.svg", "old");
    const std::string plan = source("scenes/courtyard.toml").string();
    ASSERT_EQ(underfoot("section " + plan + " --station 14 --svg a.svg", folder.path()).code, 0);
    EXPECT_EQ(readFile(folder / "a.svg").find("old"), std::string::npos);
    EXPECT_THAT(folder.names(), testing::ElementsAre("a.svg"));
}

TEST(ExitCodes, AFolderIsNotOverwritten) {
    const Folder folder;
    std::filesystem::create_directory(folder / "a.glb");
    const std::string plan = source("scenes/first-plan.toml").string();
    expectCode(underfoot("model " + plan + " a.glb", folder.path()), ExitCode::CannotWrite);
    EXPECT_TRUE(std::filesystem::is_directory(folder / "a.glb"));
    EXPECT_THAT(folder.names(), testing::ElementsAre("a.glb"));
}

TEST(ExitCodes, APlaceOutsideThePlanHasNoAnswer) {
    for (const char* line :
         {"section scenes/courtyard.toml --station 500", "thickness scenes/courtyard.toml --at 14,900",
          "section scenes/courtyard.toml --along '500,0 600,0'"}) {
        const Ran ran = underfoot(line);
        EXPECT_EQ(ran.code, static_cast<int>(ExitCode::NothingThere)) << line << ran.err;
        EXPECT_THAT(ran.err, HasSubstr("outside the plan")) << line;
    }
}

TEST(ExitCodes, AWindowWithoutADisplaySaysSo) {
    const Ran ran = underfoot("view scenes/first-plan.toml", {}, "", "-u DISPLAY -u WAYLAND_DISPLAY");
    expectCode(ran, ExitCode::NoGraphics);
    EXPECT_EQ(linesOf(ran.err).size(), 1u) << ran.err;
}

TEST(ExitCodes, HelpListsThemAll) {
    const Ran ran = underfoot("--help");
    expectCode(ran, ExitCode::Fine);
    for (const ExitCode code :
         {ExitCode::Fine, ExitCode::FindingsPresent, ExitCode::BadUsage, ExitCode::PlanWrong,
          ExitCode::CannotWrite, ExitCode::NoGraphics, ExitCode::NothingThere, ExitCode::Fault})
        EXPECT_THAT(ran.out,
                    testing::ContainsRegex("\n  " + std::to_string(static_cast<int>(code)) + " +[a-z]"));
    for (const char* verb : verbsOnPlans) EXPECT_THAT(ran.out, HasSubstr(verb));
}

}  // namespace
}  // namespace underfoot::test
