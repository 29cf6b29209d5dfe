// The section strip: the cut's drawing, with thicknesses where the pointer is.

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "share/section_drawing.h"
#include "study/section.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/strip_canvas.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double rim = 8;

std::string stripTitle(const WindowState& state) {
    const LengthFormat& show = state.model->plan.show;
    std::string words = state.cut.name.empty() ? "Section" : "Section " + state.cut.name;
    if (state.cut.station)
        words += " at " + formatStation(*state.cut.station, show);
    else
        words += ", " + distanceWords(*state.model, state.cut.section.length) + " long";
    return words;
}

std::string heightsWords(double exaggeration) {
    if (exaggeration == std::floor(exaggeration)) return fmt::format("heights {:.0f} times", exaggeration);
    return fmt::format("heights {:.0f} 1/2 times", std::floor(exaggeration));
}

void drawHead(Desk& desk, WindowState& state, const StripMap& map) {
    const Box& box = state.frame.stripHead;
    const double y = std::round(box.middle().y), gap = desk.units(18);
    double x = box.low.x;
    const std::string title = stripTitle(state);
    desk.pen.text({x, y}, title, TypeSize::BodyStrong, desk.colours.ink);
    x += desk.pen.width(title, TypeSize::BodyStrong) + desk.units(12);
    const std::string heights = map.exaggeration > 1 ? heightsWords(map.exaggeration) : "heights as lengths";
    desk.pen.text({x, y}, heights, TypeSize::Label, desk.colours.quiet);
    bool clicked = false;
    double right = box.high.x;
    const auto fromRight = [&](const char* id, const std::string& words, bool on) {
        right -= desk.pen.width(words, on ? TypeSize::LabelStrong : TypeSize::Label);
        wordButton(desk, id, {right, y}, words, on, clicked);
        right -= gap;
        return clicked;
    };
    if (fromRight("draw", state.drawing ? "Drawing the cut" : "Draw a cut", state.drawing.has_value())) {
        if (state.drawing)
            state.drawing.reset();
        else
            startDrawing(state);
    }
    bool changed = fromRight("side", "Other side", false);
    if (changed) cutFromOtherSide(state);
    if (fromRight("whole", "Cut open", state.cut.shown)) showCut(state, !state.cut.shown), changed = true;
    const std::vector<NamedCut>& cuts = state.model->plan.cuts;
    for (size_t i = cuts.size(); i-- > 0;) {
        if (right - desk.units(120) < x + desk.pen.width(heights, TypeSize::Label)) break;
        ImGui::PushID(static_cast<int>(i));
        const bool on = cuts[i].name == state.cut.name;
        if (fromRight("named", cuts[i].name, on) && !on) cutAlongNamed(state, cuts[i]), changed = true;
        ImGui::PopID();
    }
    if (changed) settleCut(state, desk.now);
}

SectionFrame frameFor(const Desk& desk, const StripMap& map) {
    SectionFrame frame;
    const double mm = desk.units(StripCanvas::pixelsPerMillimetre);
    frame.origin = {0, map.box.height() / mm};
    frame.distance = map.from;
    frame.height = map.low;
    frame.perMetre = map.pixelsPerMetre() / mm;
    frame.exaggeration = map.exaggeration;
    frame.from = map.from;
    frame.to = map.to;
    frame.floor = map.low;
    frame.ceiling = map.high;
    return frame;
}

void drawBody(Desk& desk, const WindowState& state, const StripMap& map) {
    SectionStyle style;
    style.paper = {desk.colours.paper, desk.colours.ink, desk.colours.quiet, desk.colours.attention};
    StripCanvas canvas(desk.pen, map.box, map.mirrored);
    desk.pen.clip(map.box);
    drawSectionBody(state.cut.section, *state.model, state.catalogue, frameFor(desk, map), style, canvas);
    desk.pen.endClip();
}

/// Distances that the marks along the foot count from, and which way: offsets for a cut at a station.
struct Axis {
    double zero = 0;
    double sign = 1;
    bool offsets = false;
};

Axis axisOf(const WindowState& state) {
    if (!state.cut.station) return {};
    const double atStart = state.model->stationOffset(state.cut.section.at(0)).y;
    const double atEnd = state.model->stationOffset(state.cut.section.at(state.cut.section.length)).y;
    const double sign = atEnd > atStart ? 1 : -1;
    return {-sign * atStart, sign, true};
}

double markStep(const WindowState& state, double pixelsPerMetre, double least) {
    const bool metric = state.model->plan.show.style == LengthStyle::Metres;
    const double unit = metric ? 1.0 : metresPerFoot;
    for (const double step : {0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0})
        if (step * unit * pixelsPerMetre >= least) return step * unit;
    return 200 * unit;
}

void drawMarks(Desk& desk, const WindowState& state, const StripMap& map) {
    const Axis axis = axisOf(state);
    const double step = markStep(state, map.pixelsPerMetre(), desk.units(52));
    const bool metric = state.model->plan.show.style == LengthStyle::Metres;
    const double unit = metric ? 1.0 : metresPerFoot;
    const double y = map.box.high.y;
    const auto valueAt = [&](double distance) { return axis.sign * (distance - axis.zero); };
    const double a = valueAt(map.from), b = valueAt(map.to);
    desk.pen.line({map.box.low.x, y}, {map.box.high.x, y}, desk.colours.quiet, 1);
    for (double i = std::ceil(std::min(a, b) / step); i * step <= std::max(a, b); ++i) {
        const double x = map.x(axis.zero + axis.sign * i * step);
        const double tick = desk.units(3.5);
        desk.pen.line({x - tick, y + tick}, {x + tick, y - tick}, desk.colours.ink, 1.2);
        const std::string words = fmt::format("{:g}", i * step / unit + 0.0);
        const double half = desk.pen.width(words, TypeSize::Label) / 2;
        if (x - half < map.box.low.x || x + half > map.box.high.x - desk.units(70)) continue;
        desk.pen.text({x, y + desk.units(14)}, words, TypeSize::Label, desk.colours.quiet, Anchor::Middle);
    }
    const std::string unitWords = std::string(metric ? "m" : "ft") + (axis.offsets ? " out" : " along");
    desk.pen.text({map.box.high.x, y + desk.units(14)}, unitWords, TypeSize::Label, desk.colours.quiet,
                  Anchor::End);
}

struct Reading {
    double y = 0;
    std::string words;
    LayerId layer = -1;
};

std::vector<Reading> readingsAt(const WindowState& state, const StripMap& map, double distance) {
    std::vector<Reading> readings;
    double top = 0, thick = 0, bottom = 0;
    LayerId layer = -1;
    const auto put = [&] {
        if (layer < 0 || layer == state.model->nativeSoil || thick <= 1e-6) return;
        const double y = 0.5 * (map.y(top) + map.y(bottom));
        readings.push_back(
            {y, titleOf(*state.model, layer) + "  " + formatThickness(thick, state.model->plan.show), layer});
    };
    for (const LayerAt& at : stackAt(*state.model, state.cut.section, distance)) {
        if (at.layer != layer) {
            put();
            layer = at.layer;
            top = at.top;
            thick = 0;
        }
        thick += at.thickness();
        bottom = at.bottom;
    }
    put();
    return readings;
}

/// The upright line at a distance, with the layers' thicknesses in a column beside it.
void drawReading(Desk& desk, const WindowState& state, const StripMap& map, double distance) {
    const std::vector<Reading> readings = readingsAt(state, map, distance);
    const double x = map.x(distance);
    desk.pen.line({x, map.box.low.y}, {x, map.box.high.y}, faded(desk.colours.paper, 0.8), 3);
    desk.pen.line({x, map.box.low.y}, {x, map.box.high.y}, desk.colours.attention, 1.2);
    if (readings.empty()) return;
    double wide = 0;
    std::vector<double> wanted;
    for (const Reading& reading : readings) {
        wide = std::max(wide, desk.pen.width(reading.words, TypeSize::Label));
        wanted.push_back(reading.y);
    }
    const double line = desk.units(17), pad = desk.units(8), away = desk.units(22);
    const bool right = x + away + wide + 2 * pad < map.box.high.x;
    const double edge = right ? x + away : x - away;
    const std::vector<double> ys =
        spread(wanted, line, map.box.low.y + desk.units(2), map.box.high.y - desk.units(2));
    const Box paper{{right ? edge : edge - wide - 2 * pad, ys.front() - line / 2 - desk.units(4)},
                    {right ? edge + wide + 2 * pad : edge, ys.back() + line / 2 + desk.units(4)}};
    desk.pen.fill(paper, faded(desk.colours.slip, 0.94));
    desk.pen.outline(paper, desk.colours.rule, 1);
    for (size_t i = 0; i < readings.size(); ++i) {
        desk.pen.line({x, readings[i].y}, {edge, ys[i]}, desk.colours.ink, 1);
        desk.pen.disc({x, readings[i].y}, 2.2, desk.colours.ink);
        desk.pen.text({paper.low.x + pad, ys[i]}, readings[i].words, TypeSize::Label, desk.colours.ink);
    }
}

/// Distance along the cut's line of a place that lies on it (within 5 cm).
std::optional<double> distanceOf(const WindowState& state, glm::dvec2 place) {
    const Section& section = state.cut.section;
    for (size_t i = 1; i < section.line.size(); ++i) {
        const glm::dvec2 leg = section.line[i] - section.line[i - 1];
        const double length = glm::length(leg);
        if (length <= 0) continue;
        const double along = glm::dot(place - section.line[i - 1], leg) / length;
        const glm::dvec2 foot = section.line[i - 1] + leg * (along / length);
        if (along >= 0 && along <= length && glm::length(place - foot) < 0.05)
            return section.lineAt[i - 1] + along;
    }
    return {};
}

}  // namespace

void drawStrip(Desk& desk, WindowState& state) {
    const Section& section = state.cut.section;
    const StripMap map =
        stripMap(*state.model, section, state.frame.strip, desk.units(rim), stripMirrored(state));
    drawHead(desk, state, map);
    if (section.intervals.empty()) {
        desk.pen.text(state.frame.strip.middle(), "The cut misses everything", TypeSize::Body,
                      desk.colours.quiet, Anchor::Middle);
        return;
    }
    drawBody(desk, state, map);
    drawMarks(desk, state, map);
    const Touch hand = touch("strip", map.box);
    std::optional<double> distance;
    if (hand.over) {
        distance = std::clamp(map.distance(desk.pointer.x), 0.0, section.length);
        desk.pointed = section.at(*distance);
        if (hand.clicked) attend(state, desk.pointed);
    } else {
        if (state.pointed) distance = distanceOf(state, *state.pointed);
        if (!distance && state.place) distance = distanceOf(state, *state.place);
    }
    if (distance && *distance >= map.from && *distance <= map.to) drawReading(desk, state, map, *distance);
}

}  // namespace underfoot
