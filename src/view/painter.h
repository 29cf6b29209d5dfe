#pragma once
// A picture painted by the processor: no OpenGL, so nothing to start and nothing to install. The same look as
// the shaders' at Quality::Fine; shaders/surface.glsl, contact.glsl, even_out.glsl and ink.glsl in C++. For
// this folder's .cpp files only.

#include "view/picture.h"

namespace underfoot {

/// Without lettering. On all processors; what comes out does not depend on how many there are.
Image paintPicture(const Model& model, const Catalogue& catalogue, const Camera& camera, const Look& look,
                   int width, int height);

}  // namespace underfoot
