#include "study/height_field.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>

#include "plan/plan.h"
#include "study/index.h"

namespace underfoot {

namespace {

constexpr double leastArea =
    1e-10;  // a thinner triangle has no fall to speak of; its neighbours have its corners

double areaOf(const HeightPiece& piece) {
    const glm::dvec2 b = piece.at[1] - piece.at[0], c = piece.at[2] - piece.at[0];
    return 0.5 * (b.x * c.y - b.y * c.x);
}

bool standsInside(const Column& column) {
    return column.area >= 0 && !column.beyond;
}

int entryOf(const Column& column, LayerId layer) {
    for (size_t k = 0; k < column.entries.size(); ++k)
        if (column.entries[k].layer == layer) return static_cast<int>(k);
    return -1;
}

double designedDepth(const Model& model, const Column& column, int entry) {
    double present = 0, whole = 0;
    bool takesUp = false;
    for (int k = 0; k < entry; ++k) {
        present += column.entries[index(k)].wanted;
        takesUp = takesUp || column.entries[index(k)].takesUp;
    }
    const BuildUp* buildUp = takesUp ? buildUpOf(model.plan, column.area) : nullptr;
    if (!buildUp) return present;
    const std::string& name = model.layers[index(column.entries[index(entry)].layer)].name;
    for (const Layer& layer : buildUp->layers) {
        if (layer.name == name) return whole;
        whole += layer.thickness;
    }
    return present;
}

template <class ValueAt>
void addPiece(const Model& model, int c, HeightField& field, const ValueAt& valueAt) {
    const Cell& cell = model.cells[index(c)];
    HeightPiece piece;
    piece.cell = c;
    for (int i = 0; i < 3; ++i) {
        piece.at[index(i)] = model.at(cell, i);
        piece.value[index(i)] = valueAt(cell, i);
    }
    if (areaOf(piece) > leastArea) field.push_back(piece);
}

struct Corner {
    glm::dvec2 at{0, 0};
    double value = 0;
};
using Polygon = std::vector<Corner>;

Polygon polygonOf(const HeightPiece& piece) {
    Polygon polygon;
    for (size_t i = 0; i < 3; ++i) polygon.push_back({piece.at[i], piece.value[i]});
    return polygon;
}

// The part where sign * (value - bound) >= 0.
Polygon partOver(const Polygon& polygon, double bound, double sign) {
    Polygon part;
    for (size_t i = 0; i < polygon.size(); ++i) {
        const Corner &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
        const double ea = sign * (a.value - bound), eb = sign * (b.value - bound);
        if (ea >= 0) part.push_back(a);
        if ((ea > 0 && eb < 0) || (ea < 0 && eb > 0)) {
            part.push_back({a.at + (b.at - a.at) * (ea / (ea - eb)), bound});
        }
    }
    return part;
}

void addFan(const Polygon& polygon, int cell, HeightField& field) {
    for (size_t i = 1; i + 1 < polygon.size(); ++i) {
        const Corner &a = polygon[0], &b = polygon[i], &c = polygon[i + 1];
        const HeightPiece piece{cell, {a.at, b.at, c.at}, {a.value, b.value, c.value}};
        if (areaOf(piece) > leastArea) field.push_back(piece);
    }
}

// What of a triangle stands above nothing, of values that are not all on one side: beside one corner it is a
// triangle with that corner, and beside two it is the whole less the triangle beside the third.
Surplus overNothing(std::array<double, 3> value, double area) {
    std::sort(value.begin(), value.end(), std::greater<>());
    const auto [high, middle, low] = value;
    const auto beside = [&](double one, double next, double last) {
        const double part = area * (one / (one - next)) * (one / (one - last));
        return Surplus{part, part * one / 3};
    };
    if (middle <= 0) return beside(high, middle, low);
    const Surplus lack = beside(low, middle, high);
    return {area - lack.area, area * (high + middle + low) / 3 - lack.volume};
}

Surplus beyond(const HeightField& field, double bound, double sign) {
    Surplus sum;
    for (const HeightPiece& piece : field) {
        std::array<double, 3> over{};
        for (size_t i = 0; i < 3; ++i) over[i] = sign * (piece.value[i] - bound);
        const double most = std::max({over[0], over[1], over[2]}),
                     least = std::min({over[0], over[1], over[2]});
        if (most <= 0) continue;
        const double area = areaOf(piece);
        const Surplus part =
            least >= 0 ? Surplus{area, area * (over[0] + over[1] + over[2]) / 3} : overNothing(over, area);
        sum.area += part.area, sum.volume += part.volume;
    }
    return sum;
}

}  // namespace

HeightField layerDeviation(const Model& model, LayerId layer) {
    HeightField field;
    std::vector<int> entry;
    std::vector<double> depth;
    for (const Column& column : model.columns) {
        entry.push_back(standsInside(column) ? entryOf(column, layer) : -1);
        depth.push_back(entry.back() < 0 ? 0 : designedDepth(model, column, entry.back()));
    }
    for (int c = 0; c < static_cast<int>(model.cells.size()); ++c) {
        const size_t column = index(model.cells[index(c)].column);
        if (entry[column] < 0) continue;
        addPiece(model, c, field, [&](const Cell& cell, int i) {
            return model.height(cell, i, entry[column]) - model.factsAt(cell, i).designFinish + depth[column];
        });
    }
    return field;
}

HeightField finishDeviation(const Model& model, LayerId layer) {
    std::vector<char> has(model.plan.areas.size(), 0);
    for (const Column& column : model.columns)
        if (standsInside(column) && entryOf(column, layer) >= 0) has[index(column.area)] = 1;
    HeightField field;
    for (int c = 0; c < static_cast<int>(model.cells.size()); ++c) {
        const Column& column = model.columnOf(model.cells[index(c)]);
        if (!standsInside(column) || !has[index(column.area)]) continue;
        addPiece(model, c, field, [&](const Cell& cell, int i) {
            return model.height(cell, i, 0) - model.factsAt(cell, i).designFinish;
        });
    }
    return field;
}

HeightField finishHeights(const Model& model) {
    HeightField field;
    for (int c = 0; c < static_cast<int>(model.cells.size()); ++c) {
        if (!standsInside(model.columnOf(model.cells[index(c)]))) continue;
        addPiece(model, c, field, [&](const Cell& cell, int i) { return model.height(cell, i, 0); });
    }
    return field;
}

FieldFigures figuresOf(const HeightField& field, double bound) {
    FieldFigures sum;
    double squares = 0;
    bool first = true;
    for (const HeightPiece& piece : field) {
        const double area = areaOf(piece), a = piece.value[0], b = piece.value[1], c = piece.value[2];
        sum.planArea += area;
        sum.mean += area * (a + b + c) / 3;
        squares += area * (a * a + b * b + c * c + a * b + b * c + c * a) / 6;
        for (size_t i = 0; i < 3; ++i) {
            if (first || piece.value[i] < sum.least) sum.least = piece.value[i], sum.leastAt = piece.at[i];
            if (first || piece.value[i] > sum.greatest)
                sum.greatest = piece.value[i], sum.greatestAt = piece.at[i];
            first = false;
        }
    }
    if (sum.planArea <= 0) return sum;
    sum.mean /= sum.planArea;
    sum.rootMeanSquare = std::sqrt(squares / sum.planArea);
    sum.areaOver = surplusOver(field, bound).area;
    sum.areaUnder = lackUnder(field, -bound).area;
    return sum;
}

HeightField heldBetween(const HeightField& field, double low, double high) {
    HeightField held;
    const auto add = [&](Polygon polygon, int cell) {
        for (Corner& corner : polygon) corner.value = std::clamp(corner.value, low, high);
        addFan(polygon, cell, held);
    };
    for (const HeightPiece& piece : field) {
        const auto [least, greatest] = std::minmax_element(piece.value.begin(), piece.value.end());
        if (*least >= low && *greatest <= high) {
            held.push_back(piece);
            continue;
        }
        const Polygon whole = polygonOf(piece), notHigh = partOver(whole, high, -1);
        if (*greatest > high) add(partOver(whole, high, 1), piece.cell);
        if (*least < low) add(partOver(whole, low, -1), piece.cell);
        if (*least<high&& * greatest> low) add(partOver(notHigh, low, 1), piece.cell);
    }
    return held;
}

Surplus surplusOver(const HeightField& field, double bound) {
    return beyond(field, bound, 1);
}
Surplus lackUnder(const HeightField& field, double bound) {
    return beyond(field, bound, -1);
}

}  // namespace underfoot
