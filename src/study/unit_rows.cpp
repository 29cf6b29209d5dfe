#include "study/unit_rows.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>
#include <utility>

#include "model/layout.h"
#include "plan/plan.h"
#include "study/nesting_offcuts.h"

namespace underfoot {

namespace {

/// This near to a side of the unit a mark lies on it. Metres.
constexpr double onSide = 1e-6;
constexpr double bendOfCurve = std::numbers::pi / 9;

// Of one row, in the pattern's own frame: places along it.
struct RowSpan {
    int units = 0, cut = 0;
    double from = 1e300, to = -1e300;
    double firstLength = 0, lastLength = 0;
    bool firstCut = false, lastCut = false;

    void add(double low, double high, bool isCut) {
        ++units;
        if (isCut) ++cut;
        if (low < from) from = low, firstLength = high - low, firstCut = isCut;
        if (high > to) to = high, lastLength = high - low, lastCut = isCut;
    }
};

void addRows(const Model& model, int area, int first, int last, std::vector<UnitRow>& rows) {
    const Area& planned = model.plan.areas[static_cast<size_t>(area)];
    const Pattern pattern = planned.units->pattern;
    if (pattern != Pattern::Stack && pattern != Pattern::Running) return;
    const FieldLayout field(*planned.units, planned, regionsOf(model, area), model.plan.baseline,
                            model.site.origin);
    if (!field.sound()) return;
    const PatternPlace place = field.place();
    const double pitch = field.stepB().y;
    std::map<long, RowSpan> spans;
    for (int u = first; u < last; ++u) {
        const UnitPiece& unit = model.units[static_cast<size_t>(u)];
        if (unit.border) continue;
        double low = 1e300, high = -1e300, across = 0;
        for (int i = 0; i < unit.corners; ++i) {
            const glm::dvec2 own = place.own(model.unitCorners[static_cast<size_t>(unit.firstCorner + i)]);
            low = std::min(low, own.x), high = std::max(high, own.x);
            across += own.y / unit.corners;
        }
        spans[std::lround(std::floor(across / pitch))].add(low, high, !unit.whole);
    }
    for (const auto& [row, span] : spans) {
        const double y = static_cast<double>(row) * pitch;
        rows.push_back({area, static_cast<int>(row - spans.begin()->first) + 1, place.point({span.from, y}),
                        place.point({span.to, y}), span.to - span.from, span.units, span.cut,
                        span.firstLength, span.lastLength, span.firstCut, span.lastCut});
    }
}

CutMark markAt(glm::dvec2 p, double length, double width) {
    using Side = CutMark::Side;
    if (std::abs(p.y) <= onSide) return {Side::Near, p.x, 0};
    if (std::abs(p.y - width) <= onSide) return {Side::Far, p.x, 0};
    if (std::abs(p.x) <= onSide) return {Side::Left, p.y, 0};
    if (std::abs(p.x - length) <= onSide) return {Side::Right, p.y, 0};
    return {Side::Inside, p.x, p.y};
}

// The sides from corner `first` on to corner `last` of a shape, which may run past its end.
CutLine lineAlong(const std::vector<glm::dvec2>& shape, size_t first, size_t last, double length,
                  double width) {
    const auto corner = [&](size_t i) { return shape[i % shape.size()]; };
    const glm::dvec2 from = corner(first), to = corner(last), way = to - from;
    const double straight = std::hypot(way.x, way.y);
    CutLine line{markAt(from, length, width), markAt(to, length, width), 0, 0};
    for (size_t i = first; i < last; ++i) {
        const glm::dvec2 run = corner(i + 1) - corner(i), off = corner(i) - from;
        line.length += std::hypot(run.x, run.y);
        const double right = straight > 0 ? (way.y * off.x - way.x * off.y) / straight : 0;
        if (std::abs(right) > std::abs(line.bow)) line.bow = right;
    }
    return line;
}

}  // namespace

std::vector<UnitRow> unitRows(const Model& model) {
    std::vector<UnitRow> rows;
    const int all = static_cast<int>(model.units.size());
    for (int first = 0, last = 0; first < all; first = last) {
        const int area = model.units[static_cast<size_t>(first)].area;
        while (last < all && model.units[static_cast<size_t>(last)].area == area) ++last;
        addRows(model, area, first, last, rows);
    }
    return rows;
}

std::vector<CutLine> cutLines(const CutUnit& cut, double length, double width) {
    const auto& shape = cut.piece.shape;
    const size_t n = shape.size();
    const auto side = [&](size_t i) { return shape[(i + 1) % n] - shape[i % n]; };
    const auto sawn = [&](size_t i) { return !cut.piece.factory[i % n]; };
    const auto follows = [&](size_t i) {  // the side before it round a curve
        const glm::dvec2 a = side(i + n - 1), b = side(i);
        return sawn(i + n - 1) && sawn(i) &&
               std::abs(std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)) < bendOfCurve;
    };
    size_t start = 0;
    while (start < n && follows(start)) ++start;
    std::vector<CutLine> lines;
    for (size_t i = start; i < start + n;) {
        size_t end = i + 1;
        if (sawn(i)) {
            while (end < start + n && follows(end)) ++end;
            lines.push_back(lineAlong(shape, i, end, length, width));
        }
        i = end;
    }
    return lines;
}

}  // namespace underfoot
