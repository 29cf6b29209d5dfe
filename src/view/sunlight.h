#pragma once
// How a place on a surface is painted and lit: shaders/surface.glsl in C++. For this folder's .cpp files
// only.

#include <cmath>
#include <cstdint>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/mat4x4.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

#include "model/model.h"
#include "view/frame.h"
#include "view/raster.h"

namespace underfoot {

/// Asks the sun's sheet how much of a place it shines on.
class Sunlight {
  public:
    explicit Sunlight(ShadowPlane plane);
    /// From 0 to 1, softened over about a texel. `p`: across and up from 0 to 1, then away from the sun.
    float at(const glm::vec3& p) const;

  private:
    enum class Window { Lit, Dark, Mixed };
    Window around(float x, float y, float nearness) const;
    float tap(float x, float y, float nearness) const;
    ShadowPlane plane_;
    /// Of squares of texels with those round them: the least and the greatest nearness.
    int squares_;
    std::vector<float> least_, most_;
};

struct Spot {
    glm::vec3 local{0, 0, 0};   ///< where it lies in the solid, before it is lifted
    glm::vec3 facing{0, 0, 1};  ///< its normal
    uint8_t kind = 0, sod = 0, variation = 0;
    float below = 0;                 ///< the surface of the same place, metres
    float thickness = 0, steep = 0;  ///< of the layer, and how much it changes over a pixel
    glm::vec3 inShadow{0, 0, 0};
};

/// What the whole mesh has.
struct Coat {
    glm::vec3 base{0, 0, 0};  ///< linear
    int grain = 0, hatch = 0, object = 0;
    bool cap = false, field = false;
    float fade = 0, tinted = 0, rise = 0;
};

/// The two directions of a face that its grain follows.
struct Axes {
    glm::vec3 along{1, 0, 0}, upward{0, 1, 0};
    explicit Axes(const glm::vec3& n) {
        if (std::abs(n.z) > 0.7F) return;
        along = glm::normalize(glm::vec3(-n.y, n.x, 0));
        upward = {0, 0, 1};
    }
    glm::vec2 onFace(const glm::vec3& v) const { return {glm::dot(v, along), glm::dot(v, upward)}; }
};

class SurfacePainter {
  public:
    SurfacePainter(const Frame& frame, const Model& model, Sunlight sun);
    /// Linear colour; alpha: how much contact darkening counts. `n`: the face's normal toward the eye,
    /// `pixel`: how far a pixel reaches on it.
    glm::vec4 coated(const Spot& s, const Coat& coat, const glm::vec3& n, const Axes& axes,
                     float pixel) const;
    /// The paper that the model lies on.
    glm::vec4 paperAt(glm::vec2 plan, const glm::vec3& inShadow) const;
    glm::vec3 inShadow(const glm::vec3& place) const { return glm::vec3(toShadow_ * glm::vec4(place, 1)); }
    const glm::vec3& paper() const { return paper_; }
    const glm::vec3& ink() const { return ink_; }

  private:
    glm::vec3 fieldColour(float t) const;
    glm::vec3 thicknessField(glm::vec2 p, const Spot& s, float pixel) const;

    Sunlight sun_;
    glm::mat4 toShadow_;
    float grainAmount_;
    glm::vec3 paper_, ink_, attention_, toSun_;
    glm::vec4 ring_{0, 0, 0, 0};  ///< plan place, radius, 1 when shown
    glm::vec4 range_{0, 0, 0, 0};
    float contour_ = 1;
    glm::vec3 sheet_;
};

}  // namespace underfoot
