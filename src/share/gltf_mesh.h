#pragma once
// From corners in double to the vertices of a glTF mesh: welded after rounding to float, flat shaded, with
// texture coordinates in metres.

#include <array>
#include <cstdint>
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
    double level = 0;
    std::vector<int> same;
};
/// Quickest where points over one place in plan follow each other.
RoundedPoints roundPoints(std::span<const glm::dvec3> points, double level);

/// A closed mesh over a few of many points, after rounding: what has shrunk to a line is left out. A look at
/// what stays elsewhere.
struct MeshSource {
    std::span<const glm::dvec3> points;
    const RoundedPoints& rounded;
    std::span<const std::array<int, 3>> triangles;  ///< turning left
    std::span<const Face> faces;

    /// The points that a triangle has after rounding, each the first at its place; two equal ones where it
    /// has shrunk to a line.
    std::array<int, 3> corners(size_t triangle) const {
        const auto& [a, b, c] = triangles[triangle];
        const auto same = [&](int point) { return rounded.same[static_cast<size_t>(point)]; };
        return {same(a), same(b), same(c)};
    }
    static bool isLine(const std::array<int, 3>& c) { return c[0] == c[1] || c[1] == c[2] || c[2] == c[0]; }
    FloatPoint position(int point) const {
        return gltfPoint(points[static_cast<size_t>(point)], rounded.level);
    }
    /// Outward, of length 1.
    glm::dvec3 normal(size_t triangle) const;
};

/// Which ways the triangles at the points of one mesh face: within half of `degrees` of up or of down, or
/// neither. An edge can be sharper than that only where both its points see a triangle of neither kind, or
/// some of both.
class Facings {
  public:
    explicit Facings(double degrees);
    void begin(size_t points) { seen_.assign(points, 0); }
    void note(const std::array<int, 3>& corner, double up) {
        const char kind = up > level_ ? facesUp : up < -level_ ? facesDown : facesAside;
        for (const int point : corner) seen_[static_cast<size_t>(point)] |= kind;
    }
    bool mayBeSharp(int point) const {
        const char seen = seen_[static_cast<size_t>(point)];
        return (seen & facesAside) != 0 || seen == (facesUp | facesDown);
    }
    double degrees() const { return degrees_; }

  private:
    static constexpr char facesUp = 1, facesDown = 2, facesAside = 4;
    double degrees_, level_;
    std::vector<char> seen_;  ///< by point
};

/// Memory for one mesh after another. A point or vertex is marked with a number greater than all that were
/// given out before the mesh, so that marks of others need not be wiped off.
struct MeshRoom {
    /// What is looked at first when a vertex is looked for.
    struct Known {
        uint64_t normal;  ///< as a number of its own
        uint32_t before;  ///< mark of the vertex before it at the same point, 0: none
        bool told;        ///< the normal tells it apart from all others at its point
    };
    std::vector<Known> known;    ///< by vertex of the mesh
    std::vector<uint32_t> last;  ///< by point: the mark of its last vertex
    uint32_t used = 0;
    std::vector<uint32_t> met;  ///< by point: marked in the order in which they are met
    uint32_t points = 0;
};

/// Collects closed meshes into one primitive. Within one of them, vertices are shared where everything about
/// them is equal (of very many different ones at one place only the last few are tried).
class MeshBuilder {
  public:
    /// `tile`: metres to one repeat of the texture; `textured` adds the set of coordinates for it, `heated`
    /// one more whose first part is given with each triangle.
    MeshBuilder(double tile, bool textured, bool heated, MeshRoom& room);

    /// `shift` moves the texture (in repeats); `heat` holds three values a triangle when heated, else
    /// nothing. Fills in `facings` where they are wanted.
    void add(const MeshSource& source, glm::dvec2 shift = {0, 0}, std::span<const float> heat = {},
             Facings* facings = nullptr);
    bool empty() const { return primitive_.indices.empty(); }
    GlbPrimitive take(int material, int variantMaterial);

  private:
    static constexpr size_t mostFloats = 10;
    using Vertex = std::array<float, mostFloats>;
    static constexpr uint32_t none = ~uint32_t{0};
    void makeRoom(size_t triangles, size_t points);
    uint32_t find(uint32_t mark, const MeshRoom::Known& like, const Vertex* values = nullptr) const;
    uint32_t append(uint32_t& last, MeshRoom::Known made, const Vertex& values);

    double tile_;
    bool textured_, heated_;
    size_t floats_ = 0;   ///< of a vertex
    size_t written_ = 0;  ///< floats in use at the front of the primitive's vertices
    GlbPrimitive primitive_;
    MeshRoom& room_;
    uint32_t vertices_ = 0;   ///< in use
    uint32_t before_ = 0;     ///< of them, before the mesh being added
    uint32_t firstMark_ = 0;  ///< of the mesh being added
};

/// Lines along the edges where two faces meet at more than the degrees of `facings`, which have been filled
/// in from the mesh; moved `gap` metres off both faces.
GlbPrimitive sharpEdges(const MeshSource& source, const Facings& facings, double gap, int material,
                        MeshRoom& room);

}  // namespace underfoot
