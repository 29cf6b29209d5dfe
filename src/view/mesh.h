#pragma once
// Triangles as they go to the card, made from the model's solids and sections. No OpenGL.

#include <cstdint>
#include <vector>

#include <glm/vec3.hpp>

#include "model/model.h"
#include "model/solid.h"
#include "plan/plan.h"
#include "study/section.h"
#include "view/camera.h"

namespace underfoot {

enum class FaceKind : uint8_t { Top = 0, Bottom = 1, Side = 2, Cap = 3 };

/// Every triangle carries its own three vertices: faces are flat.
struct Vertex {
    float x = 0, y = 0, z = 0;
    int8_t nx = 0, ny = 0, nz = 0, spare = 0;  ///< normal, -127 to 127
    float depth = 0;                           ///< below the surface of the same place, metres
    float thickness = 0;                       ///< of the layer here, for tops; of units, edging and spikes:
                                               ///< which rider (view/moving.h); else 0
    uint8_t kind = 0;                          ///< FaceKind
    uint8_t sod = 0;                           ///< 1: untouched ground, grass on top
    uint8_t variation = 0;                     ///< of a unit: any value, even over all units
    uint8_t course = 0;                        ///< lift, or a unit's number: neighbours differ
};
static_assert(sizeof(Vertex) == 28);
using Vertices = std::vector<Vertex>;
void setNormal(Vertex& vertex, const glm::dvec3& normal);
/// How far what lies in the joints ends below the tops of the units, metres.
inline constexpr double jointBelowTop = 0.004;

/// By layer, then by area: whether units of the layer are laid out there.
using Laid = std::vector<std::vector<bool>>;
Laid laidOut(const Model& model);

/// A layer's solid, apart where units are laid out on it and where not.
struct LayerMeshes {
    Vertices solid;   ///< where no units are laid out
    Vertices joints;  ///< what lies in the joints: the tops, a little lower, where units are laid out
    /// Sides and bottom there. With the joints a closed solid: for shadows, and for units too far away to be
    /// told from it but for their tops.
    Vertices rim;
};
LayerMeshes layerMeshes(const Model& model, LayerId layer);
/// For each triangle of the meshes, which of the solid's it is.
struct LayerTriangles {
    std::vector<uint32_t> solid, joints, rim;
};
/// The same of a layer's solid at hand.
LayerMeshes layerMeshes(const Model& model, const Solid& solid, const Laid& laid, LayerTriangles* from);
/// The whole solid with no regard to units: for showing its thickness.
Vertices wholeLayerMesh(const Model& model, LayerId layer);
/// The units of a layer, or those of `units` (indices into Model::units).
Vertices unitMesh(const Model& model, LayerId layer);
Vertices unitMesh(const Model& model, const std::vector<int>& units);

/// What a unit's number makes of Vertex::variation.
uint8_t variationOf(uint32_t unit);

/// Triangles that share vertices: three corners each, indices into `vertices`.
struct SharedTriangles {
    Vertices vertices;
    std::vector<uint32_t> corners;
};
/// The units as unitMesh gives them, with vertices shared by faces. A triangle's last corner has its normal
/// and kind, which are those of no other face that ends with that vertex.
SharedTriangles unitPrisms(const Model& model, const std::vector<int>& units);
/// Of each unit its top alone, out to the sides, without a chamfer.
SharedTriangles unitTops(const Model& model, const std::vector<int>& units);

/// Neighbouring units of one layer.
struct UnitTile {
    LayerId layer = -1;
    std::vector<int> units;  ///< indices into Model::units
    Bounds box;
    double thickness = 0;  ///< of the thickest
};
/// All units of a layer, in square tiles of about `most` units.
std::vector<UnitTile> unitTiles(const Model& model, LayerId layer, size_t most);
Vertices edgingMesh(const Model& model);
Vertices pipeMesh(const Model& model);
/// Fixed things of one kind, as far as the model's block reaches.
Vertices fixedThingMesh(const Model& model, FixedKind kind);

/// Faces of a cut, turned to the left of its line.
struct CapMeshes {
    std::vector<Vertices> layers;  ///< by LayerId; of units: what lies in the joints
    std::vector<Vertices> units;   ///< by LayerId
    Vertices edging;
    Vertices pipes;
    std::vector<Vertices> fixedThings;  ///< by FixedKind
};
/// A membrane is drawn at least `boldMembrane` thick, as a bold line. `only`: one layer's faces, nothing
/// else.
CapMeshes capMeshes(const Model& model, const Section& section, LayerId only = -1);
CapMeshes capMeshes(const Model& model, const Section& section, const Laid& laid, LayerId only = -1);
inline constexpr double boldMembrane = 0.010;

}  // namespace underfoot
