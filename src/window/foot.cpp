// The foot: a little plan with the cut's line, and a slider along the stations.

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "window/layout.h"
#include "window/marks.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double chordSagitta = 0.01;
constexpr double graspUnits = 9;

std::vector<glm::dvec2> onPlan(const WindowState& state, const Ring& ring) {
    std::vector<glm::dvec2> corners;
    for (const glm::dvec2& p : toChords(ring, chordSagitta).corners)
        corners.push_back(state.planMap.toScreen(state.model->toLocal(p)));
    return corners;
}

Colour areaColour(const WindowState& state, const Area& area) {
    const BuildUp* buildUp = buildUpOf(state.model->plan, area);
    const LayerId layer =
        buildUp && !buildUp->layers.empty() ? state.model->findLayer(buildUp->layers.front().name) : -1;
    return layer >= 0 ? layerColour(state, layer) : Colour{0.6, 0.6, 0.6, 1};
}

void drawAreas(Desk& desk, const WindowState& state) {
    const Plan& plan = state.model->plan;
    for (const FixedThing& thing : plan.fixedThings) {
        const std::vector<glm::dvec2> ring = onPlan(state, thing.outline);
        desk.pen.polygon(ring, mixed(desk.colours.paper, desk.colours.ink, 0.45));
    }
    for (const Area& area : plan.areas) {
        const std::vector<glm::dvec2> ring = onPlan(state, area.outline);
        desk.pen.polygon(ring, mixed(desk.colours.paper, areaColour(state, area), 0.55));
    }
    for (const Area& area : plan.areas) {
        for (const Ring& opening : area.openings) {
            const std::vector<glm::dvec2> ring = onPlan(state, opening);
            desk.pen.polygon(ring, desk.colours.paper);
            desk.pen.polyline(ring, desk.colours.quiet, 1, true);
        }
        desk.pen.polyline(onPlan(state, area.outline), desk.colours.ink, 1, true);
    }
}

void drawMarks(Desk& desk, const WindowState& state) {
    for (size_t i = 0; i < state.findings.size(); ++i) {
        const glm::dvec2 at = state.planMap.toScreen(state.findings[i].at);
        const bool open = state.openFinding == static_cast<int>(i);
        desk.pen.disc(at, open ? 4.5 : 2.6, desk.colours.paper);
        desk.pen.disc(at, open ? 3.5 : 1.8, desk.colours.attention);
    }
    if (state.place) desk.pen.ring(state.planMap.toScreen(*state.place), 4.5, desk.colours.ink, 1.4);
    if (state.pointed)
        desk.pen.ring(state.planMap.toScreen(*state.pointed), 3.5, desk.colours.attention, 1.4);
}

/// The part of a straight line inside a box; both ends far away for a line that misses it.
std::pair<glm::dvec2, glm::dvec2> within(const Box& box, glm::dvec2 a, glm::dvec2 b) {
    double from = 0, to = 1;
    const glm::dvec2 d = b - a;
    for (int axis = 0; axis < 2; ++axis) {
        if (std::abs(d[axis]) < 1e-9) continue;
        const double first = (box.low[axis] - a[axis]) / d[axis],
                     second = (box.high[axis] - a[axis]) / d[axis];
        from = std::max(from, std::min(first, second));
        to = std::min(to, std::max(first, second));
    }
    return from < to ? std::make_pair(a + d * from, a + d * to) : std::make_pair(a, b);
}

/// Where a cut's two ends are grasped: inside the plan.
std::vector<glm::dvec2> cutOnPlan(const WindowState& state) {
    std::vector<glm::dvec2> line;
    for (const glm::dvec2& p : state.cut.line) line.push_back(state.planMap.toScreen(p));
    if (line.size() == 2) {
        const auto [a, b] = within(state.planMap.box.inset(state.frame.units(6)), line[0], line[1]);
        line = {a, b};
    }
    return line;
}

/// The cut as drafting has it: a bold line, arrows at its ends that look the way one looks at the face.
void drawCutLine(Desk& desk, const WindowState& state) {
    const std::vector<glm::dvec2> line = cutOnPlan(state);
    if (line.size() < 2) return;
    desk.pen.polyline(line, desk.colours.paper, 4);
    desk.pen.polyline(line, desk.colours.ink, 2);
    for (const bool start : {true, false}) {
        const glm::dvec2 end = start ? line.front() : line.back();
        const glm::dvec2 along =
            glm::normalize(start ? line[1] - line[0] : line.back() - line[line.size() - 2]);
        // The screen turns the plan over: its left is the screen's (along.y, -along.x).
        const glm::dvec2 left{along.y, -along.x};
        const glm::dvec2 looking = state.cut.removeLeft ? -left : left;
        const glm::dvec2 tip = end + looking * desk.units(8);
        desk.pen.triangle(tip, end - along * desk.units(4), end + along * desk.units(4), desk.colours.ink);
    }
}

void drawSketch(Desk& desk, const WindowState& state) {
    if (!state.drawing || !state.drawing->started) return;
    const glm::dvec2 a = state.planMap.toScreen(state.drawing->from),
                     b = state.planMap.toScreen(state.drawing->to);
    desk.pen.line(a, b, desk.colours.attention, 2);
    desk.pen.disc(a, 3, desk.colours.attention);
    desk.pen.disc(b, 3, desk.colours.attention);
}

void dragEnd(WindowState& state, bool start, glm::dvec2 place) {
    if (state.cut.line.size() != 2) return;
    std::vector<glm::dvec2> line{state.planMap.toLocal(cutOnPlan(state)[0]),
                                 state.planMap.toLocal(cutOnPlan(state)[1])};
    line[start ? 0 : 1] = place;
    if (glm::length(line[1] - line[0]) < 0.1) return;
    const bool removeLeft = state.cut.removeLeft;
    cutAlongLine(state, line, "");
    state.cut.removeLeft = removeLeft;
}

/// What a press on the plan has hold of, kept while it is held.
enum class Grasp { None, Line, Start, End };

Grasp graspAt(const Desk& desk, const WindowState& state) {
    const std::vector<glm::dvec2> line = cutOnPlan(state);
    if (line.size() != 2) return Grasp::Line;
    if (glm::length(desk.pointer - line[0]) < desk.units(graspUnits)) return Grasp::Start;
    if (glm::length(desk.pointer - line[1]) < desk.units(graspUnits)) return Grasp::End;
    return Grasp::Line;
}

void usePlan(Desk& desk, WindowState& state) {
    const Touch hand = touch("plan", state.frame.plan);
    const glm::dvec2 place = state.planMap.toLocal(desk.pointer);
    ImGuiStorage& kept = *ImGui::GetStateStorage();
    const ImGuiID id = ImGui::GetID("plan grasp");
    if (hand.over && !hand.held) {
        desk.pointed = place;
        const Grasp grasp = graspAt(desk, state);
        desk.hint = state.drawing          ? "Drag to draw the cut"
                    : grasp == Grasp::Line ? "Drag to move the cut"
                                           : "Drag to turn the cut";
    }
    if (state.drawing) {
        if (hand.pressed) drawFrom(state, place);
        if (hand.held) drawTo(state, place, desk.shift);
        if (hand.released) finishDrawing(state, desk.now);
        return;
    }
    if (hand.pressed) kept.SetInt(id, static_cast<int>(graspAt(desk, state)));
    if (hand.released) settleCut(state, desk.now);
    if (!hand.held) return;
    state.dragging = true;
    const auto grasp = static_cast<Grasp>(kept.GetInt(id));
    if (grasp == Grasp::Line) moveCutTo(state, place);
    if (grasp == Grasp::Start || grasp == Grasp::End) dragEnd(state, grasp == Grasp::Start, place);
}

/// The stations at the left and right ends of the little plan.
std::pair<double, double> stationsAcross(const WindowState& state) {
    const PlanMap& map = state.planMap;
    const auto at = [&](double x) {
        return state.model->stationOffset(map.toLocal({x, map.box.middle().y})).x;
    };
    return {at(map.box.low.x), at(map.box.high.x)};
}

void drawStationTicks(Desk& desk, const WindowState& state, const Box& line, std::pair<double, double> ends) {
    const bool metric = state.model->plan.show.style == LengthStyle::Metres;
    const double step = metric ? 1.0 : 5 * metresPerFoot;
    const double perMetre = line.width() / (ends.second - ends.first);
    if (std::abs(perMetre) * step < desk.units(4)) return;
    const int first = static_cast<int>(std::ceil(state.stations.low / step - 1e-9)),
              last = static_cast<int>(std::floor(state.stations.high / step + 1e-9));
    for (int i = first; i <= last; ++i) {
        const double x = line.low.x + (i * step - ends.first) * perMetre;
        const bool ten = i % 2 == 0;
        desk.pen.line({x, line.middle().y - desk.units(ten ? 5 : 3)}, {x, line.middle().y},
                      desk.colours.quiet, 1);
    }
}

void stationSlider(Desk& desk, WindowState& state) {
    const Box& box = state.frame.stationSlider;
    const auto ends = stationsAcross(state);
    const double y = std::round(box.low.y + desk.units(10));
    const Box line{{box.low.x, y - desk.units(8)}, {box.high.x, y + desk.units(8)}};
    const auto xOf = [&](double station) {
        return line.low.x + (station - ends.first) / (ends.second - ends.first) * line.width();
    };
    const double from = xOf(state.stations.low), to = xOf(state.stations.high);
    desk.pen.line({from, y}, {to, y}, desk.colours.quiet, 1);
    drawStationTicks(desk, state, line, ends);
    const Touch hand = touch("station", {{std::min(from, to) - desk.units(8), box.low.y},
                                         {std::max(from, to) + desk.units(8), box.high.y}});
    if (hand.over) ImGui::SetMouseCursor(ImGuiMouseCursor_ResizeEW);
    if (hand.held) {
        state.dragging = true;
        cutAtStationOf(
            state, ends.first + (desk.pointer.x - line.low.x) / line.width() * (ends.second - ends.first));
    }
    if (hand.released) settleCut(state, desk.now);
    const double left = std::min(from, to), right = std::max(from, to);
    const double wordsY = y + desk.units(20);
    if (!state.cut.station) {
        desk.pen.text({box.low.x, wordsY}, "Station", TypeSize::Label, desk.colours.quiet);
        return;
    }
    const double x = std::clamp(xOf(*state.cut.station), left, right);
    desk.pen.disc({x, y}, hand.over || hand.held ? 6.5 : 5.5, desk.colours.paper);
    desk.pen.disc({x, y}, hand.over || hand.held ? 5.5 : 4.5, desk.colours.ink);
    const std::string words = formatStation(*state.cut.station, state.model->plan.show);
    const double half = desk.pen.width(words, TypeSize::LabelStrong) / 2;
    desk.pen.text({std::clamp(x, box.low.x + half, box.high.x - half), wordsY}, words, TypeSize::LabelStrong,
                  desk.colours.ink, Anchor::Middle);
}

}  // namespace

void drawPlan(Desk& desk, WindowState& state) {
    const Box& box = state.frame.plan;
    desk.pen.clip(box);
    drawAreas(desk, state);
    drawCutLine(desk, state);
    drawMarks(desk, state);
    drawMarksOnPlan(desk, state);
    drawSketch(desk, state);
    desk.pen.endClip();
    usePlan(desk, state);
    stationSlider(desk, state);
}

void drawFoot(Desk& desk, WindowState& state) {
    const Box& box = state.frame.foot;
    if (!state.model || box.height() <= 0) return;
    desk.pen.fill(box, desk.colours.paper);
    desk.pen.line({box.low.x, box.low.y}, {box.high.x, box.low.y}, desk.colours.ink, 1.5);
    desk.pen.line({box.low.x, box.low.y + desk.units(3)}, {box.high.x, box.low.y + desk.units(3)},
                  desk.colours.rule, 1);
    drawPlan(desk, state);
    drawStrip(desk, state);
    cover("foot", box);
}

}  // namespace underfoot
