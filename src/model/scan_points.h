#pragma once
// The points that a surface goes through: every shot, and of a scan what thinning leaves.

#include <string>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

/// Local points of shots and a scan. The scan is thinned to its own `thinTo`, else to the limit scan.thin_to,
/// and within scan.kept and scan.average, as the plan has them; what was done is added to `scans`. `layer` is
/// the measured layer, "" for the ground.
std::vector<glm::dvec3> surfacePoints(const std::vector<Shot>& shots, const Scan& scan,
                                      const std::string& layer, const Plan& plan, glm::dvec2 origin,
                                      std::vector<ThinnedScan>& scans);

}  // namespace underfoot
