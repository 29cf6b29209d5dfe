#pragma once
// Several triangulated surfaces at once: levels are often taken again at the same stakes.

#include <memory>
#include <span>
#include <vector>

#include <glm/vec3.hpp>

#include "ground/surface.h"

namespace underfoot {

struct ShotPoints {
    std::vector<glm::dvec3> points;
    Beyond beyond = Beyond::Nearest;
};

/// A surface through each set of points, null where triangulatedSurface (ground/surface.h) has none. Those
/// whose points stand at the same places in the same order share one triangulation; the others, where they
/// are large, are triangulated side by side.
std::vector<std::unique_ptr<Surface>> triangulatedSurfaces(std::span<const ShotPoints> sets);

/// Whether two surfaces are known to break along the same lines: they share a triangulation and go on alike
/// past its edge.
bool breakAlike(const Surface& a, const Surface& b);

}  // namespace underfoot
