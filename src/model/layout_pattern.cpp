#include "model/layout_pattern.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "measure/cross.h"

namespace underfoot::layout {

namespace {

/// The layout's size that a unit of a free repeat has, either way round; the nearest in area where none fits.
int sizeIndex(const std::vector<UnitSize>& sizes, UnitSize unit) {
    int best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (size_t i = 0; i < sizes.size(); ++i) {
        const double along = std::abs(sizes[i].length - unit.length) + std::abs(sizes[i].width - unit.width);
        const double turned = std::abs(sizes[i].length - unit.width) + std::abs(sizes[i].width - unit.length);
        const double off = std::min(along, turned);
        if (off < least) least = off, best = static_cast<int>(i);
    }
    return best;
}

UnitPattern freeRepeat(const UnitLayout& layout) {
    UnitPattern out{{layout.repeatStep.x, 0}, {0, layout.repeatStep.y}, {}};
    for (const RepeatUnit& unit : layout.repeat)
        out.units.push_back(
            {unit.at, {unit.size.length, unit.size.width}, sizeIndex(layout.sizes, unit.size)});
    return out;
}

UnitPattern basketWeave(UnitSize size, double p, double q) {
    const int count = std::max(1, static_cast<int>(std::lround(p / q)));
    const double side = std::max(p, count * q), step = side / count;
    UnitPattern out{{side, side}, {side, -side}, {}};
    for (int k = 0; k < count; ++k) out.units.push_back({{0, k * step}, {size.length, size.width}, 0});
    for (int k = 0; k < count; ++k) out.units.push_back({{side + k * step, 0}, {size.width, size.length}, 0});
    return out;
}

}  // namespace

UnitPattern unitPattern(const UnitLayout& layout) {
    if (layout.pattern == Pattern::Repeat) return freeRepeat(layout);
    if (layout.sizes.empty()) return {};
    const UnitSize size = layout.sizes.front();
    const double p = size.length + layout.joint, q = size.width + layout.joint;
    const PatternUnit along{{0, 0}, {size.length, size.width}, 0};
    switch (layout.pattern) {
        case Pattern::Stack:
            return {{p, 0}, {0, q}, {along}};
        case Pattern::Running:
            return {{p, 0}, {layout.shift * p, q}, {along}};
        case Pattern::Herringbone45:
        case Pattern::Herringbone90:
            return {{q, q}, {p, -p}, {along, {{p, q - p}, {size.width, size.length}, 0}}};
        case Pattern::BasketWeave:
            return q > 0 ? basketWeave(size, p, q) : UnitPattern{};
        case Pattern::Repeat:
            break;
    }
    return {};
}

bool UnitPattern::sound() const {
    const auto positive = [](const PatternUnit& u) { return u.extent.x > 0 && u.extent.y > 0; };
    return !units.empty() && std::abs(cross(a, b)) > 0 && std::all_of(units.begin(), units.end(), positive);
}

glm::dvec2 UnitPattern::unitsLow() const {
    glm::dvec2 low = units.front().at;
    for (const PatternUnit& u : units) low = {std::min(low.x, u.at.x), std::min(low.y, u.at.y)};
    return low;
}

glm::dvec2 UnitPattern::unitsHigh() const {
    glm::dvec2 high = units.front().at + units.front().extent;
    for (const PatternUnit& u : units)
        high = {std::max(high.x, u.at.x + u.extent.x), std::max(high.y, u.at.y + u.extent.y)};
    return high;
}

UnitPattern::Span UnitPattern::rows(glm::dvec2 low, glm::dvec2 high) const {
    double first = std::numeric_limits<double>::infinity(), last = -first;
    for (const glm::dvec2& corner : {low, high, glm::dvec2{low.x, high.y}, glm::dvec2{high.x, low.y}}) {
        const double j = cross(a, corner) / cross(a, b);
        first = std::min(first, j);
        last = std::max(last, j);
    }
    return {static_cast<long>(std::floor(first)), static_cast<long>(std::ceil(last))};
}

/// The i for which i * a + row * b lies in the box, with one to spare at both ends.
UnitPattern::Span UnitPattern::inRow(long row, glm::dvec2 low, glm::dvec2 high) const {
    const glm::dvec2 base = b * static_cast<double>(row);
    double first = -std::numeric_limits<double>::infinity(), last = -first;
    const auto narrow = [&](double step, double from, double to) {
        if (step == 0) {
            if (from > 0 || to < 0) last = -std::numeric_limits<double>::infinity();
            return;
        }
        first = std::max(first, std::min(from / step, to / step));
        last = std::min(last, std::max(from / step, to / step));
    };
    narrow(a.x, low.x - base.x, high.x - base.x);
    narrow(a.y, low.y - base.y, high.y - base.y);
    if (!(first <= last + 2)) return {0, -1};
    return {static_cast<long>(std::floor(first)) - 1, static_cast<long>(std::ceil(last)) + 1};
}

}  // namespace underfoot::layout
