#include "window/interface.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "hand.h"
#include "window/marks.h"

namespace underfoot {
namespace {

using test::Hand;
using test::smallReading;

TEST(Interface, SaysWhatIsThere) {
    const Hand hand;
    for (const char* words : {"Small court", "Court", "Units", "Sand", "Base", "Native soil", "To look at",
                              "2", "Peel", "Lift apart", "Draw a cut"})
        EXPECT_TRUE(hand.shows(words)) << words;
}

TEST(Interface, NoWordsOverlapOrLeaveTheWindow) {
    for (const double scale : {1.0, 2.0}) {
        Hand hand(1280 * scale, 800 * scale, scale);
        for (int round = 0; round < 4; ++round) {
            if (round == 1) chooseFinding(hand.state, 0, 0);
            if (round == 2) toggleThickness(hand.state, 1, 0);
            if (round == 3) setClientView(hand.state, true, 0);
            hand.frame();
            hand.frame();
            const auto& words = hand.words();
            ASSERT_GT(words.size(), 3U);
            for (size_t i = 0; i < words.size(); ++i) {
                if (words[i].clipped) continue;
                EXPECT_GE(words[i].box.low.x, 0) << words[i].text;
                EXPECT_LE(words[i].box.high.x, 1280 * scale) << words[i].text;
                EXPECT_LE(words[i].box.high.y, 800 * scale) << words[i].text;
                for (size_t k = i + 1; k < words.size(); ++k) {
                    if (words[k].clipped) continue;
                    EXPECT_FALSE(words[i].box.overlaps(words[k].box))
                        << round << ": " << words[i].text << " on " << words[k].text;
                }
            }
        }
    }
}

// What to do stood at the end of the sentence and was cut off.
TEST(Interface, WhatCouldNotBeDoneIsSaidInFullInASmallWindow) {
    Hand hand(900, 600);
    hand.state.notice =
        "This shot stands in a point file, so nothing was saved. Change the height on line 59 of shots.csv.";
    hand.moveTo({5, 300});
    EXPECT_TRUE(hand.shows(hand.state.notice));
    const auto& words = hand.words();
    for (const auto& one : words)
        EXPECT_TRUE(one.text == hand.state.notice || !one.box.overlaps({{16, 44}, {700, 54}})) << one.text;
}

// Its label was left out beside the findings, and ran out of the window where they were folded.
TEST(Interface, ALongLayersNameIsShortenedToTheRoomBesideTheModel) {
    Loaded loaded = smallReading();
    auto model = std::make_shared<Model>(*loaded.model);
    model->layers[2].name = model->plan.buildUps[0].layers[2].name = "crushed stone base course of two lifts";
    loaded.model = std::move(model);
    Hand hand(std::move(loaded));
    for (const bool open : {true, false}) {
        hand.state.slipsOpen = open;
        layOutAgain(hand.state);
        hand.frame();
        hand.frame();
        const Insets& scene = hand.state.frame.scene;
        const auto& words = hand.words();
        const auto label = std::find_if(words.begin(), words.end(), [&](const auto& one) {
            return one.text.starts_with("Crushed") && one.box.low.x > 1280 - scene.right - 5;
        });
        ASSERT_NE(label, words.end()) << open;
        EXPECT_LT(label->box.high.x, open ? hand.state.frame.slips.low.x : 1280) << open;
    }
}

TEST(Interface, ClickOnALayersNameHidesAndShowsIt) {
    Hand hand;
    hand.click(hand.find("Base"));
    EXPECT_FALSE(lookOf(hand.state, 0).shows(2));
    hand.click(hand.find("Base"));
    EXPECT_TRUE(lookOf(hand.state, 0).shows(2));
}

TEST(Interface, ClickOnASlipOpensItAndCutsThere) {
    Hand hand;
    hand.click(hand.find("Bedding thick"));
    EXPECT_EQ(hand.state.openFinding, 1);
    EXPECT_NEAR(*hand.state.cut.station, 3.5, 1e-9);
    EXPECT_TRUE(hand.showsStart("Bed over by 2 mm at 0+003.50"));
    EXPECT_TRUE(hand.showsStart("Lower the base here"));
    hand.click(hand.find("Bedding thick"));
    EXPECT_EQ(hand.state.openFinding, -1);
}

TEST(Interface, DragOnTheSceneTurnsTheEye) {
    Hand hand;
    const double before = hand.state.camera.to.azimuth;
    const glm::dvec2 at = hand.onScene();
    hand.drag(at, at + glm::dvec2{100, 0});
    // 100 pixels at 0.006 radians each, turned back for a drag to the right.
    EXPECT_NEAR(hand.state.camera.to.azimuth, before - 0.6, 0.05);
    EXPECT_TRUE(hand.state.cameraOwn);
    EXPECT_FALSE(hand.state.dragging);
}

TEST(Interface, DragOnAPartLeavesTheEyeAlone) {
    Hand hand;
    const Camera before = hand.state.camera.to;
    for (const Box& box : {hand.state.frame.column, hand.state.frame.foot}) {
        const glm::dvec2 from = box.low + glm::dvec2{8, 9};
        hand.drag(from, from + glm::dvec2{40, 2});
    }
    EXPECT_TRUE(sameCamera(before, hand.state.camera.to));
}

TEST(Interface, WheelComesNearerToThePointer) {
    Hand hand;
    const double before = hand.state.camera.to.distance;
    hand.scroll(hand.onScene(), 1);
    EXPECT_NEAR(hand.state.camera.to.distance, 0.88 * before, 1e-9);
}

TEST(Interface, ClickOnTheModelKeepsThePlace) {
    Hand hand;
    const auto pixel = cameraAt(hand.state, 0).project({1.0, 1.0, 10}, 1280, 800);
    ASSERT_TRUE(pixel);
    showCut(hand.state, false);
    hand.click(*pixel);
    ASSERT_TRUE(hand.state.place);
    EXPECT_NEAR(hand.state.place->x, 1.0, 0.02);
    EXPECT_NEAR(hand.state.place->y, 1.0, 0.02);
    EXPECT_FALSE(hand.state.cameraOwn);
}

// On the same ray, where the model stands and where the cut has taken it away: no side of the half that is
// left lies behind it.
TEST(Interface, NothingIsPointedAtInWhatTheCutTakesAway) {
    Hand hand;
    cutAtStationOf(hand.state, 2);
    hand.state.cut.removeLeft = false;
    showCut(hand.state, true);
    hand.frame();
    int pointedAt = 0, gone = 0;
    for (const double x : {0.5, 1.0, 1.5, 2.5, 3.0, 3.5}) {
        const auto pixel = cameraAt(hand.state, 0).project({x, 1.0, 10}, 1280, 800);
        ASSERT_TRUE(pixel);
        hand.moveTo({5, 5});
        hand.moveTo(*pixel);
        if (!hand.state.pointed) {
            ++gone;
            continue;
        }
        ++pointedAt;
        EXPECT_FALSE(takenAway(hand.state, *hand.state.pointed)) << x;
    }
    EXPECT_GT(pointedAt, 0);
    EXPECT_GT(gone, 0);
}

TEST(Interface, PointerOnTheStripIsTheSamePlaceInTheModel) {
    Hand hand;
    const Box& strip = hand.state.frame.strip;
    const StripMap map =
        stripMap(*hand.state.model, hand.state.cut.section, strip, 12, stripMirrored(hand.state));
    hand.moveTo({map.x(0.75), strip.middle().y});
    ASSERT_TRUE(hand.state.pointed);
    const glm::dvec2 expected = hand.state.cut.section.at(0.75);
    EXPECT_NEAR(glm::length(*hand.state.pointed - expected), 0, 1e-3);
    // The sand at station 2: 0.02 + 0.005 x 2 = 30 mm.
    EXPECT_TRUE(hand.shows("Sand  30 mm"));
}

TEST(Interface, StationSliderMovesTheCut) {
    Hand hand;
    const Box& slider = hand.state.frame.stationSlider;
    const double x1 = hand.state.planMap.toScreen({1, 1}).x, x3 = hand.state.planMap.toScreen({3, 1}).x;
    const double y = slider.low.y + 10;
    hand.drag({x1, y}, {x3, y});
    ASSERT_TRUE(hand.state.cut.station);
    EXPECT_NEAR(*hand.state.cut.station, 3, 0.03);
}

TEST(Interface, DragOnTheLittlePlanMovesAndTurnsTheCut) {
    Hand hand;
    const PlanMap map = hand.state.planMap;
    hand.drag(map.toScreen({1, 1}), map.toScreen({2.5, 1}));
    EXPECT_NEAR(*hand.state.cut.station, 2.5, 0.03);
    hand.click(hand.find("Draw a cut"));
    ASSERT_TRUE(hand.state.drawing);
    hand.drag(map.toScreen({0.5, 0.5}), map.toScreen({3.5, 1.5}));
    EXPECT_FALSE(hand.state.drawing);
    EXPECT_FALSE(hand.state.cut.station);
    EXPECT_NEAR(hand.state.cut.section.length, std::sqrt(10.0), 0.05);
}

TEST(Interface, ACutCanBeDrawnInTheScene) {
    Hand hand;
    showCut(hand.state, false);
    const Camera camera = cameraAt(hand.state, 0);
    startDrawing(hand.state);
    const auto a = camera.project({0.5, 0.5, 10}, 1280, 800), b = camera.project({3.5, 1.5, 10}, 1280, 800);
    ASSERT_TRUE(a && b);
    hand.drag(*a, *b);
    ASSERT_EQ(hand.state.cut.line.size(), 2U);
    EXPECT_NEAR(glm::length(hand.state.cut.line[0] - glm::dvec2(0.5, 0.5)), 0, 0.03);
    EXPECT_NEAR(glm::length(hand.state.cut.line[1] - glm::dvec2(3.5, 1.5)), 0, 0.03);
    EXPECT_EQ(camera.azimuth, cameraAt(hand.state, 0).azimuth) << "drawing must not turn the eye";
    EXPECT_EQ(camera.elevation, cameraAt(hand.state, 0).elevation);
}

TEST(Interface, PeelSliderPeels) {
    Hand hand;
    const glm::dvec2 word = hand.find("Peel");
    hand.drag({word.x + 40, word.y}, {word.x + 75, word.y});
    EXPECT_GT(hand.state.peel.goal(), 0.3);
    EXPECT_LT(hand.state.peel.goal(), 1.0);
}

TEST(Interface, SheetTellsFileLineFaultAndRemedyAndCanBeClosed) {
    Hand hand;
    Loaded bad;
    bad.faults = {{{"some/where/court.toml", 7, 3}, "The level is missing.", "Write one."}};
    receive(hand.state, bad, 1);
    hand.frame();
    for (const char* words : {"One thing in the plan to put right", "court.toml, line 7",
                              "The level is missing.", "Write one.", "The last good model stays until then."})
        EXPECT_TRUE(hand.shows(words)) << words;
    hand.click(hand.find("Close"));
    EXPECT_FALSE(hand.state.sheetOpen);
    EXPECT_TRUE(hand.shows("Small court"));
}

TEST(Interface, ManyFaultsScroll) {
    Hand hand;
    Loaded bad;
    for (int i = 0; i < 40; ++i)
        bad.faults.push_back({{"court.toml", i + 1, 1}, "The level is missing.", "Write one."});
    receive(hand.state, bad, 1);
    hand.frame();
    hand.scroll(hand.find("40 things in the plan to put right") + glm::dvec2{0, 100}, -3);
    EXPECT_GT(hand.state.sheetScroll, 0);
    EXPECT_FALSE(hand.state.cameraOwn) << "the wheel on a sheet must not move the eye";
}

TEST(Interface, WithoutAPlanItSaysWhatItDoes) {
    Interface interface;
    interface.prepare(1, 1);
    WindowState state;
    state.stage = Stage::Building;
    interface.feed({}, 1280, 800, 1 / 60.0);
    interface.frame(state, 0);
    ASSERT_EQ(interface.words().size(), 2U);  // and the question mark
    EXPECT_TRUE(std::any_of(interface.words().begin(), interface.words().end(),
                            [](const auto& w) { return w.text == "Building the layers"; }));
}

TEST(Interface, ClientViewHidesThePartsAndShowsThemAgain) {
    Hand hand;
    setClientView(hand.state, true, 0);
    hand.frame();
    EXPECT_FALSE(hand.shows("To look at"));
    EXPECT_FALSE(hand.shows("Peel"));
    EXPECT_TRUE(hand.shows("Small court"));
    setClientView(hand.state, false, 0);
    hand.frame();
    EXPECT_TRUE(hand.shows("To look at"));
}

TEST(Interface, AtRestItAsksForNoFrames) {
    Hand hand;
    hand.frame();
    hand.frame();
    EXPECT_FALSE(hand.interface_.restless());
    hand.state.motion = true;
    setPeel(hand.state, 1, 1e6);
    hand.interface_.feed(hand.events, 1280, 800, 1 / 60.0);
    hand.interface_.frame(hand.state, 1e6 + 0.05);
    EXPECT_TRUE(hand.interface_.restless());
}

TEST(Interface, TypeIsMadeOnceForAScale) {
    Interface interface;
    EXPECT_TRUE(interface.prepare(1, 1));
    EXPECT_FALSE(interface.prepare(1, 1));
    EXPECT_TRUE(interface.prepare(2, 1));
}

}  // namespace
}  // namespace underfoot
