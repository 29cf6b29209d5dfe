#pragma once
// From corners in double to the vertices of a glTF mesh: welded after rounding to float, flat shaded, with
// texture coordinates in metres.

#include <array>
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

/// A closed mesh over `points`, as the builder below takes it. What is given is kept by reference.
struct MeshSource {
    MeshSource(std::span<const glm::dvec3> at, const RoundedPoints& roundedAt,
               std::span<const std::array<int, 3>> turningLeft, std::span<const Face> kinds);

    /// The points of a triangle after rounding; nothing where it has shrunk to a line.
    std::optional<std::array<int, 3>> corners(size_t triangle) const {
        const auto& t = triangles[triangle];
        const std::array<int, 3> c{rounded.same[static_cast<size_t>(t[0])],
                                   rounded.same[static_cast<size_t>(t[1])],
                                   rounded.same[static_cast<size_t>(t[2])]};
        if (c[0] == c[1] || c[1] == c[2] || c[2] == c[0]) return std::nullopt;
        return c;
    }

    std::span<const glm::dvec3> points;
    const RoundedPoints& rounded;
    std::span<const std::array<int, 3>> triangles;
    std::span<const Face> faces;
    std::vector<glm::dvec3> normals;  ///< outward, one a triangle, of length 1
};

/// Collects closed meshes into one primitive. Within one of them, vertices are shared where everything about
/// them is equal (of very many different ones at one place only the last few are tried).
class MeshBuilder {
  public:
    /// `tile`: metres to one repeat of the texture; `textured` adds the set of coordinates for it, `heated`
    /// one more whose first part is given with each triangle.
    MeshBuilder(double tile, bool textured, bool heated);

    /// `shift` moves the texture (in repeats); `heat` holds three values a triangle when heated, else
    /// nothing.
    void add(const MeshSource& source, glm::dvec2 shift = {0, 0}, std::span<const float> heat = {});
    bool empty() const { return primitive_.indices.empty(); }
    GlbPrimitive take(int material, int variantMaterial);

  private:
    using Vertex = std::array<float, 10>;
    void reserve(size_t triangles);
    uint32_t vertex(int point, const Vertex& values);

    double tile_;
    bool textured_, heated_;
    GlbPrimitive primitive_;
    std::vector<uint32_t> last_;    ///< by point of the mesh being added: its last vertex + 1, 0 for none
    std::vector<uint32_t> before_;  ///< by vertex: the one before it at the same point + 1
};

/// Lines along the edges where two faces meet at more than `degrees`, moved `gap` metres off both faces.
GlbPrimitive sharpEdges(const MeshSource& source, double gap, double degrees, int material);

}  // namespace underfoot
