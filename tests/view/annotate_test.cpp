#include <algorithm>
#include <cmath>
#include <set>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "hand_model.h"
#include "view/leaders.h"
#include "view/scene_view.h"

namespace underfoot {
namespace {

using namespace hand;

constexpr double frameWidth = 1000, frameHeight = 640;
const Insets insets{40, 250, 40, 40};

struct Shot {
    Camera camera;
    Look look;
    Annotations annotations;
};

Shot cutOpen() {
    const auto made = model();
    Shot shot;
    shot.camera = threeQuarterView(*made);
    shot.look.cut = cutAlong(*made, 2.5, shot.camera);
    shot.camera.fit(shownBounds(*made, shot.look), frameWidth, frameHeight, insets);
    shot.annotations = annotate(*made, shot.camera, shot.look, frameWidth, frameHeight, insets, 44);
    return shot;
}

std::vector<Label> cutLabels() {
    return cutOpen().annotations.labels;
}

TEST(Labels, nameEveryLayerOfTheCut) {
    std::set<std::string> names;
    for (const Label& label : cutLabels()) names.insert(label.name);
    EXPECT_EQ(names, (std::set<std::string>{"Units", "Bedding", "Base", "Soil"}));
}

TEST(Labels, dotLiesOnItsLayer) {
    const Shot shot = cutOpen();
    for (const Label& label : shot.annotations.labels) {
        const auto hit = pick(*model(), shot.look, shot.camera.ray(label.dot, frameWidth, frameHeight));
        ASSERT_TRUE(hit) << label.name;
        EXPECT_EQ(hit->layer, label.layer) << label.name;
    }
}

TEST(Labels, leadersRunAtTwoAnglesOnly) {
    for (const Label& label : cutLabels()) {
        EXPECT_NEAR(label.bend.y, label.dot.y, 1e-9);
        const glm::dvec2 rise = label.end - label.bend;
        EXPECT_NEAR(std::abs(rise.y), std::sqrt(3.0) * std::abs(rise.x), 0.01) << label.name;
    }
}

TEST(Labels, standInAColumnBesideTheModelInTheOrderOfTheirDots) {
    const auto labels = cutLabels();
    for (size_t i = 0; i < labels.size(); ++i) {
        EXPECT_GE(labels[i].end.x, frameWidth - insets.right);
        EXPECT_EQ(labels[i].end.x, labels[0].end.x);
        if (i == 0) continue;
        EXPECT_GE(labels[i].end.y - labels[i - 1].end.y, 44 - 1e-9);
        EXPECT_GE(labels[i].dot.y, labels[i - 1].dot.y);
    }
}

TEST(Labels, tellTheThicknessAtTheDot) {
    for (const Label& label : cutLabels())
        if (label.layer == unitsLayer) {
            EXPECT_EQ(label.thickness, "60 mm");
        }
}

// Dragging leaders level across everything to the column was the fault: they pass over no more of the model
// than lies between the dot and its outline.
TEST(Labels, leaveAnUncutModelOutwardAndStayOffIt) {
    const auto made = model();
    for (double peel : {0.0, 2.0}) {
        Look look;
        look.peel = peel;
        Camera camera = threeQuarterView(*made);
        camera.fit(shownBounds(*made, look), frameWidth, frameHeight, insets);
        const auto labels = annotate(*made, camera, look, frameWidth, frameHeight, insets, 44).labels;
        EXPECT_GE(labels.size(), 2u);
        for (size_t i = 0; i < labels.size(); ++i) {
            const Label& label = labels[i];
            const auto hit = pick(*made, look, camera.ray(label.dot, frameWidth, frameHeight));
            ASSERT_TRUE(hit) << label.name;
            EXPECT_EQ(hit->layer, label.layer);
            const bool level = std::abs(label.bend.y - label.dot.y) < 1e-9;
            const glm::dvec2 oblique = level ? label.end - label.bend : label.bend - label.dot;
            EXPECT_NEAR(std::abs(oblique.y), std::sqrt(3.0) * std::abs(oblique.x), 0.01) << label.name;
            EXPECT_TRUE(level || std::abs(label.end.y - label.bend.y) < 1e-9) << label.name;
            if (i > 0) {
                EXPECT_GE(label.end.y - labels[i - 1].end.y, 44 - 1e-9);
            }
            int over = 0;
            for (double t = 0.05; t < 1; t += 0.1)
                over +=
                    pick(*made, look, camera.ray(glm::mix(label.bend, label.end, t), frameWidth, frameHeight))
                        .has_value();
            EXPECT_EQ(over, 0) << label.name << " after its bend";
        }
    }
}

// A leader across the whole model was the price of the labels' order: two lines' heights over it are worth
// more. The model fills x 0 to 600, y 200 to 500. The second thing can be seen at (590, 215), above the
// first: 10 px level over the model, 200 px beside it at 0.15, and 88 for the order make 128. From (100, 350)
// down to the free row under 500 it takes 160 px / sin 60 = 185 at the least.
TEST(Labels, leadersDoNotRunAcrossTheModelForTheSakeOfOrder) {
    CoveredGrid covered(100, 60, 1000, 600);
    for (int j = 20; j < 50; ++j)
        for (int i = 0; i < 60; ++i) covered.cover(i, j);
    const auto leaders =
        outwardLeaders({{{{590, 300}, 0}}, {{{100, 350}, 0}, {{590, 215}, 0}}}, covered, {800, 40, 600, 44});
    ASSERT_EQ(leaders.size(), 2u);
    EXPECT_EQ(leaders[0].thing, 1u);
    EXPECT_EQ(leaders[0].dot, glm::dvec2(590, 215));
}

TEST(Labels, nameLayersThatShowAsNarrowBands) {
    const auto made = model();
    Look look;
    look.liftApart = 1;
    Camera camera = threeQuarterView(*made);
    std::set<std::string> names;
    // The model is small in the frame: its beds are narrower than the places that are looked at first.
    const Insets wide{100, 740, 260, 240};
    camera.fit(shownBounds(*made, look), frameWidth, frameHeight, wide);
    for (const Label& label : annotate(*made, camera, look, frameWidth, frameHeight, wide, 20).labels)
        names.insert(label.name);
    EXPECT_EQ(names, (std::set<std::string>{"Units", "Bedding", "Base", "Soil"}));
}

// A dot on the line between two layers told of neither.
TEST(Labels, dotsOfLayersLiftedApartKeepOffTheEdgesOfTheirBands) {
    const auto made = model();
    Look look;
    look.liftApart = 1;
    Camera camera = threeQuarterView(*made);
    camera.fit(shownBounds(*made, look), frameWidth, frameHeight, insets);
    for (const Label& label : annotate(*made, camera, look, frameWidth, frameHeight, insets, 44).labels)
        for (const double up : {-3.0, 3.0}) {
            const auto met =
                pick(*made, look, camera.ray(label.dot + glm::dvec2{0, up}, frameWidth, frameHeight));
            ASSERT_TRUE(met) << label.name;
            EXPECT_EQ(met->layer, label.layer) << label.name;
        }
}

TEST(Labels, areLeftOutWhereThereIsNoRoom) {
    const auto made = model();
    Camera camera = threeQuarterView(*made);
    camera.fit(shownBounds(*made, {}), frameWidth, frameHeight);
    EXPECT_TRUE(annotate(*made, camera, {}, frameWidth, frameHeight, {}, 44).labels.empty());
}

// Places on the face of the cut that the peel had taken away were tried for so long that none was found at
// all.
TEST(Labels, nameALayerThatIsPeeledOffTheFaceOfTheCut) {
    const auto made = model();
    Look look;
    look.peel = 3;
    Camera camera = threeQuarterView(*made);
    look.cut = cutAlong(*made, 2.5, camera);
    camera.fit(shownBounds(*made, look), frameWidth, frameHeight, insets);
    std::set<std::string> names;
    for (const Label& label : annotate(*made, camera, look, frameWidth, frameHeight, insets, 44).labels)
        names.insert(label.name);
    EXPECT_EQ(names, (std::set<std::string>{"Units", "Bedding", "Base", "Soil"}));
}

TEST(Labels, twoLayersOfOneMaterialGoByTheirOwnNames) {
    Model made = Maker().make();
    made.layers[baseLayer] = {"lower bed", Role::Bedding, "sand"};
    Shot shot;
    shot.camera = threeQuarterView(made);
    shot.look.cut = cutAlong(made, 2.5, shot.camera);
    shot.camera.fit(shownBounds(made, shot.look), frameWidth, frameHeight, insets);
    std::set<std::string> names;
    for (const Label& label :
         annotate(made, shot.camera, shot.look, frameWidth, frameHeight, insets, 44).labels)
        names.insert(label.name);
    EXPECT_TRUE(names.count("Lower bed"));
    EXPECT_TRUE(names.count("Bedding"));
    EXPECT_FALSE(names.count("Bedding sand"));
}

TEST(ThicknessScale, spansFieldAndWantedRange) {
    // The bed runs from 20 to 60 mm, wanted 30 to 50 mm; 40 mm in steps of 10 mm (seven steps at most).
    const ThicknessScale scale = thicknessScale(*model(), {bedLayer, {}, {}});
    EXPECT_NEAR(scale.least, 0.020, 1e-9);
    EXPECT_NEAR(scale.greatest, 0.060, 1e-9);
    EXPECT_NEAR(*scale.wantedLeast, 0.030, 1e-9);
    EXPECT_NEAR(*scale.wantedGreatest, 0.050, 1e-9);
    EXPECT_NEAR(scale.step, 0.010, 1e-9);
    std::set<std::string> bounds;
    for (const ScaleTick& tick : scale.ticks)
        if (tick.bound) bounds.insert(tick.text);
    EXPECT_EQ(bounds, (std::set<std::string>{"30 mm", "50 mm"}));
    EXPECT_TRUE(std::is_sorted(scale.ticks.begin(), scale.ticks.end(),
                               [](const ScaleTick& a, const ScaleTick& b) { return a.at < b.at; }));
}

TEST(ThicknessScale, colours) {
    const ThicknessScale scale = thicknessScale(*model(), {bedLayer, {}, {}});
    const glm::dvec3 pale = glm::dvec3(0xEF, 0xEA, 0xE0) / 255.0,
                     violet = glm::dvec3(0x5B, 0x2A, 0x86) / 255.0,
                     green = glm::dvec3(0x0E, 0x7C, 0x6B) / 255.0;
    EXPECT_NEAR(glm::length(thicknessColour(scale, 0.030) - pale), 0, 1e-9);  // a bound is inside
    EXPECT_NEAR(glm::length(thicknessColour(scale, 0.050) - pale), 0, 1e-9);
    EXPECT_NEAR(glm::length(thicknessColour(scale, 0.020) - violet), 0, 1e-9);
    EXPECT_NEAR(glm::length(thicknessColour(scale, 0.060) - green), 0, 1e-9);
    // Just outside the range there is a step to be seen, not a slow start.
    EXPECT_GT(glm::length(thicknessColour(scale, 0.0299) - pale), 0.1);
}

TEST(FieldNumbers, standOnTheirContour) {
    const auto made = model();
    Shot shot;
    shot.look.thickness = ThicknessLook{bedLayer, {}, {}};
    shot.camera = threeQuarterView(*made);
    shot.camera.fit(shownBounds(*made, shot.look), frameWidth, frameHeight, insets);
    const Annotations found = annotate(*made, shot.camera, shot.look, frameWidth, frameHeight, insets, 44);
    ASSERT_FALSE(found.numbers.empty());
    for (const FieldNumber& number : found.numbers) {
        if (number.worst) continue;
        const auto hit = pick(*made, shot.look, shot.camera.ray(number.at, frameWidth, frameHeight));
        ASSERT_TRUE(hit);
        ASSERT_EQ(hit->layer, bedLayer);
        EXPECT_NEAR(0.02 + 0.01 * (hit->at.x - 2), std::stod(number.text) / 1000, 1e-4) << number.text;
    }
}

}  // namespace
}  // namespace underfoot
