#include "window/window_state.h"

#include <cmath>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "small_model.h"

namespace underfoot {
namespace {

using test::smallReading;

WindowState opened() {
    WindowState state;
    state.stage = Stage::Waiting;
    layOut(state, 1280, 800, 1);
    receive(state, smallReading(), 0);
    return state;
}

TEST(Glide, EasesFromOneValueToTheOtherInItsTime) {
    Glide glide(0);
    glide.toward(1, 10, true);
    EXPECT_DOUBLE_EQ(glide.at(10), 0);
    EXPECT_NEAR(glide.at(10 + glideSeconds / 2), 0.5, 1e-9);
    EXPECT_DOUBLE_EQ(glide.at(10 + glideSeconds), 1);
    EXPECT_TRUE(glide.moving(10.1));
    EXPECT_FALSE(glide.moving(10 + glideSeconds));
    EXPECT_LT(glideSeconds, 0.25);
}

TEST(Glide, JumpsWithoutMotion) {
    Glide glide(0);
    glide.toward(1, 10, false);
    EXPECT_DOUBLE_EQ(glide.at(10), 1);
    EXPECT_FALSE(glide.moving(10));
}

TEST(Receiving, AFirstModelIsCutInTheMiddleAndFitted) {
    const WindowState state = opened();
    ASSERT_TRUE(state.cut.station);
    EXPECT_DOUBLE_EQ(*state.cut.station, 2);
    EXPECT_FALSE(state.cut.section.intervals.empty());
    EXPECT_FALSE(state.sheetOpen);
    const Camera camera = cameraAt(state, 0);
    const WindowFrame& frame = state.frame;
    // The cut at station 2 leaves one half; the line runs along +y, with smaller x on its left.
    for (const glm::dvec2 p : {glm::dvec2{0, 0}, {4, 0}, {4, 2}, {0, 2}, {2, 0}, {2, 2}}) {
        if (state.cut.removeLeft ? p.x < 2 : p.x > 2) continue;
        const auto pixel = camera.project({p, 10}, frame.width, frame.height);
        ASSERT_TRUE(pixel);
        EXPECT_GT(pixel->x, frame.scene.left - 1);
        EXPECT_LT(pixel->x, frame.width - frame.scene.right + 1);
        EXPECT_LT(pixel->y, frame.height - frame.scene.bottom + 1);
    }
}

TEST(Receiving, FaultsOpenTheSheetAndLeaveTheModel) {
    WindowState state = opened();
    const Model* before = state.model.get();
    Loaded bad;
    bad.faults = {{{"court.toml", 7, 1}, "The level is missing.", "Add one."}};
    receive(state, bad, 1);
    EXPECT_TRUE(state.sheetOpen);
    EXPECT_EQ(state.model.get(), before);
    EXPECT_EQ(state.findings.size(), 2U);
    receive(state, smallReading(), 2);
    EXPECT_FALSE(state.sheetOpen);
    EXPECT_TRUE(state.faults.empty());
}

TEST(Receiving, AgainKeepsCutHiddenLayersAndPlaceThoughTheOriginMoved) {
    WindowState state = opened();
    cutAtStationOf(state, 3);
    toggleLayer(state, 0);
    toggleThickness(state, 1, 0);
    attend(state, glm::dvec2{1, 1});
    orbitBy(state, {30, 0}, 0);
    const glm::dvec3 target = state.camera.to.target;
    receive(state, smallReading({0.5, 0.25}), 1);
    EXPECT_DOUBLE_EQ(*state.cut.station, 3);
    EXPECT_FALSE(lookOf(state, 1).shows(0));
    EXPECT_EQ(state.thicknessLayer, 1);
    ASSERT_TRUE(state.place);
    EXPECT_NEAR(state.place->x, 0.5, 1e-12);
    EXPECT_NEAR(state.place->y, 0.75, 1e-12);
    EXPECT_NEAR(state.camera.to.target.x, target.x - 0.5, 1e-12);
}

TEST(Cut, StationsAreKeptInsideTheAreas) {
    WindowState state = opened();
    cutAtStationOf(state, -3);
    EXPECT_DOUBLE_EQ(*state.cut.station, 0);
    cutAtStationOf(state, 99);
    EXPECT_DOUBLE_EQ(*state.cut.station, 4);
}

TEST(Cut, MovesAsAWhole) {
    WindowState state = opened();
    moveCutTo(state, {3.25, 1});
    EXPECT_NEAR(*state.cut.station, 3.25, 1e-12);
    cutAlongLine(state, {{0, 0.5}, {4, 0.5}}, "");
    EXPECT_FALSE(state.cut.station);
    moveCutTo(state, {2, 1.5});
    EXPECT_NEAR(state.cut.line[0].y, 1.5, 1e-12);
    EXPECT_NEAR(state.cut.line[1].y, 1.5, 1e-12);
    EXPECT_NEAR(state.cut.line[0].x, 0, 1e-12);
}

TEST(Cut, DrawnLineBecomesTheCut) {
    WindowState state = opened();
    startDrawing(state);
    drawFrom(state, {0.5, 0.5});
    drawTo(state, {3.5, 1.5}, false);
    finishDrawing(state, 0);
    EXPECT_FALSE(state.drawing);
    ASSERT_EQ(state.cut.line.size(), 2U);
    EXPECT_EQ(state.cut.line[1], glm::dvec2(3.5, 1.5));
    EXPECT_NEAR(state.cut.section.length, std::sqrt(10.0), 1e-9);
}

TEST(Cut, DrawnWithShiftRunsAlongOrAcrossTheHouse) {
    WindowState state = opened();
    startDrawing(state);
    drawFrom(state, {0.5, 0.5});
    drawTo(state, {3.5, 0.9}, true);
    EXPECT_NEAR(state.drawing->to.x, 3.5, 1e-12);
    EXPECT_NEAR(state.drawing->to.y, 0.5, 1e-12);
    drawTo(state, {0.8, 1.9}, true);
    EXPECT_NEAR(state.drawing->to.x, 0.5, 1e-12);
    EXPECT_NEAR(state.drawing->to.y, 1.9, 1e-12);
}

TEST(Cut, TooShortALineLeavesTheCutAlone) {
    WindowState state = opened();
    startDrawing(state);
    drawFrom(state, {0.5, 0.5});
    drawTo(state, {0.55, 0.5}, false);
    finishDrawing(state, 0);
    EXPECT_DOUBLE_EQ(*state.cut.station, 2);
}

TEST(Cut, OpensTowardTheEyeAndTheStripFollows) {
    WindowState state = opened();
    cutAlongLine(state, {{2, 0}, {2, 2}}, "");
    const Camera camera = cameraAt(state, 0);
    const bool eyeOnLeft = camera.eye().x < 2;  // left of a line that runs along +y is -x
    EXPECT_EQ(state.cut.removeLeft, eyeOnLeft);
    // From the left side one looks along +x, with +y to one's left: distances run from right to left.
    EXPECT_EQ(stripMirrored(state), state.cut.removeLeft);
    cutFromOtherSide(state);
    EXPECT_EQ(state.cut.removeLeft, !eyeOnLeft);
}

TEST(Cut, CanBeClosedInTheSceneAlone) {
    WindowState state = opened();
    EXPECT_TRUE(lookOf(state, 0).cut);
    showCut(state, false);
    EXPECT_FALSE(lookOf(state, 0).cut);
    EXPECT_FALSE(state.cut.section.intervals.empty());
}

TEST(Layers, PeelRunsOverAllStepsButTheSoil) {
    WindowState state = opened();
    state.motion = false;
    setPeel(state, 1, 0);
    EXPECT_DOUBLE_EQ(lookOf(state, 0).peel, 3);  // units, sand, base
    setPeel(state, 7, 0);
    EXPECT_DOUBLE_EQ(state.peel.goal(), 1);
}

TEST(Layers, LiftingApartKeepsTheModelInTheFrame) {
    WindowState state = opened();
    state.motion = false;
    setLift(state, 1, 0);
    const auto pixel =
        cameraAt(state, 0).project({2, 1, 10 + layerRise(*state.model, lookOf(state, 0), 0)}, 1280, 800);
    ASSERT_TRUE(pixel);
    EXPECT_GT(pixel->y, state.frame.scene.top - 1);
}

TEST(Layers, ThicknessIsChosenOnceAndGivenUpAgain) {
    WindowState state = opened();
    toggleLayer(state, 1);
    toggleThickness(state, 1, 0);
    EXPECT_TRUE(lookOf(state, 0).shows(1)) << "a layer that is coloured is shown";
    ASSERT_TRUE(lookOf(state, 0).thickness);
    EXPECT_EQ(lookOf(state, 0).thickness->layer, 1);
    EXPECT_GT(state.frame.thicknessScale.width(), 0);
    toggleThickness(state, 1, 0);
    EXPECT_FALSE(lookOf(state, 0).thickness);
    EXPECT_EQ(state.frame.thicknessScale.width(), 0);
}

TEST(Findings, ChoosingOneCutsThereAndFliesThere) {
    WindowState state = opened();
    const Camera before = cameraAt(state, 0);
    chooseFinding(state, 1, 0);
    EXPECT_DOUBLE_EQ(*state.cut.station, 3.5);
    EXPECT_EQ(*state.place, glm::dvec2(3.5, 1.5));
    EXPECT_TRUE(moving(state, 0.1));
    EXPECT_FALSE(moving(state, 0.25));
    const Camera after = cameraAt(state, 1);
    EXPECT_LT(after.distance, before.distance);
    EXPECT_NEAR(after.target.x, 3.5, 1e-12);
    EXPECT_NEAR(after.target.z, 10, 1e-12);
    chooseFinding(state, 1, 2);
    EXPECT_EQ(state.openFinding, -1);
    chooseFinding(state, 9, 2);
    EXPECT_EQ(state.openFinding, -1);
}

TEST(Column, ShowsTheStackAtThePlaceWithItsRange) {
    WindowState state = opened();
    // At station 1 the sand is 0.02 + 0.005 x 1 = 0.025 m.
    const std::vector<ColumnRow> rows = columnRows(state, {1, 0.5});
    ASSERT_EQ(rows.size(), 4U);
    EXPECT_EQ(rows[0].title, "Units");
    EXPECT_NEAR(rows[0].thickness, 0.05, 1e-9);
    EXPECT_NEAR(rows[1].thickness, 0.025, 1e-9);
    EXPECT_EQ(rows[1].least, 0.025);
    EXPECT_NEAR(rows[2].thickness, 0.10, 1e-9);
    EXPECT_TRUE(rows[3].ground);
    EXPECT_TRUE(columnRows(state, {50, 50}).empty());
}

// A stake stands on the outline, where the cell found may be one beside it.
TEST(Column, NamesTheAreaOnItsOutlineToo) {
    const WindowState state = opened();
    for (const glm::dvec2 corner : {glm::dvec2(0, 0), {4, 0}, {4, 2}, {0, 2}, {2, 2}, {4, 1}})
        EXPECT_EQ(areaAt(*state.model, corner), "court") << corner.x << ' ' << corner.y;
    EXPECT_EQ(areaAt(*state.model, {4.01, 1}), "");
}

TEST(Column, FollowsThePointerThenTheKeptPlaceThenTheCut) {
    WindowState state = opened();
    const auto byCut = columnPlace(state);
    ASSERT_TRUE(byCut);
    EXPECT_NEAR(byCut->x, 2, 1e-9);
    EXPECT_NEAR(byCut->y, 1, 1e-9);
    attend(state, glm::dvec2{1, 1.5});
    EXPECT_EQ(*columnPlace(state), glm::dvec2(1, 1.5));
    state.pointed = glm::dvec2{3, 0.5};
    EXPECT_EQ(*columnPlace(state), glm::dvec2(3, 0.5));
    state.pointed = glm::dvec2{30, 0.5};
    EXPECT_EQ(*columnPlace(state), glm::dvec2(1, 1.5)) << "a place beside the model has no stack";
    attend(state, glm::dvec2{30, 0.5});
    EXPECT_EQ(*state.place, glm::dvec2(1, 1.5));
}

TEST(Eye, ZoomKeepsThePointUnderThePointer) {
    WindowState state = opened();
    const glm::dvec3 point{3, 0.5, 10};
    const auto before = cameraAt(state, 0).project(point, 1280, 800);
    zoomAbout(state, point, 0.5, 0);
    const auto after = cameraAt(state, 0).project(point, 1280, 800);
    ASSERT_TRUE(before && after);
    EXPECT_NEAR(before->x, after->x, 1e-6);
    EXPECT_NEAR(before->y, after->y, 1e-6);
    EXPECT_TRUE(state.cameraOwn);
}

TEST(Eye, HandMadeViewsAreNotFittedAgainUntilAsked) {
    WindowState state = opened();
    orbitBy(state, {100, 20}, 0);
    const Camera own = cameraAt(state, 0);
    layOut(state, 1600, 900, 1);
    EXPECT_TRUE(sameCamera(own, cameraAt(state, 0)));
    state.motion = false;
    fitView(state, 0);
    EXPECT_FALSE(sameCamera(own, cameraAt(state, 0)));
    EXPECT_DOUBLE_EQ(own.azimuth, cameraAt(state, 0).azimuth);
}

TEST(Eye, GlidesTheShortWayRound) {
    WindowState state = opened();
    state.camera.from = state.camera.to;
    state.camera.from.azimuth = 3.0;
    state.camera.to.azimuth = -3.0;
    state.camera.part.jump(0);
    state.camera.part.toward(1, 0, true);
    const double middle = cameraAt(state, glideSeconds / 2).azimuth;
    EXPECT_NEAR(std::cos(middle), -1, 0.02);
}

TEST(Eye, PlaceUnderARayThatMissesIsOnTheGroundPlane) {
    const WindowState state = opened();
    const auto place = placeUnder(state, lookOf(state, 0), {{10, 10, 20}, {0, 0, -1}});
    ASSERT_TRUE(place);
    EXPECT_NEAR(place->z, 10, 1e-9);
    EXPECT_FALSE(placeUnder(state, lookOf(state, 0), {{10, 10, 20}, {0, 0, 1}}));
}

TEST(Keys, MoveTheCutAsThePictureStands) {
    WindowState state = opened();
    // House at the top, garden to the left of the baseline: stations run to the left.
    EXPECT_TRUE(pressKey(state, Key::Left, false, 0));
    EXPECT_NEAR(*state.cut.station, 2.05, 1e-12);
    EXPECT_TRUE(pressKey(state, Key::Right, true, 0));
    EXPECT_NEAR(*state.cut.station, 1.55, 1e-12);
    cutAlongLine(state, {{0, 0.5}, {4, 0.6}}, "");
    EXPECT_FALSE(pressKey(state, Key::Left, false, 0));
}

TEST(Keys, EscapeGoesBackOneStepAtATime) {
    WindowState state = opened();
    chooseFinding(state, 0, 0);
    toggleThickness(state, 1, 0);
    setClientView(state, true, 0);
    state.helpOpen = true;
    EXPECT_TRUE(pressKey(state, Key::Escape, false, 1));
    EXPECT_FALSE(state.helpOpen);
    EXPECT_TRUE(pressKey(state, Key::Escape, false, 1));
    EXPECT_FALSE(state.clientView);
    EXPECT_TRUE(pressKey(state, Key::Escape, false, 1));
    EXPECT_EQ(state.openFinding, -1);
    EXPECT_TRUE(pressKey(state, Key::Escape, false, 1));
    EXPECT_EQ(state.thicknessLayer, -1);
    EXPECT_TRUE(pressKey(state, Key::Escape, false, 1));
    EXPECT_FALSE(state.place);
    EXPECT_FALSE(pressKey(state, Key::Escape, false, 1));
}

TEST(Keys, DoNothingWithoutAModel) {
    WindowState state;
    layOut(state, 1280, 800, 1);
    for (const Key key : {Key::C, Key::F, Key::H, Key::L, Key::P, Key::T, Key::X, Key::Q, Key::Left})
        EXPECT_FALSE(pressKey(state, key, false, 0));
    EXPECT_TRUE(pressKey(state, Key::D, false, 0));
    EXPECT_EQ(state.theme, Theme::Dark);
}

TEST(Keys, TGoesThroughTheLayersAndOff) {
    WindowState state = opened();
    for (const LayerId wanted : {0, 1, 2, -1}) {
        EXPECT_TRUE(pressKey(state, Key::T, false, 0));
        EXPECT_EQ(state.thicknessLayer, wanted);
    }
}

TEST(Looks, DragIsDrawnFastAndRestInFull) {
    WindowState state = opened();
    EXPECT_EQ(lookOf(state, 1).quality, Quality::Full);
    state.dragging = true;
    EXPECT_EQ(lookOf(state, 1).quality, Quality::Dragging);
    EXPECT_FALSE(sameLook(lookOf(state, 1), opened().model ? lookOf(opened(), 1) : Look{}));
}

}  // namespace
}  // namespace underfoot
