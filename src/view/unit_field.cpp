#include "view/unit_field.h"

#include <algorithm>
#include <cmath>

#include <glm/common.hpp>

#include "view/mesh.h"

namespace underfoot {

namespace {

struct Box {
    glm::dvec2 low, high;
};

Box boxOf(const Model& model, const UnitPiece& unit) {
    const glm::dvec2* corner = &model.unitCorners[static_cast<size_t>(unit.firstCorner)];
    Box box{corner[0], corner[0]};
    for (int i = 1; i < unit.corners; ++i) {
        box.low = glm::min(box.low, corner[i]);
        box.high = glm::max(box.high, corner[i]);
    }
    return box;
}

/// Calls `each(square)` for all squares that a box reaches into.
template <class Each>
void eachSquare(const UnitField& field, const Box& box, Each each) {
    const auto along = [&](double from, double at, int most) {
        return std::clamp(static_cast<int>(std::floor((at - from) / field.square)), 0, most - 1);
    };
    for (int y = along(field.low.y, box.low.y, field.down); y <= along(field.low.y, box.high.y, field.down);
         ++y)
        for (int x = along(field.low.x, box.low.x, field.across);
             x <= along(field.low.x, box.high.x, field.across); ++x)
            each(static_cast<size_t>(y) * static_cast<size_t>(field.across) + static_cast<size_t>(x));
}

/// Squares about as large as a unit, over the box of all units.
void frameSquares(const Model& model, LayerId layer, UnitField& field) {
    double area = 0;
    size_t count = 0;
    Box all{{0, 0}, {0, 0}};
    for (const UnitPiece& unit : model.units) {
        if (unit.layer != layer) continue;
        const Box box = boxOf(model, unit);
        all = count++ == 0 ? box : Box{glm::min(all.low, box.low), glm::max(all.high, box.high)};
        area += unit.planArea;
    }
    if (count == 0) return;
    const glm::dvec2 size = all.high - all.low;
    const double least = std::max({size.x, size.y, 0.01}) / 4096;
    field.low = all.low;
    field.square = std::max(std::sqrt(area / static_cast<double>(count)), least);
    field.across = static_cast<int>(size.x / field.square) + 1;
    field.down = static_cast<int>(size.y / field.square) + 1;
}

}  // namespace

UnitField unitField(const Model& model, LayerId layer) {
    UnitField field;
    frameSquares(model, layer, field);
    field.starts.assign(static_cast<size_t>(field.across) * static_cast<size_t>(field.down) + 1, 0);
    for (const UnitPiece& unit : model.units)
        if (unit.layer == layer)
            eachSquare(field, boxOf(model, unit), [&](size_t square) { ++field.starts[square + 1]; });
    for (size_t i = 1; i < field.starts.size(); ++i) field.starts[i] += field.starts[i - 1];
    field.entries.resize(field.starts.back());
    std::vector<uint32_t> next(field.starts.begin(), field.starts.end() - 1);
    for (size_t i = 0; i < model.units.size(); ++i) {
        const UnitPiece& unit = model.units[i];
        if (unit.layer != layer) continue;
        const auto number = static_cast<uint32_t>(i);
        const UnitField::Entry entry{
            number, static_cast<uint32_t>(field.corners.size()),
            static_cast<uint32_t>(unit.corners) | static_cast<uint32_t>(variationOf(number)) << 24};
        for (int c = 0; c < unit.corners; ++c)
            field.corners.emplace_back(model.unitCorners[static_cast<size_t>(unit.firstCorner + c)]);
        eachSquare(field, boxOf(model, unit), [&](size_t square) { field.entries[next[square]++] = entry; });
    }
    return field;
}

int UnitField::unitAt(glm::dvec2 place) const {
    const glm::vec2 p(place);
    const glm::dvec2 at = (place - low) / square;
    if (!(at.x >= 0 && at.y >= 0 && at.x < across && at.y < down)) return -1;
    const size_t here = static_cast<size_t>(at.y) * static_cast<size_t>(across) + static_cast<size_t>(at.x);
    for (size_t e = starts[here]; e < starts[here + 1]; ++e) {
        const uint32_t count = entries[e].cornersVariation & 0xFFFFFFU;
        const glm::vec2* corner = &corners[entries[e].firstCorner];
        bool inside = false;
        glm::vec2 b = corner[count - 1];
        for (uint32_t i = 0; i < count; ++i) {
            const glm::vec2 a = corner[i];
            if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
                inside = !inside;
            b = a;
        }
        if (inside) return static_cast<int>(entries[e].unit);
    }
    return -1;
}

}  // namespace underfoot
