#include "model/scan_points.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "ground/thin.h"
#include "ground/tolerance.h"
#include "plan/catalogue.h"

namespace underfoot {
namespace {

Thinning thinningOf(const Scan& scan, const Plan& plan) {
    const Catalogue catalogue = loadCatalogue(plan);
    const auto limit = [&](const char* rule) { return catalogue.limit(rule).value; };
    // A plan's own limit may be nothing at all.
    const double error = std::max(scan.thinTo.value_or(limit("scan.thin_to")), tolerance::lengthCompare);
    return {error, static_cast<size_t>(limit("scan.kept")), limit("scan.average")};
}

}  // namespace

std::vector<glm::dvec3> surfacePoints(const std::vector<Shot>& shots, const Scan& scan,
                                      const std::string& layer, const Plan& plan, glm::dvec2 origin,
                                      std::vector<ThinnedScan>& scans) {
    std::vector<glm::dvec3> fixed;
    fixed.reserve(shots.size());
    for (const Shot& shot : shots) fixed.emplace_back(shot.at - origin, shot.height);
    if (scan.points.empty()) return fixed;
    std::vector<glm::dvec3> local = scan.points;
    for (glm::dvec3& point : local) point -= glm::dvec3(origin, 0);
    const Thinning thinning = thinningOf(scan, plan);
    Thinned thinned = thin(local, fixed, thinning);
    scans.push_back({layer, thinned.measured, thinned.kept, thinning.error, thinned.error, thinned.scatter,
                     thinned.square, thinned.greatest, thinned.farthest});
    return std::move(thinned.points);
}

}  // namespace underfoot
