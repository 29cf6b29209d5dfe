#pragma once
// A picture painted by the processor: no OpenGL, so nothing to start and nothing to install. The same look as
// the shaders' at Quality::Fine; shaders/surface.glsl, contact.glsl, even_out.glsl and ink.glsl in C++. For
// this folder's .cpp files only.

#include <memory>
#include <optional>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/catalogue.h"
#include "view/camera.h"
#include "view/picture.h"
#include "view/scene_view.h"

namespace underfoot {

/// On all processors; what comes out does not depend on how many there are.
class Painting {
  public:
    /// `model` is borrowed.
    static std::unique_ptr<Painting> of(const Model& model, const Catalogue& catalogue, const Camera& camera,
                                        const Look& look, int width, int height);
    virtual ~Painting() = default;
    /// Without lettering.
    virtual Image image() = 0;
    /// What is seen in a pixel, y down.
    virtual std::optional<SeenPlace> at(glm::dvec2 pixel) const = 0;

  protected:
    Painting() = default;
    Painting(const Painting&) = delete;
    Painting& operator=(const Painting&) = delete;
};

}  // namespace underfoot
