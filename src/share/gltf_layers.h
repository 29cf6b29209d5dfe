#pragma once
// The meshes of a model's layers, made side by side before their places in the file are known.

#include <cstddef>
#include <span>
#include <vector>

#include "model/model.h"
#include "share/colour.h"
#include "share/glb.h"
#include "share/gltf_mesh.h"

namespace underfoot {

struct LayerMeshWish {
    LayerId layer = -1;
    int area = -1;        ///< of the layer's units in that area each one by itself; -1: the layer's own solid
    double tile = 1;      ///< metres to one repeat of the texture
    bool heated = false;  ///< with a set of coordinates that says where in `range` the thickness lies
    ThicknessRange range;
    bool outlined = false;
};

/// Their materials are not set yet.
struct LayerMesh {
    bool stands = false;  ///< there is a solid, even where rounding leaves nothing of it
    GlbPrimitive faces, outline;
    size_t units = 0;
    double unitsVolume = 0;  ///< m³
};

/// `rounded`: all points of the model.
std::vector<LayerMesh> layerMeshes(const Model& model, const RoundedPoints& rounded, bool textured,
                                   std::span<const LayerMeshWish> wishes);

/// Adds one closed mesh with points of its own.
void addPrism(MeshBuilder& builder, const Prism& prism, double level, glm::dvec2 shift = {0, 0});

}  // namespace underfoot
