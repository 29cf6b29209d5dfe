#include "study/placed.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <functional>
#include <optional>
#include <string>
#include <utility>

#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "measure/side_by_side.h"
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

using Work = std::vector<std::function<void()>>;

// A surface that straightedges are laid on, and what they show. Surfaces that are the same are tested once: a
// finish on an even bed deviates as the base below it does.
struct Tested {
    struct Over {
        double past = 0;
        std::optional<HeightField> gaps;  // none while it is not known whether any passes
    };
    HeightField field;
    Straightedge straightedge;
    StraightedgeGap gap;
    std::deque<Over> over;  // for each tolerance that is asked about

    Over& asked(double past) {
        for (Over& one : over)
            if (one.past == past) return one;
        return over.emplace_back(Over{past, {}});
    }
    bool passes(double bound) const { return gap.gap <= bound + tolerance::lengthCompare; }
    /// One of the straightedges that are tried first shows it.
    bool failsAtOnce(double bound) const {
        const StraightedgeEffort atOnce{halfMillimetre, 0, bound + tolerance::lengthCompare};
        return straightedge.greatest(atOnce).gap > bound + tolerance::lengthCompare;
    }
};

bool samePiece(const HeightPiece& a, const HeightPiece& b) {
    constexpr double sameValue = 1e-9;
    for (size_t i = 0; i < 3; ++i)
        if (a.at[i] != b.at[i] || std::abs(a.value[i] - b.value[i]) > sameValue) return false;
    return a.cell == b.cell;
}

// The finish that one way of screeding would give.
struct ScreededFinish {
    PredictedFinish predicted;
    std::optional<Model> other;  // none where it is the plan's own
    HeightField deviation;
    Tested* tested = nullptr;
};

// A measured top, and the bands that its heights are to be brought into.
struct MeasuredSurface {
    std::string layer;
    PlacedTop top;
    HeightField deviation;
    Tested* tested = nullptr;
    std::deque<ScreededFinish> finishes;
    std::optional<double> bandStaying, bandMoving;  // none while it is not known whether the top passes
    double shift = 0;
};

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

void readSurface(const Model& model, const HeightField& deviation, double tolerance, Tested& tested,
                 PlacedSurface& surface) {
    surface.figures = figuresOf(deviation, tolerance);
    surface.gap = tested.gap;
    surface.high = patchesOver(model, deviation, tolerance, 1);
    surface.low = patchesOver(model, deviation, tolerance, -1);
    if (!tested.passes(tolerance))
        surface.gaps = patchesOver(model, *tested.asked(tolerance).gaps, tolerance, 1);
}

void findBandMoving(MeasuredSurface& on) {
    const Straightedge& straightedge = on.tested->straightedge;
    const double tolerance = on.top.tolerance;
    on.shift = leastWorkShift(on.deviation, tolerance);
    const double band = bandToPass(straightedge, on.shift, tolerance);
    on.bandMoving = band;
    if (band >= tolerance) return;
    on.shift = leastWorkShift(on.deviation, band);
    on.bandMoving = std::min(band, bandToPass(straightedge, on.shift, tolerance));
}

// Surfaces are gathered first; then what takes long is done side by side, for little of it waits for the
// rest.
class Placing {
  public:
    Placing(const Model& model, const Catalogue& catalogue) : model_(model), catalogue_(catalogue) {
        all_.length = catalogue.limit("finish.deviation.over").value;
        all_.finishTolerance = catalogue.limit("finish.deviation").value;
        all_.proud = catalogue.limit("proud").value;
    }

    Placed place() {
        for (const MeasuredTop& measured : model_.plan.measuredTops) gather(measured.layer);
        work();
        for (MeasuredSurface& on : surfaces_) {
            read(on);
            all_.tops.push_back(std::move(on.top));
        }
        return std::move(all_);
    }

  private:
    void gather(const std::string& layer) {
        const LayerId id = model_.findLayer(layer);
        if (id < 0) return;
        HeightField deviation = layerDeviation(model_, id);
        if (deviation.empty()) return;
        MeasuredSurface& on = surfaces_.emplace_back();
        on.layer = layer;
        on.top.layer = id;
        on.top.tolerance = model_.layers[static_cast<size_t>(id)].role == Role::Units
                               ? all_.finishTolerance
                               : catalogue_.limit("base.deviation").value;
        on.deviation = std::move(deviation);
        on.tested = &testedOn(on.deviation, on.top.tolerance);
        for (const Screeding way : {Screeding::ToStrings, Screeding::OnBase}) gatherFinish(way, on);
    }

    void gatherFinish(Screeding way, MeasuredSurface& on) {
        const auto plan = screeded(model_.plan, on.layer, way);
        if (!plan) return;
        ScreededFinish finish;
        finish.predicted.way = way;
        finish.predicted.asPlanned = takesUpSame(*plan, model_.plan);
        if (!finish.predicted.asPlanned) {
            finish.other = screededModel(model_, *plan, on.layer);
            if (!finish.other) return;
        }
        const Model& under = modelOf(finish);
        finish.deviation = finishDeviation(under, under.findLayer(on.layer));
        finish.tested = &testedOn(finish.deviation, all_.finishTolerance);
        on.finishes.push_back(std::move(finish));
    }
    const Model& modelOf(const ScreededFinish& finish) const { return finish.other ? *finish.other : model_; }

    Tested& testedOn(const HeightField& field, double tolerance) {
        for (Tested& known : tested_)
            if (std::equal(field.begin(), field.end(), known.field.begin(), known.field.end(), samePiece)) {
                known.asked(tolerance);
                return known;
            }
        Tested& made = tested_.emplace_back(Tested{field, Straightedge(field, all_.length), {}, {}});
        made.asked(tolerance);
        return made;
    }

    // What is asked of a surface that fails need not wait for its greatest gap where it is seen at once that
    // it does; else it is done after it. What takes longest is begun first.
    void work() {
        Work all;
        for (Tested& tested : tested_)
            all.push_back([&tested] { tested.gap = tested.straightedge.greatest({halfMillimetre}); });
        addWhatFailuresAsk(true, all);
        for (MeasuredSurface& on : surfaces_)
            for (ScreededFinish& finish : on.finishes) addFinish(on.layer, finish, all);
        doAll(all);
        Work left;
        addWhatFailuresAsk(false, left);
        doAll(left);
    }

    static void doAll(const Work& work) {
        sideBySide(work.size(), [&](size_t i) { work[i](); });
    }

    void addWhatFailuresAsk(bool atOnce, Work& work) {
        for (Tested& tested : tested_)
            for (Tested::Over& over : tested.over) {
                if (over.gaps || (!atOnce && tested.passes(over.past))) continue;
                work.push_back([atOnce, &tested, &over] {
                    if (!atOnce || tested.failsAtOnce(over.past))
                        over.gaps = tested.straightedge.gapsOver(over.past);
                });
            }
        for (MeasuredSurface& on : surfaces_) {
            if (on.bandStaying || (atOnce ? isHeld(on) : passes(on))) continue;
            work.push_back(
                [&on] { on.bandStaying = bandToPass(on.tested->straightedge, 0, on.top.tolerance); });
            work.push_back([&on] { findBandMoving(on); });
        }
    }

    void addFinish(const std::string& layer, ScreededFinish& finish, Work& work) const {
        work.push_back([this, &layer, &finish] {
            const Model& under = modelOf(finish);
            finish.predicted.lippage = lippage(under, finishHeights(under), all_.proud);
            readBeds(under, layer, finish.predicted);
        });
    }

    // All heights lie within the tolerance.
    static bool isHeld(const MeasuredSurface& on) {
        const double bound = on.top.tolerance + tolerance::lengthCompare;
        return std::all_of(on.deviation.begin(), on.deviation.end(), [bound](const HeightPiece& piece) {
            return std::all_of(piece.value.begin(), piece.value.end(),
                               [bound](double value) { return std::abs(value) <= bound; });
        });
    }

    static bool passes(const MeasuredSurface& on) {
        return isHeld(on) && on.tested->passes(on.top.tolerance);
    }

    void read(MeasuredSurface& on) const {
        readSurface(model_, on.deviation, on.top.tolerance, *on.tested, on.top.surface);
        for (ScreededFinish& finish : on.finishes) {
            readSurface(modelOf(finish), finish.deviation, all_.finishTolerance, *finish.tested,
                        finish.predicted.finish);
            on.top.finishes.push_back(std::move(finish.predicted));
        }
        on.top.passes = passes(on);
        if (!on.top.passes) correct(on);
    }

    void correct(MeasuredSurface& on) const {
        PlacedTop& top = on.top;
        top.stringsStay = correctionsAt(model_, on.deviation, 0, *on.bandStaying);
        top.stringsMove = correctionsAt(model_, on.deviation, on.shift, *on.bandMoving);
        if (top.stringsMove.work() > top.stringsStay.work()) top.stringsMove = top.stringsStay;
    }

    const Model& model_;
    const Catalogue& catalogue_;
    Placed all_;
    std::deque<Tested> tested_;
    std::deque<MeasuredSurface> surfaces_;
};

}  // namespace

Placed placed(const Model& model, const Catalogue& catalogue) {
    return Placing(model, catalogue).place();
}

}  // namespace underfoot
