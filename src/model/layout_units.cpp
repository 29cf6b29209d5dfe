#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "model/layout.h"
#include "model/layout_bed.h"
#include "model/layout_borders.h"
#include "model/layout_pattern.h"

namespace underfoot {

namespace {

using layout::Bed;
using layout::PatternUnit;
using layout::Polygon;
using layout::Unit;
using layout::UnitPattern;

/// Where the pattern stands: its origin and its axes in plan. The second axis may be to the right of the
/// first.
struct Frame {
    glm::dvec2 at{0, 0}, x{1, 0}, y{0, 1};

    Polygon rectangle(glm::dvec2 p, glm::dvec2 extent) const {
        const auto point = [&](double u, double v) { return at + x * u + y * v; };
        const glm::dvec2 q = p + extent;
        if (layout::cross(x, y) > 0)
            return {point(p.x, p.y), point(q.x, p.y), point(q.x, q.y), point(p.x, q.y)};
        return {point(p.x, p.y), point(p.x, q.y), point(q.x, q.y), point(q.x, p.y)};
    }
};

/// Direction of the rows in plan. Cosines that rounding keeps from 0 become 0, so that square stays square.
glm::dvec2 rowDirection(const UnitLayout& units, const Baseline& baseline) {
    const glm::dvec2 base = layout::direction(baseline.from, baseline.to);
    const double turn = units.pattern == Pattern::Herringbone45 ? std::numbers::pi / 4 : 0;
    const double c = std::cos(units.angle + turn), s = std::sin(units.angle + turn);
    glm::dvec2 d{c * base.x - s * base.y, s * base.x + c * base.y};
    if (std::abs(d.x) < 1e-15) d.x = 0;
    if (std::abs(d.y) < 1e-15) d.y = 0;
    return layout::direction({0, 0}, d);
}

/// The corner that the first unit is set in: the one written, else the outline's first; where a border lies
/// between, the corner of the field that is nearest to it.
glm::dvec2 firstCorner(const UnitLayout& units, const Area& area, const Regions& field, glm::dvec2 origin) {
    if (units.start) return *units.start - origin;
    const glm::dvec2 wanted = area.outline.start - origin;
    if (units.borders.empty()) return wanted;
    glm::dvec2 best = wanted;
    double least = std::numeric_limits<double>::infinity();
    for (const Region& region : field)
        for (const glm::dvec2& corner : region.outer) {
            const double away = layout::distance(corner, wanted);
            if (away < least) least = away, best = corner;
        }
    return best;
}

/// The first unit lies on the side of the corner where the area holds most of it; on a tie, ahead along the
/// rows and to the left of them.
Frame standAt(glm::dvec2 corner, glm::dvec2 rows, const PatternUnit& first, const Bed& bed) {
    Frame best;
    double most = -1;
    for (const auto& [sx, sy] : {std::pair{1.0, 1.0}, {-1.0, 1.0}, {1.0, -1.0}, {-1.0, -1.0}}) {
        const Frame frame{corner, rows * sx, layout::leftOf(rows) * sy};
        const double area = bed.areaInside(frame.rectangle(first.at, first.extent));
        if (area > most + layout::leastPiece) most = area, best = frame;
    }
    return best;
}

void layField(const UnitPattern& pattern, const Frame& frame, const Bed& bed, UnitPlan& plan) {
    glm::dvec2 low{std::numeric_limits<double>::infinity()}, high{-std::numeric_limits<double>::infinity()};
    for (const Region& region : bed.regions())
        for (const glm::dvec2& corner : region.outer) {
            const glm::dvec2 p{layout::dot(corner - frame.at, frame.x),
                               layout::dot(corner - frame.at, frame.y)};
            low = {std::min(low.x, p.x), std::min(low.y, p.y)};
            high = {std::max(high.x, p.x), std::max(high.y, p.y)};
        }
    pattern.forEachUnit(low, high, [&](const PatternUnit& unit, glm::dvec2 p) {
        bed.lay({frame.rectangle(p, unit.extent), true, true, unit.size, false, unit.extent.x * unit.extent.y,
                 std::min(unit.extent.x, unit.extent.y), frame.y},
                plan);
    });
}

}  // namespace

UnitPlan layoutUnits(const UnitLayout& units, const Area& area, const Regions& regions,
                     const Baseline& baseline, glm::dvec2 origin) {
    UnitPlan plan;
    const int fieldSizes = std::max(1, static_cast<int>(units.sizes.size()));
    const Regions field =
        units.borders.empty() ? regions : layout::layBorders(units, area, regions, origin, fieldSizes, plan);
    const UnitPattern pattern = layout::unitPattern(units);
    if (!field.empty() && pattern.sound()) {
        const PatternUnit& first = pattern.units.front();
        const Bed bed(field, std::max(first.extent.x, first.extent.y));
        const glm::dvec2 corner = firstCorner(units, area, field, origin);
        layField(pattern, standAt(corner, rowDirection(units, baseline), first, bed), bed, plan);
    }
    for (UnitPiece& piece : plan.pieces) piece.chamfer = units.chamfer;
    return plan;
}

}  // namespace underfoot
