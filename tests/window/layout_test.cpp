#include "window/layout.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "small_model.h"

namespace underfoot {
namespace {

using test::smallModel;

std::vector<Box> partsOf(const WindowFrame& f) {
    std::vector<Box> parts;
    for (const Box& box : {f.title, f.controls, f.column, f.slips, f.foot, f.thicknessScale})
        if (box.width() > 0) parts.push_back(box);
    return parts;
}

struct Size {
    double width, height, scale;
};

TEST(Layout, PartsNeverOverlapAndStayInTheWindow) {
    for (const Size size : {Size{1280, 800, 1},
                            {2560, 1600, 2},
                            {900, 600, 1},
                            {1024, 700, 1},
                            {1920, 1080, 1},
                            {1920, 1080, 1.5},
                            {3840, 2160, 2}})
        for (const bool slips : {true, false})
            for (const bool scale : {true, false}) {
                const WindowFrame frame = frameOf(size.width, size.height, size.scale, {false, slips, scale});
                const std::vector<Box> parts = partsOf(frame);
                EXPECT_EQ(parts.size(), scale ? 6U : 5U);
                for (size_t i = 0; i < parts.size(); ++i) {
                    EXPECT_GE(parts[i].low.x, 0);
                    EXPECT_LE(parts[i].high.x, size.width);
                    EXPECT_LE(parts[i].high.y, size.height);
                    for (size_t k = i + 1; k < parts.size(); ++k)
                        EXPECT_FALSE(parts[i].overlaps(parts[k])) << i << " and " << k;
                }
            }
}

TEST(Layout, PlanStationSliderAndStripStandInsideTheFoot) {
    const WindowFrame frame = frameOf(1280, 800, 1, {});
    for (const Box& box : {frame.plan, frame.stationSlider, frame.stripHead, frame.strip}) {
        EXPECT_GE(box.low.y, frame.foot.low.y);
        EXPECT_LE(box.high.y, frame.foot.high.y);
    }
    EXPECT_FALSE(frame.plan.overlaps(frame.stationSlider));
    EXPECT_FALSE(frame.plan.overlaps(frame.strip));
    EXPECT_FALSE(frame.stripHead.overlaps(frame.strip));
}

// Room was kept for names that a coloured layer doesn't have: the model was 100 pixels wide in a window of
// 900.
TEST(Layout, AColouredLayerNeedsNoRoomForNames) {
    const Insets plain = frameOf(900, 600, 1, {false, true, false}).scene;
    const Insets coloured = frameOf(900, 600, 1, {false, true, true}).scene;
    EXPECT_LE(coloured.left + coloured.right, plain.left + plain.right);
}

TEST(Layout, SceneKeepsAtLeastAThirdOfTheWindowsWidth) {
    for (const Size size : {Size{1280, 800, 1}, {2560, 1600, 2}}) {
        const Insets free = frameOf(size.width, size.height, size.scale, {false, true, true}).scene;
        EXPECT_GT(size.width - free.left - free.right, size.width / 3);
        EXPECT_GT(size.height - free.top - free.bottom, size.height / 2);
    }
}

TEST(Layout, TwiceTheScaleInTwiceTheWindowIsTheSamePicture) {
    const WindowFrame one = frameOf(1280, 800, 1, {false, true, true}),
                      two = frameOf(2560, 1600, 2, {false, true, true});
    EXPECT_DOUBLE_EQ(two.column.high.y, 2 * one.column.high.y);
    EXPECT_DOUBLE_EQ(two.slips.low.x, 2 * one.slips.low.x);
    EXPECT_DOUBLE_EQ(two.scene.left, 2 * one.scene.left);
    EXPECT_DOUBLE_EQ(two.strip.width(), 2 * one.strip.width());
}

TEST(Layout, ClientViewHidesEverythingButTheTitleAndTheScaleOfColours) {
    const WindowFrame frame = frameOf(1280, 800, 1, {true, true, false});
    EXPECT_EQ(partsOf(frame).size(), 1U);
    EXPECT_GT(frame.title.width(), 0);
    const WindowFrame coloured = frameOf(1280, 800, 1, {true, true, true});
    EXPECT_EQ(partsOf(coloured).size(), 2U);
    EXPECT_FALSE(coloured.title.overlaps(coloured.thicknessScale));
    EXPECT_GE(coloured.scene.left, coloured.thicknessScale.high.x);
}

TEST(PlanMap, PutsTheHouseAtTheTopAndGoesThereAndBack) {
    const auto model = smallModel();
    const PlanMap map = planMap(*model, {{0, 0}, {220, 120}}, 10);
    // 4 m by 2 m in 200 by 100 pixels: 50 pixels to a metre.
    EXPECT_DOUBLE_EQ(map.pixelsPerMetre, 50);
    // Offsets lie to the left of the baseline (+y); with the house (y = 0) at the top, +x runs to the left.
    const glm::dvec2 corner = map.toScreen({0, 0});
    EXPECT_NEAR(corner.x, 210, 1e-9);
    EXPECT_NEAR(corner.y, 10, 1e-9);
    const glm::dvec2 back = map.toLocal(map.toScreen({1.25, 0.75}));
    EXPECT_NEAR(back.x, 1.25, 1e-12);
    EXPECT_NEAR(back.y, 0.75, 1e-12);
}

TEST(PlanMap, ReachOfStationsAndOffsetsIsTheAreas) {
    const auto model = smallModel({100, 50});
    EXPECT_NEAR(stationReach(*model).low, 0, 1e-9);
    EXPECT_NEAR(stationReach(*model).high, 4, 1e-9);
    EXPECT_NEAR(offsetReach(*model).low, 0, 1e-9);
    EXPECT_NEAR(offsetReach(*model).high, 2, 1e-9);
}

TEST(StripMap, GoesThereAndBackBothWaysRound) {
    const auto model = smallModel();
    const Section section = cut(*model, {{0, 1}, {4, 1}});
    for (const bool mirrored : {false, true}) {
        const StripMap map = stripMap(*model, section, {{100, 500}, {900, 600}}, 12, mirrored);
        EXPECT_NEAR(map.distance(map.x(1.5)), 1.5, 1e-9);
        EXPECT_EQ(map.x(3) > map.x(1), !mirrored);
        EXPECT_GE(map.from, 0);
        EXPECT_LE(map.to, section.length);
        // All of the build-up is inside: top 10 m; bottom 10 - 0.05 - 0.04 - 0.10 = 9.81 m at station 4.
        EXPECT_GT(map.y(10), 500);
        EXPECT_LT(map.y(9.81), 600);
        EXPECT_GE(map.exaggeration, 1);
        EXPECT_LE(map.exaggeration, 6);
        const double upright = (map.y(9.81) - map.y(10)) / 0.19;
        EXPECT_NEAR(upright / map.pixelsPerMetre(), map.exaggeration, 1e-9);
    }
}

TEST(StripMap, DeepFillTakesRoomFromTheLengths) {
    auto deep = std::make_shared<Model>(*smallModel());
    for (double& z : deep->heights)
        if (z < 9.9 && z > 9) z -= 0.85;
    const Section section = cut(*deep, {{1.9, 1}, {2.2, 1}});
    const StripMap map = stripMap(*deep, section, {{0, 0}, {800, 100}}, 12, false);
    EXPECT_EQ(map.exaggeration, 1);
    EXPECT_NEAR((map.y(8.9) - map.y(10)) / 1.1, map.pixelsPerMetre(), 1e-9);
    EXPECT_GT(map.y(10), 0);
    EXPECT_LT(map.y(8.9), 100);
}

TEST(StripMap, AllThatWasBuiltIsShownHoweverLongTheCut) {
    const auto model = smallModel();
    for (double from = 0; from < 3.9; from += 0.3) {
        const Section section = cut(*model, {{from, 1}, {4, 1}});
        const StripMap map = stripMap(*model, section, {{0, 0}, {800, 150}}, 8, false);
        EXPECT_LE(map.from, 0 + 1e-9) << from;
        EXPECT_GE(map.to, section.length - 1e-9) << from;
        EXPECT_GT(map.y(10), 0) << from;
        EXPECT_LT(map.y(9.81), 150) << from;
    }
}

// A cut through nothing but ground was a brown box, with the first metre of its lengths.
TEST(StripMap, GroundAloneIsShownFromEndToEnd) {
    auto ground = std::make_shared<Model>(*smallModel());
    for (Column& column : ground->columns) column.area = -1;
    const Section section = cut(*ground, {{0, 1}, {4, 1}});
    const StripMap map = stripMap(*ground, section, {{0, 0}, {800, 150}}, 8, false);
    EXPECT_NEAR(map.from, 0, 1e-9);
    EXPECT_NEAR(map.to, 4, 1e-9);
    EXPECT_GT(map.y(10), 0);  // its surface
    EXPECT_LT(map.y(10), 75);
}

TEST(StripMap, AnEmptySectionIsNoFault) {
    const auto model = smallModel();
    const Section section = cut(*model, {{50, 50}, {60, 50}});
    ASSERT_TRUE(section.intervals.empty());
    const StripMap map = stripMap(*model, section, {{0, 0}, {800, 100}}, 12, false);
    EXPECT_NEAR(map.distance(map.x(0.5)), 0.5, 1e-9);
}

TEST(Slider, ValueAndPlaceAreInverseAndStayInside) {
    const Box box{{100, 0}, {300, 20}};
    EXPECT_DOUBLE_EQ(sliderValue(box, 150, 0, 1), 0.25);
    EXPECT_DOUBLE_EQ(sliderX(box, 0.25, 0, 1), 150);
    EXPECT_DOUBLE_EQ(sliderValue(box, 0, 2, 6), 2);
    EXPECT_DOUBLE_EQ(sliderValue(box, 999, 2, 6), 6);
}

TEST(Spread, LeavesLabelsThatAreApartWhereTheyAre) {
    EXPECT_THAT(spread({20, 60, 100}, 10, 0, 200), testing::ElementsAre(20, 60, 100));
}

TEST(Spread, ParedLabelsStandAboutTheirMean) {
    // Two that want 50 stand at 45 and 55: 10 apart about 50.
    EXPECT_THAT(spread({50, 50}, 10, 0, 200), testing::ElementsAre(45, 55));
    // Three, 50 51 52, want tops 45 46 47: less 0 10 20 is 45 36 27, mean 36; so tops 36 46 56.
    EXPECT_THAT(spread({50, 51, 52}, 10, 0, 200), testing::ElementsAre(41, 51, 61));
}

TEST(Spread, StaysInsideTheRoom) {
    EXPECT_THAT(spread({0, 1, 2}, 10, 0, 100), testing::ElementsAre(5, 15, 25));
    EXPECT_THAT(spread({99, 100}, 10, 0, 100), testing::ElementsAre(85, 95));
    EXPECT_THAT(spread({}, 10, 0, 100), testing::IsEmpty());
}

}  // namespace
}  // namespace underfoot
