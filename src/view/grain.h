#pragma once
// Grain and hatches of the materials for the painter: shaders/grain.glsl and hatch.glsl in C++, where what is
// smaller than a pixel is not worked out. Lengths in metres. For this folder's .cpp files only.

#include <algorithm>
#include <cmath>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

namespace underfoot {

inline float whole(float x) {
    const auto cut = static_cast<float>(static_cast<int>(x));
    return cut - (cut > x ? 1.0F : 0.0F);
}
inline float part(float x) {
    return x - whole(x);
}
inline float mixed(float a, float b, float t) {
    return a + (b - a) * t;
}
inline glm::vec3 mixed(const glm::vec3& a, const glm::vec3& b, float t) {
    return a + (b - a) * t;
}
inline float between01(float x) {
    return std::min(std::max(x, 0.0F), 1.0F);
}
inline float smoothly(float from, float to, float x) {
    const float t = between01((x - from) / (to - from));
    return t * t * (3 - 2 * t);
}
inline float from(float edge, float x) {
    return x < edge ? 0.0F : 1.0F;
}

/// What a material's grain does to its colour and its light at one place.
struct GrainShade {
    glm::vec3 tint{1, 1, 1};  ///< multiplies the colour
    glm::vec2 tilt{0, 0};     ///< of the normal, along the face's two directions
};

float smoothNoise(glm::vec2 p);
float clouds(glm::vec2 p);
/// `kind` as in Paint::grain; `pixel`: how far a pixel reaches.
GrainShade grainOf(int kind, glm::vec2 p, float pixel, float variation);
GrainShade grassGrain(glm::vec2 p, float pixel);

/// 1 on a line, 0 off it.
float stroke(float distance, float width, float pixel);
float ruled(float at, float step, float width, float pixel);
/// Ink from 0 to 1. p: along the cut and up; `kind` as in Paint::hatch.
float hatchInk(int kind, glm::vec2 p, float pixel);
float hatchShows(float pixel);

}  // namespace underfoot
