// What can go wrong around the program: disks, sizes, depths, scripts of the world, the locale. Each ends in
// the right code and a sentence, never in a crash, and never in an answer that differs by where it is asked.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <cstdlib>
#include <filesystem>
#include <map>

#include "command/exit_code.h"
#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

namespace fs = std::filesystem;
using command::ExitCode;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr const char* patio = R"(title = "Yard"
unit = "m"
finish = { at = [0, 0], level = 10, fall = "2 %" }
area = [{ name = "court", build_up = "b", rectangle = { corner = [0, 0], size = [3, 2] } }]
[[build_up]]
name = "b"
layers = [
  { name = "units", role = "units", thickness = 0.06 },
  { name = "bedding", role = "bedding", thickness = 0.03, least = 0.02, greatest = 0.05, take_up = true },
  { name = "base", role = "base", thickness = 0.1, beyond = 0.15 } ]
)";

std::string repeated(const std::string& piece, int times) {
    std::string text;
    for (int i = 0; i < times; ++i) text += piece;
    return text;
}

/// A sentence on standard error, nothing that could be taken for an answer, and the code.
void expectRefused(const Ran& ran, ExitCode code, const std::string& sentence) {
    EXPECT_EQ(ran.code, static_cast<int>(code)) << ran.out << ran.err;
    EXPECT_THAT(ran.err, HasSubstr(sentence));
    EXPECT_THAT(ran.out, IsEmpty());
}

// ---------------------------------------------------------------- disks

TEST(Disks, EveryExportNoticesAFullOne) {
    const Folder folder;
    writeText(folder / "a.toml", patio);
    for (const char* name : {"a.glb", "a.svg", "a.csv", "a.png"})
        fs::create_symlink("/dev/full", folder / name);
    for (const char* line :
         {"model a.toml a.glb", "section a.toml --station 1 --svg a.svg",
          "section a.toml --station 1 --csv a.csv", "volumes a.toml --csv a.csv", "check a.toml --csv a.csv",
          "thickness a.toml --at 1,1 --csv a.csv", "thickness a.toml --field bedding --csv a.csv"}) {
        const Ran ran = underfoot(line, folder.path());
        EXPECT_EQ(ran.code, static_cast<int>(ExitCode::CannotWrite)) << line << ran.err;
        EXPECT_THAT(ran.err, HasSubstr("The disk is full")) << line;
    }
    for (const char* name : {"a.glb", "a.svg", "a.csv", "a.png"})
        EXPECT_TRUE(fs::is_symlink(folder / name)) << name;
}

TEST(Disks, AFileThatNobodyMayReplaceIsRefused) {
    // A file of the kernel: even root may not put another in its place.
    const Ran ran = underfoot("section scenes/first-plan.toml --station 4 --svg /proc/version");
    EXPECT_EQ(ran.code, static_cast<int>(ExitCode::CannotWrite)) << ran.err;
    EXPECT_THAT(ran.err, HasSubstr("Cannot write /proc/version"));
}

// ---------------------------------------------------------------- sizes and depths

/// A plan that names a point file of that many bytes, all of them a hole in the disk: zeros when read.
Ran runWithPointFile(const Folder& folder, uintmax_t bytes) {
    writeText(folder / "a.toml",
              std::string(patio) +
                  "[ground]\nextend = \"nearest\"\nfiles = [ { path = \"p.csv\", order = \"PNEZD\" } ]\n");
    writeText(folder / "p.csv", "1,0,0,9.8,a\n2,0,3,9.8,b\n3,2,0,9.7,c\n");
    fs::resize_file(folder / "p.csv", bytes);
    return underfoot("volumes a.toml", folder.path());
}

TEST(LargeFiles, TwoGigabytesOfPointsAreRefusedUnread) {
    const Folder folder;
    const Ran ran = runWithPointFile(folder, 2ULL << 30);
    expectRefused(ran, ExitCode::PlanWrong, "The point file \"p.csv\"");
    EXPECT_THAT(ran.err, HasSubstr("2048.0 MB"));
    EXPECT_THAT(ran.err, HasSubstr("at most 256.0 MB are read"));
    // No child of this process, that one among them, was ever as large as the file.
    rusage used{};
    ASSERT_EQ(::getrusage(RUSAGE_CHILDREN, &used), 0);
    EXPECT_LT(used.ru_maxrss, 1L << 20);  // kilobytes
}

TEST(LargeFiles, ZerosJustBelowTheBoundAreTold) {
    const Folder folder;
    expectRefused(runWithPointFile(folder, 200ULL << 20), ExitCode::PlanWrong, "zero byte");
}

TEST(LargeFiles, ATerabyteOfPlanIsRefusedUnread) {
    const Folder folder;
    writeText(folder / "a.toml", patio);
    fs::resize_file(folder / "a.toml", 1ULL << 40);
    expectRefused(underfoot("check a.toml", folder.path()), ExitCode::PlanWrong, "at most 16.0 MB");
}

TEST(DeepPlans, TenThousandLevelsAreRefusedWithASentence) {
    const Folder folder;
    constexpr int deep = 10000;
    const std::string lists = "x = " + repeated("[", deep) + repeated("]", deep);
    const std::string tables = "x = " + repeated("{ a = ", deep) + "1" + repeated(" }", deep);
    const std::string keys = repeated("a.", deep) + "a = 1";
    const std::string headings = "[" + repeated("a.", deep) + "a]";
    const std::string open = "x = " + repeated("[{ a = ", deep / 2);
    for (const std::string& text : {lists, tables, keys, headings, open}) {
        writeText(folder / "deep.toml", std::string(patio) + text + "\n");
        const Ran ran = underfoot("check deep.toml", folder.path());
        EXPECT_EQ(ran.code, static_cast<int>(ExitCode::PlanWrong)) << text.substr(0, 20) << ran.err;
        EXPECT_THAT(ran.err, testing::ContainsRegex(
                                 "deep.toml:[0-9]+:[0-9]+: .*(nested more than 32 deep|more than 16 parts)"));
    }
}

// ---------------------------------------------------------------- scripts

struct Script {
    const char* name;
    const char* area;
    const char* layer;
    const char* file;  ///< stem of every file
};
void PrintTo(const Script& script, std::ostream* out) {
    *out << script.name;
}

class EveryScript : public testing::TestWithParam<Script> {};

TEST_P(EveryScript, GoesThroughEveryVerbAndExport) {
    const auto& [name, area, layer, stem] = GetParam();
    const Folder folder;
    std::string text = patio;
    const auto replace = [&](const std::string& old, const std::string& fresh) {
        const size_t at = text.find(old);
        ASSERT_NE(at, std::string::npos);
        text.replace(at, old.size(), fresh);
    };
    replace("\"Yard\"", "\"" + std::string(area) + "\"");
    replace("\"court\"", "\"" + std::string(area) + "\"");
    replace("name = \"bedding\"", "name = \"" + std::string(layer) + "\"");
    // Thin enough that the bedding is told by name.
    text +=
        "[[measured_top]]\nlayer = \"base\"\nshots = [[0, 0, 9.935], [3, 0, 9.935], [3, 2, 9.9], [0, 2, "
        "9.9]]\n";
    const std::string plan = "'" + std::string(stem) + ".toml'", out = "'" + std::string(stem);
    writeText(folder / (std::string(stem) + ".toml"), text);

    const Ran check = underfoot("check " + plan + " --csv " + out + ".csv'", folder.path());
    EXPECT_EQ(check.code, 1) << check.err;
    EXPECT_THAT(readFile(folder / (std::string(stem) + ".csv")), HasSubstr(layer));

    const Ran section = underfoot("section " + plan + " --station 1 --svg " + out + ".svg'", folder.path());
    EXPECT_EQ(section.code, 0) << section.err;
    EXPECT_THAT(section.out, HasSubstr(area));
    EXPECT_THAT(section.out, HasSubstr(layer));
    EXPECT_THAT(readFile(folder / (std::string(stem) + ".svg")), HasSubstr(area));

    for (const std::string& line : std::vector<std::string>{
             "volumes " + plan, "volumes " + plan + " --json", "section " + plan + " --station 1 --json",
             "thickness " + plan + " --at 1,1", "thickness " + plan + " --at 1,1 --json",
             "thickness " + plan + " --field '" + layer + "'", "check " + plan + " --json || true"}) {
        const Ran ran = underfoot(line, folder.path());
        EXPECT_EQ(ran.code, 0) << line << ran.err;
        EXPECT_THAT(ran.out, HasSubstr(layer)) << line;
    }

    const Ran model = underfoot("model " + plan + " " + out + ".glb' --layer '" + layer + "'", folder.path());
    EXPECT_EQ(model.code, 0) << model.err;
    EXPECT_THAT(readFile(folder / (std::string(stem) + ".glb")), HasSubstr(layer));
    const Ran picture = underfoot(
        "picture " + plan + " " + out + ".png' --size 160x100 --thickness '" + layer + "'", folder.path());
    EXPECT_EQ(picture.code, 0) << picture.err;
}

const Script scripts[]{
    {"Latin", "Hof größer", "Sänd & \xC2\xBD <grob>", "höfe"},
    {"Arabic", "\u0641\u0646\u0627\u0621", "\u0631\u0645\u0644", "\u062E\u0637\u0629"},
    {"Chinese", "\u5EAD\u9662", "\u7802", "\u5E73\u9762"},
    {"Devanagari", "\u0906\u0901\u0917\u0928", "\u0930\u0947\u0924", "\u0928\u0915\u094D\u0936\u093E"},
    {"Emoji", "\U0001F3E1 yard", "\U0001F3D6\uFE0F sand", "\U0001F9F1"},
    {"Combining", "cou\u0301r\u0327t\u0323\u0307", "sa\u0302\u0301\u0328nd", "pla\u0308n"},
    {"RightToLeftMarks", "a\u202Eb\u202C", "s\u200Fand", "x\u200By"},
};
INSTANTIATE_TEST_SUITE_P(Of, EveryScript, testing::ValuesIn(scripts),
                         [](const testing::TestParamInfo<Script>& at) { return std::string(at.param.name); });

// ---------------------------------------------------------------- the locale

/// A locale that writes 1.234,5: the system's own, or one made in a folder for the test. Empty when neither
/// can be had.
std::string localeWithCommas(const Folder& folder) {
    const std::string made = (folder / "de_DE.UTF-8").string();
    const std::string make = "localedef -i de_DE -f UTF-8 '" + made + "' >/dev/null 2>&1";
    // It answers 1 for mere warnings.
    (void)!std::system(make.c_str());
    if (fs::exists(made + "/LC_NUMERIC"))
        return "LOCPATH='" + folder.path().string() + "' LC_ALL=de_DE.UTF-8";
    if (std::system("locale -a 2>/dev/null | grep -qi '^de_DE.utf'") == 0) return "LC_ALL=de_DE.UTF-8";
    return {};
}

TEST(Locale, CommasForDecimalsChangeNoByte) {
    const Folder locales;
    const std::string german = localeWithCommas(locales);
    if (german.empty()) GTEST_SKIP() << "no locale with decimal commas here, nor the means to make one";
    std::map<std::string, std::string> plain;
    for (const std::string& environment : {std::string("LC_ALL=C"), german}) {
        const Folder folder;
        writeText(folder / "a.toml", patio);
        std::map<std::string, std::string> found;
        for (const char* line :
             {"check a.toml", "check a.toml --json", "volumes a.toml", "volumes a.toml --csv v.csv",
              "section a.toml --station 1.25 --svg s.svg --csv s.csv", "section a.toml --station 1.25 --json",
              "thickness a.toml --at 1.5,0.75", "thickness a.toml --field bedding --csv f.csv",
              "section a.toml --along '0.5,0.5 2.5,1.5' --every 0.25", "model a.toml m.glb"}) {
            const Ran ran = underfoot(line, folder.path(), "", environment);
            EXPECT_LE(ran.code, 1) << line << ran.err;
            found[line] = ran.out;
        }
        for (const std::string& name : folder.names()) found[name] = readFile(folder / name);
        if (plain.empty())
            plain = found;
        else
            EXPECT_EQ(found, plain);
    }
    EXPECT_THAT(plain["volumes a.toml"], testing::ContainsRegex("[0-9]\\.[0-9]"));
}

}  // namespace
}  // namespace underfoot::test
