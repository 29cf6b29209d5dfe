#pragma once
// Height surfaces over the plan, each piecewise linear: triangulated shots, a plane, planes joined as ridge
// or valley. Plan points are in local coordinates (metres from the site's origin).

#include <memory>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/triangulation.h"

namespace underfoot {

/// z = level + gradient . (p - at)
struct PlaneHeight {
    glm::dvec2 at{0, 0};
    double level = 0;
    glm::dvec2 gradient{0, 0};
    double height(glm::dvec2 p) const {
        return level + gradient.x * (p.x - at.x) + gradient.y * (p.y - at.y);
    }
};

/// The plane through three points that are not in line.
PlaneHeight planeThrough(const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c);
/// The plane that fits points best by least squares of upright distance. Level at the mean when they are in
/// line.
PlaneHeight planeFit(std::span<const glm::dvec3> points);

/// What lies past the edge of triangulated shots.
enum class Beyond { Nearest, Plane };

/// A height for every place of the plan.
class Surface {
  public:
    virtual ~Surface() = default;

    /// The flat piece that rules at `p`. `hint` carries a place to start from between calls and is updated;
    /// pass the same variable for points that lie near each other. Deterministic on shared edges: either
    /// piece, both give the same height there.
    virtual PlaneHeight pieceAt(glm::dvec2 p, int& hint) const = 0;

    /// The lines along which the surface breaks, clipped to the box: for overlaying.
    virtual std::vector<std::pair<glm::dvec2, glm::dvec2>> breakLines(glm::dvec2 low,
                                                                      glm::dvec2 high) const = 0;

    /// False where the height is an extension past the shots.
    virtual bool known(glm::dvec2 p, int& hint) const {
        (void)p;
        (void)hint;
        return true;
    }

    double height(glm::dvec2 p) const;
};

/// Delaunay triangulation of the points' plan positions; past its hull the nearest hull point's height
/// (constant square to the hull edge, so every piece stays flat: strips beside edges, and wedges at corners
/// that are cut into flat triangles) or the best-fit plane with a break at the hull. Points at one place: the
/// first counts. Needs three points not in line, else null. Nearest: the extension is itself piecewise flat
/// inside the box given: the hull is surrounded by a ring of far points (each hull vertex carried outward
/// well past the box at its own height) and triangulated with it.
std::unique_ptr<Surface> triangulatedSurface(std::span<const glm::dvec3> points, Beyond beyond,
                                             glm::dvec2 low, glm::dvec2 high);

std::unique_ptr<Surface> planeSurface(const PlaneHeight& plane);

/// Ridge: the lowest of the planes; valley: the highest.
enum class Join { Lowest, Highest };
std::unique_ptr<Surface> joinedPlanes(std::vector<PlaneHeight> planes, Join join);

}  // namespace underfoot
