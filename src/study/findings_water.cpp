// Water that stands, and pipes that don't carry it off.

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/drains.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/index.h"
#include "study/water.h"
#include "study/water_flow.h"
#include "study/water_surface.h"

namespace underfoot {

namespace {

void addPonds(FindingWriter& writer, WaterOn which) {
    const Limit* limit = pondLimit(writer.catalogue, which);
    if (!limit) return;
    const WaterSurface surface = waterSurface(writer.model, which);
    const WaterFlow flow(surface);
    const bool formation = which == WaterOn::Formation;
    for (const Pond& pond : flow.ponds()) {
        if (pond.depth <= limit->value + tolerance::lengthCompare || pond.cell < 0) continue;
        const Column& column = writer.model.columnOf(writer.model.cells[index(pond.cell)]);
        Finding& finding = writer.add(formation ? FindingKind::FormationHoldsWater : FindingKind::WaterStands,
                                      column.area, pond.deepest);
        writer.setRule(finding, *limit);
        finding.measured = pond.depth;
        finding.what = fmt::format(
            "Water stands {} deep {} {}, over {}; {} is the most.", writer.thickness(pond.depth),
            formation ? "in a hollow of the formation" : "on the finish", writer.where(pond.deepest),
            writer.area(pond.planArea), writer.thickness(limit->value));
        finding.remedy =
            (formation ? "Grade the formation so that it falls to its edge, or drain it; it spills "
                       : "Raise the low place or open a way for the water; it spills ") +
            writer.where(pond.spill) + ".";
    }
}

int areaAt(const Model& model, glm::dvec2 at) {
    for (const Cell& cell : model.cells) {
        if (!insideArea(model.columnOf(cell))) continue;
        bool inside = true;
        for (int c = 0; c < 3; ++c) {
            const glm::dvec2 a = model.at(cell, c), b = model.at(cell, (c + 1) % 3);
            inside = inside && (b.x - a.x) * (at.y - a.y) - (b.y - a.y) * (at.x - a.x) >= 0;
        }
        if (inside) return model.columnOf(cell).area;
    }
    return -1;
}

void addLegFall(FindingWriter& writer, const PipeReport& pipe, const PipeLeg& leg, const Limit& limit) {
    const std::string& name = writer.model.plan.buriedRuns[index(pipe.run)].name;
    const double fall = pipe.fromLast ? -leg.fall : leg.fall;
    if (leg.length <= 0 || fall >= limit.value - tolerance::slopeCompare) return;
    const glm::dvec2 middle = 0.5 * (leg.from + leg.to);
    Finding& finding = writer.add(FindingKind::PipeFallSmall, areaAt(writer.model, middle), middle);
    writer.setRule(finding, limit);
    finding.measured = fall;
    const std::string how = fall < -tolerance::slopeCompare
                                ? "falls back from its outlet by " + writer.slope(-fall)
                            : fall <= tolerance::slopeCompare ? "lies level"
                                                              : "falls only " + writer.slope(fall);
    finding.what = fmt::format("Pipe \"{}\" {} in leg {} {}; {} is the least.", name, how, leg.leg + 1,
                               writer.where(middle), writer.slope(limit.value));
    finding.remedy = "Set the inverts anew so that each leg falls to the outlet.";
}

void addSpikes(FindingWriter& writer, const PipeReport& pipe, const Limit& limit) {
    const auto near = std::count_if(pipe.spikes.begin(), pipe.spikes.end(), [&](const SpikeNearPipe& spike) {
        return spike.clear < limit.value - tolerance::lengthCompare;
    });
    if (near == 0) return;
    const SpikeNearPipe& worst = pipe.spikes.front();
    Finding& finding =
        writer.add(FindingKind::SpikeReachesPipe, writer.model.spikes[index(worst.spike)].area, worst.at);
    writer.setRule(finding, limit);
    finding.measured = worst.clear;
    const std::string spikes = near == 1 ? "A spike" : fmt::format("{} spikes", near);
    const char* reach = worst.clear > 0 ? (near == 1 ? "comes close to" : "come close to")
                                        : (near == 1 ? "reaches" : "reach");
    finding.what = fmt::format("{} of edging {} pipe \"{}\", the worst {}.", spikes, reach,
                               writer.model.plan.buriedRuns[index(pipe.run)].name, writer.where(worst.at));
    finding.remedy = "Leave these spikes out or shorten them, and mark the pipe before driving any.";
}

}  // namespace

void findStandingWater(FindingWriter& writer) {
    addPonds(writer, WaterOn::Finish);
    addPonds(writer, WaterOn::Formation);
}

void findPipeFaults(FindingWriter& writer) {
    const Limit* fall = writer.catalogue.findLimit("pipe.fall.least");
    const Limit* spike = writer.catalogue.findLimit("pipe.spike.clear");
    for (const PipeReport& pipe : pipeReports(writer.model)) {
        for (const PipeLeg& leg : pipe.legs)
            if (fall) addLegFall(writer, pipe, leg, *fall);
        if (spike) addSpikes(writer, pipe, *spike);
    }
}

}  // namespace underfoot
