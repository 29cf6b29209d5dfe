// Surfaces under the straightedge, and steps between units. Only what was shot is held to these: a surface
// that lies as designed has no gap and no step of its own.

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/height_field.h"
#include "study/lippage.h"
#include "study/straightedge.h"

namespace underfoot {

namespace {

constexpr double onDesign = 1e-6;  // metres
// To half a millimetre, and never long: the gap told of is there all the same.
constexpr StraightedgeEffort effort{5e-4, 1500, 0, 1'000'000};

bool liesAsDesigned(const HeightField& deviation) {
    return std::all_of(deviation.begin(), deviation.end(), [](const HeightPiece& piece) {
        return std::all_of(piece.value.begin(), piece.value.end(),
                           [](double value) { return std::abs(value) <= onDesign; });
    });
}

// Of the finish, in all areas where a layer's top was shot.
HeightField finishOverShotTops(const Model& model) {
    HeightField all;
    std::vector<char> known(model.cells.size(), 0);
    for (const MeasuredTop& top : model.plan.measuredTops) {
        const LayerId layer = model.findLayer(top.layer);
        if (layer < 0) continue;
        for (const HeightPiece& piece : finishDeviation(model, layer)) {
            if (std::exchange(known[static_cast<size_t>(piece.cell)], 1)) continue;
            all.push_back(piece);
        }
    }
    return all;
}

class FlatFindings {
  public:
    explicit FlatFindings(FindingWriter& writer)
        : writer_(writer),
          base_(writer.catalogue.findLimit("base.deviation")),
          finish_(writer.catalogue.findLimit("finish.deviation")),
          over_(writer.catalogue.findLimit("finish.deviation.over")) {}

    void write() {
        const Model& model = writer_.model;
        if (!base_ || !finish_ || !over_ || model.plan.measuredTops.empty()) return;
        for (const MeasuredTop& top : model.plan.measuredTops) {
            const LayerId layer = model.findLayer(top.layer);
            if (layer < 0 || model.layers[static_cast<size_t>(layer)].role == Role::Units) continue;
            addGap(layerDeviation(model, layer), layer, *base_);
        }
        const HeightField finish = finishOverShotTops(model);
        if (liesAsDesigned(finish)) return;
        addGap(finish, -1, *finish_);
        addSteps(lippage(model, finishHeights(model), 0));
    }

  private:
    int areaOf(const HeightField& field, glm::dvec2 at) const {
        const auto nearest = std::min_element(
            field.begin(), field.end(),
            [&](const HeightPiece& a, const HeightPiece& b) { return apart(a, at) < apart(b, at); });
        return writer_.model.columnOf(writer_.model.cells[static_cast<size_t>(nearest->cell)]).area;
    }
    static double apart(const HeightPiece& piece, glm::dvec2 at) {
        double most = 0;
        for (size_t i = 0; i < 3; ++i) {
            const glm::dvec2 side = piece.at[(i + 1) % 3] - piece.at[i], out = at - piece.at[i];
            most = std::max(most, (side.y * out.x - side.x * out.y) / std::hypot(side.x, side.y));
        }
        return most;
    }

    void addGap(const HeightField& deviation, LayerId layer, const Limit& limit) {
        StraightedgeEffort asked = effort;
        asked.least = limit.value;
        const StraightedgeGap gap = greatestGap(deviation, over_->value, asked);
        if (gap.gap <= limit.value + tolerance::lengthCompare) return;
        const FindingKind kind = layer < 0 ? FindingKind::FinishOutOfFlat : FindingKind::LayerOutOfFlat;
        Finding& finding = writer_.add(kind, areaOf(deviation, gap.at), gap.at);
        writer_.setRule(finding, limit);
        finding.layer = layer;
        finding.measured = gap.gap;
        finding.what = fmt::format(
            "{} {} under a {} straightedge {}, laid from {} to {}; {} is the most.",
            layer < 0 ? "The finish will show a gap of" : writer_.layerTitle(layer) + " shows a gap of",
            writer_.thickness(gap.gap), writer_.length(over_->value), writer_.where(gap.at),
            writer_.place(gap.from), writer_.place(gap.to), writer_.thickness(limit.value));
        finding.remedy =
            layer < 0
                ? "True up what the bed lies on, or set the screed rails to the strings so that the bed "
                  "takes it up."
                : "Fill the hollow with the layer's own material or shave what stands high beside it, and "
                  "lay the straightedge again before it is covered.";
    }

    struct AreaWorst {
        const Step* worst = nullptr;
        int joints = 0, over = 0;
    };

    void addSteps(const Lippage& all) {
        const Limit* lip = writer_.catalogue.findLimit("proud");
        const Limit* level = writer_.catalogue.findLimit("level.change");
        for (const Limit* limit : {lip, level}) {
            if (!limit) continue;
            std::map<int, AreaWorst> areas;
            for (const Step& step : all.steps) {
                AreaWorst& area = areas[writer_.model.units[static_cast<size_t>(step.high)].area];
                ++area.joints;
                if (!area.worst) area.worst = &step;
                if (step.height > limit->value + tolerance::lengthCompare) ++area.over;
            }
            for (const auto& [area, steps] : areas)
                if (steps.over > 0) addStep(area, steps, *limit, limit == level);
        }
    }

    void addStep(int area, const AreaWorst& steps, const Limit& limit, bool accessible) {
        Finding& finding = writer_.add(accessible ? FindingKind::LevelChange : FindingKind::UnitsStep, area,
                                       steps.worst->at);
        writer_.setRule(finding, limit);
        finding.measured = steps.worst->height;
        finding.layer = writer_.model.units[static_cast<size_t>(steps.worst->high)].layer;
        finding.what = fmt::format(
            "Units of \"{}\" will step by up to {}, {}; {} {}. {} of {} joints step more.",
            writer_.areaName(area), writer_.thickness(steps.worst->height), writer_.where(steps.worst->at),
            accessible ? "an accessible way takes at most" : "between neighbours the most is",
            writer_.thickness(limit.value), steps.over, steps.joints);
        finding.remedy = accessible
                             ? "Even the bed out if the patio is to be accessible; else hold it to the "
                               "step between neighbours."
                             : "True up what the bed lies on, or set the screed rails to the strings.";
    }

    FindingWriter& writer_;
    const Limit *base_, *finish_, *over_;
};

}  // namespace

void findOutOfFlat(FindingWriter& writer) {
    FlatFindings(writer).write();
}

}  // namespace underfoot
