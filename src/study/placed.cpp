#include "study/placed.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <optional>
#include <string>
#include <utility>

#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "plan/plan.h"

namespace underfoot {

namespace {

constexpr double halfMillimetre = 5e-4;

std::vector<FieldPatch> patchesOver(const Model& model, const HeightField& field, double bound, double sign) {
    std::vector<FieldCell> cells;
    for (const HeightPiece& piece : field) {
        FieldCell cell{piece.cell, piece.value, {}};
        for (size_t i = 0; i < 3; ++i) cell.excess[i] = sign * piece.value[i] - bound;
        if (isPast(cell)) cells.push_back(cell);
    }
    return fieldPatches(model, cells);
}

// Gaps under a straightedge, found once for surfaces that are the same: a finish on an even bed deviates as
// the base below it does.
class Straightedges {
  public:
    explicit Straightedges(double length) : length_(length) {}

    struct Known {
        HeightField field;
        Straightedge straightedge;
        std::optional<StraightedgeGap> gap;
        std::optional<HeightField> over;
        double past = 0;  // of it
    };

    const StraightedgeGap& greatest(const HeightField& field) {
        Known& known = on(field);
        if (!known.gap) known.gap = known.straightedge.greatest({halfMillimetre});
        return *known.gap;
    }
    const HeightField& over(const HeightField& field, double past) {
        Known& known = on(field);
        if (!known.over || known.past != past) known.over = known.straightedge.gapsOver(past);
        known.past = past;
        return *known.over;
    }
    Known& on(const HeightField& field) {
        for (Known& known : known_)
            if (std::equal(field.begin(), field.end(), known.field.begin(), known.field.end(), samePiece))
                return known;
        known_.push_back({field, Straightedge(field, length_), {}, {}, 0});
        return known_.back();
    }

  private:
    static bool samePiece(const HeightPiece& a, const HeightPiece& b) {
        constexpr double sameValue = 1e-9;
        for (size_t i = 0; i < 3; ++i)
            if (a.at[i] != b.at[i] || std::abs(a.value[i] - b.value[i]) > sameValue) return false;
        return a.cell == b.cell;
    }
    double length_;
    std::deque<Known> known_;
};

PlacedSurface surfaceOf(const Model& model, const HeightField& deviation, double tolerance,
                        Straightedges& straightedges) {
    PlacedSurface surface;
    surface.figures = figuresOf(deviation, tolerance);
    surface.gap = straightedges.greatest(deviation);
    surface.high = patchesOver(model, deviation, tolerance, 1);
    surface.low = patchesOver(model, deviation, tolerance, -1);
    if (surface.gap.gap > tolerance + tolerance::lengthCompare)
        surface.gaps = patchesOver(model, straightedges.over(deviation, tolerance), tolerance, 1);
    return surface;
}

bool takesUpSame(const Plan& a, const Plan& b) {
    for (size_t i = 0; i < a.buildUps.size(); ++i)
        for (size_t k = 0; k < a.buildUps[i].layers.size(); ++k)
            if (a.buildUps[i].layers[k].takesUp != b.buildUps[i].layers[k].takesUp) return false;
    return true;
}

void readBeds(const Model& model, const std::string& layer, PredictedFinish& predicted) {
    std::vector<LayerId> known;
    for (const BuildUp& buildUp : model.plan.buildUps) {
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
        other = screededModel(model, *plan, layer);
        if (!other) return;
    }
    const Model& under = other ? *other : model;
    const LayerId id = under.findLayer(layer);
    predicted.finish = surfaceOf(under, finishDeviation(under, id), all.finishTolerance, straightedges);
    predicted.lippage = lippage(under, finishHeights(under), all.proud);
    readBeds(under, layer, predicted);
    top.finishes.push_back(std::move(predicted));
}

void addCorrections(const Model& model, const HeightField& deviation, const Straightedge& straightedge,
                    PlacedTop& top) {
    const double bound = top.tolerance + tolerance::lengthCompare;
    const FieldFigures& figures = top.surface.figures;
    top.passes = figures.greatest <= bound && figures.least >= -bound && top.surface.gap.gap <= bound;
    if (top.passes) return;
    top.stringsStay = correctionsAt(model, deviation, 0, bandToPass(straightedge, 0, top.tolerance));
    double shift = leastWorkShift(deviation, top.tolerance);
    double band = bandToPass(straightedge, shift, top.tolerance);
    if (band < top.tolerance) {
        shift = leastWorkShift(deviation, band);
        band = std::min(band, bandToPass(straightedge, shift, top.tolerance));
    }
    top.stringsMove = correctionsAt(model, deviation, shift, band);
    if (top.stringsMove.work() > top.stringsStay.work()) top.stringsMove = top.stringsStay;
}

}  // namespace

Placed placed(const Model& model, const Catalogue& catalogue) {
    Placed all;
    all.length = catalogue.limit("finish.deviation.over").value;
    all.finishTolerance = catalogue.limit("finish.deviation").value;
    all.proud = catalogue.limit("proud").value;
    Straightedges straightedges(all.length);
    for (const MeasuredTop& measured : model.plan.measuredTops) {
        PlacedTop top;
        top.layer = model.findLayer(measured.layer);
        if (top.layer < 0) continue;
        const HeightField deviation = layerDeviation(model, top.layer);
        if (deviation.empty()) continue;
        const Role role = model.layers[static_cast<size_t>(top.layer)].role;
        top.tolerance = role == Role::Units ? all.finishTolerance : catalogue.limit("base.deviation").value;
        top.surface = surfaceOf(model, deviation, top.tolerance, straightedges);
        for (const Screeding way : {Screeding::ToStrings, Screeding::OnBase})
            addFinish(model, measured.layer, way, all, straightedges, top);
        addCorrections(model, deviation, straightedges.on(deviation).straightedge, top);
        all.tops.push_back(std::move(top));
    }
    return all;
}

}  // namespace underfoot
