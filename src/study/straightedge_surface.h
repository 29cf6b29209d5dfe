#pragma once
// What a straightedge is laid on. Internal to study.

#include <memory>
#include <mutex>

#include <glm/vec2.hpp>

#include "study/part_grid.h"
#include "study/plane_parts.h"
#include "study/straightedge.h"

namespace underfoot {

struct Straightedge::Surface {
    Surface(const HeightField& ofField, double ofLength);

    HeightField field;
    double length = 0;
    glm::dvec2 fall{0, 0};     ///< mean, of the whole
    double apart = 0;          ///< how far heights lie apart beside a plane of that fall
    double low = 0, high = 0;  ///< all heights lie between

    /// Made when they are first needed, by whichever thread needs them: a surface with little to it is known
    /// without.
    const PlaneParts& parts();
    const PartGrid& grid();

  private:
    std::once_flag partsMade_, gridMade_;
    std::unique_ptr<PlaneParts> parts_;
    std::unique_ptr<PartGrid> grid_;
};

}  // namespace underfoot
