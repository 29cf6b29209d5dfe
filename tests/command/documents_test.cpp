// What --help and the README say is run: examples run, commands run, quoted output is what a run gives.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "command/run_underfoot.h"

#ifdef UNDERFOOT_GRAPHICS
#include "view/picture.h"
#endif

namespace underfoot::test {
namespace {

using testing::HasSubstr;

constexpr const char* verbs[] = {"check",     "section", "thickness", "placed",   "volumes",
                                 "earthwork", "stakes",  "water",     "cautions", "compare",
                                 "units",     "takeoff", "model",     "picture",  "view"};

/// A folder with the scenes in it and an empty out/, as the examples expect around them.
void prepare(const Folder& folder) {
    std::filesystem::copy(source("scenes"), folder / "scenes", std::filesystem::copy_options::recursive);
    std::filesystem::create_directory(folder / "out");
}

/// The lines of "Example:" in a help text, without the program's name.
std::vector<std::string> examplesIn(const std::string& help) {
    std::vector<std::string> found;
    bool inside = false;
    for (const std::string& line : linesOf(help)) {
        if (inside && line.starts_with("  underfoot ")) found.push_back(line.substr(12));
        inside = inside ? line.starts_with("  ") : line.starts_with("Example");
    }
    return found;
}

bool endedWell(const Ran& ran) {
    return ran.code == 0 || ran.code == 1;
}

/// A window stays open: it is asked to draw, write a picture and leave. Without a display it can only be
/// refused.
Ran runExample(const std::string& arguments, const Folder& folder) {
    if (!arguments.starts_with("view ")) return underfoot(arguments, folder.path());
    const char* display = std::getenv("DISPLAY");
    if (display == nullptr) {
        Ran ran = underfoot(arguments, folder.path());
        if (ran.code == 5) ran.code = 0;
        return ran;
    }
    return underfoot(arguments + " --no-motion --screenshot out/window.png", folder.path());
}

TEST(Help, EachVerbHasAnExampleThatRuns) {
    for (const char* verb : verbs) {
        const Ran help = underfoot(std::string(verb) + " --help");
        ASSERT_EQ(help.code, 0) << verb;
        const auto examples = examplesIn(help.out);
        ASSERT_FALSE(examples.empty()) << help.out;
        for (const std::string& example : examples) {
            const Folder folder;
            prepare(folder);
            EXPECT_THAT(example, testing::StartsWith(verb));
            const Ran ran = runExample(example, folder);
            EXPECT_TRUE(endedWell(ran)) << example << '\n' << ran.code << ' ' << ran.err;
        }
    }
}

TEST(Help, TheProgramsOwnExampleRuns) {
    const auto examples = examplesIn(underfoot("--help").out);
    ASSERT_FALSE(examples.empty());
    for (const std::string& example : examples) EXPECT_TRUE(endedWell(underfoot(example))) << example;
}

struct Block {
    std::string language;
    std::string text;
};

/// The fenced blocks of a Markdown text, in order.
std::vector<Block> blocksIn(const std::string& markdown) {
    std::vector<Block> blocks;
    bool inside = false;
    for (const std::string& line : linesOf(markdown)) {
        if (line.starts_with("```")) {
            inside = !inside;
            if (inside) blocks.push_back({line.substr(3), ""});
            continue;
        }
        if (inside) blocks.back().text += line + '\n';
    }
    return blocks;
}

/// Commands of the README that set the whole up rather than run the program.
bool isScript(const std::string& line) {
    for (const char* script : {"bash scenes/show", "bash tests/run"}) {
        if (!line.starts_with(script)) continue;
        return std::filesystem::exists(source(std::string(script).substr(5)));
    }
    return false;
}

constexpr const char* program = "build/underfoot ";

/// What is quoted is the whole output, or pieces of it in its order where a line "…" stands for lines left
/// out.
bool isQuotedFrom(const std::string& quoted, const std::string& output) {
    bool leftOut = false;
    size_t at = 0;
    for (const std::string& line : linesOf(quoted)) {
        if (line == "…") {
            leftOut = true;
            continue;
        }
        const std::string whole = line + '\n';
        size_t found = output.find(whole, at);
        // A line begins where another ended.
        while (found != std::string::npos && found > 0 && output[found - 1] != '\n')
            found = output.find(whole, found + 1);
        if (found == std::string::npos || (!leftOut && found != at)) return false;
        at = found + whole.size();
        leftOut = false;
    }
    return leftOut || at == output.size();
}

TEST(Readme, QuotesMayLeaveLinesOutButMustSaySo) {
    EXPECT_TRUE(isQuotedFrom("a\nb\n", "a\nb\n"));
    EXPECT_TRUE(isQuotedFrom("…\nb\n…\n", "a\nb\nc\n"));
    EXPECT_FALSE(isQuotedFrom("b\n", "a\nb\n"));
    EXPECT_FALSE(isQuotedFrom("a\n", "a\nb\n"));
    EXPECT_FALSE(isQuotedFrom("…\nb\n", "ab\n"));
    EXPECT_FALSE(isQuotedFrom("b\n…\na\n", "a\nb\n"));
}

/// Files that a Markdown text shows as pictures, by their names in the sources.
std::vector<std::string> picturesIn(const std::string& markdown) {
    std::vector<std::string> found;
    for (const std::string& line : linesOf(markdown))
        if (line.starts_with("![") && line.ends_with(")")) {
            const size_t from = line.rfind('(') + 1;
            found.push_back(line.substr(from, line.size() - 1 - from));
        }
    return found;
}

#ifdef UNDERFOOT_GRAPHICS
/// Mean difference of two pictures over squares of 4 by 4 pixels, steps of 255: a line that moves by a pixel
/// says little, a face of another colour much.
double difference(const Image& a, const Image& b) {
    if (a.width != b.width || a.height != b.height) return 255;
    double sum = 0;
    for (int y = 0; y + 4 <= a.height; y += 4)
        for (int x = 0; x + 4 <= a.width; x += 4)
            for (int c = 0; c < 3; ++c) {
                int square = 0;
                for (int i = 0; i < 16; ++i)
                    square += a.at(x + i % 4, y + i / 4)[c] - b.at(x + i % 4, y + i / 4)[c];
                sum += std::abs(square) / 16.0;
            }
    return sum / (a.width / 4 * (a.height / 4) * 3);
}

void expectAsWritten(const std::string& name, const Folder& folder) {
    const auto shown = decodePng(readFile(source(name)));
    const auto written =
        decodePng(readFile(folder / ("out/" + std::filesystem::path(name).filename().string())));
    ASSERT_TRUE(shown && written) << name;
    EXPECT_LT(difference(*shown, *written), 1)
        << name << ": what the README's command writes looks different";
}
#else
void expectAsWritten(const std::string&, const Folder&) {}
#endif

TEST(Readme, EveryCommandRunsAndQuotedOutputIsWhatARunGives) {
    const Folder folder;
    prepare(folder);
    std::string last;
    int ran = 0;
    for (const Block& block : blocksIn(readFile(source("README.md")))) {
        if (block.language == "text") {
            EXPECT_TRUE(isQuotedFrom(block.text, last)) << "The README quotes what a run no longer gives:\n"
                                                        << block.text << "\nbut:\n"
                                                        << last;
            continue;
        }
        if (block.language != "sh") continue;
        for (const std::string& whole : linesOf(block.text)) {
            const std::string line = whole.substr(0, whole.find("  #"));
            if (isScript(line)) continue;
            ASSERT_TRUE(line.starts_with(program)) << "The README has a command that is not known: " << line;
            const Ran one = runExample(line.substr(std::string(program).size()), folder);
            EXPECT_TRUE(endedWell(one)) << line << '\n' << one.code << ' ' << one.err;
            last = one.out;
            ++ran;
        }
    }
    EXPECT_GE(ran, 7);
    for (const std::string& picture : picturesIn(readFile(source("README.md"))))
        expectAsWritten(picture, folder);
}

TEST(Readme, PlanExamplesAreReadAndBuilt) {
    int plans = 0;
    for (const Block& block : blocksIn(readFile(source("README.md")))) {
        if (block.language != "toml") continue;
        const Folder folder;
        writeText(folder / "plan.toml", block.text);
        const Ran ran = underfoot("volumes plan.toml", folder.path());
        EXPECT_EQ(ran.code, 0) << ran.err;
        ++plans;
    }
    EXPECT_GE(plans, 1);
}

TEST(Readme, NamesEveryVerbAndExitCode) {
    const std::string text = readFile(source("README.md"));
    for (const char* verb : verbs) EXPECT_THAT(text, HasSubstr("`" + std::string(verb)));
    for (const std::string& line : linesOf(underfoot("--help").out)) {
        // Lines such as "  4   the answer could not be written".
        if (line.size() < 7 || !line.starts_with("  ") || !std::isdigit(static_cast<unsigned char>(line[2])))
            continue;
        const std::string code = line.substr(2, line.find(' ', 2) - 2);
        const std::string words = line.substr(line.find_first_not_of(' ', line.find(' ', 2)));
        EXPECT_THAT(text, HasSubstr("| " + code + " | " + words + " |"));
    }
}

/// A Markdown text without its fenced blocks.
std::string proseIn(const std::string& markdown) {
    std::string prose;
    bool inside = false;
    for (const std::string& line : linesOf(markdown)) {
        const bool fence = line.starts_with("```");
        if (!fence && !inside) prose += line + '\n';
        if (fence) inside = !inside;
    }
    return prose;
}

void expectThere(const std::string& document, const std::string& name) {
    EXPECT_TRUE(std::filesystem::exists(source(name))) << document << ": " << name;
}

TEST(Documents, FilesThatAreNamedExist) {
    for (const char* document : {"README.md", "DEVELOPERS.md"}) {
        const std::string text = proseIn(readFile(source(document)));
        ASSERT_FALSE(text.empty()) << document;
        // Every `path/like/this` that begins with a folder of the sources.
        for (const std::string& picture : picturesIn(text)) expectThere(document, picture);
        for (size_t from = text.find('`'); from != std::string::npos;) {
            const size_t to = text.find('`', from + 1);
            if (to == std::string::npos) break;
            const std::string word = text.substr(from + 1, to - from - 1);
            from = text.find('`', to + 1);
            if (word.find_first_of(" *<\n") != std::string::npos) continue;
            for (const char* top : {"src/", "tests/", "scenes/", "assets/", "shaders/", ".ci/"})
                if (word.starts_with(top)) expectThere(document, word);
        }
    }
}

TEST(Documents, SpeakOfNoMachinesPaths) {
    for (const char* document : {"README.md", "DEVELOPERS.md"})
        for (const char* path : {"/home/", "/root/", "/tmp/"})
            EXPECT_EQ(readFile(source(document)).find(path), std::string::npos) << document << ' ' << path;
}

}  // namespace
}  // namespace underfoot::test
