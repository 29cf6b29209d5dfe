#include "study/volumes.h"

#include <algorithm>
#include <cassert>

#include "ground/tolerance.h"

namespace underfoot {

namespace {

struct Sum {
    double volume = 0;
    double planArea = 0;
};

// What all cells of one column add up to, entry by entry; sorted into layers at the end.
struct ColumnSums {
    std::vector<Sum> entries;
    std::vector<double>
        layerArea;  // at the first entry of each layer: where its entries together have thickness
    double planArea = 0;
};

// Thicknesses are never below zero: their sum tells whether there is any.
void addCell(const Model& model, const Cell& cell, double area, ColumnSums& sums) {
    const auto& entries = model.columnOf(cell).entries;
    const size_t n = entries.size() + 1;
    const double* h0 = model.heights.data() + cell.first;
    const double* h1 = h0 + n;
    const double* h2 = h1 + n;
    sums.planArea += area;
    size_t firstOfLayer = 0;
    bool counted = false;
    double above = h0[0] + h1[0] + h2[0];
    for (size_t e = 0; e + 1 < n; ++e) {
        const double below = h0[e + 1] + h1[e + 1] + h2[e + 1];
        const double thickness = above - below;
        above = below;
        sums.entries[e].volume += area * (thickness / 3);
        if (e == 0 || entries[e].layer != entries[e - 1].layer) {
            firstOfLayer = e;
            counted = false;
        }
        if (thickness <= tolerance::zeroThickness) continue;
        sums.entries[e].planArea += area;
        if (!counted) sums.layerArea[firstOfLayer] += area;
        counted = true;
    }
}

double prism(double area, double a, double b, double c) {
    return area * ((std::max(0.0, a) + std::max(0.0, b) + std::max(0.0, c)) / 3);
}

// Strip everywhere; cut where something is built.
void addEarth(const Model& model, size_t index, const Cell& cell, double area, Volumes& result) {
    const CornerFacts* facts = model.facts.data() + 3 * index;
    result.strip += prism(area, facts[0].ground - facts[0].stripped, facts[1].ground - facts[1].stripped,
                          facts[2].ground - facts[2].stripped);
    const Column& column = model.columnOf(cell);
    if (column.area < 0) return;
    const int top = static_cast<int>(column.entries.size()) - 1;  // of the native soil
    result.cut +=
        prism(area, facts[0].stripped - model.height(cell, 0, top),
              facts[1].stripped - model.height(cell, 1, top), facts[2].stripped - model.height(cell, 2, top));
}

LiftVolume& liftOf(LayerVolume& layer, int lift) {
    const auto at = std::lower_bound(layer.lifts.begin(), layer.lifts.end(), lift,
                                     [](const LiftVolume& l, int wanted) { return l.lift < wanted; });
    if (at != layer.lifts.end() && at->lift == lift) return *at;
    return *layer.lifts.insert(at, LiftVolume{lift, 0, 0});
}

void addColumn(const Column& column, const ColumnSums& sums, std::vector<LayerVolume>& layers) {
    const bool inside = column.area >= 0 && !column.beyond;
    for (size_t e = 0; e < column.entries.size(); ++e) {
        const ColumnEntry& entry = column.entries[e];
        LayerVolume& layer = layers[static_cast<size_t>(entry.layer)];
        layer.volume += sums.entries[e].volume;
        if (inside) layer.insideVolume += sums.entries[e].volume;
        layer.planArea += sums.layerArea[e];
        LiftVolume& lift = liftOf(layer, entry.lift);
        lift.volume += sums.entries[e].volume;
        lift.planArea += sums.entries[e].planArea;
    }
}

}  // namespace

Volumes volumes(const Model& model) {
    assert(model.facts.size() == 3 * model.cells.size());
    std::vector<ColumnSums> sums(model.columns.size());
    for (size_t c = 0; c < sums.size(); ++c) {
        sums[c].entries.resize(model.columns[c].entries.size());
        sums[c].layerArea.resize(model.columns[c].entries.size());
    }
    Volumes result;
    for (size_t i = 0; i < model.cells.size(); ++i) {
        const Cell& cell = model.cells[i];
        const double area = model.planArea(cell);
        addCell(model, cell, area, sums[static_cast<size_t>(cell.column)]);
        addEarth(model, i, cell, area, result);
    }
    std::vector<LayerVolume> layers(model.layers.size());
    for (size_t l = 0; l < layers.size(); ++l) layers[l].layer = static_cast<LayerId>(l);
    for (size_t c = 0; c < sums.size(); ++c) {
        const Column& column = model.columns[c];
        addColumn(column, sums[c], layers);
        if (column.area >= 0 && !column.beyond) result.finishArea += sums[c].planArea;
    }
    for (LayerVolume& layer : layers) {
        if (layer.layer == model.nativeSoil) continue;
        if (model.layers[static_cast<size_t>(layer.layer)].role == Role::Fill) result.fill += layer.volume;
        result.layers.push_back(std::move(layer));
    }
    return result;
}

}  // namespace underfoot
