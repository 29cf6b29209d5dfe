#pragma once
// A layer's solid as CGAL sees it: closed or not, its volume, its cut by an upright plane, its thickness
// along an upright line. CGAL gets the corners and triangles and nothing else.

#include <memory>
#include <optional>
#include <string>

#include <glm/vec2.hpp>

#include "model/solid.h"

namespace underfoot::outside {

class CgalSolid {
  public:
    /// Where parts of a solid touch along an edge or in a corner, each part gets corners of its own: CGAL's
    /// half-edge meshes are manifolds. An edge that four or more triangles share is parted so that each pair
    /// has the material between its two.
    CgalSolid(const Model& model, const Solid& solid);
    CgalSolid(CgalSolid&&) noexcept;
    ~CgalSolid();

    /// What keeps it from bounding a volume: an edge without its opposite, or a part turned inside out.
    std::optional<std::string> fault() const;
    /// Pairs of triangles that meet anywhere but in corners and edges that they have in common.
    size_t crossings() const;
    double volume() const;
    /// Area of the cut by the upright plane through two plan points, all along it; NaN when CGAL's slicer
    /// gives no closed outlines.
    double cutArea(glm::dvec2 a, glm::dvec2 b);
    /// Length inside the solid of the upright line through a plan point; nothing where it runs along a wall
    /// or through an edge.
    std::optional<double> thickness(glm::dvec2 point) const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

}  // namespace underfoot::outside
