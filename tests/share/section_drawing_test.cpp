#include "share/section_drawing.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "hand_model.h"
#include "share/recording.h"
#include "xml.h"

namespace underfoot {
namespace {

class SectionDrawing : public testing::Test {
  protected:
    SectionDrawing() { draw({}); }

    void draw(const SectionSheetOptions& options) {
        canvas_ = {};
        sheet_ = layOutSection(section_, model_, options);
        drawSectionSheet(section_, model_, catalogue_, sheet_, options, canvas_);
    }
    std::vector<std::string> words() const {
        std::vector<std::string> out;
        for (const DrawnText& text : canvas_.texts) out.push_back(text.words);
        return out;
    }

    Model model_ = test::handModel(true);
    Catalogue catalogue_ = loadCatalogue(model_.plan);
    // Across the court at x = 2, from the lawn before the house to the lawn behind: offsets -1 to 4, through
    // the dip.
    Section section_ = cut(model_, {{2, -1}, {2, 4}});
    SectionSheet sheet_;
    RecordingCanvas canvas_;
};

TEST_F(SectionDrawing, HandModelKeepsEveryPromise) {
    EXPECT_EQ(modelFault(model_).value_or("none"), "none");
}

// Court from 1 to 4 m along the section, and 0.6 m of lawn to either side.
TEST_F(SectionDrawing, ExtentIsTheCourtAndAMarginBeside) {
    EXPECT_NEAR(sheet_.extent.insideFrom, 1, 1e-9);
    EXPECT_NEAR(sheet_.extent.insideTo, 4, 1e-9);
    EXPECT_NEAR(sheet_.extent.from, 0.4, 1e-9);
    EXPECT_NEAR(sheet_.extent.to, 4.6, 1e-9);
    EXPECT_NEAR(sheet_.extent.highest, 100, 1e-9);
    EXPECT_NEAR(sheet_.extent.depth, 0.18, 1e-9);
    EXPECT_NEAR(sheet_.extent.lowestFormation, 99.76, 1e-9);  // 100 - 0.02 * 3 - 0.18
}

// 3 m of court at 1:20 are 150 mm; base 0.1 m high, 5 times larger (0.18 m * 50 * 5 = 45 mm >= 38 mm; times 4
// is 36 mm): 25 mm.
TEST_F(SectionDrawing, IsToScaleOnPaper) {
    EXPECT_EQ(sheet_.exaggeration, 5);
    EXPECT_THAT(sheet_.scaleWords, testing::HasSubstr("1:20"));
    EXPECT_THAT(sheet_.scaleWords, testing::HasSubstr("5 times"));
    const Material& stone = catalogue_.material("base stone", Role::Base);
    bool found = false;
    for (const DrawnShape& shape : canvas_.shapes) {
        if (shape.fill.hatch != stone.hatch) continue;
        found = true;
        double left = 1e9, right = -1e9, nearLow = -1e9, nearHigh = 1e9;
        for (const glm::dvec2& p : shape.corners) left = std::min(left, p.x), right = std::max(right, p.x);
        for (const glm::dvec2& p : shape.corners)
            if (std::abs(p.x - left) < 1e-6)
                nearLow = std::max(nearLow, p.y), nearHigh = std::min(nearHigh, p.y);
        EXPECT_NEAR(right - left, 150, 1e-6);
        EXPECT_NEAR(nearLow - nearHigh, 25, 1e-6);
    }
    EXPECT_TRUE(found);
}

TEST_F(SectionDrawing, UnitsAreDrawnOneByOne) {
    int quads = 0;
    const std::string hatch = catalogue_.material("concrete unit", Role::Units).hatch;
    for (const DrawnShape& shape : canvas_.shapes)
        quads += shape.fill.hatch == hatch && shape.corners.size() == 4 ? 1 : 0;
    EXPECT_EQ(quads, static_cast<int>(section_.units.size()));
    // x = 2 runs in the joint between two columns of units (1.995 to 2.005): none is cut there; 6 are cut
    // beside it.
    const Section beside = cut(model_, {{2.25, -1}, {2.25, 4}});
    EXPECT_EQ(beside.units.size(), 6U);
}

TEST_F(SectionDrawing, NamesEveryLayerWithItsThicknessFromTheTopDown) {
    std::vector<std::string> headings;
    for (const DrawnText& text : canvas_.texts)
        if (text.group == "Names" && text.style.strong) headings.push_back(text.words);
    EXPECT_THAT(headings,
                testing::UnorderedElementsAre("Existing ground", "Units", "Bedding", "Base", "Native soil"));
    std::erase(headings, "Existing ground");
    EXPECT_THAT(headings, testing::ElementsAre("Units", "Bedding", "Base", "Native soil"));
    // 12 mm to 30 mm; wanted 20 to 40: in sixteenths 7.56/16 -> 1/2 in, 18.9/16 -> 1 3/16, 12.6/16 ->
    // 13/16, 25.2/16 -> 1 9/16.
    EXPECT_THAT(words(), testing::Contains("1/2\" to 1 3/16\" (wanted 13/16\" to 1 9/16\")"));
}

TEST_F(SectionDrawing, MarksTheThinPlaceInTheColourOfAttention) {
    const Paper paper;
    bool found = false;
    for (const DrawnText& text : canvas_.texts) {
        if (text.words != "Least 1/2\"") continue;
        found = true;
        EXPECT_EQ(text.style.colour, paper.attention);
    }
    EXPECT_TRUE(found);
    for (const DrawnText& text : canvas_.texts)
        if (text.words.starts_with("Greatest")) {
            EXPECT_EQ(text.style.colour, paper.ink);
        }
}

TEST_F(SectionDrawing, StatesTheSlopeWithAnArrowDownhill) {
    EXPECT_THAT(words(),
                testing::Contains(testing::AllOf(testing::HasSubstr("2.00 %"), testing::EndsWith("\u2192"))));
}

TEST_F(SectionDrawing, StatesTheLevelOfTheFinishAtBothEnds) {
    // 100 m and 99.94 m are 328 ft 1.008 in and 327 ft 10.646 in: to sixteenths 328' 1" and 327' 10 5/8".
    EXPECT_THAT(words(), testing::IsSupersetOf({"328' 1\"", "327' 10 5/8\""}));
}

TEST_F(SectionDrawing, NoWordsOverlapAndAllStandOnThePage) {
    for (const double scale : {10.0, 20.0, 50.0}) {
        SectionSheetOptions options;
        options.scale = scale;
        draw(options);
        EXPECT_TRUE(canvas_.balanced());
        for (size_t i = 0; i < canvas_.texts.size(); ++i) {
            const auto a = canvas_.texts[i].box();
            EXPECT_GE(a[0], 0) << canvas_.texts[i].words;
            EXPECT_GE(a[1], 0) << canvas_.texts[i].words;
            EXPECT_LE(a[2], sheet_.width) << canvas_.texts[i].words;
            EXPECT_LE(a[3], sheet_.height) << canvas_.texts[i].words;
            for (size_t k = i + 1; k < canvas_.texts.size(); ++k) {
                const auto b = canvas_.texts[k].box();
                const bool apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                EXPECT_TRUE(apart) << canvas_.texts[i].words << " / " << canvas_.texts[k].words
                                   << " at 1:" << scale;
            }
        }
    }
}

TEST_F(SectionDrawing, LeadersRunAtTwoAnglesOnlyAndDoNotCross) {
    std::vector<std::vector<glm::dvec2>> leaders;
    for (const DrawnLine& line : canvas_.lines)
        if (line.group == "Names" && line.stroke.colour.opacity == 1) leaders.push_back(line.points);
    ASSERT_EQ(leaders.size(), 5U);
    const auto side = [](glm::dvec2 a, glm::dvec2 b, glm::dvec2 p) {
        return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    };
    const auto cross = [&](glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, glm::dvec2 d) {
        return side(a, b, c) * side(a, b, d) < -1e-9 && side(c, d, a) * side(c, d, b) < -1e-9;
    };
    for (size_t i = 0; i < leaders.size(); ++i) {
        const auto& l = leaders[i];
        ASSERT_EQ(l.size(), 3U);
        EXPECT_NEAR(std::abs(l[1].y - l[0].y), l[1].x - l[0].x, 1e-9);
        EXPECT_NEAR(l[1].y, l[2].y, 1e-9);
        for (size_t k = 0; k < i; ++k)
            for (const size_t m : {size_t{0}, size_t{1}})
                for (const size_t n : {size_t{0}, size_t{1}})
                    EXPECT_FALSE(cross(l[m], l[m + 1], leaders[k][n], leaders[k][n + 1]))
                        << i << " and " << k;
    }
}

TEST_F(SectionDrawing, TextIsNeverSmallerThanSevenPoints) {
    for (const DrawnText& text : canvas_.texts)
        EXPECT_GE(text.style.size, 2.47) << text.words;  // 7 pt = 2.47 mm
}

TEST_F(SectionDrawing, AxisCountsOffsetsFromTheBaseline) {
    EXPECT_THAT(words(), testing::Contains("Offset from the baseline"));
    // -0.6 m to 3.6 m are -1.97 ft to 11.8 ft; 14 mm on paper at 1:20 are 0.92 ft, so marks every foot.
    EXPECT_THAT(words(), testing::IsSupersetOf({"0", "1'", "11'"}));
    EXPECT_THAT(words(), testing::Not(testing::Contains("12'")));
}

TEST_F(SectionDrawing, BodyDrawsThroughAnyFrame) {
    SectionFrame frame;
    frame.perMetre = 100;
    frame.from = 1, frame.to = 4;
    frame.floor = 99.5, frame.ceiling = 101, frame.height = 100;
    RecordingCanvas canvas;
    drawSectionBody(section_, model_, catalogue_, frame, {}, canvas);
    EXPECT_TRUE(canvas.balanced());
    for (const DrawnShape& shape : canvas.shapes)
        for (const glm::dvec2& p : shape.corners) {
            EXPECT_GE(p.x, 100 - 1e-9);
            EXPECT_LE(p.x, 400 + 1e-9);
            EXPECT_LE(p.y, 50 + 1e-9);
        }
}

TEST_F(SectionDrawing, SvgIsWellFormedAndTheSameEveryTime) {
    const auto file = sectionSvg(section_, model_, catalogue_);
    ASSERT_TRUE(file);
    const auto elements = test::readXml(*file);
    ASSERT_TRUE(elements);
    EXPECT_NEAR(std::stod((*elements)[0].attributes.at("width")), sheet_.width, 1e-3);
    EXPECT_EQ(*sectionSvg(section_, model_, catalogue_), *file);
}

TEST_F(SectionDrawing, LineOutsideTheModelIsRefused) {
    const auto file = sectionSvg(cut(model_, {{20, 20}, {30, 20}}), model_, catalogue_);
    ASSERT_FALSE(file);
    EXPECT_THAT(file.error().remedy, testing::HasSubstr("Move it"));
}

TEST_F(SectionDrawing, LawnAloneIsDrawnToo) {
    const Section lawn = cut(model_, {{-0.5, -1}, {-0.5, 4}});
    ASSERT_TRUE(sectionSvg(lawn, model_, catalogue_));
}

}  // namespace
}  // namespace underfoot
