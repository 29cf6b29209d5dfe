#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/page.h"
#include "share/placed_tables.h"
#include "study/corrections.h"
#include "study/height_field.h"
#include "study/lippage.h"
#include "study/patches.h"
#include "study/placed.h"
#include "study/screeding.h"
#include "study/straightedge.h"
#include "study/thickness.h"

namespace underfoot {

namespace {

PageMark pointMark(glm::dvec2 at) {
    PageMark mark;
    mark.points = {at};
    return mark;
}

class Writer {
  public:
    Writer(const Model& model, const Placed& all) : model_(model), all_(all), show_(model.plan.show) {}

    Page page() {
        if (all_.tops.empty()) page_.say("No layer's top was shot, so there is nothing placed to compare.");
        for (const PlacedTop& top : all_.tops) topPart(top);
        return std::move(page_);
    }

  private:
    std::string thick(double metres) const { return formatThickness(metres, show_); }
    std::string area(double value) const {
        const std::string text = formatArea(value, show_);
        return value > 0 ? orTrace(text, formatArea(0, show_)) : text;
    }
    std::string volume(double value) const { return volumeOrTrace(value, show_); }
    std::string where(glm::dvec2 local) const { return stationPlace(model_, local); }
    std::string offPlan(double deviation) const {
        if (thick(std::abs(deviation)) == thick(0)) return "on plan";
        return fmt::format("{} {}", thick(std::abs(deviation)), deviation > 0 ? "high" : "low");
    }

    void gapPart(const PlacedSurface& surface, double tolerance, const std::string& indent, bool always) {
        const StraightedgeGap& gap = surface.gap;
        if (thick(gap.gap) == thick(0))
            return page_.say(indent + fmt::format("No gap to see under a {} straightedge.",
                                                  formatLength(all_.length, show_)));
        const bool fails = gap.gap > tolerance + 1e-6;
        const bool sure = gap.atMost <= tolerance + 1e-6;
        PageMark mark = pointMark(gap.at);
        mark.lines = {{gap.from, gap.to}};
        mark.label = thick(gap.gap);
        mark.always = always;
        page_.say(
            indent + fmt::format("Greatest gap under a {} straightedge {} at {},\n  laid from {} to {}: {}.",
                                 formatLength(all_.length, show_), thick(gap.gap), where(gap.at),
                                 where(gap.from), where(gap.to),
                                 fails  ? fmt::format("more than {}", thick(tolerance))
                                 : sure ? fmt::format("within {}", thick(tolerance))
                                        : fmt::format("too near {} to say (nowhere more than {})",
                                                      thick(tolerance), thick(gap.atMost))),
            mark);
    }

    void surfacePart(const PlacedSurface& surface, double tolerance) {
        const FieldFigures& f = surface.figures;
        page_.say(fmt::format("Highest {} at {}.", offPlan(f.greatest), where(f.greatestAt)),
                  pointMark(f.greatestAt));
        page_.say(fmt::format("Lowest {} at {}.", offPlan(f.least), where(f.leastAt)), pointMark(f.leastAt));
        page_.say(
            fmt::format("On average {}, typically off by {}.", offPlan(f.mean), thick(f.rootMeanSquare)));
        page_.say(fmt::format("More than {} high over {}, more than {} low over {}, of {}.", thick(tolerance),
                              area(f.areaOver), thick(tolerance), area(f.areaUnder), area(f.planArea)));
        gapPart(surface, tolerance, "", true);
    }

    // Patches too small for anyone to find are told of together.
    bool shown(double patchArea, size_t& small) const {
        const bool shows = formatArea(patchArea, show_) != formatArea(0, show_);
        if (!shows) ++small;
        return shows;
    }
    void sayOfSmall(size_t small, const std::string& indent) {
        if (small == 0) return;
        page_.say(indent + (small == 1 ? "One more place is too small to measure."
                                       : fmt::format("{} more places are too small to measure.", small)));
    }

    void patchTable(const PlacedSurface& surface) {
        size_t small = 0;
        PageTable table{{"Out of tolerance", "Worst", "Station", "Offset", "Area"}, SIZE_MAX, {}, {}};
        const auto add = [&](const char* what, const std::vector<FieldPatch>& patches) {
            for (const FieldPatch& patch : patches) {
                if (!shown(patch.area, small)) continue;
                const glm::dvec2 so = model_.stationOffset(patch.worst);
                PageMark mark = pointMark(patch.worst);
                mark.rings = patch.outline;
                table.add({what, thick(std::abs(patch.worstValue)), formatStation(so.x, show_),
                           formatLength(so.y, show_), area(patch.area)},
                          std::move(mark));
            }
        };
        add("high", surface.high), add("low", surface.low), add("gap under straightedge", surface.gaps);
        if (table.rows.empty() && small == 0) return;
        page_.gap();
        if (!table.rows.empty()) page_.add(std::move(table));
        sayOfSmall(small, "");
    }

    void stepsPart(const Lippage& steps) {
        if (steps.steps.empty()) return;
        if (thick(steps.greatest()) == thick(0)) return page_.say("  No step between units to see.");
        page_.say(fmt::format("  Greatest step between units {} at {}.", thick(steps.greatest()),
                              where(steps.steps.front().at)),
                  pointMark(steps.steps.front().at));
        for (const AreaSteps& one : steps.areas)
            page_.say(fmt::format("  {}: {} of {} joints step more than {}.",
                                  model_.plan.areas[static_cast<size_t>(one.area)].name, one.over, one.joints,
                                  thick(all_.proud)));
        for (size_t i = 1; i < std::min<size_t>(5, steps.steps.size()); ++i)
            if (steps.steps[i].height > all_.proud)
                page_.say(fmt::format("    {} at {}", thick(steps.steps[i].height), where(steps.steps[i].at)),
                          pointMark(steps.steps[i].at));
    }

    void bedPart(const ThicknessField& bed) {
        const std::string& name = model_.layers[static_cast<size_t>(bed.layer)].name;
        if (thick(bed.least) == thick(bed.greatest))
            return page_.say(fmt::format("  {} {} everywhere.", name, thick(bed.least)));
        PageMark mark;
        mark.points = {bed.leastAt, bed.greatestAt};
        page_.say(
            fmt::format("  {} from {} at {}\n  to {} at {}, {} on average.", name, thick(bed.least),
                        where(bed.leastAt), thick(bed.greatest), where(bed.greatestAt), thick(bed.mean)),
            mark);
    }

    void finishPart(const PredictedFinish& one) {
        const FieldFigures& f = one.finish.figures;
        page_.heading(std::string(one.way == Screeding::ToStrings
                                      ? "Finish with the rails set to the strings"
                                      : "Finish with the rails laid on the layer") +
                      (one.asPlanned ? " (as planned)" : ""));
        for (const ThicknessField& bed : one.beds) bedPart(bed);
        if (thick(std::max(f.greatest, -f.least)) == thick(0))
            page_.say("  Finish on plan.");
        else
            page_.say(fmt::format("  Finish highest {}, lowest {}.", offPlan(f.greatest), offPlan(f.least)));
        gapPart(one.finish, all_.finishTolerance, "  ", false);
        stepsPart(one.lippage);
    }

    void correctionPart(const Corrections& all) {
        if (all.patches.empty()) return page_.say("  Nothing to add or shave.");
        page_.say(fmt::format(
            "  Bring the top to within {} of {}: add {} over {}, shave {} over {}.", thick(all.band),
            all.shift == 0 ? "its level by plan" : "where the moved strings put it", volume(all.added),
            area(all.areaAdded), volume(all.shaved), area(all.areaShaved)));
        PageTable table{{"Do", "Depth", "Station", "Offset", "Area", "Volume"}, SIZE_MAX, {}, {}};
        size_t marked = 0, small = 0;  // marked: the deepest
        for (const CorrectionPatch& one : all.patches) {
            if (!shown(one.patch.area, small)) continue;
            const glm::dvec2 so = model_.stationOffset(one.patch.worst);
            PageMark mark = pointMark(one.patch.worst);
            mark.rings = one.patch.outline;
            mark.label = one.add ? "add" : "shave";
            mark.always = all.shift == 0 && ++marked <= 3;
            table.add({one.add ? "add" : "shave", thick(one.patch.worstExcess), formatStation(so.x, show_),
                       formatLength(so.y, show_), area(one.patch.area), volume(one.patch.volume)},
                      std::move(mark));
        }
        if (!table.rows.empty()) page_.add(std::move(table));
        sayOfSmall(small, "  ");
    }

    void correctionsPart(const PlacedTop& top) {
        if (top.passes) return page_.say("Within tolerance everywhere: nothing to correct.");
        page_.heading("To come within tolerance and pass the straightedge, strings as they are");
        correctionPart(top.stringsStay);
        const double shift = top.stringsMove.shift;
        if (thick(std::abs(shift)) == thick(0) || top.stringsMove.work() >= top.stringsStay.work())
            return page_.say("Moving the strings saves nothing.");
        page_.gap();
        page_.heading(fmt::format("Or with all strings {} by {}", shift > 0 ? "raised" : "lowered",
                                  thick(std::abs(shift))));
        correctionPart(top.stringsMove);
    }

    void topPart(const PlacedTop& top) {
        page_.gap();
        page_.heading("Top of " + model_.layers[static_cast<size_t>(top.layer)].name +
                      " as shot, against the plan");
        surfacePart(top.surface, top.tolerance);
        patchTable(top.surface);
        page_.gap();
        for (const PredictedFinish& one : top.finishes) {
            finishPart(one);
            page_.gap();
        }
        correctionsPart(top);
    }

    const Model& model_;
    const Placed& all_;
    LengthFormat show_;
    Page page_;
};

}  // namespace

Page placedPage(const Model& model, const Placed& placed) {
    return Writer(model, placed).page();
}

}  // namespace underfoot
