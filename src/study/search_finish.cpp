#include "study/search_finish.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <utility>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "ground/tolerance.h"
#include "measure/length.h"
#include "measure/slope.h"
#include "model/rebuild.h"
#include "study/compare.h"
#include "study/earthwork.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/water.h"
#include "study/water_flow.h"
#include "study/water_surface.h"

namespace underfoot {
namespace {

/// All levels of a plan's finishes, raised.
std::vector<HeightEdit> raisedBy(const Plan& plan, double raise) {
    std::vector<HeightEdit> edits;
    for (size_t f = 0; f < plan.finishes.size(); ++f) {
        const Finish& finish = plan.finishes[f];
        const size_t items = finish.planes.empty() ? finish.spots.size() : finish.planes.size();
        for (size_t i = 0; i < items; ++i) {
            const double level = finish.planes.empty() ? finish.spots[i].level : finish.planes[i].level;
            edits.push_back(
                {HeightEdit::Of::FinishLevel, static_cast<int>(f), static_cast<int>(i), level + raise});
        }
    }
    return edits;
}

/// The planes of the plan's own finish.
std::vector<HeightEdit> fallingBy(const Plan& plan, double fall) {
    std::vector<HeightEdit> edits;
    for (size_t f = 0; f < plan.finishes.size(); ++f) {
        if (!plan.finishes[f].name.empty()) continue;
        for (size_t i = 0; i < plan.finishes[f].planes.size(); ++i)
            edits.push_back({HeightEdit::Of::FinishFall, static_cast<int>(f), static_cast<int>(i), fall});
    }
    return edits;
}

/// Moves the heights of a model and reads it.
class Mover {
  public:
    explicit Mover(Rebuilder rebuilder) : rebuilder_(std::move(rebuilder)) {}

    /// The model with the edits in it; null after a fault.
    const Model* move(const std::vector<HeightEdit>& edits) {
        ++steps;
        auto kept = rebuilder_.move(edits);
        if (kept) kept = rebuilder_.settle();
        if (kept) return &rebuilder_.model();
        faults = kept.error();
        return nullptr;
    }

    int steps = 0;
    Diagnostics faults;

  private:
    Rebuilder rebuilder_;
};

std::string signedLength(double metres, const LengthFormat& show) {
    return (metres < 0 ? "-" : "+") + formatLength(std::abs(metres), show);
}

}  // namespace

// ---------------------------------------------------------------- balance

RaiseBounds raiseBounds(const Model& model, const Catalogue& catalogue, const std::vector<Sill>& sills) {
    const double reach = catalogue.limit("finish.search").value;
    RaiseBounds bounds{-reach, reach, "the reach of the search", "the reach of the search"};
    for (const Sill& sill : sills) {
        const auto finish = finishNearest(model, model.toLocal(sill.at));
        if (!finish) continue;
        const double below = sill.height - *finish;
        const double high = below - catalogue.limit("sill.least").value,
                     low = below - catalogue.limit("sill.greatest").value;
        if (high < bounds.high) bounds.high = high, bounds.highBy = "the sill \"" + sill.name + '"';
        if (low > bounds.low) bounds.low = low, bounds.lowBy = "the sill \"" + sill.name + '"';
    }
    return bounds;
}

double fillSurplus(const Model& model, const Catalogue& catalogue) {
    const EarthBalance earth = earthBalance(model, catalogue);
    return (earth.cut.inPlace - earth.cutAsBackfill) * earth.soil.compacted - earth.fill;
}

namespace {

class Balancing {
  public:
    Balancing(const Plan& plan, const Catalogue& catalogue, const RaiseBounds& bounds, Mover& mover)
        : plan_(plan), catalogue_(catalogue), mover_(mover) {
        search_.bounds = bounds;
    }

    Checked<BalanceSearch> run() {
        const RaiseBounds& bounds = search_.bounds;
        if (plan_.ground.assumed()) {
            search_.why =
                "The plan has no shots: its ground is taken as level with the finish and moves with it, so "
                "that "
                "there is nothing to balance. Shoot the ground first.";
            return search_;
        }
        if (bounds.low > bounds.high) {
            search_.why = fmt::format("No level is left: {} asks for {} or higher, {} for {} or lower.",
                                      bounds.lowBy, signedLength(bounds.low, plan_.show), bounds.highBy,
                                      signedLength(bounds.high, plan_.show));
            return search_;
        }
        search_.surplusAtHigh = at(bounds.high);
        search_.surplusAtLow = at(bounds.low);
        if (!mover_.faults.empty()) return tl::unexpected(mover_.faults);
        if (search_.surplusAtLow >= 0 && search_.surplusAtHigh <= 0)
            narrow(bounds.low, search_.surplusAtLow, bounds.high, search_.surplusAtHigh);
        else
            giveUp();
        if (!mover_.faults.empty()) return tl::unexpected(mover_.faults);
        search_.steps = mover_.steps;
        return search_;
    }

  private:
    double at(double raise) {
        if (!mover_.faults.empty()) return 0;
        const Model* model = mover_.move(raisedBy(plan_, raise));
        if (!model) return 0;
        const EarthBalance earth = earthBalance(*model, catalogue_);
        search_.raise = raise;
        search_.cut = earth.cut.inPlace, search_.fill = earth.fill;
        return search_.surplus = fillSurplus(*model, catalogue_);
    }

    void giveUp() {
        const bool fillShort = search_.surplusAtLow < 0;
        const LengthFormat& show = plan_.show;
        const RaiseBounds& bounds = search_.bounds;
        at(fillShort ? bounds.low : bounds.high);
        if (fillShort)
            search_.why = fmt::format(
                "Cut and fill do not balance between {} and {} of the plan's level: at {} ({}) the fill "
                "still "
                "takes {} more, compacted, than the cut gives.",
                signedLength(bounds.low, show), signedLength(bounds.high, show),
                signedLength(search_.raise, show), bounds.lowBy, formatVolume(-search_.surplus, show));
        else
            search_.why = fmt::format(
                "Cut and fill do not balance between {} and {} of the plan's level: at {} ({}) the cut still "
                "gives {} more, compacted, than the fill takes.",
                signedLength(bounds.low, show), signedLength(bounds.high, show),
                signedLength(search_.raise, show), bounds.highBy, formatVolume(search_.surplus, show));
    }

    /// Surplus at least 0 at `low`, at most 0 at `high`.
    void narrow(double low, double atLow, double high, double atHigh) {
        double weightLow = atLow, weightHigh = atHigh;  // the Illinois rule halves one of them
        int side = 0;
        bool halve = false;
        while (high - low > balanceTolerance && mover_.faults.empty()) {
            const double width = high - low;
            const double secant = weightLow - weightHigh > 0
                                      ? low + width * weightLow / (weightLow - weightHigh)
                                      : low + width / 2;
            const double inset = balanceTolerance / 3;  // so that both ends come in
            const double next = halve ? low + width / 2 : std::clamp(secant, low + inset, high - inset);
            const double surplus = at(next);
            if (surplus >= 0) {
                low = next, weightLow = surplus;
                if (side > 0) weightHigh /= 2;
                side = 1;
            } else {
                high = next, weightHigh = surplus;
                if (side < 0) weightLow /= 2;
                side = -1;
            }
            halve = high - low > width / 2;
        }
        if (low != search_.raise) at(low);  // where no fill is bought for want of a handful
        search_.found = true;
        search_.why = sentence();
    }

    std::string sentence() const {
        const LengthFormat& show = plan_.show;
        const double raise = search_.raise;
        const std::string moved =
            std::abs(raise) <= balanceTolerance
                ? std::string("Cut and fill balance at the plan's own level")
                : fmt::format("Cut and fill balance with the finish {} by {}",
                              raise > 0 ? "raised" : "lowered", formatLength(std::abs(raise), show));
        return fmt::format("{}: {} of cut in place makes {} of fill, compacted.", moved,
                           formatVolume(search_.cut, show), formatVolume(search_.fill, show));
    }

    const Plan& plan_;
    const Catalogue& catalogue_;
    Mover& mover_;
    BalanceSearch search_;
};

}  // namespace

Checked<BalanceSearch> balanceCutAndFill(const Plan& plan, const Catalogue& catalogue,
                                         const RaiseBounds& bounds) {
    auto rebuilder = Rebuilder::of(plan);
    if (!rebuilder) return tl::unexpected(rebuilder.error());
    Mover mover(std::move(*rebuilder));
    return Balancing(plan, catalogue, bounds, mover).run();
}

// ---------------------------------------------------------------- fall

namespace {

constexpr double noDepth = 1e-9;  // of a pond, for rounding

bool ownFinish(const Model& model, int area) {
    return area >= 0 && model.plan.areas[static_cast<size_t>(area)].finish.empty();
}

}  // namespace

std::vector<std::string> waterFaults(const Model& model, const Catalogue& catalogue) {
    const FindingWords words(model, catalogue);
    const double least = catalogue.limit("slope.least").value,
                 within = catalogue.limit("slope.least.within").value,
                 deepest = catalogue.limit("pond.greatest").value;
    std::vector<std::string> faults;
    const WaterReport report = waterReport(model, catalogue, WaterOn::DesignedFinish);
    for (const FlatPiece& piece : report.pieces) {
        if (!ownFinish(model, piece.area)) continue;
        const bool nearHouse = piece.leastOffset < within - tolerance::lengthCompare;
        const double fall = nearHouse || piece.away < 0 ? piece.away : piece.slope;
        if (fall >= least - fallTolerance) continue;
        faults.push_back(fmt::format("\"{}\" falls by less than {}{} {}.", words.areaName(piece.area),
                                     words.slope(least), nearHouse ? " away from the house" : "",
                                     words.where(piece.middle)));
    }
    for (const Pond& pond : report.ponds) {
        if (pond.depth <= deepest + noDepth || pond.cell < 0) continue;
        if (!ownFinish(model, model.columnOf(model.cells[static_cast<size_t>(pond.cell)]).area)) continue;
        faults.push_back(fmt::format("Water stands more than {} deep {}.", words.thickness(deepest),
                                     words.where(pond.deepest)));
    }
    return faults;
}

namespace {

std::vector<std::string> walkingFaults(const Model& model, const Catalogue& catalogue) {
    const FindingWords words(model, catalogue);
    std::set<std::string> over;
    for (const FlatPiece& piece : waterReport(model, catalogue, WaterOn::DesignedFinish).pieces) {
        if (!ownFinish(model, piece.area)) continue;
        for (const FallVerdict verdict : piece.verdicts) {
            if (verdict != FallVerdict::OverCross && verdict != FallVerdict::OverRunning) continue;
            const Limit* limit = catalogue.findLimit(
                verdict == FallVerdict::OverCross ? "slope.greatest.cross" : "slope.greatest.running");
            over.insert(fmt::format("\"{}\" then slopes {}; an accessible way takes at most {} {} ({}).",
                                    words.areaName(piece.area), words.slope(piece.slope),
                                    words.slope(limit->value),
                                    verdict == FallVerdict::OverCross ? "across" : "along", limit->source));
        }
    }
    return {over.begin(), over.end()};
}

/// From level up to the bound: in steps, and where a rule or the plan names a fall.
std::vector<double> fallsToTry(const Plan& plan, const Catalogue& catalogue, double greatest) {
    std::set<double> falls{0, greatest, std::min(catalogue.limit("slope.least").value, greatest)};
    for (int k = 1; k * fallStep < greatest; ++k) falls.insert(k * fallStep);
    for (const HeightEdit& edit : fallingBy(plan, 0)) {
        const double own =
            plan.finishes[static_cast<size_t>(edit.list)].planes[static_cast<size_t>(edit.item)].fall;
        if (own >= 0 && own <= greatest) falls.insert(own);
    }
    return {falls.begin(), falls.end()};
}

/// Whether the plan's own finish is made of planes.
std::optional<Diagnostic> noPlanes(const Plan& plan) {
    if (!fallingBy(plan, 0).empty()) return std::nullopt;
    return Diagnostic{plan.finishes.front().place,
                      "The plan's finish is made of spot levels and has no fall to look for.",
                      "Write it with level and fall, or with planes."};
}

}  // namespace

Checked<FallSearch> leastFall(const Plan& plan, const Catalogue& catalogue) {
    if (const auto fault = noPlanes(plan)) return tl::unexpected(Diagnostics{*fault});
    auto rebuilder = Rebuilder::of(plan);
    if (!rebuilder) return tl::unexpected(rebuilder.error());
    Mover mover(std::move(*rebuilder));
    FallSearch search;
    search.greatest = catalogue.limit("slope.greatest.running").value;
    const auto faultsAt = [&](double fall) {
        const Model* model = mover.move(fallingBy(plan, fall));
        return model ? waterFaults(*model, catalogue) : std::vector<std::string>{"fault"};
    };
    double broken = 0, kept = 0;
    std::vector<std::string> below;
    for (const double fall : fallsToTry(plan, catalogue, search.greatest)) {
        search.fall = kept = fall;
        search.faults = faultsAt(fall);
        if (search.faults.empty() || !mover.faults.empty()) break;
        broken = fall, below = search.faults;
    }
    search.found = search.faults.empty();
    if (search.found) {
        while (kept - broken > fallTolerance && mover.faults.empty()) {
            const double middle = broken + (kept - broken) / 2;
            std::vector<std::string> faults = faultsAt(middle);
            if (faults.empty()) kept = middle;
            if (!faults.empty()) broken = middle, below = std::move(faults);
        }
        search.fall = kept;
        search.faults = std::move(below);
        if (const Model* model = mover.move(fallingBy(plan, kept)))
            search.over = walkingFaults(*model, catalogue);
    }
    if (!mover.faults.empty()) return tl::unexpected(mover.faults);
    search.steps = mover.steps;
    search.why = search.found ? fmt::format("The least fall that keeps the rules of water is {}.",
                                            formatSlope(search.fall, plan.show))
                              : fmt::format("No fall up to {} keeps the rules of water.",
                                            formatSlope(search.greatest, plan.show));
    return search;
}

}  // namespace underfoot
