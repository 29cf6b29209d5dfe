#include "view/camera.h"

#include <cmath>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "hand_model.h"

namespace underfoot {
namespace {

Bounds box(glm::dvec3 low, glm::dvec3 high) {
    Bounds made;
    made.add(low);
    made.add(high);
    return made;
}

TEST(Bounds, isEmptyUntilSomethingIsAdded) {
    Bounds made;
    EXPECT_TRUE(made.empty());
    EXPECT_EQ(made.radius(), 0);
    made.add({1, 2, 3});
    EXPECT_FALSE(made.empty());
    EXPECT_EQ(made.centre(), glm::dvec3(1, 2, 3));
}

TEST(Camera, looksFromTheDirectionOfItsAzimuth) {
    Camera camera;
    camera.target = {1, 2, 3};
    camera.distance = 10;
    camera.azimuth = 0;
    camera.elevation = 0;
    EXPECT_NEAR(glm::length(camera.eye() - glm::dvec3(11, 2, 3)), 0, 1e-12);
    camera.azimuth = std::acos(-1.0) / 2;
    EXPECT_NEAR(glm::length(camera.eye() - glm::dvec3(1, 12, 3)), 0, 1e-12);
    // Looking toward -y, +x lies to the left.
    EXPECT_NEAR(glm::length(camera.right() - glm::dvec3(-1, 0, 0)), 0, 1e-12);
}

TEST(Camera, projectsAPointOnAPixelsRayToThatPixel) {
    Camera camera;
    camera.azimuth = 0.7;
    camera.shift = {-0.15, 0.1};
    for (const glm::dvec2 pixel : {glm::dvec2{0, 0}, {400, 300}, {799, 20}, {123.5, 456.25}}) {
        const Ray ray = camera.ray(pixel, 800, 600);
        const auto back = camera.project(ray.from + ray.along * 7.5, 800, 600);
        ASSERT_TRUE(back);
        EXPECT_NEAR(back->x, pixel.x, 1e-9);
        EXPECT_NEAR(back->y, pixel.y, 1e-9);
    }
}

TEST(Camera, projectsNothingBehindTheEye) {
    Camera camera;
    EXPECT_FALSE(camera.project(camera.eye() - camera.forward(), 800, 600));
}

TEST(Camera, matrixAgreesWithProject) {
    Camera camera;
    camera.azimuth = 2.1;
    camera.shift = {0.2, -0.3};
    const glm::dvec3 p{0.4, -1.2, 0.8};
    const glm::dvec4 clip = camera.projection(1.5, 0.5, 50) * camera.viewMatrix() * glm::dvec4(p, 1);
    const auto pixel = camera.project(p, 900, 600);
    ASSERT_TRUE(pixel);
    EXPECT_NEAR((clip.x / clip.w + 1) * 450, pixel->x, 1e-9);
    EXPECT_NEAR((1 - clip.y / clip.w) * 300, pixel->y, 1e-9);
}

TEST(Camera, fitTouchesTheFreeFrameAndStaysInside) {
    const Bounds b = box({-3, 0, -0.6}, {5, 6, 2});
    const Insets insets{30, 250, 80, 40};
    for (double azimuth : {0.0, 0.9, 2.5, -1.3})
        for (double elevation : {0.1, 0.6, 1.5}) {
            Camera camera;
            camera.azimuth = azimuth;
            camera.elevation = elevation;
            camera.fit(b, 1200, 760, insets);
            double left = 1e9, right = -1e9, top = 1e9, bottom = -1e9;
            for (int i = 0; i < 8; ++i) {
                const glm::dvec3 corner{(i & 1) ? b.high.x : b.low.x, (i & 2) ? b.high.y : b.low.y,
                                        (i & 4) ? b.high.z : b.low.z};
                const auto p = camera.project(corner, 1200, 760);
                ASSERT_TRUE(p);
                left = std::min(left, p->x);
                right = std::max(right, p->x);
                top = std::min(top, p->y);
                bottom = std::max(bottom, p->y);
            }
            EXPECT_GE(left, 30 - 1e-6);
            EXPECT_LE(right, 950 + 1e-6);
            EXPECT_GE(top, 80 - 1e-6);
            EXPECT_LE(bottom, 720 + 1e-6);
            const double slack =
                std::min(right - left < 920 - 1e-3 ? 1.0 : 0.0, bottom - top < 640 - 1e-3 ? 1.0 : 0.0);
            EXPECT_EQ(slack, 0.0) << "neither direction fills the frame";
        }
}

TEST(Camera, orbitNeverPassesOverThePole) {
    Camera camera;
    camera.orbit(0, 10);
    EXPECT_LT(camera.elevation, std::acos(-1.0) / 2);
    camera.orbit(0, -20);
    EXPECT_GT(camera.elevation, -std::acos(-1.0) / 2);
}

TEST(Camera, threeQuarterViewKeepsTheHouseAtTheBack) {
    // Baseline along x, offsets along +y: the eye stands at greater y than the model, and the near side is
    // lower in the frame than the house's.
    const auto model = hand::model();
    Camera camera = threeQuarterView(*model);
    camera.fit(box({0, 0, -0.6}, {8, 6, 0.05}), 800, 500);
    EXPECT_GT(camera.eye().y, 6);
    EXPECT_GT(camera.project({4, 6, 0}, 800, 500)->y, camera.project({4, 0, 0}, 800, 500)->y);
}

}  // namespace
}  // namespace underfoot
