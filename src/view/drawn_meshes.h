#pragma once
// What one picture shows of a model, as triangles: no more than can be seen. For this folder's .cpp files
// only.

#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"
#include "view/camera.h"
#include "view/mesh.h"
#include "view/paint.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

/// One kind of thing in one paint. Every triangle turns left seen from outside; its facts (normal, kind,
/// course) are those of its last corner.
struct DrawnMesh : Drawn {
    SharedTriangles triangles;  ///< without `corners`: every three vertices are one
    bool measured = false;      ///< coloured by thickness
    bool seen = true;           ///< in the picture
    bool shades = true;         ///< throws a shadow: units throw it as one solid, their layer's
    double tinted = 0;          ///< toward the colour of attention

    size_t count() const {
        return (triangles.corners.empty() ? triangles.vertices.size() : triangles.corners.size()) / 3;
    }
    const Vertex& corner(size_t triangle, size_t i) const {
        const size_t at = 3 * triangle + i;
        return triangles.vertices[triangles.corners.empty() ? at : triangles.corners[at]];
    }
    /// Closed solids are seen from outside alone: where they are cut open, faces close them.
    bool closed() const { return layer >= 0 && !cap; }
};

/// Everything the look shows, in the order in which it is drawn. Faces that layers turn to each other and
/// that nothing bares are left out, as are the undersides where the eye stands above them.
std::vector<DrawnMesh> drawnMeshes(const Model& model, const Catalogue& catalogue, const Look& look,
                                   const Shown& shown, const Camera& camera, int height);

/// Thinner units than this many pixels are drawn by their tops alone.
inline constexpr double leastUnitThickness = 2.5;

}  // namespace underfoot
