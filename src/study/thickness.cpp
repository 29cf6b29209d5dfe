#include "study/thickness.h"

#include <algorithm>
#include <array>
#include <utility>

#include "study/index.h"
#include "study/patches.h"
#include "study/walk.h"

namespace underfoot {

namespace {

// Written so that a level surface gives its own height back.
double heightAt(const Model& model, const Cell& cell, const std::array<double, 3>& share, int k) {
    const double h = model.height(cell, 0, k);
    return h + share[1] * (model.height(cell, 1, k) - h) + share[2] * (model.height(cell, 2, k) - h);
}

}  // namespace

int cellAt(const Model& model, glm::dvec2 point, int hint) {
    const auto found = pointInCell(model, point, hint);
    return found ? found->cell : -1;
}

glm::dvec2 intoArea(const Model& model, glm::dvec2 point) {
    constexpr std::array<glm::dvec2, 5> tried{
        {{0, 0}, {1e-3, 1e-3}, {-1e-3, 1e-3}, {-1e-3, -1e-3}, {1e-3, -1e-3}}};
    for (const glm::dvec2 off : tried) {
        const int cell = cellAt(model, point + off);
        if (cell < 0) continue;
        const Column& column = model.columnOf(model.cells[index(cell)]);
        if (column.area >= 0 && !column.beyond) return point + off;
    }
    return point;
}

std::vector<LayerAt> stackAtPoint(const Model& model, glm::dvec2 point, int* cellHint) {
    const auto found = pointInCell(model, point, cellHint ? *cellHint : -1);
    if (!found) return {};
    if (cellHint) *cellHint = found->cell;
    const Cell& cell = model.cells[index(found->cell)];
    const auto& entries = model.columnOf(cell).entries;
    std::vector<LayerAt> stack;
    stack.reserve(entries.size());
    double top = heightAt(model, cell, found->share, 0);
    for (int e = 0; e < static_cast<int>(entries.size()); ++e) {
        const double bottom = heightAt(model, cell, found->share, e + 1);
        stack.push_back({entries[index(e)].layer, e, entries[index(e)].lift, top, bottom});
        top = bottom;
    }
    return stack;
}

// ---------------------------------------------------------------- field

namespace {

bool before(glm::dvec2 a, glm::dvec2 b) {
    return a.x != b.x ? a.x < b.x : a.y < b.y;
}

// A layer's thickness at the corners of a cell, its lifts together, and the bounds its build-up names.
struct CellThickness {
    bool present = false;
    std::array<double, 3> value{};
    std::optional<double> least, greatest;
};

CellThickness thicknessOn(const Model& model, const Cell& cell, LayerId layer) {
    CellThickness result;
    const auto& entries = model.columnOf(cell).entries;
    for (int e = 0; e < static_cast<int>(entries.size()); ++e) {
        const ColumnEntry& entry = entries[index(e)];
        if (entry.layer != layer) continue;
        if (!result.present) result.least = entry.least, result.greatest = entry.greatest;
        result.present = true;
        for (int c = 0; c < 3; ++c) result.value[index(c)] += model.thickness(cell, c, e);
    }
    return result;
}

class FieldSums {
  public:
    FieldSums(const Model& model, ThicknessField& field) : model_(model), field_(field) {}

    void add(const Cell& cell, const CellThickness& thickness) {
        const double area = model_.planArea(cell);
        field_.planArea += area;
        field_.volume += area * ((thickness.value[0] + thickness.value[1] + thickness.value[2]) / 3);
        for (int c = 0; c < 3; ++c) {
            const double t = thickness.value[index(c)];
            const glm::dvec2 at = model_.at(cell, c);
            if (!any_ || t < field_.least || (t == field_.least && before(at, field_.leastAt))) {
                field_.least = t, field_.leastAt = at;
            }
            if (!any_ || t > field_.greatest || (t == field_.greatest && before(at, field_.greatestAt))) {
                field_.greatest = t, field_.greatestAt = at;
            }
            any_ = true;
        }
    }

  private:
    const Model& model_;
    ThicknessField& field_;
    bool any_ = false;
};

void widen(std::optional<double>& bound, std::optional<double> with, bool first, bool downward) {
    if (first) {
        bound = with;
    } else if (bound && with) {
        bound = downward ? std::min(*bound, *with) : std::max(*bound, *with);
    } else {
        bound.reset();
    }
}

FieldCell pastBound(int cell, const CellThickness& thickness, double bound, bool thin) {
    FieldCell result{cell, thickness.value, {}};
    for (size_t c = 0; c < 3; ++c)
        result.excess[c] = thin ? bound - thickness.value[c] : thickness.value[c] - bound;
    return result;
}

void addPatches(const Model& model, const std::vector<FieldCell>& cells, bool thin, ThicknessField& field) {
    for (FieldPatch& p : fieldPatches(model, cells)) {
        (thin ? field.areaUnder : field.areaOver) += p.area;
        (thin ? field.volumeLacking : field.volumeOver) += p.volume;
        field.patches.push_back(
            {thin, std::move(p.outline), p.centre, p.worst, p.worstValue, p.area, p.volume, p.worstExcess});
    }
}

}  // namespace

ThicknessField thicknessField(const Model& model, LayerId layer, int area, std::optional<double> least,
                              std::optional<double> greatest) {
    std::vector<int> inside;
    for (size_t i = 0; i < model.cells.size(); ++i) {
        const Column& column = model.columnOf(model.cells[i]);
        if (column.area >= 0 && !column.beyond && (area < 0 || column.area == area))
            inside.push_back(static_cast<int>(i));
    }
    return thicknessField(model, layer, area, inside, least, greatest);
}

ThicknessField thicknessField(const Model& model, LayerId layer, int area, std::span<const int> cells,
                              std::optional<double> least, std::optional<double> greatest) {
    ThicknessField field;
    field.layer = layer;
    field.area = area;
    FieldSums sums(model, field);
    std::vector<FieldCell> thin, thick;
    const auto add = [](const FieldCell& cell, std::vector<FieldCell>& past) {
        if (isPast(cell)) past.push_back(cell);
    };
    bool first = true;
    for (const int i : cells) {
        const Cell& cell = model.cells[index(i)];
        CellThickness thickness = thicknessOn(model, cell, layer);
        if (!thickness.present) continue;
        if (least) thickness.least = least;
        if (greatest) thickness.greatest = greatest;
        sums.add(cell, thickness);
        widen(field.wantedLeast, thickness.least, first, true);
        widen(field.wantedGreatest, thickness.greatest, first, false);
        first = false;
        if (thickness.least) add(pastBound(i, thickness, *thickness.least, true), thin);
        if (thickness.greatest) add(pastBound(i, thickness, *thickness.greatest, false), thick);
    }
    if (field.planArea > 0) field.mean = field.volume / field.planArea;
    addPatches(model, thin, true, field);
    addPatches(model, thick, false, field);
    std::stable_sort(field.patches.begin(), field.patches.end(),
                     [](const Patch& a, const Patch& b) { return a.past > b.past; });
    return field;
}

}  // namespace underfoot
