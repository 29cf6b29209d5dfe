#pragma once
// From corners in double to the vertices of a glTF mesh: welded after rounding to float, flat shaded, with
// texture coordinates in metres.

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/solid.h"
#include "share/glb.h"

namespace underfoot {

using FloatPoint = std::array<float, 3>;

/// A place of the model in the axes of the file.
FloatPoint gltfPoint(const glm::dvec3& point, double level);

/// Points rounded to float. `same[i]` is the first point that rounds to the same place as point i: solids
/// stay closed when triangles over two equal numbers are left out.
struct RoundedPoints {
    std::vector<FloatPoint> position;
    std::vector<int> same;
};
RoundedPoints roundPoints(std::span<const glm::dvec3> points, double level);

/// Room for numbering the points of one mesh after another, all of them over the same many points.
using PointNumbers = std::vector<int>;

/// A closed mesh over a few of many points, after rounding: what has shrunk to a line is left out, and the
/// points are numbered anew in the order in which they are met.
struct MeshSource {
    MeshSource(std::span<const glm::dvec3> points, const RoundedPoints& rounded,
               std::span<const std::array<int, 3>> turningLeft, std::span<const Face> kinds,
               PointNumbers& numbers);

    struct Triangle {
        std::array<int, 3> corner;  ///< of `points` below
        int given;                  ///< its number among the triangles it was made from
        Face face;
        glm::dvec3 normal;  ///< outward, of length 1
    };
    struct Point {
        FloatPoint position;
        glm::dvec3 exact;  ///< the first of those that round to it
    };
    std::vector<Triangle> triangles;
    std::vector<Point> points;
};

/// Collects closed meshes into one primitive. Within one of them, vertices are shared where everything about
/// them is equal (of very many different ones at one place only the last few are tried).
class MeshBuilder {
  public:
    /// `tile`: metres to one repeat of the texture; `textured` adds the set of coordinates for it, `heated`
    /// one more whose first part is given with each triangle.
    MeshBuilder(double tile, bool textured, bool heated);

    /// `shift` moves the texture (in repeats); `heat` holds three values a triangle as it was given when
    /// heated, else nothing.
    void add(const MeshSource& source, glm::dvec2 shift = {0, 0}, std::span<const float> heat = {});
    bool empty() const { return primitive_.indices.empty(); }
    GlbPrimitive take(int material, int variantMaterial);

  private:
    /// What is looked at first when a vertex is looked for.
    struct Known {
        uint64_t normal;  ///< as a number of its own
        uint32_t before;  ///< the vertex before it at the same point + 1
        bool told;        ///< the normal tells it apart from all others at its point
    };
    static constexpr size_t mostFloats = 10;
    using Vertex = std::array<float, mostFloats>;
    static constexpr uint32_t none = ~uint32_t{0};
    void makeRoom(size_t triangles);
    uint32_t find(uint32_t last, const Known& like, const Vertex* values = nullptr) const;
    uint32_t append(uint32_t& last, Known made, const Vertex& values);

    double tile_;
    bool textured_, heated_;
    size_t floats_ = 0;   ///< of a vertex
    size_t written_ = 0;  ///< floats in use at the front of the primitive's vertices
    GlbPrimitive primitive_;
    std::vector<uint32_t> last_;  ///< by point of the mesh being added: its last vertex + 1, 0 for none
    std::vector<Known> known_;    ///< by vertex
};

/// Lines along the edges where two faces meet at more than `degrees`, moved `gap` metres off both faces.
GlbPrimitive sharpEdges(const MeshSource& source, double gap, double degrees, int material);

}  // namespace underfoot
