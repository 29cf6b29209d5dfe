#include "study/thickness.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "study/index.h"
#include "study/patches.h"
#include "study/prefetch.h"
#include "study/walk.h"

namespace underfoot {

namespace {

double doubleArea(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

// Shares of the three corners at a point of a cell.
std::array<double, 3> shares(const Model& model, const Cell& cell, glm::dvec2 p) {
    const glm::dvec2 a = model.at(cell, 0), b = model.at(cell, 1), c = model.at(cell, 2);
    const double whole = doubleArea(a, b, c);
    const double ofB = std::clamp(doubleArea(p, c, a) / whole, 0.0, 1.0);
    const double ofC = std::clamp(doubleArea(p, a, b) / whole, 0.0, 1.0 - ofB);
    return {1.0 - ofB - ofC, ofB, ofC};
}

// Written so that a level surface gives its own height back.
double heightAt(const Model& model, const Cell& cell, const std::array<double, 3>& share, int k) {
    const double h = model.height(cell, 0, k);
    return h + share[1] * (model.height(cell, 1, k) - h) + share[2] * (model.height(cell, 2, k) - h);
}

}  // namespace

int cellAt(const Model& model, glm::dvec2 point, int hint) {
    if (const auto clear = clearCellAt(model, point, hint)) return clear->cell;
    const int found = someCellAt(model, point, hint);
    if (found < 0) return -1;
    const std::vector<int> touching = cellsTouching(model, point, found, 0);
    return *std::min_element(touching.begin(), touching.end());
}

namespace {

std::optional<PointInCell> locate(const Model& model, glm::dvec2 point, int hint) {
    if (auto clear = clearCellAt(model, point, hint)) return clear;
    const int cell = cellAt(model, point, hint);
    if (cell < 0) return std::nullopt;
    return PointInCell{cell, shares(model, model.cells[index(cell)], point)};
}

}  // namespace

std::vector<LayerAt> stackAtPoint(const Model& model, glm::dvec2 point, int* cellHint) {
    const auto found = locate(model, point, cellHint ? *cellHint : -1);
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

// ---------------------------------------------------------------- many points

namespace {

// The points in an order in which each lies near the one before: strips of square buckets, every other one
// backward.
std::vector<int> nearbyOrder(const Model& model, std::span<const glm::dvec2> points) {
    const glm::dvec2 size = model.site.high - model.site.low;
    const double perBucket = 4.0, count = static_cast<double>(points.size());
    const double step = std::max(std::sqrt(std::max(size.x * size.y, 1e-12) * perBucket / count), 1e-6);
    const double perStep = 1 / step;
    const auto axis = [](double extent, double s) {
        return static_cast<size_t>(std::min(extent / s, 4095.0)) + 1;
    };
    const size_t columns = axis(size.x, step), rows = axis(size.y, step);
    const auto bucketOf = [&](glm::dvec2 p) {
        const auto clampTo = [](double v, size_t n) {
            return v > 0 ? static_cast<size_t>(std::min(v, static_cast<double>(n - 1))) : size_t{0};
        };
        const size_t row = clampTo((p.y - model.site.low.y) * perStep, rows);
        const size_t column = clampTo((p.x - model.site.low.x) * perStep, columns);
        return row * columns + (row % 2 == 0 ? column : columns - 1 - column);
    };
    std::vector<int> first(columns * rows + 1, 0);
    std::vector<int> bucket(points.size());
    for (size_t i = 0; i < points.size(); ++i) {
        bucket[i] = static_cast<int>(bucketOf(points[i]));
        ++first[index(bucket[i]) + 1];
    }
    for (size_t b = 1; b < first.size(); ++b) first[b] += first[b - 1];
    std::vector<int> order(points.size());
    for (size_t i = 0; i < points.size(); ++i) order[index(first[index(bucket[i])]++)] = static_cast<int>(i);
    return order;
}

// One layer of a column, its lifts together: they follow each other, so that its thickness is the height of
// its first interface less that of its last.
struct LayerRun {
    size_t layer = 0;
    int first = 0, last = 0;
};

std::vector<std::vector<LayerRun>> layerRuns(const Model& model) {
    std::vector<std::vector<LayerRun>> runs;
    for (const Column& column : model.columns) {
        std::vector<LayerRun>& all = runs.emplace_back();
        for (int e = 0; e < static_cast<int>(column.entries.size()); ++e) {
            const size_t layer = index(column.entries[index(e)].layer);
            if (all.empty() || all.back().layer != layer) all.push_back({layer, e, e});
            all.back().last = e + 1;
        }
    }
    return runs;
}

// Writes the thicknesses at one point into its row.
void layerThicknesses(const Model& model, const PointInCell& point, const std::vector<LayerRun>& runs,
                      double* row) {
    const Cell& cell = model.cells[index(point.cell)];
    const double *h0 = model.stack(cell, 0), *h1 = model.stack(cell, 1), *h2 = model.stack(cell, 2);
    const double ofB = point.share[1], ofC = point.share[2];
    const auto height = [=](int k) { return h0[k] + ofB * (h1[k] - h0[k]) + ofC * (h2[k] - h0[k]); };
    double top = height(0);
    for (const LayerRun& run : runs) {
        const double bottom = height(run.last);
        row[run.layer] = top - bottom;
        top = bottom;
    }
}

}  // namespace

std::vector<double> thicknessAtPoints(const Model& model, std::span<const glm::dvec2> points) {
    const size_t layers = model.layers.size();
    std::vector<double> table(points.size() * layers, std::numeric_limits<double>::quiet_NaN());
    if (points.empty() || model.cells.empty()) return table;
    const auto runs = layerRuns(model);
    const std::vector<int> order = nearbyOrder(model, points);
    constexpr size_t ahead = 12;  // points between asking for a place in memory and using it
    int hint = -1;
    for (size_t k = 0; k < order.size(); ++k) {
        if (k + ahead < order.size()) {
            wantedSoon(&points[index(order[k + ahead])]);
            wantedSoon(table.data() + index(order[k + ahead]) * layers);
        }
        const auto found = locate(model, points[index(order[k])], hint);
        if (!found) continue;
        hint = found->cell;
        layerThicknesses(model, *found, runs[index(model.cells[index(hint)].column)],
                         table.data() + index(order[k]) * layers);
    }
    return table;
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
        if (thickness.least) thin.push_back(pastBound(i, thickness, *thickness.least, true));
        if (thickness.greatest) thick.push_back(pastBound(i, thickness, *thickness.greatest, false));
    }
    if (field.planArea > 0) field.mean = field.volume / field.planArea;
    addPatches(model, thin, true, field);
    addPatches(model, thick, false, field);
    std::stable_sort(field.patches.begin(), field.patches.end(),
                     [](const Patch& a, const Patch& b) { return a.past > b.past; });
    return field;
}

}  // namespace underfoot
