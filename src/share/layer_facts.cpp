#include "share/layer_facts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <glm/geometric.hpp>
#include <glm/vec3.hpp>

namespace underfoot {
namespace {

bool isInside(const Column& column) {
    return column.area >= 0 && !column.beyond;
}

/// Running sums of one layer, inside the outlines or everywhere.
struct Sums {
    double least = std::numeric_limits<double>::infinity();
    double greatest = -std::numeric_limits<double>::infinity();
    double volume = 0, area = 0;

    void add(const std::array<double, 3>& thickness, double planArea) {
        for (const double t : thickness) {
            least = std::min(least, t);
            greatest = std::max(greatest, t);
        }
        volume += planArea * (thickness[0] + thickness[1] + thickness[2]) / 3;
        area += planArea;
    }
};

/// The layers of a column, lifts together: first and last entry.
struct Span {
    LayerId layer;
    int first, last;
};
std::vector<Span> spansOf(const Column& column) {
    std::vector<Span> out;
    for (int i = 0; i < static_cast<int>(column.entries.size()); ++i) {
        const LayerId layer = column.entries[static_cast<size_t>(i)].layer;
        if (!out.empty() && out.back().layer == layer)
            out.back().last = i;
        else
            out.push_back({layer, i, i});
    }
    return out;
}

void sumThickness(const Model& model, std::vector<Sums>& inside, std::vector<Sums>& everywhere) {
    std::vector<std::vector<Span>> spans;
    for (const Column& column : model.columns) spans.push_back(spansOf(column));
    for (const Cell& cell : model.cells) {
        const double area = model.planArea(cell);
        for (const Span& span : spans[static_cast<size_t>(cell.column)]) {
            std::array<double, 3> thickness{};
            for (int c = 0; c < 3; ++c)
                thickness[static_cast<size_t>(c)] =
                    model.height(cell, c, span.first) - model.height(cell, c, span.last + 1);
            everywhere[static_cast<size_t>(span.layer)].add(thickness, area);
            if (isInside(model.columnOf(cell))) inside[static_cast<size_t>(span.layer)].add(thickness, area);
        }
    }
}

/// Longest way up from the bottom. Build-ups that order two layers differently would go round for ever: the
/// number of rounds ends it.
void rankLayers(const Model& model, std::vector<LayerFacts>& facts) {
    bool changed = true;
    for (size_t round = 0; changed && round <= facts.size(); ++round) {
        changed = false;
        for (const Column& column : model.columns)
            for (size_t i = column.entries.size(); i-- > 1;) {
                const LayerFacts& under = facts[static_cast<size_t>(column.entries[i].layer)];
                LayerFacts& over = facts[static_cast<size_t>(column.entries[i - 1].layer)];
                if (&under == &over || over.rank > under.rank) continue;
                over.rank = under.rank + 1;
                changed = true;
            }
    }
}

void readWanted(const Model& model, std::vector<LayerFacts>& facts) {
    std::vector<bool> mixed(facts.size(), false);
    for (const Column& column : model.columns) {
        if (!isInside(column)) continue;
        bool underTakeUp = false;
        for (size_t i = column.entries.size(); i-- > 0;) {
            const ColumnEntry& entry = column.entries[i];
            LayerFacts& f = facts[static_cast<size_t>(entry.layer)];
            f.overTakeUp = f.overTakeUp || underTakeUp;
            underTakeUp = underTakeUp || entry.takesUp;
        }
        for (const Span& span : spansOf(column)) {
            LayerFacts& f = facts[static_cast<size_t>(span.layer)];
            double wanted = 0;
            for (int i = span.first; i <= span.last; ++i)
                wanted += column.entries[static_cast<size_t>(i)].wanted;
            const ColumnEntry& entry = column.entries[static_cast<size_t>(span.first)];
            f.takesUp = f.takesUp || entry.takesUp;
            if (!f.wantedLeast) f.wantedLeast = entry.least;
            if (!f.wantedGreatest) f.wantedGreatest = entry.greatest;
            if (wanted <= 0) continue;
            if (f.wanted && *f.wanted != wanted) mixed[static_cast<size_t>(span.layer)] = true;
            f.wanted = wanted;
        }
    }
    for (size_t i = 0; i < facts.size(); ++i)
        if (mixed[i]) facts[i].wanted.reset();
}

ThicknessRange rangeOf(const LayerFacts& facts, const Sums& everywhere) {
    ThicknessRange range;
    range.low = everywhere.area > 0 ? everywhere.least : 0;
    range.high = everywhere.area > 0 ? everywhere.greatest : 0;
    if (facts.wantedLeast || facts.wantedGreatest) {
        range.hasWanted = true;
        range.wantedLeast = facts.wantedLeast.value_or(0);
        range.wantedGreatest = facts.wantedGreatest.value_or(std::max(range.high, range.wantedLeast));
        const double margin = 0.5 * (range.wantedGreatest - range.wantedLeast);
        range.low = std::min(range.low, std::max(0.0, range.wantedLeast - margin));
        range.high = std::max(range.high, range.wantedGreatest + margin);
    }
    if (range.high - range.low < 1e-3) range.high = range.low + 1e-3;
    return range;
}

}  // namespace

std::vector<LayerFacts> layerFacts(const Model& model) {
    std::vector<LayerFacts> out(model.layers.size());
    std::vector<Sums> inside(out.size()), everywhere(out.size());
    sumThickness(model, inside, everywhere);
    readWanted(model, out);
    rankLayers(model, out);
    for (size_t i = 0; i < out.size(); ++i) {
        const Sums& shown = inside[i].area > 0 ? inside[i] : everywhere[i];
        out[i].volume = everywhere[i].volume;
        out[i].range = rangeOf(out[i], everywhere[i]);
        if (shown.area <= 0) continue;
        out[i].least = shown.least;
        out[i].greatest = shown.greatest;
        out[i].mean = shown.volume / shown.area;
    }
    return out;
}

double layerThickness(const Model& model, const Cell& cell, int corner, LayerId layer) {
    double sum = 0;
    const Column& column = model.columnOf(cell);
    for (int i = 0; i < static_cast<int>(column.entries.size()); ++i)
        if (column.entries[static_cast<size_t>(i)].layer == layer) sum += model.thickness(cell, corner, i);
    return sum;
}

int nearestCorner(const Model& model, const Cell& cell, glm::dvec2 place) {
    int best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (int c = 0; c < 3; ++c) {
        const glm::dvec2 off = model.at(cell, c) - place;
        if (const double d = glm::dot(off, off); d < least) {
            least = d;
            best = c;
        }
    }
    return best;
}

double highestFinish(const Model& model) {
    double inside = -std::numeric_limits<double>::infinity(), any = inside;
    for (const Cell& cell : model.cells)
        for (int c = 0; c < 3; ++c) {
            any = std::max(any, model.height(cell, c, 0));
            if (isInside(model.columnOf(cell))) inside = std::max(inside, model.height(cell, c, 0));
        }
    if (std::isfinite(inside)) return inside;
    return model.cells.empty() ? 0 : any;
}

double prismVolume(const Prism& prism) {
    double six = 0;
    for (const auto& t : prism.triangles) {
        const glm::dvec3& from = prism.points[0];
        const glm::dvec3 a = prism.points[static_cast<size_t>(t[0])] - from,
                         b = prism.points[static_cast<size_t>(t[1])] - from,
                         c = prism.points[static_cast<size_t>(t[2])] - from;
        six += glm::dot(a, glm::cross(b, c));
    }
    return six / 6;
}

}  // namespace underfoot
