#include "view/camera.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/gtc/matrix_transform.hpp>

#include "plan/plan.h"

namespace underfoot {

void Bounds::add(const glm::dvec3& p) {
    if (empty()) {
        low = high = p;
        return;
    }
    low = glm::min(low, p);
    high = glm::max(high, p);
}

double Bounds::radius() const {
    return empty() ? 0.0 : 0.5 * glm::length(high - low);
}

namespace {

constexpr double steepest = 1.55;

glm::dvec3 towardEye(const Camera& camera) {
    const double level = std::cos(camera.elevation);
    return {level * std::cos(camera.azimuth), level * std::sin(camera.azimuth), std::sin(camera.elevation)};
}

std::array<glm::dvec3, 8> cornersOf(const Bounds& box) {
    std::array<glm::dvec3, 8> corners;
    for (size_t i = 0; i < 8; ++i)
        corners[i] = {(i & 1) ? box.high.x : box.low.x, (i & 2) ? box.high.y : box.low.y,
                      (i & 4) ? box.high.z : box.low.z};
    return corners;
}

/// Away from the house, square to the baseline.
glm::dvec2 awayFromHouse(const Baseline& baseline) {
    const glm::dvec2 at = baseline.at(baseline.startStation, 0);
    const glm::dvec2 out = baseline.at(baseline.startStation, 1) - at;
    return out / glm::length(out);
}

/// Between the eye and a point nearest and farthest that the frame's sides leave along one axis of the frame.
struct Span {
    double most = -1e300;   ///< of along + depth * tangent
    double least = -1e300;  ///< of -along + depth * tangent
    void add(double along, double toward, double tangent) {
        most = std::max(most, along + toward * tangent);
        least = std::max(least, -along + toward * tangent);
    }
    double middle() const { return 0.5 * (most - least); }
    double eyeToward(double tangent) const { return 0.5 * (most + least) / tangent; }
};

}  // namespace

glm::dvec3 Camera::eye() const {
    return target + towardEye(*this) * distance;
}
glm::dvec3 Camera::forward() const {
    return -towardEye(*this);
}
glm::dvec3 Camera::right() const {
    return {-std::sin(azimuth), std::cos(azimuth), 0};
}
glm::dvec3 Camera::up() const {
    return glm::cross(right(), forward());
}

glm::dmat4 Camera::viewMatrix() const {
    return glm::lookAt(eye(), target, up());
}

glm::dmat4 Camera::projection(double aspect, double nearest, double farthest) const {
    glm::dmat4 frame = glm::perspective(fieldOfView, aspect, nearest, farthest);
    frame[2][0] -= shift.x;
    frame[2][1] -= shift.y;
    return frame;
}

void Camera::orbit(double byAzimuth, double byElevation) {
    azimuth = std::remainder(azimuth + byAzimuth, 2 * std::numbers::pi);
    elevation = std::clamp(elevation + byElevation, -steepest, steepest);
}

void Camera::pan(double dx, double dy, double height) {
    const double metresPerPixel = 2 * distance * std::tan(fieldOfView / 2) / std::max(height, 1.0);
    target += (up() * dy - right() * dx) * metresPerPixel;
}

void Camera::zoom(double factor) {
    distance = std::clamp(distance * factor, 0.05, 5000.0);
}

void Camera::fit(const Bounds& box, double width, double height, const Insets& insets) {
    if (box.empty() || width <= 0 || height <= 0) return;
    const double freeWidth = std::max(width - insets.left - insets.right, 0.1 * width);
    const double freeHeight = std::max(height - insets.top - insets.bottom, 0.1 * height);
    shift = {(insets.left - insets.right) / width, (insets.bottom - insets.top) / height};
    const double tangent = std::tan(fieldOfView / 2);
    const double tangentY = tangent * freeHeight / height;
    const double tangentX = tangent * freeWidth / height;
    const glm::dvec3 r = right(), u = up(), toward = towardEye(*this), middle = box.centre();
    Span x, y;
    double nearestCorner = -1e300;
    for (const glm::dvec3& corner : cornersOf(box)) {
        const glm::dvec3 p = corner - middle;
        x.add(glm::dot(p, r), glm::dot(p, toward), tangentX);
        y.add(glm::dot(p, u), glm::dot(p, toward), tangentY);
        nearestCorner = std::max(nearestCorner, glm::dot(p, toward));
    }
    distance = std::max({x.eyeToward(tangentX), y.eyeToward(tangentY), nearestCorner + 0.05});
    target = middle + r * x.middle() + u * y.middle();
}

Ray Camera::ray(glm::dvec2 pixel, double width, double height) const {
    const double tangent = std::tan(fieldOfView / 2);
    const double x = (2 * pixel.x / width - 1 - shift.x) * tangent * width / height;
    const double y = (1 - 2 * pixel.y / height - shift.y) * tangent;
    return {eye(), glm::normalize(forward() + right() * x + up() * y)};
}

std::optional<glm::dvec2> Camera::project(const glm::dvec3& point, double width, double height) const {
    const glm::dvec3 p = point - eye();
    const double depth = glm::dot(p, forward());
    if (depth < 1e-9) return {};
    const double tangent = std::tan(fieldOfView / 2);
    const double x = glm::dot(p, right()) / (depth * tangent * width / height) + shift.x;
    const double y = glm::dot(p, up()) / (depth * tangent) + shift.y;
    return glm::dvec2{(x + 1) * 0.5 * width, (1 - y) * 0.5 * height};
}

Camera threeQuarterView(const Model& model) {
    const glm::dvec2 out = awayFromHouse(model.plan.baseline);
    Camera camera;
    camera.azimuth = std::atan2(out.y, out.x) + 0.58;
    camera.elevation = 0.56;
    return camera;
}

Camera planView(const Model& model) {
    const glm::dvec2 out = awayFromHouse(model.plan.baseline);
    Camera camera;
    camera.azimuth = std::atan2(out.y, out.x);
    camera.elevation = steepest;
    return camera;
}

}  // namespace underfoot
