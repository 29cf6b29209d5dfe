#pragma once
// Closed, oriented triangle meshes of the layers, all on the model's shared corners.

#include <array>
#include <cstdint>
#include <vector>

#include <glm/vec3.hpp>

#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

enum class Face : uint8_t { Top, Bottom, Side };

/// A closed solid: triangles over Model::points, outward, with the kind of each face and the cell it belongs
/// to. Every directed edge has its opposite exactly once more often than none: open edges do not exist.
struct Solid {
    LayerId layer = -1;
    int lift = -1;  ///< -1: all lifts together
    std::vector<std::array<int, 3>> triangles;
    std::vector<Face> faces;
    std::vector<int> cellOf;
};

/// The solid of a layer, lifts welded together (lift = -1), or of one of its lifts. Empty when the layer has
/// no thickness anywhere. A negative lift other than -1 is a broken call.
Solid layerSolid(const Model& model, LayerId layer, int lift = -1);

/// Volume inside a solid by the divergence theorem, for checks. The model's own volumes come from the stack.
double enclosedVolume(const Model& model, const Solid& solid);

/// Number of directed edges without an opposite; 0 for a closed solid.
size_t openEdges(const Solid& solid);

/// A small closed mesh of its own corners, for units, edging and spikes.
struct Prism {
    std::vector<glm::dvec3> points;
    std::vector<std::array<int, 3>> triangles;
    std::vector<Face> faces;
};
/// A unit with its chamfer (45 degrees all round the top; left off where the piece is too narrow for it).
Prism unitPrism(const Model& model, const UnitPiece& unit);
Prism edgingPrism(const EdgingPiece& piece);
Prism spikePrism(const Spike& spike);
/// A pipe of a buried run as a tube of `sides` sides with closed ends (a solid rod by its outside).
Prism pipePrism(const Model& model, const BuriedRun& run, int sides = 24);
/// A fixed thing beside the patio as an upright prism.
Prism fixedPrism(const Model& model, const FixedThing& thing);

}  // namespace underfoot
