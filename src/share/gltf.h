#pragma once
// The layered model as one .glb file for any 3D program: glTF 2.0, metres, y up.
//
// Axes: a model's (x, y, z) becomes (x, z - level, -y), where `level` is the height of the highest place of
// the finish, so that the origin lies on the patio and floats keep their sharpness. Where the origin stands
// in the plan is written on the root node: `origin_x_m`, `origin_y_m`, `origin_height_m`.
//
// Nodes: the root "Patio"; under it one node a layer by its own name, from the bottom up, then edging, its
// spikes, pipes, fixed things and "Ground", the native soil with the pit in it. Every solid is closed, wound
// outward and single-sided. Laid units stand as prisms, one mesh an area. Facts stand in flat `extras`:
// `role`, `material`, `least_m`, `mean_m`, `greatest_m` (thickness inside the outlines, or everywhere for
// what lies only outside), `volume_m3`, `wanted_m` where one thickness is wanted, `wanted_least_m`,
// `wanted_greatest_m`; on take-up layers `heat_min_m` and `heat_max_m`, what the ends of the strip of
// thickness colours stand for.
//
// Looks: variants "Natural" and "Thickness" (KHR_materials_variants). The second colours take-up layers by
// thickness and lets what lies above them show through. Animation "Lift apart" raises the layers one by one.
// Lines along the sharp edges of each layer stand 2 mm off its faces and are unlit (KHR_materials_unlit).

#include <filesystem>
#include <string>
#include <vector>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "share/write_file.h"

namespace underfoot {

struct GltfOptions {
    bool textures = true;
    bool thickness = true;  ///< the second variant
    bool liftApart = true;
    bool outlines = true;
    bool ground = true;           ///< the native soil
    bool things = true;           ///< edging, pipes and fixed things
    std::vector<LayerId> layers;  ///< only these; empty: all
};

/// The bytes of the file. Same model, same bytes. Errors: nothing to show, a height that is not a number,
/// more than 2 GiB.
Result<std::string> gltfBytes(const Model& model, const Catalogue& catalogue,
                              const GltfOptions& options = {});

/// The same into a file, whole or not at all (writeFile).
Result<Written> writeGltf(const Model& model, const Catalogue& catalogue, const std::filesystem::path& file,
                          const GltfOptions& options = {});

}  // namespace underfoot
