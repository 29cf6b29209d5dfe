#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <memory>
#include <numbers>
#include <optional>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/cross.h"
#include "model/layout.h"
#include "model/layout_bed.h"
#include "model/layout_borders.h"
#include "model/layout_pattern.h"
#include "model/layout_polygons.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

namespace {

using layout::Bed;
using layout::PatternUnit;
using layout::Polygon;
using layout::Unit;
using layout::UnitPattern;

Polygon rectangleAt(const PatternPlace& place, glm::dvec2 p, glm::dvec2 extent) {
    const glm::dvec2 q = p + extent;
    if (cross(place.x, place.y) > 0)
        return {place.point(p), place.point({q.x, p.y}), place.point(q), place.point({p.x, q.y})};
    return {place.point(p), place.point({p.x, q.y}), place.point(q), place.point({q.x, p.y})};
}

/// Direction of the rows in plan. Cosines that rounding keeps from 0 become 0, so that square stays square.
glm::dvec2 rowDirection(Pattern pattern, double angle, const Baseline& baseline) {
    const glm::dvec2 base = layout::direction(baseline.from, baseline.to);
    const double turn = pattern == Pattern::Herringbone45 ? std::numbers::pi / 4 : 0;
    const double c = std::cos(angle + turn), s = std::sin(angle + turn);
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
PatternPlace standAt(glm::dvec2 corner, glm::dvec2 rows, const PatternUnit& first, const Bed& bed) {
    PatternPlace best;
    double most = -1;
    for (const auto& [sx, sy] : {std::pair{1.0, 1.0}, {-1.0, 1.0}, {1.0, -1.0}, {-1.0, -1.0}}) {
        const PatternPlace place{corner, rows * sx, layout::leftOf(rows) * sy};
        const double area = bed.areaInside(rectangleAt(place, first.at, first.extent));
        if (area > most + layout::leastPiece) most = area, best = place;
    }
    return best;
}

void layField(const UnitPattern& pattern, const PatternPlace& place, const Bed& bed, double joint,
              UnitPlan& plan) {
    glm::dvec2 low{std::numeric_limits<double>::infinity()}, high{-std::numeric_limits<double>::infinity()};
    for (const Region& region : bed.regions())
        for (const glm::dvec2& corner : region.outer) {
            const glm::dvec2 p = place.own(corner);
            low = {std::min(low.x, p.x), std::min(low.y, p.y)};
            high = {std::max(high.x, p.x), std::max(high.y, p.y)};
        }
    pattern.forEachUnit(low, high, [&](const PatternUnit& unit, glm::dvec2 p) {
        const Polygon outline = rectangleAt(place, p, unit.extent);
        bed.lay({outline, true, true, unit.size, false, unit.extent.x * unit.extent.y,
                 std::min(unit.extent.x, unit.extent.y), place.y, layout::frameOf(outline),
                 layout::leastBeside(joint)},
                plan);
    });
}

void setChamfer(UnitPlan& plan, double chamfer) {
    for (UnitPiece& piece : plan.pieces) piece.chamfer = chamfer;
}

}  // namespace

struct FieldLayout::Impl {
    UnitLayout layout;
    Baseline baseline;
    UnitPattern pattern;
    UnitPlan borders;
    std::optional<Bed> bed;
    glm::dvec2 corner{0, 0};

    Impl(const UnitLayout& units, const Area& area, const Regions& regions, const Baseline& base,
         glm::dvec2 origin)
        : layout(units), baseline(base), pattern(layout::unitPattern(units)) {
        const int sizes = std::max(1, static_cast<int>(units.sizes.size()));
        const Regions field = units.borders.empty()
                                  ? regions
                                  : layout::layBorders(units, area, regions, origin, sizes, borders);
        setChamfer(borders, units.chamfer);
        const glm::dvec2 extent = pattern.sound() ? pattern.units.front().extent : glm::dvec2{1, 1};
        bed.emplace(field, std::max(extent.x, extent.y));
        corner = firstCorner(units, area, field, origin);
    }
};

FieldLayout::FieldLayout(const UnitLayout& layout, const Area& area, const Regions& regions,
                         const Baseline& baseline, glm::dvec2 origin)
    : impl_(std::make_unique<Impl>(layout, area, regions, baseline, origin)) {}
FieldLayout::FieldLayout(FieldLayout&&) noexcept = default;
FieldLayout& FieldLayout::operator=(FieldLayout&&) noexcept = default;
FieldLayout::~FieldLayout() = default;

bool FieldLayout::sound() const {
    return !field().empty() && impl_->pattern.sound();
}
const Regions& FieldLayout::field() const {
    return impl_->bed->regions();
}
const UnitPlan& FieldLayout::borders() const {
    return impl_->borders;
}
glm::dvec2 FieldLayout::stepA() const {
    return impl_->pattern.a;
}
glm::dvec2 FieldLayout::stepB() const {
    return impl_->pattern.b;
}
std::vector<PatternBox> FieldLayout::repeat() const {
    std::vector<PatternBox> out;
    for (const PatternUnit& unit : impl_->pattern.units) out.push_back({unit.at, unit.extent});
    return out;
}

PatternPlace FieldLayout::place() const {
    return placeAt(impl_->corner, impl_->layout.angle);
}

PatternPlace FieldLayout::placeAt(glm::dvec2 corner, double angle) const {
    assert(sound());
    const glm::dvec2 rows = rowDirection(impl_->layout.pattern, angle, impl_->baseline);
    return standAt(corner, rows, impl_->pattern.units.front(), *impl_->bed);
}

UnitPlan FieldLayout::lay(const PatternPlace& place) const {
    assert(sound());
    UnitPlan plan;
    layField(impl_->pattern, place, *impl_->bed, impl_->layout.joint, plan);
    setChamfer(plan, impl_->layout.chamfer);
    return plan;
}

UnitPlan layoutUnits(const UnitLayout& units, const Area& area, const Regions& regions,
                     const Baseline& baseline, glm::dvec2 origin) {
    const FieldLayout layout(units, area, regions, baseline, origin);
    UnitPlan plan = layout.borders();
    if (!layout.sound()) return plan;
    const UnitPlan field = layout.lay(layout.place());
    layout::append(field, plan);
    return plan;
}

}  // namespace underfoot
