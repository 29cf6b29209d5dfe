// What every verb says in words, in JSON and in its table is the same: each number with a unit that is read
// stands in the JSON, as words or as a value that the program's own measures write so; each value of the
// table stands there too. The window shows the page that is printed.

#include <gtest/gtest.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <regex>
#include <set>
#include <sstream>

#include <fmt/format.h>

#include "command/run_underfoot.h"
#include "measure/mass.h"
#include "measure/number.h"
#include "measure/slope.h"

namespace underfoot::test {
namespace {

struct Asked {
    const char* verb;
    const char* scene;
    const char* more;
    bool table = false;  ///< its CSV holds nothing finer than the JSON
};

void PrintTo(const Asked& asked, std::ostream* out) {
    *out << asked.verb << ' ' << asked.scene << ' ' << asked.more;
}

/// Numbers with a unit, as the measures write them; primes and fractions of a drawing made plain before.
std::vector<std::string> measuresIn(const std::string& text) {
    static const std::regex one(
        R"(-?\d+' (\d+ )?\d+/\d+"|-?\d+' \d+"|-?\d+ \d+/\d+"|-?\d+/\d+"|-?\d+")"
        R"(|-?[\d,]*\d(\.\d+)? (ft²|ft³|yd³|m²|m³|lb|kg|mm|%)|-?[\d,]*\d\.\d+ m(?![a-z²³0-9])|-?\d\+\d+\.\d+)");
    std::vector<std::string> found;
    for (std::sregex_iterator at(text.begin(), text.end(), one), end; at != end; ++at)
        found.push_back(at->str());
    return found;
}

/// An answer in JSON, read without caring how it is built: its words, and its numbers by the key they stand
/// under.
struct Told {
    std::set<std::string> measures;
    std::vector<double> numbers;  ///< sorted

    Told(const std::string& json, const LengthFormat& show) {
        std::string key;
        for (size_t at = 0; at < json.size(); ++at) {
            if (json[at] == '"') {
                std::string words;
                for (++at; json[at] != '"'; ++at) words += json[at] == '\\' ? json[++at] : json[at];
                if (json[at + 1] == ':')
                    key = words;
                else
                    readWords(words);
            } else if (json[at] == '-' || (json[at] >= '0' && json[at] <= '9')) {
                double value = 0;
                const auto read = std::from_chars(json.data() + at, json.data() + json.size(), value);
                at = static_cast<size_t>(read.ptr - json.data()) - 1;
                readNumber(key, value, show);
            }
        }
        std::sort(numbers.begin(), numbers.end());
    }

    bool holds(double value) const {
        const auto next = std::lower_bound(numbers.begin(), numbers.end(), value - 0.6e-6);
        return next != numbers.end() && *next <= value + 0.6e-6;  // tables have six places
    }

  private:
    void readWords(const std::string& words) {
        if (words.find_first_of("0123456789") == std::string::npos) return;
        for (const std::string& one : measuresIn(words)) measures.insert(one);
    }
    void readNumber(const std::string& key, double value, const LengthFormat& show) {
        numbers.push_back(value);
        const auto isOf = [&](const std::string& unit) { return key == unit || key.ends_with('_' + unit); };
        for (const double one : {value, std::abs(value)}) {
            if (isOf("m"))
                measures.insert(
                    {formatLength(one, show), formatThickness(one, show), formatStation(one, show)});
            else if (isOf("m2"))
                measures.insert(formatArea(one, show));
            else if (isOf("m3"))
                measures.insert({formatVolume(one, show), formatVolume(one, show, true)});
            else if (isOf("kg"))
                measures.insert(formatMass(one, show));
            else
                for (const int places : {0, 1, 2})
                    measures.insert(fmt::format("{:.{}f} %", 100 * one, places));
        }
    }
};

LengthFormat showOf(const Asked& asked) {
    return {std::string(asked.scene) == "terrace" ? LengthStyle::Metres : LengthStyle::FeetInches, 16};
}

std::vector<std::string> cellsOf(const std::string& line) {
    std::vector<std::string> cells(1);
    bool quoted = false;
    for (const char c : line) {
        if (c == '"')
            quoted = !quoted;
        else if (c == ',' && !quoted)
            cells.emplace_back();
        else if (c != '\r')
            cells.back() += c;
    }
    return cells;
}

class Answers : public testing::TestWithParam<Asked> {
  protected:
    std::string line() const {
        return std::string(GetParam().verb) + " scenes/" + GetParam().scene + ".toml " + GetParam().more;
    }
};

TEST_P(Answers, AgreeInWordsJsonAndTable) {
    const Folder folder;
    const std::string file = (folder / "a.csv").string();
    const std::string csv = GetParam().table ? " --csv " + file : "";
    const Ran read = underfoot(line()), json = underfoot(line() + " --json" + csv);
    ASSERT_LE(json.code, 1) << json.err;  // 1: check, with findings
    const Told told(json.out, showOf(GetParam()));
    const std::vector<std::string> measures = measuresIn(read.out);
    EXPECT_TRUE(!measures.empty() || std::string(GetParam().verb) == "check");
    for (const std::string& one : measures) EXPECT_TRUE(told.measures.contains(one)) << one;
    if (!GetParam().table) return;
    const std::vector<std::string> lines = linesOf(readFile(file));
    const std::vector<std::string> heads = cellsOf(lines.at(0));
    for (size_t i = 1; i < lines.size(); ++i) {
        const std::vector<std::string> cells = cellsOf(lines[i]);
        ASSERT_EQ(cells.size(), heads.size()) << lines[i];
        for (size_t c = 0; c < cells.size(); ++c) {
            double value = 0;
            const char* end = cells[c].data() + cells[c].size();
            if (heads[c].find("_m") == std::string::npos && heads[c].find("_kg") == std::string::npos)
                continue;
            if (std::from_chars(cells[c].data(), end, value).ptr != end || cells[c].empty()) continue;
            EXPECT_TRUE(told.holds(value) || told.holds(-value)) << heads[c] << ' ' << cells[c];
        }
    }
}

std::vector<Asked> everyAnswer() {
    std::vector<Asked> all;
    const auto add = [&](const char* scene, const char* station, const char* at, const char* drain) {
        all.push_back({"check", scene, ""});
        all.push_back({"section", scene, station});
        all.push_back({"thickness", scene, at});
        all.push_back({"thickness", scene, "--field base"});
        all.push_back({"volumes", scene, ""});
        all.push_back({"earthwork", scene, "--every 6ft", true});
        all.push_back({"water", scene, drain});
        all.push_back({"stakes", scene, "--grid 8ft --rails 8ft --benchmark 100ft --backsight 4.2ft", true});
        all.push_back({"takeoff", scene, "", true});
        all.push_back({"takeoff", scene, "--why all"});
        all.push_back({"compare", scene, "--raise 1in"});
        all.push_back({"cautions", scene, ""});
    };
    add("courtyard", "--station 14", "--at 14,9.2", "--drain 5,10 --from 14,5");
    add("terrace", "--station 2", "--at 2,2", "--drain 3.5,2.5 --from 2,2 --on formation");
    add("seat", "--station 12", "--at 12,30", "--from 12,30");
    add("first-plan", "--station 4", "--at 4,4", "--from 4,4");
    for (const char* scene : {"courtyard", "terrace"}) all.push_back({"placed", scene, "", true});
    for (const char* scene : {"courtyard", "seat"}) {
        all.push_back({"units", scene, "--rows --cuts", true});
        all.push_back({"stakes", scene, "--edges 8ft --above 6in", true});
    }
    all.push_back({"compare", "first-plan", "--balance --least-fall"});
    all.push_back({"stakes", "courtyard", "--strings '1.5,0 1.5,21 13,21' --above 6in"});
    return all;
}

INSTANTIATE_TEST_SUITE_P(All, Answers, testing::ValuesIn(everyAnswer()), [](const auto& asked) {
    std::string name = std::string(asked.param.verb) + '_' + asked.param.scene + '_' + asked.param.more;
    for (char& c : name)
        if (!std::isalnum(static_cast<unsigned char>(c))) c = '_';
    return name;
});

/// The words of a drawing, those set smaller with those before them.
std::string wordsOf(const std::string& svg) {
    std::string words;
    bool tag = false;
    for (size_t at = svg.find("<text"); at < svg.size(); ++at) {
        if (svg.compare(at, 7, "</text>") == 0) {
            words += '\n';
            at = svg.find("<text", at);
            if (at == std::string::npos) break;
        }
        if (svg[at] == '<') tag = true;
        if (!tag) words += svg[at];
        if (svg[at] == '>') tag = false;
    }
    return plainMarks(words);
}

// Heights, thicknesses and falls that a section's drawing is lettered with stand in its JSON.
TEST(Drawings, AreLetteredWithTheNumbersOfTheSection) {
    const Folder folder;
    for (const Asked& asked :
         {Asked{"section", "courtyard", "--cut A"}, Asked{"section", "terrace", "--station 2"},
          Asked{"section", "seat", "--station 12"}, Asked{"section", "first-plan", "--station 4"}}) {
        const std::string svg = (folder / "a.svg").string();
        const Ran ran = underfoot(std::string(asked.verb) + " scenes/" + asked.scene + ".toml " + asked.more +
                                  " --json --svg " + svg);
        ASSERT_EQ(ran.code, 0) << ran.err;
        const Told told(ran.out, showOf(asked));
        const std::vector<std::string> measures = measuresIn(wordsOf(readFile(svg)));
        EXPECT_GE(measures.size(), 5u) << asked.scene;
        for (const std::string& one : measures)
            EXPECT_TRUE(told.measures.contains(one)) << asked.scene << ' ' << one;
    }
}

}  // namespace
}  // namespace underfoot::test
