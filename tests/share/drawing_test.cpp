#include "share/drawing.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <zlib.h>

#include <cmath>

#include "share/hatch.h"
#include "share/pdf.h"
#include "share/recording.h"
#include "share/svg.h"
#include "xml.h"

namespace underfoot {
namespace {

using Kind = TextRun::Kind;

std::string joined(std::string_view text) {
    std::string out;
    for (const TextRun& run : textRuns(text)) {
        const char* mark = run.kind == Kind::Numerator ? "^" : run.kind == Kind::Denominator ? "_" : "";
        out += mark + run.text;
    }
    return out;
}

TEST(TextRuns, FractionsBecomeNumeratorSlashDenominator) {
    EXPECT_EQ(joined("7/16\""), "^7\u2044_16\u2033");
    EXPECT_EQ(joined("12' 6 1/2\""), "12\u2032 6\u2009^1\u2044_2\u2033");
    EXPECT_EQ(joined("2.08 % (1/4 in/ft)"), "2.08 % (^1\u2044_4 in/ft)");
    EXPECT_EQ(joined("1/16\" to 3/4\""), "^1\u2044_16\u2033 to ^3\u2044_4\u2033");
}

TEST(TextRuns, WhatIsNoFractionStays) {
    for (const char* text :
         {"1:48", "in/ft", "a1/2", "1/2b", "1/2/3", "3.1/2", "/4", "4/", "", "Joe's \"court\""})
        EXPECT_EQ(joined(text), text);
}

TEST(TextWidth, GrowsWithTheSizeAndFractionsAreNarrowerThanTheirLetters) {
    EXPECT_DOUBLE_EQ(textWidth("Base stone", 5), 2 * textWidth("Base stone", 2.5));
    EXPECT_DOUBLE_EQ(textWidth("1111", 3), textWidth("8888", 3));  // tabular figures
    EXPECT_LT(textWidth("7/16", 3), textWidth("7216", 3));
    // From the font file: M has an advance of 2504 of 2816.
    EXPECT_NEAR(textWidth("MM", 2.816), 2 * 2.504, 1e-9);
}

TEST(Contrast, FollowsThePublishedDefinition) {
    EXPECT_NEAR(contrastRatio({0, 0, 0}, {1, 1, 1}), 21, 1e-9);  // WCAG 2.1: black on white is 21:1
    EXPECT_DOUBLE_EQ(contrastRatio({1, 0, 0}, {1, 0, 0}), 1);
    EXPECT_NEAR(contrastRatio(colourOf("#767676"), {1, 1, 1}), 4.54,
                0.005);  // the well-known least grey on white
}

TEST(Contrast, EveryInkReadsOnThePaper) {
    const Paper paper;
    for (const Colour& ink : {paper.ink, paper.quiet, paper.attention})
        EXPECT_GE(contrastRatio(ink, paper.paper), 4.5);
    EXPECT_EQ(colourOf("#F5F2EB").red * 255, 245);
    EXPECT_NEAR(contrastRatio(colourOf("#20262B"), colourOf("#F5F2EB")), 13.7, 0.05);
}

TEST(DimensionLine, EndsInShortObliqueStrokes) {
    RecordingCanvas canvas;
    dimensionLine(canvas, {10, 20}, {40, 20}, {}, 2);
    ASSERT_EQ(canvas.lines.size(), 3U);
    for (const size_t i : {size_t{1}, size_t{2}}) {
        const glm::dvec2 off = canvas.lines[i].points[1] - canvas.lines[i].points[0];
        EXPECT_NEAR(std::hypot(off.x, off.y), 2, 1e-12);
        EXPECT_NEAR(off.y, -off.x, 1e-12);  // 45 degrees, rising to the right (y runs down)
        const glm::dvec2 middle = (canvas.lines[i].points[0] + canvas.lines[i].points[1]) / 2.0;
        EXPECT_NEAR(middle.x, i == 1 ? 10 : 40, 1e-12);
    }
}

TEST(Hatch, EveryNameOfTheMaterialsHasATileAndOthersNone) {
    for (const char* name :
         {"earth", "fill", "membrane", "crushed stone", "sand", "panel", "unit", "concrete", "pebble"})
        EXPECT_FALSE(hatchTile(name).empty()) << name;
    EXPECT_TRUE(hatchTile("solid").empty());
    EXPECT_TRUE(hatchTile("no such").empty());
}

// A stroke that leaves the tile must come back in on the other side, else the pattern shows seams.
TEST(Hatch, WhatLeavesTheTileReturns) {
    for (const char* name : {"earth", "fill", "crushed stone", "sand", "unit", "concrete", "pebble"}) {
        const HatchTile& tile = hatchTile(name);
        const auto holds = [&](glm::dvec2 p) {
            for (const HatchStroke& s : tile.strokes)
                for (const glm::dvec2& q : s.points)
                    if (std::abs(p.x - q.x) < 1e-9 && std::abs(p.y - q.y) < 1e-9) return true;
            return false;
        };
        for (const HatchStroke& s : tile.strokes)
            for (const glm::dvec2& p : s.points) {
                if (p.x < -1e-9) {
                    EXPECT_TRUE(holds(p + glm::dvec2(tile.width, 0))) << name;
                }
                if (p.x > tile.width + 1e-9) {
                    EXPECT_TRUE(holds(p - glm::dvec2(tile.width, 0))) << name;
                }
                if (p.y < -1e-9) {
                    EXPECT_TRUE(holds(p + glm::dvec2(0, tile.height))) << name;
                }
                if (p.y > tile.height + 1e-9) {
                    EXPECT_TRUE(holds(p - glm::dvec2(0, tile.height))) << name;
                }
            }
    }
}

TEST(Svg, IsWellFormedWhateverTheWords) {
    SvgCanvas canvas(100, 50, "A & B <c>", "say \"hello\"");
    canvas.beginGroup("<&>\"");
    canvas.text({1, 2}, "a<b & 3/8\" \x01", {2.5, {}, Anchor::End, true, 0.5});
    canvas.endGroup();
    const auto elements = test::readXml(canvas.file());
    ASSERT_TRUE(elements);
    EXPECT_EQ((*elements)[0].name, "svg");
    EXPECT_FALSE(test::readXml("<svg><g></svg></g>"));  // the reader itself can say no
    EXPECT_FALSE(test::readXml("<svg>a & b</svg>"));
}

TEST(Svg, PageAndItsUnitAreMillimetres) {
    SvgCanvas canvas(123.5, 60, "t", "d");
    canvas.line({10, 20}, {60.25, 20}, {});
    const auto elements = test::readXml(canvas.file());
    ASSERT_TRUE(elements);
    const auto& root = (*elements)[0].attributes;
    EXPECT_EQ(root.at("width"), "123.5mm");
    EXPECT_EQ(root.at("height"), "60mm");
    EXPECT_EQ(root.at("viewBox"), "0 0 123.5 60");
    EXPECT_THAT(root.at("font-family"), testing::StartsWith("Inter,"));
    const auto& line = elements->back().attributes;
    EXPECT_EQ(line.at("x1"), "10");
    EXPECT_EQ(line.at("x2"), "60.25");
}

/// Every object where the table says.
void expectSoundPdf(const std::string& file) {
    ASSERT_TRUE(file.starts_with("%PDF-1."));
    ASSERT_TRUE(file.ends_with("%%EOF\n"));
    const size_t table = std::stoul(file.substr(file.rfind("startxref\n") + 10));
    ASSERT_EQ(file.substr(table, 7), "xref\n0 ");
    const size_t count = std::stoul(file.substr(table + 7)), first = file.find("\n", table + 7) + 1;
    for (size_t i = 1; i < count; ++i) {
        const size_t at = std::stoul(file.substr(first + 20 * i, 10));
        EXPECT_EQ(file.substr(at, std::to_string(i).size() + 6), std::to_string(i) + " 0 obj");
    }
}

/// What the file's packed streams hold, one after the other.
std::string unpacked(const std::string& file) {
    std::string out;
    for (size_t at = 0; (at = file.find("\nstream\n", at)) != std::string::npos;) {
        at += 8;
        z_stream stream{};
        if (inflateInit(&stream) != Z_OK) return out;
        // zlib reads only; its old interface does not say so.
        stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(file.data() + at));
        stream.avail_in = static_cast<uInt>(file.size() - at);
        std::string part(1 << 20, '\0');
        stream.next_out = reinterpret_cast<Bytef*>(part.data());
        stream.avail_out = static_cast<uInt>(part.size());
        if (inflate(&stream, Z_FINISH) == Z_STREAM_END) out.append(part, 0, stream.total_out);
        inflateEnd(&stream);
    }
    return out;
}

TEST(Pdf, IsSoundAndHasItsPagesAtTheirSize) {
    const auto draw = [] {
        PdfCanvas canvas(25.4, 50.8, "A (b) \\", "d");  // 72 x 144 points
        const glm::dvec2 triangle[] = {{0, 0}, {5, 0}, {0, 5}};
        const Stroke stroke;
        canvas.polygon(triangle, {{1, 0, 0, 0.5}, "sand", {0, 0, 0}}, &stroke);
        canvas.circle({10, 10}, 3, {{0, 1, 0}, "", {}}, nullptr);
        canvas.nextPage();
        canvas.text({1, 2}, "1 7/16\" \u0142 (é) \u2192", {2.5, {}, Anchor::End, true, 0.5});
        return canvas.file();
    };
    const std::string file = draw();
    expectSoundPdf(file);
    EXPECT_THAT(file, testing::HasSubstr("/Count 2"));
    EXPECT_THAT(file, testing::HasSubstr("/MediaBox [ 0 0 72 144 ]"));
    EXPECT_THAT(file, testing::HasSubstr("/Title <FEFF004100200028006200290020005C>"));  // A (b) and a stroke
    // The hatch is drawn once and repeated.
    EXPECT_THAT(file, testing::HasSubstr("/PatternType 1"));
    EXPECT_EQ(file, draw());
}

TEST(Pdf, HoldsLettersBeyondWesternEurope) {
    PdfCanvas canvas(50, 20, "t", "d");
    canvas.text({1, 2}, "\u0142", {2.5, {}, Anchor::Start, false, 0});
    // The table from the letters drawn to Unicode: what a reader finds and copies.
    EXPECT_THAT(unpacked(canvas.file()), testing::HasSubstr("<0142>"));
}

// 200 x 100 mm lie on A4 with 48.5 and 55 mm beside; 190 x 250 stand on letter; 400 x 10 fit on neither.
TEST(Pdf, LaysADrawingOnTheSheetItFitsOn) {
    const auto boxOf = [](double width, double height, Sheet sheet) {
        const std::string file = PdfCanvas(width, height, "t", "d", sheet).file();
        const size_t at = file.find("/MediaBox [ 0 0 ") + 16;
        return file.substr(at, file.find(" ]", at) - at);
    };
    EXPECT_EQ(boxOf(200, 100, Sheet::A4), "841.889764 595.275591");
    EXPECT_EQ(boxOf(190, 250, Sheet::Letter), "612 792");
    EXPECT_EQ(boxOf(254, 25.4, Sheet::None), "720 72");
    EXPECT_EQ(boxOf(508, 25.4, Sheet::Letter), "1440 72");
}

TEST(Svg, HatchIsOnePatternForAllShapesOfAKind) {
    SvgCanvas canvas(10, 10, "t", "d");
    const glm::dvec2 triangle[] = {{0, 0}, {5, 0}, {0, 5}};
    for (int i = 0; i < 3; ++i) canvas.polygon(triangle, {{1, 1, 1}, "sand", {0, 0, 0}}, nullptr);
    const auto elements = test::readXml(canvas.file());
    ASSERT_TRUE(elements);
    int patterns = 0, uses = 0;
    for (const auto& e : *elements) {
        patterns += e.name == "pattern" ? 1 : 0;
        const auto fill = e.attributes.find("fill");
        uses += fill != e.attributes.end() && fill->second == "url(#hatch1)" ? 1 : 0;
    }
    EXPECT_EQ(patterns, 1);
    EXPECT_EQ(uses, 3);
}

// Offsets of the base line add up from span to span: after the fraction they must be back at nothing.
TEST(Svg, FractionIsRaisedAndTheRestOfTheLineIsNot) {
    SvgCanvas canvas(10, 10, "t", "d");
    canvas.text({0, 5}, "1 7/16\" thick", {2, {}, Anchor::Start, false, 0});
    const auto elements = test::readXml(canvas.file());
    ASSERT_TRUE(elements);
    double sum = 0;
    int spans = 0;
    for (const auto& e : *elements)
        if (e.name == "tspan" && e.attributes.contains("dy")) {
            sum += std::stod(e.attributes.at("dy"));
            ++spans;
        }
    EXPECT_EQ(spans, 2);
    EXPECT_NEAR(sum, 0, 1e-9);
}

}  // namespace
}  // namespace underfoot
