#include <gtest/gtest.h>

#include "hand_model.h"
#include "view/scene_view.h"

namespace underfoot {
namespace {

using namespace hand;

Ray down(double x, double y) {
    return {{x, y, 5}, {0, 0, -1}};
}
/// From the yard toward the house, level.
Ray towardHouse(double x, double z) {
    return {{x, 20, z}, {0, -1, 0}};
}

TEST(Pick, meetsTheUnitsFromAbove) {
    const auto hit = pick(*model(), {}, down(4, 2));
    ASSERT_TRUE(hit);
    EXPECT_EQ(hit->layer, unitsLayer);
    EXPECT_NEAR(hit->height, 0.05, 1e-4);
    EXPECT_NEAR(hit->distance, 4.95, 1e-4);
    EXPECT_NEAR(hit->at.x, 4, 1e-3);
    EXPECT_FALSE(hit->capFace);
}

TEST(Pick, meetsTheGroundBesideThePatio) {
    const auto hit = pick(*model(), {}, down(1, 5));
    ASSERT_TRUE(hit);
    EXPECT_EQ(hit->layer, soilLayer);
    EXPECT_NEAR(hit->height, 0, 1e-4);
}

TEST(Pick, goesThroughHiddenLayers) {
    Look look;
    look.hidden = {1};
    auto hit = pick(*model(), look, down(4, 2));
    ASSERT_TRUE(hit);
    EXPECT_EQ(hit->layer, bedLayer);
    EXPECT_NEAR(hit->height, -0.01, 1e-4);
    look.hidden = {1, 1};
    hit = pick(*model(), look, down(4, 2));
    ASSERT_TRUE(hit);
    EXPECT_EQ(hit->layer, baseLayer);
    EXPECT_NEAR(hit->height, -0.05, 1e-4);  // -0.03 - 0.01 (4 - 2)
}

TEST(Pick, meetsNothingBesideTheModel) {
    EXPECT_FALSE(pick(*model(), {}, down(9.5, 2)));
    EXPECT_FALSE(pick(*model(), {}, {{4, 20, 0}, {0, 1, 0}}));
}

TEST(Pick, meetsTheCutFaceLayerByLayer) {
    Look look;
    look.cut = CutLook{{{0, 2.5}, {8, 2.5}}, true};
    // At x = 4 the bed's underside is -0.05.
    const struct {
        double z;
        LayerId layer;
    } rows[] = {{0.02, unitsLayer}, {-0.03, bedLayer}, {-0.1, baseLayer}, {-0.3, soilLayer}};
    for (const auto& row : rows) {
        const auto hit = pick(*model(), look, towardHouse(4, row.z));
        ASSERT_TRUE(hit) << row.z;
        EXPECT_EQ(hit->layer, row.layer) << row.z;
        EXPECT_NEAR(hit->place.y, 2.5, 1e-9);
        EXPECT_TRUE(hit->capFace);
    }
}

TEST(Pick, meetsTheStepOfAPeeledLayer) {
    Look look;
    look.peel = 3;  // units end at x = 5.36, bed at 4.24, base at 3.12
    EXPECT_EQ(pick(*model(), look, down(5.5, 2))->layer, unitsLayer);
    EXPECT_EQ(pick(*model(), look, down(5.0, 2))->layer, bedLayer);
    EXPECT_EQ(pick(*model(), look, down(3.5, 2))->layer, baseLayer);
    const auto floor = pick(*model(), look, down(2.5, 2));
    EXPECT_EQ(floor->layer, soilLayer);
    EXPECT_NEAR(floor->height, -0.20, 1e-4);
    const auto riser = pick(*model(), look, {{-5, 2, 0.02}, {1, 0, 0}});
    ASSERT_TRUE(riser);
    EXPECT_EQ(riser->layer, unitsLayer);
    EXPECT_NEAR(riser->place.x, 5.36, 1e-9);
    EXPECT_TRUE(riser->capFace);
}

TEST(Pick, seesLiftedLayersWhereTheyAreShownButTellsTheirOwnHeight) {
    Look look;
    look.liftApart = 1;
    const double rise = layerRise(*model(), look, unitsLayer);
    const auto hit = pick(*model(), look, down(4, 2));
    ASSERT_TRUE(hit);
    EXPECT_NEAR(hit->place.z, 0.05 + rise, 1e-4);
    EXPECT_NEAR(hit->height, 0.05, 1e-4);
}

TEST(Pick, namesTheUnit) {
    const auto made = modelWithUnits();  // from x = 2 in steps of 1
    EXPECT_EQ(pick(*made, {}, down(2.5, 1.5))->unit, 0);
    EXPECT_EQ(pick(*made, {}, down(4.5, 1.5))->unit, 2);
    EXPECT_EQ(pick(*made, {}, down(5.5, 1.5))->unit, -1);
}

TEST(Pick, seesPastTheCornerOfABentCut) {
    Look look;
    look.cut = CutLook{{{1, 2}, {4, 2}, {4, 5}}, true};
    EXPECT_EQ(pick(*model(), look, down(5, 3))->layer, unitsLayer);
    EXPECT_FALSE(pick(*model(), look, down(3, 3)));
    const auto face = pick(*model(), look, towardHouse(3, 0.02));
    ASSERT_TRUE(face);
    EXPECT_NEAR(face->place.y, 2, 1e-9);
    EXPECT_EQ(face->layer, unitsLayer);
}

TEST(Picker, answersAsPickDoes) {
    const auto made = modelWithUnits();
    const Picker picker(made);
    Look cutOpen;
    cutOpen.cut = CutLook{{{0, 2.5}, {8, 2.5}}, true};
    for (const Look& look : {Look{}, cutOpen})
        for (double x = -0.5; x < 9; x += 0.37)
            for (const Ray& ray : {down(x, 2.13), towardHouse(x, -0.05)}) {
                const auto one = pick(*made, look, ray), other = picker.pick(look, ray);
                ASSERT_EQ(one.has_value(), other.has_value()) << x;
                if (!one) continue;
                EXPECT_EQ(one->distance, other->distance) << x;
                EXPECT_EQ(one->layer, other->layer) << x;
                EXPECT_EQ(one->unit, other->unit) << x;
                EXPECT_EQ(one->capFace, other->capFace) << x;
            }
}

}  // namespace
}  // namespace underfoot
