#include "window/layout.h"

#include <algorithm>
#include <cmath>

#include <glm/geometric.hpp>

#include "plan/plan.h"

namespace underfoot {

namespace {

constexpr double margin = 16;
constexpr double columnWidth = 224;
constexpr double slipsWidth = 292;
constexpr double questionsWidth = 544;
constexpr double controlsWidth = 500;
constexpr double pageWidth = 444;
constexpr double headHeight = 64;
constexpr double scaleWidth = 92;
constexpr double labelsWidth = 160;  // of the names beside the model

void addFoot(WindowFrame& frame) {
    const double s = frame.scale;
    const double height = std::clamp(0.29 * frame.height, 180 * s, 300 * s);
    frame.foot = {{0, frame.height - height}, {frame.width, frame.height}};
    const double planRight = (margin + columnWidth) * s;
    const double top = frame.foot.low.y;
    frame.plan = {{margin * s, top + 12 * s}, {planRight, frame.height - 46 * s}};
    frame.stationSlider = {{margin * s, frame.height - 44 * s}, {planRight, frame.height - 10 * s}};
    const double left = planRight + 24 * s, right = frame.width - margin * s;
    frame.stripHead = {{left, top + 10 * s}, {right, top + 34 * s}};
    frame.strip = {{left, top + 38 * s}, {right, frame.height - 30 * s}};
}

bool built(const Model& model, const Cell& cell) {
    return model.columnOf(cell).area >= 0;
}

template <class Measure>
Reach2 reachOf(const Model& model, Measure measure, bool insideOnly) {
    Reach2 reach{1e300, -1e300};
    for (const Cell& cell : model.cells) {
        if (!built(model, cell) || (insideOnly && model.columnOf(cell).beyond)) continue;
        for (int c = 0; c < 3; ++c) {
            const double value = measure(model.at(cell, c));
            reach.low = std::min(reach.low, value);
            reach.high = std::max(reach.high, value);
        }
    }
    return reach.low <= reach.high ? reach : Reach2{0, 0};
}

}  // namespace

WindowFrame frameOf(double width, double height, double scale, const FrameParts& parts) {
    WindowFrame frame;
    frame.scale = scale;
    frame.width = width;
    frame.height = height;
    const double s = scale;
    if (parts.clientView) {
        frame.title = {{32 * s, 28 * s}, {width - 32 * s, 92 * s}};
        frame.scene = {48 * s, 250 * s, 96 * s, 40 * s};
        if (parts.scaleShown) {
            frame.thicknessScale = {{40 * s, height - 340 * s}, {(40 + scaleWidth) * s, height - 60 * s}};
            frame.scene = {(48 + scaleWidth) * s, 64 * s, 96 * s, 40 * s};
        }
        return frame;
    }
    addFoot(frame);
    const double footTop = frame.foot.low.y;
    const double controlsLong = std::min(controlsWidth * s, 0.6 * width);
    frame.controls = {{width - margin * s - controlsLong, 12 * s}, {width - margin * s, 52 * s}};
    const double questionsLong = std::min(questionsWidth * s, 0.65 * width);
    frame.questions = {{width - margin * s - questionsLong, 52 * s}, {width - margin * s, 72 * s}};
    const double titleRight = std::min(frame.controls.low.x, frame.questions.low.x) - 16 * s;
    frame.title = {{margin * s, 12 * s}, {titleRight, headHeight * s}};
    frame.column = {{margin * s, (headHeight + 8) * s}, {(margin + columnWidth) * s, footTop - 12 * s}};
    if (parts.pageOpen)
        frame.page = {
            {width - margin * s - std::clamp(0.346 * width, pageWidth * s, 600 * s), (headHeight + 12) * s},
            {width - margin * s, footTop - 12 * s}};
    else if (parts.slipsOpen)
        frame.slips = {{width - (margin + slipsWidth) * s, (headHeight + 12) * s},
                       {width - margin * s, footTop - 12 * s}};
    else
        frame.slips = {{width - (margin + 152) * s, (headHeight + 12) * s},
                       {width - margin * s, (headHeight + 44) * s}};
    double left = frame.column.high.x + 12 * s;
    if (parts.scaleShown) {
        const double tall = std::min(240 * s, footTop - (headHeight + 40) * s);
        frame.thicknessScale = {{left, footTop - 20 * s - tall}, {left + scaleWidth * s, footTop - 20 * s}};
        left = frame.thicknessScale.high.x + 8 * s;
    }
    const double beside = parts.slipsOpen ? width - frame.slips.low.x : margin * s;
    const double right = parts.pageOpen ? width - frame.page.low.x + 20 * s
                                        : beside + (parts.scaleShown ? 20 : labelsWidth) * s;
    frame.scene = {left, right, (headHeight + 12) * s, height - footTop + 12 * s};
    return frame;
}

glm::dvec2 PlanMap::toScreen(glm::dvec2 local) const {
    const glm::dvec2 p = local - middle;
    return box.middle() + glm::dvec2{glm::dot(p, right), glm::dot(p, down)} * pixelsPerMetre;
}

glm::dvec2 PlanMap::toLocal(glm::dvec2 screen) const {
    const glm::dvec2 p = (screen - box.middle()) / pixelsPerMetre;
    return middle + right * p.x + down * p.y;
}

PlanMap planMap(const Model& model, const Box& box, double rim) {
    PlanMap map;
    map.box = box;
    const Baseline& base = model.plan.baseline;
    map.down = glm::normalize(base.at(base.startStation, 1) - base.at(base.startStation, 0));
    map.right = {-map.down.y, map.down.x};
    const auto alongRight = [&](glm::dvec2 p) { return glm::dot(p, map.right); };
    const auto alongDown = [&](glm::dvec2 p) { return glm::dot(p, map.down); };
    const Reach2 x = reachOf(model, alongRight, false), y = reachOf(model, alongDown, false);
    map.middle = map.right * (0.5 * (x.low + x.high)) + map.down * (0.5 * (y.low + y.high));
    const double wide = std::max(x.high - x.low, 0.1), tall = std::max(y.high - y.low, 0.1);
    map.pixelsPerMetre = std::min((box.width() - 2 * rim) / wide, (box.height() - 2 * rim) / tall);
    return map;
}

Reach2 stationReach(const Model& model) {
    return reachOf(
        model, [&](glm::dvec2 p) { return model.stationOffset(p).x; }, true);
}

Reach2 offsetReach(const Model& model) {
    return reachOf(
        model, [&](glm::dvec2 p) { return model.stationOffset(p).y; }, true);
}

double StripMap::x(double distance) const {
    const double part = (distance - from) / (to - from);
    return mirrored ? box.high.x - part * box.width() : box.low.x + part * box.width();
}

double StripMap::distance(double x) const {
    const double part = (x - box.low.x) / box.width();
    return from + (mirrored ? 1 - part : part) * (to - from);
}

namespace {

/// Box around what was built along a section: distances and heights.
struct Extent {
    double from = 1e300, to = -1e300, low = 1e300, high = -1e300;
};

/// Of what was built, else of the ground's surface.
Extent extentOf(const Model& model, const Section& section, bool built) {
    Extent all;
    for (const SectionInterval& interval : section.intervals) {
        const Column& column = model.columns[static_cast<size_t>(interval.column)];
        if (built && column.area < 0) continue;
        all.from = std::min(all.from, interval.from);
        all.to = std::max(all.to, interval.to);
        const size_t first = static_cast<size_t>(interval.first);
        const size_t bottom = built ? first + 2 * (column.entries.size() - 1) : first;
        for (const size_t end : {size_t{0}, size_t{1}}) {
            all.high = std::max(all.high, section.heights[first + end]);
            all.low = std::min(all.low, section.heights[bottom + end]);
        }
    }
    return all;
}

}  // namespace

StripMap stripMap(const Model& model, const Section& section, const Box& box, double rim, bool mirrored) {
    StripMap map;
    map.box = box;
    map.mirrored = mirrored;
    Extent built = extentOf(model, section, true);
    if (built.from >= built.to) built = extentOf(model, section, false);
    if (built.from >= built.to) return map;
    const double beside = std::max(0.03 * (built.to - built.from), 0.15);
    map.from = std::max(0.0, built.from - beside);
    map.to = std::min(section.length, built.to + beside);
    const double tall = std::max(built.high - built.low, 0.05);
    const double room = std::max(box.height() - 2 * rim, 1.0);
    double fits = room / (tall * map.pixelsPerMetre());
    if (fits < 1) {  // a short cut through much fill: the lengths give way
        const double middle = 0.5 * (map.from + map.to), wanted = (map.to - map.from) / fits;
        map.from = middle - 0.5 * wanted;
        map.to = middle + 0.5 * wanted;
        fits = 1;
    }
    map.exaggeration = std::clamp(fits < 2 ? std::floor(2 * fits) / 2 : std::floor(fits), 1.0, 6.0);
    const double perMetre = map.pixelsPerMetre();
    const double heights = box.height() / (perMetre * map.exaggeration);
    const double spare = heights - tall;
    map.high = built.high + std::min(0.5 * spare, 2.2 * rim / (perMetre * map.exaggeration));
    map.low = map.high - heights;
    return map;
}

double sliderValue(const Box& box, double x, double low, double high) {
    const double part = std::clamp((x - box.low.x) / std::max(box.width(), 1.0), 0.0, 1.0);
    return low + part * (high - low);
}

double sliderX(const Box& box, double value, double low, double high) {
    const double part = high > low ? std::clamp((value - low) / (high - low), 0.0, 1.0) : 0.5;
    return box.low.x + part * box.width();
}

std::vector<double> spread(const std::vector<double>& wanted, double height, double low, double high) {
    // Runs of touching labels, each standing at the mean of what its labels want.
    struct Run {
        double first = 0;  // top of its first label
        size_t count = 0;
    };
    std::vector<Run> runs;
    std::vector<double> sums;
    for (const double want : wanted) {
        runs.push_back({want - height / 2, 1});
        sums.push_back(want - height / 2);
        while (runs.size() > 1) {
            const Run last = runs.back();
            Run& before = runs[runs.size() - 2];
            if (before.first + height * static_cast<double>(before.count) <= last.first) break;
            // Label i of a run wants first = its own wish - i * height.
            const double moved = sums.back() - height * static_cast<double>(before.count * last.count);
            sums[sums.size() - 2] += moved;
            before.count += last.count;
            before.first = sums[sums.size() - 2] / static_cast<double>(before.count);
            runs.pop_back();
            sums.pop_back();
        }
    }
    std::vector<double> tops;
    for (const Run& run : runs)
        for (size_t i = 0; i < run.count; ++i) tops.push_back(run.first + height * static_cast<double>(i));
    double limit = high;
    for (size_t i = tops.size(); i-- > 0;) limit = tops[i] = std::min(tops[i], limit - height);
    double least = low;
    for (double& top : tops) {
        top = std::max(top, least);
        least = top + height;
    }
    for (double& top : tops) top += height / 2;
    return tops;
}

}  // namespace underfoot
