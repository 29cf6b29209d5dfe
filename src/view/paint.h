#pragma once
// What a mesh is painted with, in the codes that the shaders and the painter (view/painter.h) share. For this
// folder's .cpp files only.

#include <glm/vec3.hpp>

#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"

namespace underfoot {

struct Paint {
    glm::dvec3 colour{0.5, 0.5, 0.5};  ///< linear
    int grain = 0;
    int hatch = 0;
    int object = 0;  ///< 0 the paper; layers from 1, of units from 128; 200 and more: other things
};

enum class Part { Solid, Joints, Rim, Units, Edging, Pipes, FixedThings };

glm::dvec3 toLinear(const glm::dvec3& screen);
Paint layerPaint(const Model& model, const Catalogue& catalogue, LayerId layer);
Paint jointPaint(const Model& model, const Catalogue& catalogue, LayerId layer);
Paint fixedPaint(const Catalogue& catalogue, FixedKind kind);
Paint edgingPaint(const Model& model, const Catalogue& catalogue);
Paint pipePaint();

}  // namespace underfoot
