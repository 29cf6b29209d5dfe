#include <cmath>

#include <gtest/gtest.h>

#include "hand_model.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {
namespace {

using namespace hand;

TEST(LayerRanks, followTheColumnFromTheTop) {
    EXPECT_EQ(layerRanks(*model()), (std::vector<int>{0, 1, 2, 3}));
    EXPECT_EQ(peelSteps(*model()), 3);
}

TEST(LayerRanks, aLayerBesideTheStackComesOffJustBeforeWhatItLiesOn) {
    // A fill straight on the native soil beside the patio, nothing above it: rank 2, like the base, not 0.
    Model made = Maker().make();
    made.layers.push_back({"fill", Role::Fill, "fill"});
    Column beside;
    beside.entries = {entry(4), entry(soilLayer)};
    made.columns.push_back(beside);
    EXPECT_EQ(layerRanks(made), (std::vector<int>{0, 1, 2, 3, 2}));
}

TEST(LayerRanks, columnsThatContradictEachOtherStillGiveRanks) {
    Model made = Maker().make();
    Column upsideDown;
    upsideDown.entries = {entry(baseLayer), entry(unitsLayer), entry(soilLayer)};
    made.columns.push_back(upsideDown);
    const std::vector<int> ranks = layerRanks(made);
    for (int rank : ranks) EXPECT_GE(rank, 0);
    EXPECT_GT(ranks[soilLayer], ranks[unitsLayer]);
}

TEST(Peel, takesEachLayerBackAStepFartherThanTheOneBelow) {
    Look look;
    look.peel = 3;
    const Shown shown = resolve(*model(), look);
    // To the right of one who looks at the house is -x here; what was built ends at x = 2 on that side. Three
    // steps over 84 % of its 4 m: treads of 1.12 m. Limits along -x: -2 - 3.36, -2 - 2.24, -2 - 1.12.
    EXPECT_NEAR(shown.peelAlong.x, -1, 1e-12);
    EXPECT_NEAR(shown.peelLimit[unitsLayer], -5.36, 1e-9);
    EXPECT_NEAR(shown.peelLimit[bedLayer], -4.24, 1e-9);
    EXPECT_NEAR(shown.peelLimit[baseLayer], -3.12, 1e-9);
    EXPECT_FALSE(shown.peeled(soilLayer));
    EXPECT_TRUE(shown.keeps(unitsLayer, {5.5, 2}));
    EXPECT_FALSE(shown.keeps(unitsLayer, {5.0, 2}));
    EXPECT_TRUE(shown.keeps(bedLayer, {5.0, 2}));
}

// Cut open, the slider went half its way before anything was seen to move. Built from x = 2 to 6, cut along
// x = 4 with what is left of it taken away: 2 m are shared by three steps, 0.84 * 2 / 3 = 0.56 m each.
TEST(Peel, sharesOutWhatTheCutLeaves) {
    Look look;
    look.peel = 3;
    look.cut = CutLook{{{4, -1}, {4, 6}}, true};
    const Shown shown = resolve(*model(), look);
    EXPECT_NEAR(shown.peelLimit[unitsLayer], -4 - 3 * 0.56, 1e-9);
    EXPECT_NEAR(shown.peelLimit[bedLayer], -4 - 2 * 0.56, 1e-9);
    EXPECT_NEAR(shown.peelLimit[baseLayer], -4 - 0.56, 1e-9);
    look.cut->removeLeft = false;
    EXPECT_NEAR(resolve(*model(), look).peelLimit[unitsLayer], -2 - 3 * 0.56, 1e-9);
}

TEST(Peel, halfAStepMovesOnlyTheUppermostLayer) {
    Look look;
    look.peel = 0.5;
    const Shown shown = resolve(*model(), look);
    EXPECT_NEAR(shown.peelLimit[unitsLayer], -2 - 0.56, 1e-9);
    EXPECT_FALSE(shown.peeled(bedLayer));
}

TEST(LiftApart, raisesUpperLayersMoreAndTheSoilNotAtAll) {
    Look look;
    look.liftApart = 1;
    EXPECT_EQ(layerRise(*model(), look, soilLayer), 0);
    EXPECT_GT(layerRise(*model(), look, bedLayer), layerRise(*model(), look, baseLayer));
    EXPECT_GT(layerRise(*model(), look, baseLayer), 0);
    look.liftApart = 0;
    EXPECT_EQ(layerRise(*model(), look, unitsLayer), 0);
}

TEST(Cut, takesAwayTheSideThatTheEyeStandsOn) {
    const auto made = model();
    Camera camera = threeQuarterView(*made);  // at greater y
    Look look;
    look.cut = cutAlong(*made, 2.5, camera);
    Shown shown = resolve(*made, look);
    EXPECT_TRUE(shown.cutAway({4, 2.6}));
    EXPECT_FALSE(shown.cutAway({4, 2.4}));
    camera.azimuth += std::acos(-1.0);
    look.cut = cutAlong(*made, 2.5, camera);
    shown = resolve(*made, look);
    EXPECT_FALSE(shown.cutAway({4, 2.6}));
    EXPECT_TRUE(shown.cutAway({4, 2.4}));
}

TEST(Cut, aBentLineTakesAwayOneSideOfBothLegs) {
    // From far -x along y = 2 to (4, 2), then up along x = 4: the left side is the upper left quarter.
    Look look;
    look.cut = CutLook{{{1, 2}, {4, 2}, {4, 5}}, true};
    const Shown left = resolve(*model(), look);
    EXPECT_TRUE(left.cutAway({2, 3}));
    EXPECT_FALSE(left.cutAway({5, 3}));
    EXPECT_FALSE(left.cutAway({2, 1}));
    look.cut->removeLeft = false;
    const Shown right = resolve(*model(), look);
    EXPECT_FALSE(right.cutAway({2, 3}));
    EXPECT_TRUE(right.cutAway({5, 3}));
    EXPECT_TRUE(right.cutAway({2, 1}));
}

TEST(Cut, aLineOfNoLengthTakesNothingAway) {
    Look look;
    look.cut = CutLook{{{1, 2}, {1, 2}}, true};
    EXPECT_FALSE(resolve(*model(), look).cutAway({1, 3}));
    EXPECT_FALSE(resolve(*model(), look).cutAway({1, 1}));
}

TEST(ShownBounds, holdTheWholeModelAndShrinkWithTheCut) {
    Look look;
    const Bounds whole = shownBounds(*model(), look);
    EXPECT_EQ(whole.low, glm::dvec3(0, 0, -0.6));
    EXPECT_EQ(whole.high, glm::dvec3(8, 6, 0.05));
    look.cut = CutLook{{{0, 2.5}, {8, 2.5}}, true};
    const Bounds cut = shownBounds(*model(), look);
    EXPECT_NEAR(cut.high.y, 2.5, 1e-9);
    EXPECT_NEAR(cut.low.y, 0, 1e-9);
}

TEST(ThicknessLook, takesOffWhatLiesAbove) {
    Look look;
    look.thickness = ThicknessLook{bedLayer, {}, {}};
    const Shown shown = resolve(*model(), look);
    EXPECT_FALSE(shown.visible[unitsLayer]);
    EXPECT_TRUE(shown.visible[bedLayer]);
    EXPECT_TRUE(shown.visible[baseLayer]);
}

}  // namespace
}  // namespace underfoot
