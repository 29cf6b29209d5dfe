#include "study/drains.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include <glm/vec3.hpp>

#include "ground/tolerance.h"
#include "plan/plan.h"
#include "study/finding_tools.h"
#include "study/index.h"
#include "study/section.h"

namespace underfoot {

namespace {

constexpr double listedWithin = 0.15;  // a spike farther from a pipe is no matter

// What lies over a leg, and which layers it reaches into: all is straight within an interval of the section,
// so that extremes are at its ends.
void lookAlong(const Model& model, double diameter, PipeLeg& leg) {
    if (leg.length <= 0) return;
    const Section section = cut(model, {leg.from, leg.to});
    std::vector<uint8_t> reached(model.layers.size(), 0);
    for (const SectionInterval& interval : section.intervals) {
        const Column& column = model.columns[index(interval.column)];
        if (!insideArea(column)) continue;
        for (const int end : {0, 1}) {
            const double at = end == 0 ? interval.from : interval.to;
            const double invert = leg.invertFrom - leg.fall * at, top = invert + diameter;
            const auto height = [&](int k) { return section.heights[index(interval.first + 2 * k + end)]; };
            if (!leg.leastCover || height(0) - top < *leg.leastCover) {
                leg.leastCover = height(0) - top;
                leg.leastCoverAt = section.at(at);
            }
            for (int k = 0; k < column.formation; ++k) {
                const bool thick = height(k) - height(k + 1) > tolerance::zeroThickness;
                if (thick && top > height(k + 1) + tolerance::lengthCompare &&
                    invert < height(k) - tolerance::lengthCompare)
                    reached[index(column.entries[index(k)].layer)] = 1;
            }
        }
    }
    for (size_t layer = 0; layer < reached.size(); ++layer)
        if (reached[layer] != 0) leg.cuts.push_back(static_cast<LayerId>(layer));
}

double squareOf(const glm::dvec3& v) {
    return v.x * v.x + v.y * v.y + v.z * v.z;
}
double dotOf(const glm::dvec3& a, const glm::dvec3& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

// Least distance between two straight pieces: at the closest places of their lines, held to their ends one
// after the other (Ericson 2005, Real-Time Collision Detection, 5.1.9).
double between(const glm::dvec3& p, const glm::dvec3& q, const glm::dvec3& r, const glm::dvec3& s) {
    const glm::dvec3 d = q - p, e = s - r, w = p - r;
    const double a = squareOf(d), b = dotOf(d, e), c = dotOf(d, w), f = dotOf(e, w), g = squareOf(e);
    const double across = a * g - b * b;
    double along = across > 0 ? std::clamp((b * f - c * g) / across, 0.0, 1.0) : 0.0;
    double other = g > 0 ? (b * along + f) / g : 0.0;
    if (other < 0 || other > 1) {
        other = std::clamp(other, 0.0, 1.0);
        along = a > 0 ? std::clamp((b * other - c) / a, 0.0, 1.0) : 0.0;
    }
    return std::sqrt(squareOf(w + d * along - e * other));
}

void findSpikes(const Model& model, double diameter, PipeReport& report) {
    for (size_t i = 0; i < model.spikes.size(); ++i) {
        const Spike& spike = model.spikes[i];
        SpikeNearPipe nearest;
        nearest.clear = listedWithin;
        for (const PipeLeg& leg : report.legs) {
            const double half = diameter / 2;
            const double clear = between({spike.at.x, spike.at.y, spike.top},
                                         {spike.at.x, spike.at.y, spike.top - spike.length},
                                         {leg.from.x, leg.from.y, leg.invertFrom + half},
                                         {leg.to.x, leg.to.y, leg.invertTo + half}) -
                                 half - spike.diameter / 2;
            if (clear < nearest.clear) nearest = {static_cast<int>(i), leg.leg, spike.at, clear};
        }
        if (nearest.spike >= 0) report.spikes.push_back(nearest);
    }
    std::stable_sort(report.spikes.begin(), report.spikes.end(),
                     [](const SpikeNearPipe& a, const SpikeNearPipe& b) { return a.clear < b.clear; });
}

PipeReport reportOf(const Model& model, int number) {
    const BuriedRun& run = model.plan.buriedRuns[index(number)];
    PipeReport report;
    report.run = number;
    bool down = false, up = false;
    for (size_t i = 0; i + 1 < run.points.size(); ++i) {
        PipeLeg leg;
        leg.leg = static_cast<int>(i);
        leg.from = model.toLocal(run.points[i].at), leg.to = model.toLocal(run.points[i + 1].at);
        leg.invertFrom = run.points[i].invert, leg.invertTo = run.points[i + 1].invert;
        leg.length = std::hypot(leg.to.x - leg.from.x, leg.to.y - leg.from.y);
        if (leg.length > 0) leg.fall = (leg.invertFrom - leg.invertTo) / leg.length;
        down = down || leg.fall > tolerance::slopeCompare;
        up = up || leg.fall < -tolerance::slopeCompare;
        lookAlong(model, run.diameter, leg);
        report.legs.push_back(std::move(leg));
    }
    report.fallsBack = down && up;
    report.fromLast = run.points.front().invert < run.points.back().invert;
    const PipePoint& outlet = report.fromLast ? run.points.front() : run.points.back();
    report.outlet = outlet.invert;
    report.outletAt = model.toLocal(outlet.at);
    findSpikes(model, run.diameter, report);
    return report;
}

}  // namespace

std::vector<PipeReport> pipeReports(const Model& model) {
    std::vector<PipeReport> all;
    for (size_t i = 0; i < model.plan.buriedRuns.size(); ++i)
        if (model.plan.buriedRuns[i].points.size() >= 2) all.push_back(reportOf(model, static_cast<int>(i)));
    return all;
}

}  // namespace underfoot
