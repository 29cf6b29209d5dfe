// placed: work as placed against work as planned.

#include "study/placed.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "share/placed_tables.h"

namespace underfoot::command {

namespace {

struct PlacedOptions {
    std::string plan;
    std::string csv;
    bool json = false;
};

class Words {
  public:
    Words(const Model& model, const Placed& all) : model_(model), all_(all), show_(model.plan.show) {}

    std::string text() const {
        std::string out = model_.plan.title + '\n';
        if (all_.tops.empty())
            return out + "No layer's top was shot, so there is nothing placed to compare.\n";
        for (const PlacedTop& top : all_.tops) out += '\n' + topText(top);
        return out;
    }

  private:
    std::string thick(double metres) const { return formatThickness(metres, show_); }
    // Something is never written as nothing.
    static std::string trace(const std::string& text, const std::string& nothing) {
        return text == nothing ? "a trace" : text;
    }
    std::string area(double value) const {
        const std::string text = formatArea(value, show_);
        return value > 0 ? trace(text, formatArea(0, show_)) : text;
    }
    std::string volume(double value) const {
        const std::string text = formatVolume(value, show_);
        return value > 0 ? trace(text, formatVolume(0, show_)) : text;
    }
    std::string where(glm::dvec2 local) const {
        const glm::dvec2 so = model_.stationOffset(local);
        return fmt::format("station {}, offset {}", formatStation(so.x, show_), formatLength(so.y, show_));
    }
    std::string offPlan(double deviation) const {
        if (thick(std::abs(deviation)) == thick(0)) return "on plan";
        return fmt::format("{} {}", thick(std::abs(deviation)), deviation > 0 ? "high" : "low");
    }

    std::string gapText(const PlacedSurface& surface, double tolerance) const {
        const StraightedgeGap& gap = surface.gap;
        if (thick(gap.gap) == thick(0))
            return fmt::format("No gap to see under a {} straightedge.\n", formatLength(all_.length, show_));
        const bool fails = gap.gap > tolerance + 1e-6;
        const bool sure = gap.atMost <= tolerance + 1e-6;
        return fmt::format("Greatest gap under a {} straightedge {} at {},\n  laid from {} to {}: {}.\n",
                           formatLength(all_.length, show_), thick(gap.gap), where(gap.at), where(gap.from),
                           where(gap.to),
                           fails  ? fmt::format("more than {}", thick(tolerance))
                           : sure ? fmt::format("within {}", thick(tolerance))
                                  : fmt::format("too near {} to say (nowhere more than {})", thick(tolerance),
                                                thick(gap.atMost)));
    }

    std::string surfaceText(const PlacedSurface& surface, double tolerance) const {
        const FieldFigures& f = surface.figures;
        return fmt::format(
                   "Highest {} at {}.\nLowest {} at {}.\nOn average {}, typically off by {}.\n"
                   "More than {} high over {}, more than {} low over {}, of {}.\n",
                   offPlan(f.greatest), where(f.greatestAt), offPlan(f.least), where(f.leastAt),
                   offPlan(f.mean), thick(f.rootMeanSquare), thick(tolerance), area(f.areaOver),
                   thick(tolerance), area(f.areaUnder), area(f.planArea)) +
               gapText(surface, tolerance);
    }

    std::string patchTable(const PlacedSurface& surface) const {
        Table table({"Out of tolerance", "Worst", "Station", "Offset", "Area"});
        const auto add = [&](const char* what, const std::vector<FieldPatch>& patches) {
            for (const FieldPatch& patch : patches) {
                const glm::dvec2 so = model_.stationOffset(patch.worst);
                table.add({what, thick(std::abs(patch.worstValue)), formatStation(so.x, show_),
                           formatLength(so.y, show_), area(patch.area)});
            }
        };
        add("high", surface.high), add("low", surface.low), add("gap under straightedge", surface.gaps);
        return table.empty() ? "" : '\n' + table.text();
    }

    std::string stepsText(const Lippage& steps) const {
        if (steps.steps.empty()) return "";
        if (thick(steps.greatest()) == thick(0)) return "  No step between units to see.\n";
        std::string out = fmt::format("  Greatest step between units {} at {}.\n", thick(steps.greatest()),
                                      where(steps.steps.front().at));
        for (const AreaSteps& one : steps.areas)
            out += fmt::format("  {}: {} of {} joints step more than {}.\n",
                               model_.plan.areas[static_cast<size_t>(one.area)].name, one.over, one.joints,
                               thick(all_.proud));
        for (size_t i = 1; i < std::min<size_t>(5, steps.steps.size()); ++i)
            if (steps.steps[i].height > all_.proud)
                out += fmt::format("    {} at {}\n", thick(steps.steps[i].height), where(steps.steps[i].at));
        return out;
    }

    std::string finishText(const PredictedFinish& one) const {
        const FieldFigures& f = one.finish.figures;
        std::string out = bold(one.way == Screeding::ToStrings ? "Finish with the rails set to the strings"
                                                               : "Finish with the rails laid on the layer");
        out += one.asPlanned ? " (as planned)\n" : "\n";
        for (const ThicknessField& bed : one.beds) {
            const std::string& name = model_.layers[static_cast<size_t>(bed.layer)].name;
            if (thick(bed.least) == thick(bed.greatest))
                out += fmt::format("  {} {} everywhere.\n", name, thick(bed.least));
            else
                out += fmt::format("  {} from {} at {}\n  to {} at {}, {} on average.\n", name,
                                   thick(bed.least), where(bed.leastAt), thick(bed.greatest),
                                   where(bed.greatestAt), thick(bed.mean));
        }
        if (thick(std::max(f.greatest, -f.least)) == thick(0))
            out += "  Finish on plan.\n  ";
        else
            out += fmt::format("  Finish highest {}, lowest {}.\n  ", offPlan(f.greatest), offPlan(f.least));
        return out + gapText(one.finish, all_.finishTolerance) + stepsText(one.lippage);
    }

    std::string correctionText(const Corrections& all) const {
        std::string out;
        if (all.patches.empty()) return "  Nothing to add or shave.\n";
        out += fmt::format("  Bring the top to within {} of {}: add {} over {}, shave {} over {}.\n",
                           thick(all.band),
                           all.shift == 0 ? "its level by plan" : "where the moved strings put it",
                           volume(all.added), area(all.areaAdded), volume(all.shaved), area(all.areaShaved));
        Table table({"Do", "Depth", "Station", "Offset", "Area", "Volume"});
        for (const CorrectionPatch& one : all.patches) {
            const glm::dvec2 so = model_.stationOffset(one.patch.worst);
            table.add({one.add ? "add" : "shave", thick(one.patch.worstExcess), formatStation(so.x, show_),
                       formatLength(so.y, show_), area(one.patch.area), volume(one.patch.volume)});
        }
        return out + table.text();
    }

    std::string correctionsText(const PlacedTop& top) const {
        if (top.passes) return "Within tolerance everywhere: nothing to correct.\n";
        std::string out =
            bold("To come within tolerance and pass the straightedge, strings as they are") + '\n';
        out += correctionText(top.stringsStay);
        const double shift = top.stringsMove.shift;
        if (thick(std::abs(shift)) == thick(0) || top.stringsMove.work() >= top.stringsStay.work())
            return out + "Moving the strings saves nothing.\n";
        out += '\n' +
               bold(fmt::format("Or with all strings {} by {}", shift > 0 ? "raised" : "lowered",
                                thick(std::abs(shift)))) +
               '\n';
        return out + correctionText(top.stringsMove);
    }

    std::string topText(const PlacedTop& top) const {
        std::string out = bold("Top of " + model_.layers[static_cast<size_t>(top.layer)].name +
                               " as shot, against the plan") +
                          '\n';
        out += surfaceText(top.surface, top.tolerance) + patchTable(top.surface) + '\n';
        for (const PredictedFinish& one : top.finishes) out += finishText(one) + '\n';
        return out + correctionsText(top);
    }

    const Model& model_;
    const Placed& all_;
    LengthFormat show_;
};

ExitCode placedOf(const PlacedOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const Placed all = placed(*model, loadCatalogue(model->plan));
    const ExitCode code = writeIfAsked(options.csv, [&] { return placedCsv(*model, all); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? placedJson(*model, all) : Words(*model, all).text());
    return ExitCode::Fine;
}

}  // namespace

void addPlaced(CLI::App& app, Action& chosen) {
    CLI::App* verb = nullptr;
    const auto options = addVerb<PlacedOptions>(
        app, chosen, "placed", "Compares shot tops with the plan, foretells the finish, says what to correct",
        "underfoot placed scenes/courtyard.toml", placedOf, verb);
    verb->add_option("--csv", options->csv, "Write the patches to this file too");
    verb->add_flag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
