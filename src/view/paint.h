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

/// What both the card and the painter are told of a mesh that they draw.
struct Drawn {
    Paint paint;
    Part part = Part::Solid;
    LayerId layer = -1;
    bool cut = true;     ///< the cut takes part of it away
    bool peeled = true;  ///< so does the peel
    bool cap = false;    ///< a face of the cut or of a step
    int nearer = 0;      ///< drawn before what lies in the same plane
};

glm::dvec3 toLinear(const glm::dvec3& screen);
Paint layerPaint(const Model& model, const Catalogue& catalogue, LayerId layer);
Paint jointPaint(const Model& model, const Catalogue& catalogue, LayerId layer);
Paint fixedPaint(const Catalogue& catalogue, FixedKind kind);
Paint edgingPaint(const Model& model, const Catalogue& catalogue);
Paint pipePaint();

}  // namespace underfoot
