#pragma once
// From corners in double to the vertices of a glTF mesh: welded after rounding to float, flat shaded, with
// texture coordinates in metres.

#include <array>
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

/// A closed mesh over `points`, as the builder below takes it.
struct MeshSource {
    std::span<const glm::dvec3> points;
    const RoundedPoints& rounded;
    std::span<const std::array<int, 3>> triangles;
    std::span<const Face> faces;
};

/// Collects closed meshes into one primitive. Vertices are shared where everything about them is equal.
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
    uint32_t vertex(const std::array<float, 10>& values);
    void grow();

    double tile_;
    bool textured_, heated_;
    GlbPrimitive primitive_;
    std::vector<uint32_t> table_;  ///< open addressing: vertex number + 1, 0 is free
};

/// Lines along the edges where two faces meet at more than `degrees`, moved `gap` metres off both faces.
GlbPrimitive sharpEdges(const MeshSource& source, double gap, double degrees, int material);

}  // namespace underfoot
