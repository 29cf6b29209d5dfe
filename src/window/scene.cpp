// What stands over the model: labels, the place under the pointer; and what the pointer does to the eye.

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "share/drawing.h"
#include "study/section.h"
#include "study/thickness.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "window/layout.h"
#include "window/marks.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/questions.h"
#include "window/shots.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double clickSlack = 4;  // units the pointer may move in a click
constexpr double zoomPerNotch = 0.88;

Box wordsBox(const Pen& pen, glm::dvec2 at, double wide, double tall, Anchor anchor) {
    const double left = anchor == Anchor::Start    ? at.x
                        : anchor == Anchor::Middle ? at.x - wide / 2
                                                   : at.x - wide;
    const double pad = pen.units(2);
    return {{left - pad, at.y - tall / 2 - pad}, {left + wide + pad, at.y + tall / 2 + pad}};
}

/// Numbers on the field, where neither a label nor a part of the frame nor another number stands.
void drawNumbers(Desk& desk, const WindowState& state, std::vector<Box> taken) {
    Pen& pen = desk.under;
    const TypeSize face = state.clientView ? TypeSize::ClientStrong : TypeSize::LabelStrong;
    const Colour ink{0.10, 0.12, 0.14, 1}, rim{0.97, 0.96, 0.94, 1};  // the field is pale on any paper
    for (const FieldNumber& number : desk.annotations.numbers) {
        const Box box =
            wordsBox(pen, number.at, pen.width(number.text, face), desk.units(14), Anchor::Middle);
        const bool free =
            std::none_of(taken.begin(), taken.end(), [&](const Box& other) { return other.overlaps(box); });
        if (!free || coveredByParts(state.frame, box) || desk.panel.overlaps(box)) continue;
        pen.textOver(number.at, number.text, face, ink, rim, Anchor::Middle);
        taken.push_back(box);
    }
}

/// As much of a layer's name as stands between its label's end and what is beside the scene.
std::string labelName(Desk& desk, const WindowState& state, const Label& label, TypeSize face) {
    const WindowFrame& f = state.frame;
    const bool beside = !state.clientView && state.slipsOpen && f.slips.width() > 0;
    const double right = beside ? f.slips.low.x : f.width, left = state.clientView ? 0 : f.column.high.x;
    const double room = label.rightColumn ? right - label.end.x : label.end.x - left;
    return desk.under.shortened(label.name, face, room - desk.units(14));
}

void drawLabels(Desk& desk, const WindowState& state, bool layers) {
    Pen& pen = desk.under;
    std::vector<Box> taken;
    const bool client = state.clientView;
    const TypeSize nameFace = client ? TypeSize::ClientStrong : TypeSize::LabelStrong,
                   numberFace = client ? TypeSize::ClientLabel : TypeSize::Label;
    for (const Label& label : desk.annotations.labels) {
        if (!layers) break;
        const std::string name = labelName(desk, state, label, nameFace);
        const double wide = std::max(pen.width(name, nameFace), pen.width(label.thickness, numberFace));
        const Box box =
            wordsBox(pen, {label.end.x + (label.rightColumn ? 6 : -6) * desk.units(1), label.end.y}, wide,
                     desk.units(client ? 44 : 32), label.rightColumn ? Anchor::Start : Anchor::End);
        if (coveredByParts(state.frame, box) || desk.panel.overlaps(box)) continue;
        taken.push_back(box);
        pen.polyline({label.dot, label.bend, label.end}, faded(desk.colours.paper, 0.8), 3);
        pen.polyline({label.dot, label.bend, label.end}, desk.colours.ink, 1);
        pen.disc(label.dot, 4, desk.colours.paper);
        pen.disc(label.dot, 2.6, desk.colours.ink);
        const double gap = desk.units(6), half = desk.units(client ? 11 : 8.5);
        const Anchor anchor = label.rightColumn ? Anchor::Start : Anchor::End;
        const double x = label.end.x + (label.rightColumn ? gap : -gap);
        pen.textOver({x, label.end.y - half}, name, nameFace, desk.colours.ink, desk.colours.paper, anchor);
        pen.textOver({x, label.end.y + half}, label.thickness, numberFace, desk.colours.quiet,
                     desk.colours.paper, anchor);
    }
    drawNumbers(desk, state, std::move(taken));
}

/// A place's stack in the picture: heights of its shown layers, with their lift.
std::vector<glm::dvec3> stackInPicture(const WindowState& state, const Look& look, glm::dvec2 place) {
    std::vector<glm::dvec3> points;
    for (const LayerAt& at : stackAtPoint(*state.model, place)) {
        if (at.layer == state.model->nativeSoil || !look.shows(at.layer)) continue;
        const double rise = layerRise(*state.model, look, at.layer);
        points.emplace_back(place, at.top + rise);
        points.emplace_back(place, at.bottom + rise);
    }
    return points;
}

bool onCut(const WindowState& state, glm::dvec2 place) {
    if (!state.cut.shown) return false;
    for (size_t i = 1; i < state.cut.line.size(); ++i) {
        const glm::dvec2 a = state.cut.line[i - 1], leg = state.cut.line[i] - a;
        const double t = glm::dot(place - a, leg) / std::max(glm::dot(leg, leg), 1e-12);
        if (glm::length(place - a - leg * std::clamp(t, 0.0, 1.0)) < 0.02) return true;
    }
    return false;
}

Box boxRound(const std::vector<glm::dvec2>& pixels) {
    Box box{pixels.front(), pixels.front()};
    for (const glm::dvec2& p : pixels) box.low = glm::min(box.low, p), box.high = glm::max(box.high, p);
    return box;
}

/// Where it stands in the picture.
Box drawRing(Desk& desk, const WindowState& state, const Camera& camera, glm::dvec3 centre,
             const Colour& colour) {
    std::vector<glm::dvec2> ring;
    const double radius = 0.025 * camera.distance * 0.5;
    for (int i = 0; i < 40; ++i) {
        const double angle = 2 * std::numbers::pi * i / 40;
        const auto p =
            camera.project(centre + glm::dvec3{radius * std::cos(angle), radius * std::sin(angle), 0},
                           state.frame.width, state.frame.height);
        if (!p) return {};
        ring.push_back(*p);
    }
    desk.under.polyline(ring, faded(desk.colours.paper, 0.8), 4, true);
    desk.under.polyline(ring, colour, 2, true);
    return boxRound(ring);
}

/// The place as the strip shows it: an upright line on the cut's face, else a ring on the surface.
Box drawPlace(Desk& desk, const WindowState& state, const Look& look, const Camera& camera, glm::dvec2 place,
              const Colour& colour) {
    const std::vector<glm::dvec3> stack = stackInPicture(state, look, place);
    if (stack.empty()) return {};
    if (!onCut(state, place)) return drawRing(desk, state, camera, stack.front(), colour);
    std::vector<glm::dvec2> seen;
    for (const glm::dvec3& p : stack)
        if (const auto pixel = camera.project(p, state.frame.width, state.frame.height))
            seen.push_back(*pixel);
    if (seen.size() != stack.size()) return {};
    desk.under.line(seen.front(), seen.back(), faded(desk.colours.paper, 0.8), 4);
    desk.under.line(seen.front(), seen.back(), colour, 2);
    for (const glm::dvec2& p : seen)
        desk.under.line({p.x - desk.units(4), p.y}, {p.x + desk.units(4), p.y}, colour, 1.4);
    return boxRound(seen);
}

void drawSketch(Desk& desk, const WindowState& state, const Look& look, const Camera& camera) {
    if (!state.drawing || !state.drawing->started) return;
    std::vector<glm::dvec2> line;
    constexpr int pieces = 24;
    double height = state.model->site.floor;
    for (int i = 0; i <= pieces; ++i) {
        const glm::dvec2 place = state.drawing->from + (state.drawing->to - state.drawing->from) *
                                                           (i / static_cast<double>(pieces));
        const std::vector<LayerAt> stack = stackAtPoint(*state.model, place);
        if (!stack.empty()) height = stack.front().top + layerRise(*state.model, look, stack.front().layer);
        if (const auto p = camera.project({place, height}, state.frame.width, state.frame.height))
            line.push_back(*p);
    }
    if (line.size() < 2) return;
    desk.under.polyline(line, desk.colours.paper, 4);
    desk.under.polyline(line, desk.colours.attention, 2);
    desk.under.disc(line.front(), 3.5, desk.colours.attention);
    desk.under.disc(line.back(), 3.5, desk.colours.attention);
}

bool isClick(const Desk& desk) {
    const auto slack = static_cast<float>(desk.units(clickSlack));
    return ImGui::GetIO().MouseDragMaxDistanceSqr[0] < slack * slack;
}

void drawNewCut(Desk& desk, WindowState& state, const std::optional<glm::dvec3>& under) {
    const bool pressed = ImGui::IsItemActivated(), held = ImGui::IsItemActive();
    if (under && pressed) drawFrom(state, *under);
    if (under && held) drawTo(state, *under, desk.shift);
    if (ImGui::IsItemDeactivated()) finishDrawing(state, desk.now);
}

void moveEye(Desk& desk, WindowState& state) {
    const ImGuiIO& io = ImGui::GetIO();
    const glm::dvec2 delta{static_cast<double>(io.MouseDelta.x), static_cast<double>(io.MouseDelta.y)};
    const bool pan = io.MouseDown[1] || io.MouseDown[2] || desk.shift;
    if (pan) {
        state.dragging = true;
        if (delta != glm::dvec2{0, 0}) panBy(state, delta, desk.now);
    } else if (!isClick(desk)) {
        state.dragging = true;
        if (delta != glm::dvec2{0, 0}) orbitBy(state, delta, desk.now);
    }
}

void useScene(Desk& desk, WindowState& state, const Look& look, const Camera& camera) {
    const WindowFrame& frame = state.frame;
    ImGui::SetCursorScreenPos({0, 0});
    ImGui::InvisibleButton("scene", {static_cast<float>(frame.width), static_cast<float>(frame.height)},
                           ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
                               ImGuiButtonFlags_MouseButtonMiddle);
    const bool over = ImGui::IsItemHovered(), held = ImGui::IsItemActive();
    const bool onShot = useShots(desk, state, look, camera, over);
    if (!over && !held) return;
    std::optional<glm::dvec3> under;
    const bool needed = state.drawing || desk.wheel != 0 || !(held || onShot);
    if (needed) under = placeUnder(state, look, camera.ray(desk.pointer, frame.width, frame.height));
    if (desk.wheel != 0 && over) {
        zoomAbout(state, under.value_or(camera.target), std::pow(zoomPerNotch, desk.wheel), desk.now);
        desk.wheel = 0;
    }
    if (onShot) return;
    if (state.drawing) return drawNewCut(desk, state, under);
    if (held) return moveEye(desk, state);
    // Nothing stands in what the cut takes away, so nothing is pointed at there.
    if (under && !state.clientView && !takenAway(state, *under) && cellAt(*state.model, *under) >= 0)
        desk.pointed = *under;
    const bool up = ImGui::IsMouseReleased(ImGuiMouseButton_Left) && ImGui::IsItemDeactivated();
    if (up && isClick(desk)) chooseShot(state, {});
    if (up && isClick(desk) && desk.pointed) attend(state, desk.pointed);
    if (ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left) && under)
        cutAtStationOf(state, state.model->stationOffset(*under).x);
}

}  // namespace

bool coveredByParts(const WindowFrame& frame, const Box& box) {
    Box scale = frame.thicknessScale;
    scale.low.y -= frame.units(28);  // its heading stands above it
    for (const Box& part : {frame.title, frame.controls, frame.column, frame.questions, frame.slips,
                            frame.page, frame.foot, scale})
        if (part.width() > 0 && part.overlaps(box)) return true;
    return false;
}

void drawScene(Desk& desk, WindowState& state) {
    if (!state.model) return;
    const Look look = lookOf(state, desk.now);
    const Camera camera = cameraAt(state, desk.now);
    const bool asking = state.answer.open != Question::None && !state.clientView;
    if (!state.dragging && !moving(state, desk.now)) drawLabels(desk, state, !asking);
    if (asking) drawMarks(desk, state, look, camera);
    useScene(desk, state, look, camera);
    if (state.drawing && !state.drawing->started) desk.hint = "Drag across the model to cut it";
    drawSketch(desk, state, look, camera);
    drawShots(desk, state, look, camera);
    if (state.clientView) return;
    std::vector<Box> places;
    if (state.place) places.push_back(drawPlace(desk, state, look, camera, *state.place, desk.colours.ink));
    if (state.pointed && !state.pointedShot && !state.dragging)
        places.push_back(drawPlace(desk, state, look, camera, *state.pointed, desk.colours.attention));
    if (asking) drawMarkLabels(desk, state, look, camera, places);
}

void drawThicknessScale(Desk& desk, WindowState& state) {
    const Box& box = state.frame.thicknessScale;
    if (!state.model || state.thicknessLayer < 0 || box.width() <= 0) return;
    const ThicknessScale scale = thicknessScale(*state.model, {state.thicknessLayer, {}, {}});
    Pen& pen = desk.pen;
    ground(desk, {{box.low.x - desk.units(8), box.low.y - desk.units(30)},
                  {box.high.x, box.high.y + desk.units(12)}});
    pen.text({box.low.x, box.low.y - desk.units(16)}, "Thickness", TypeSize::LabelStrong, desk.colours.ink);
    const Box bar{{box.low.x, box.low.y}, {box.low.x + desk.units(14), box.high.y}};
    const int steps = std::max(2, static_cast<int>(bar.height() / desk.units(2)));
    for (int i = 0; i < steps; ++i) {
        const double from = i / static_cast<double>(steps), to = (i + 1) / static_cast<double>(steps);
        const double thickness = scale.least + (scale.greatest - scale.least) * 0.5 * (from + to);
        const glm::dvec3 c = thicknessColour(scale, thickness);
        const double low = std::round(bar.high.y - to * bar.height()),
                     high = std::round(bar.high.y - from * bar.height());
        pen.fill({{bar.low.x, low}, {bar.high.x, high}}, fromVec(c));
    }
    pen.outline(bar, desk.colours.ink, 1);
    std::vector<const ScaleTick*> ticks;
    ticks.reserve(scale.ticks.size());
    for (const ScaleTick& tick : scale.ticks) ticks.push_back(&tick);
    std::sort(ticks.begin(), ticks.end(),
              [](const ScaleTick* a, const ScaleTick* b) { return a->at > b->at; });
    std::vector<double> wanted;
    wanted.reserve(ticks.size());
    for (const ScaleTick* tick : ticks) wanted.push_back(bar.high.y - tick->at * bar.height());
    const std::vector<double> ys =
        spread(wanted, desk.units(17), box.low.y - desk.units(6), box.high.y + desk.units(8));
    for (size_t i = 0; i < ticks.size(); ++i) {
        pen.polyline({{bar.high.x, wanted[i]},
                      {bar.high.x + desk.units(6), ys[i]},
                      {bar.high.x + desk.units(9), ys[i]}},
                     desk.colours.ink, 1);
        pen.text({bar.high.x + desk.units(13), ys[i]}, ticks[i]->text,
                 ticks[i]->bound ? TypeSize::LabelStrong : TypeSize::Label, desk.colours.ink);
    }
    cover("scale", box);
}

}  // namespace underfoot
