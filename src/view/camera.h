#pragma once
// The eye: an orbit around a target, in the model's local metres, z up.

#include <optional>

#include <glm/mat4x4.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"

namespace underfoot {

/// Room kept free around the model, in pixels.
struct Insets {
    double left = 0, right = 0, top = 0, bottom = 0;
};

struct Ray {
    glm::dvec3 from{0, 0, 0};
    glm::dvec3 along{0, 0, -1};  ///< unit length
};

/// A box with its sides along the axes. Empty until something was added.
struct Bounds {
    glm::dvec3 low{1, 1, 1};
    glm::dvec3 high{-1, -1, -1};
    bool empty() const { return low.x > high.x; }
    void add(const glm::dvec3& p);
    glm::dvec3 centre() const { return (low + high) * 0.5; }
    double radius() const;  ///< of the sphere around it; 0 when empty
};

struct Camera {
    glm::dvec3 target{0, 0, 0};
    double distance = 10;
    double azimuth = 0;       ///< direction in plan from the target to the eye, radians from +x, turning left
    double elevation = 0.55;  ///< above the horizon, radians; kept inside (-1.55, 1.55)
    double fieldOfView = 0.594;  ///< upright, radians (34 degrees)
    glm::dvec2 shift{0, 0};      ///< moves the picture in its frame, in half frames, right and up

    glm::dvec3 eye() const;
    glm::dvec3 right() const;  ///< unit vectors of the frame
    glm::dvec3 up() const;
    glm::dvec3 forward() const;
    glm::dmat4 viewMatrix() const;
    /// OpenGL clip space. `nearest` and `farthest` are distances along forward().
    glm::dmat4 projection(double aspect, double nearest, double farthest) const;

    void orbit(double byAzimuth, double byElevation);
    /// Moves the target with the pointer: (dx, dy) pixels, y down, in a frame `height` pixels high.
    void pan(double dx, double dy, double height);
    /// factor below 1 comes nearer.
    void zoom(double factor);
    /// Sets target, distance and shift so that the box just fills what the insets leave of the frame.
    void fit(const Bounds& box, double width, double height, const Insets& insets = {});

    /// Through a pixel; y counts down from the top.
    Ray ray(glm::dvec2 pixel, double width, double height) const;
    /// Pixel of a point, y down; nothing for what lies behind the eye.
    std::optional<glm::dvec2> project(const glm::dvec3& point, double width, double height) const;
};

/// Three-quarter view with the baseline (the house) at the back, not yet fitted.
Camera threeQuarterView(const Model& model);
/// From above, the baseline at the top of the frame.
Camera planView(const Model& model);

}  // namespace underfoot
