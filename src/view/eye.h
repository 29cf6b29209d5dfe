#pragma once
// The way from the eye through the pixels of a frame. Private to this folder.

#include <cmath>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "view/frame.h"

namespace underfoot {

/// Rays from the eye, one metre deep, through places of the frame; rows count up.
struct Eye {
    explicit Eye(const Frame& frame)
        : at(frame.camera.eye()),
          ahead(frame.camera.forward()),
          right(frame.camera.right()),
          up(frame.camera.up()),
          tangent(static_cast<float>(std::tan(frame.camera.fieldOfView / 2))),
          shift(frame.camera.shift),
          width(static_cast<float>(frame.width)),
          height(static_cast<float>(frame.height)) {
        const glm::vec2 corner = slant({0, 0}), next = slant({1, 1}) - corner;
        first = ahead + right * corner.x + up * corner.y;
        stepRight = right * next.x;
        stepUp = up * next.y;
    }

    glm::vec2 slant(glm::vec2 pixel) const {
        return {(2 * pixel.x / width - 1 - shift.x) * (tangent * width / height),
                (2 * pixel.y / height - 1 - shift.y) * tangent};
    }
    glm::vec3 ray(glm::vec2 pixel) const { return first + stepRight * pixel.x + stepUp * pixel.y; }
    /// As the eye sees it: right, up, toward it.
    glm::vec3 turned(const glm::vec3& v) const {
        return {glm::dot(v, right), glm::dot(v, up), -glm::dot(v, ahead)};
    }

    glm::vec3 at, ahead, right, up;
    float tangent;
    glm::vec2 shift;
    float width, height;
    glm::vec3 first, stepRight, stepUp;  ///< rays: through the frame's corner, and from pixel to pixel
};

}  // namespace underfoot
