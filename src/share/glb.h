#pragma once
// Binary glTF 2.0 (Khronos Group, "glTF 2.0 Specification", 2021): plain data in, the bytes of one .glb file
// out. Knows nothing of patios. Coordinates are those of glTF: metres, y up, right-handed.

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "measure/diagnostic.h"
#include "share/write_file.h"

namespace underfoot {

/// Flat facts on a node or a material: readers stumble over nested ones.
using GlbValue = std::variant<std::string, double, bool>;
using GlbExtras = std::vector<std::pair<std::string, GlbValue>>;

struct GlbImage {
    std::string name;
    std::string png;
    bool repeats = true;  ///< else its edge colours go on outside it
};

struct GlbMaterial {
    std::string name;
    std::array<double, 4> colour{1, 1, 1, 1};  ///< linear light; the fourth part is opacity, below 1 blends
    double roughness = 0.9;
    int image = -1;       ///< multiplies the colour; -1: none
    int coordinates = 0;  ///< which of the two sets of texture coordinates the image uses
    bool unlit = false;
    GlbExtras extras;
};

/// Vertices one after the other in `vertices`, each: position (3), then normal (3) unless lines, then as many
/// sets of texture coordinates (2 each) as `sets` says. `indices` run in threes (triangles) or twos (lines).
struct GlbPrimitive {
    std::vector<float> vertices;
    std::vector<uint32_t> indices;
    int sets = 0;
    bool lines = false;
    int material = 0;
    int variantMaterial = -1;  ///< what the second variant shows instead; -1: the same as the first

    size_t floatsPerVertex() const { return 3 + (lines ? 0 : 3) + 2 * static_cast<size_t>(sets); }
    size_t vertexCount() const { return vertices.size() / floatsPerVertex(); }
};

struct GlbMesh {
    std::string name;
    std::vector<GlbPrimitive> primitives;
};

struct GlbNode {
    std::string name;
    int mesh = -1;
    std::vector<int> children;
    GlbExtras extras;
};

/// A node moves from where it rests to `translation`.
struct GlbMove {
    int node = 0;
    std::array<float, 3> translation{};
};

struct GlbScene {
    std::string name;
    std::vector<GlbImage> images;
    std::vector<GlbMaterial> materials;
    std::vector<GlbMesh> meshes;
    std::vector<GlbNode> nodes;  ///< node 0 is the root
    std::array<std::string, 2>
        variants;  ///< names of the first and the second, used when any primitive has a second
    std::string animation;
    /// The one animation: every move rests until `restSeconds`, arrives at `arriveSeconds` and stays until
    /// `endSeconds`.
    std::vector<GlbMove> moves;
    float restSeconds = 0.25F, arriveSeconds = 1.75F, endSeconds = 2.25F;
};

/// The file. Names must be unique for readers' sake; text that is not UTF-8 is replaced by the sign for it.
/// Errors: a coordinate that is not a number, or more than 2 GiB (a glTF file's length has 32 bits).
Result<std::string> glbBytes(const GlbScene& scene);

/// The same into a file, whole or not at all (writeFile), without holding it all in memory a second time.
Result<Written> writeGlb(const GlbScene& scene, const std::filesystem::path& file);

}  // namespace underfoot
