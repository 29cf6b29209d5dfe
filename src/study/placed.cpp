#include "study/placed.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "ground/tolerance.h"

namespace underfoot {

namespace {

std::vector<FieldPatch> patchesOver(const Model& model, const HeightField& field, double bound, double sign) {
    std::vector<FieldCell> cells;
    for (const HeightPiece& piece : field) {
        FieldCell cell{piece.cell, piece.value, {}};
        for (size_t i = 0; i < 3; ++i) cell.excess[i] = sign * piece.value[i] - bound;
        cells.push_back(cell);
    }
    return fieldPatches(model, cells);
}

// Gaps under a straightedge, found once for surfaces that are the same: a finish on an even bed deviates as
// the base below it does.
class Straightedges {
  public:
    explicit Straightedges(double length) : length_(length) {}

    StraightedgeGap greatest(const HeightField& field) {
        Known& known = knownOf(field);
        if (!known.gap) known.gap = greatestGap(field, length_);
        return *known.gap;
    }
    const HeightField& over(const HeightField& field) {
        Known& known = knownOf(field);
        if (!known.over) known.over = gapsOver(field, length_);
        return *known.over;
    }

  private:
    struct Known {
        HeightField field;
        std::optional<StraightedgeGap> gap;
        std::optional<HeightField> over;
    };

    static bool samePiece(const HeightPiece& a, const HeightPiece& b) {
        constexpr double sameValue = 1e-9;
        for (size_t i = 0; i < 3; ++i)
            if (a.at[i] != b.at[i] || std::abs(a.value[i] - b.value[i]) > sameValue) return false;
        return a.cell == b.cell;
    }
    Known& knownOf(const HeightField& field) {
        for (Known& known : known_)
            if (std::equal(field.begin(), field.end(), known.field.begin(), known.field.end(), samePiece))
                return known;
        known_.push_back({field, {}, {}});
        return known_.back();
    }

    double length_;
    std::vector<Known> known_;
};

PlacedSurface surfaceOf(const Model& model, const HeightField& deviation, double tolerance,
                        Straightedges& straightedges) {
    PlacedSurface surface;
    surface.figures = figuresOf(deviation, tolerance);
    surface.gap = straightedges.greatest(deviation);
    surface.high = patchesOver(model, deviation, tolerance, 1);
    surface.low = patchesOver(model, deviation, tolerance, -1);
    if (surface.gap.gap > tolerance + tolerance::lengthCompare)
        surface.gaps = patchesOver(model, straightedges.over(deviation), tolerance, 1);
    return surface;
}

// The bedding above a layer in one build-up; nothing without both.
Layer* bedAbove(BuildUp& buildUp, const std::string& layer) {
    Layer* bed = nullptr;
    for (Layer& one : buildUp.layers) {
        if (one.name == layer) return bed;
        if (one.role == Role::Bedding) bed = &one;
    }
    return nullptr;
}

bool takesUpSame(const Plan& a, const Plan& b) {
    for (size_t i = 0; i < a.buildUps.size(); ++i)
        for (size_t k = 0; k < a.buildUps[i].layers.size(); ++k)
            if (a.buildUps[i].layers[k].takesUp != b.buildUps[i].layers[k].takesUp) return false;
    return true;
}

void readBeds(const Model& model, const std::string& layer, PredictedFinish& predicted) {
    Plan plan = model.plan;
    std::vector<LayerId> known;
    for (BuildUp& buildUp : plan.buildUps) {
        const Layer* bed = bedAbove(buildUp, layer);
        const LayerId id = bed ? model.findLayer(bed->name) : -1;
        if (id < 0 || std::find(known.begin(), known.end(), id) != known.end()) continue;
        known.push_back(id);
        ThicknessField field = thicknessField(model, id);
        if (field.planArea > 0) predicted.beds.push_back(std::move(field));
    }
}

void addFinish(const Model& model, const std::string& layer, Screeding way, const Placed& all,
               Straightedges& straightedges, PlacedTop& top) {
    const auto plan = screeded(model.plan, layer, way);
    if (!plan) return;
    PredictedFinish predicted;
    predicted.way = way;
    predicted.asPlanned = takesUpSame(*plan, model.plan);
    std::optional<Model> other;
    if (!predicted.asPlanned) {
        auto built = buildModel(*plan);
        if (!built) return;
        other = std::move(*built);
    }
    const Model& under = other ? *other : model;
    const LayerId id = under.findLayer(layer);
    predicted.finish = surfaceOf(under, finishDeviation(under, id), all.finishTolerance, straightedges);
    predicted.lippage = lippage(under, finishHeights(under), all.proud);
    readBeds(under, layer, predicted);
    top.finishes.push_back(std::move(predicted));
}

void addCorrections(const Model& model, const HeightField& deviation, double length, PlacedTop& top) {
    const double bound = top.tolerance + tolerance::lengthCompare;
    const FieldFigures& figures = top.surface.figures;
    top.passes = figures.greatest <= bound && figures.least >= -bound && top.surface.gap.gap <= bound;
    if (top.passes) return;
    top.stringsStay = correctionsAt(model, deviation, 0, bandToPass(deviation, 0, top.tolerance, length));
    double shift = leastWorkShift(deviation, top.tolerance);
    double band = bandToPass(deviation, shift, top.tolerance, length);
    if (band < top.tolerance) {
        shift = leastWorkShift(deviation, band);
        band = std::min(band, bandToPass(deviation, shift, top.tolerance, length));
    }
    top.stringsMove = correctionsAt(model, deviation, shift, band);
    if (top.stringsMove.work() > top.stringsStay.work()) top.stringsMove = top.stringsStay;
}

}  // namespace

std::optional<Plan> screeded(const Plan& plan, const std::string& layer, Screeding way) {
    Plan changed = plan;
    bool any = false;
    for (BuildUp& buildUp : changed.buildUps) {
        Layer* bed = bedAbove(buildUp, layer);
        if (!bed) continue;
        any = true;
        for (Layer& one : buildUp.layers) {
            if (one.name == layer) break;
            one.takesUp = way == Screeding::ToStrings && &one == bed;
        }
    }
    if (!any) return {};
    return changed;
}

Placed placed(const Model& model, const Catalogue& catalogue) {
    Placed all;
    all.length = catalogue.limit("finish.deviation.over").value;
    all.finishTolerance = catalogue.limit("finish.deviation").value;
    all.proud = catalogue.limit("proud").value;
    for (const MeasuredTop& measured : model.plan.measuredTops) {
        PlacedTop top;
        top.layer = model.findLayer(measured.layer);
        if (top.layer < 0) continue;
        Straightedges straightedges(all.length);
        const HeightField deviation = layerDeviation(model, top.layer);
        if (deviation.empty()) continue;
        const Role role = model.layers[static_cast<size_t>(top.layer)].role;
        top.tolerance = role == Role::Units ? all.finishTolerance : catalogue.limit("base.deviation").value;
        top.surface = surfaceOf(model, deviation, top.tolerance, straightedges);
        for (const Screeding way : {Screeding::ToStrings, Screeding::OnBase})
            addFinish(model, measured.layer, way, all, straightedges, top);
        addCorrections(model, deviation, all.length, top);
        all.tops.push_back(std::move(top));
    }
    return all;
}

}  // namespace underfoot
