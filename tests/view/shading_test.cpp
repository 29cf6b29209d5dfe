// The pictures of both ways to shade, held against each other on the software rasteriser, which can do both.

#include <cmath>

#include <gtest/gtest.h>

#include "hand_model.h"
#include "view/picture.h"

namespace underfoot {
namespace {

/// How far two pictures lie apart, of 255: in the mean, and the share of values off by more than 8.
struct Apart {
    double mean = 0, far = 0;
};
Apart apart(const Image& a, const Image& b) {
    Apart out;
    for (size_t i = 0; i < a.rgba.size(); ++i) {
        const int off = std::abs(a.rgba[i] - b.rgba[i]);
        out.mean += off / static_cast<double>(a.rgba.size());
        out.far += (off > 8) / static_cast<double>(a.rgba.size());
    }
    return out;
}

// One test, because most of its time goes into compiling the stages.
TEST(Shading, givesTheSamePictureByFragmentsAndByComputing) {
    const auto model = hand::modelWithUnits();
    PictureOptions cut;
    cut.width = 240;
    cut.height = 150;
    cut.labels = cut.title = false;
    cut.look.quality = Quality::Full;
    cut.camera = threeQuarterView(*model);
    cut.look.cut = CutLook{{{0, 1.5}, {8, 1.5}}, false};
    PictureOptions marked = cut;
    marked.look.theme = Theme::Dark;
    marked.look.cut = CutLook{{{0, 1}, {4, 1.5}, {4.5, 5}}, false};
    marked.look.highlightUnit = 1;
    marked.look.highlightPlace = glm::dvec2{2.5, 3.5};
    PictureOptions near = cut;
    near.look.cut.reset();
    near.look.peel = 2.5;
    near.fit = false;
    near.camera.target = {3.5, 2, 0};
    near.camera.distance = 2;
    std::vector<std::vector<Image>> pictures;
    for (const Shading shading : {Shading::Fragments, Shading::Compute}) {
        const auto studio = PictureStudio::create(shading);
        ASSERT_TRUE(studio) << studio.error().what;
        (*studio)->setModel(model, hand::catalogue());
        auto& taken = pictures.emplace_back();
        for (const PictureOptions& options : {cut, marked, near})
            taken.push_back((*studio)->picture(options));
    }
    for (size_t i = 0; i < 3; ++i) {
        // Rounding: the one keeps colours in 8 bits between its passes, the other does not. And a pixel here
        // and there falls on the other side of an edge.
        const Apart off = apart(pictures[0][i], pictures[1][i]);
        EXPECT_LT(off.mean, 0.3) << "picture " << i;
        EXPECT_LT(off.far, 0.001) << "picture " << i;
    }
    EXPECT_GT(apart(pictures[1][0], pictures[1][1]).mean, 5);  // it is not empty paper that agrees
}

// Without OpenGL a picture must look the same: the painter's, held against the software rasteriser's.
TEST(Shading, paintsThePictureThatOpenGlDraws) {
    const auto model = hand::modelWithUnits();
    std::vector<PictureOptions> all(5);
    for (PictureOptions& options : all) {
        options.width = 240;
        options.height = 150;
        options.labels = options.title = false;
        options.look.quality = Quality::Fine;
        options.camera = threeQuarterView(*model);
    }
    all[0].look.cut = CutLook{{{0, 1.5}, {8, 1.5}}, false};
    all[1].look.theme = Theme::Dark;
    all[1].look.cut = CutLook{{{0, 1}, {4, 1.5}, {4.5, 5}}, false};
    all[1].look.highlightUnit = 1;
    all[1].look.highlightPlace = glm::dvec2{2.5, 3.5};
    all[2].look.peel = 2.5;
    all[2].fit = false;
    all[2].camera.target = {3.5, 2, 0};
    all[2].camera.distance = 2;
    all[3].look.thickness = ThicknessLook{2, {}, {}};
    all[3].camera = planView(*model);
    all[4].look.liftApart = 0.7;
    all[4].look.highlightLayer = 1;
    const auto studio = PictureStudio::create(Shading::Fragments);
    ASSERT_TRUE(studio) << studio.error().what;
    (*studio)->setModel(model, hand::catalogue());
    for (size_t i = 0; i < all.size(); ++i) {
        // Rounding; places on surfaces seen along their plane, which the two take at other points of a pixel;
        // and the end of a shadow, where its edge falls between texels.
        const Apart off = apart((*studio)->picture(all[i]), renderPicture(*model, hand::catalogue(), all[i]));
        EXPECT_LT(off.mean, 0.5) << "picture " << i;
        EXPECT_LT(off.far, 0.006) << "picture " << i;
    }
}

}  // namespace
}  // namespace underfoot
