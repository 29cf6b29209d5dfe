// Shots over the scene: their dots, what the pointer does to them, and the panel of the chosen one.

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <glm/common.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "study/thickness.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "window/heights.h"
#include "window/layout.h"
#include "window/marks.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/shots.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double graspUnits = 9;  // of a dot
constexpr double panelWidth = 248, panelHeight = 100;

std::string heightWords(const WindowState& state, const Movable& shot) {
    return formatLength(shotHeight(state, shot), state.model->plan.show);
}

void grasp(Desk& desk, WindowState& state) {
    state.grasp = ShotGrasp{desk.pointer.y, shotHeight(state, *state.shot)};
}

/// While a shot is held: follows the pointer; lets go of it.
void dragShot(Desk& desk, WindowState& state, bool released) {
    if (!state.grasp || !state.shot) return;
    if (released) {
        state.grasp.reset();
        return settleRaise(state);
    }
    state.dragging = true;
    stepShot(state, *state.shot, state.grasp->height, dragSteps(desk, state.grasp->y - desk.pointer.y), true);
}

/// Above the chosen shot's dot or below it, inside what the parts leave free.
Box panelBox(const Desk& desk, const WindowState& state) {
    const WindowFrame& frame = state.frame;
    const glm::dvec2 size{desk.units(panelWidth), desk.units(panelHeight)};
    const Look look = lookOf(state, desk.now);
    const glm::dvec2 place = shotPlace(state, *state.shot);
    glm::dvec3 at{place, shotHeight(state, *state.shot)};
    for (const ShotDot& dot : shotDots(state, look))
        if (dot.shot == *state.shot) at = dot.at;
    const auto seen = cameraAt(state, desk.now).project(at, frame.width, frame.height);
    const glm::dvec2 dot = seen.value_or(glm::dvec2{frame.width, frame.height} * 0.5);
    const double right = std::max(frame.width - frame.scene.right - size.x, frame.scene.left),
                 foot = std::max(frame.height - frame.scene.bottom - size.y, frame.scene.top);
    const double above = dot.y - desk.units(14) - size.y;
    const glm::dvec2 low{
        std::clamp(dot.x + desk.units(16), frame.scene.left, right),
        above < frame.scene.top ? std::min(dot.y + desk.units(14), foot) : std::min(above, foot)};
    return {glm::round(low), glm::round(low) + size};
}

/// The height, to be dragged up and down or clicked and typed.
void heightRow(Desk& desk, WindowState& state, const Box& row) {
    const Movable shot = *state.shot;
    const double y = row.middle().y, by = raisedBy(state, shot);
    if (by != 0) raiseButtons(desk, state, shot, {row.high.x, y});
    const double right = by != 0 ? row.high.x - desk.units(78) : row.high.x;
    const Touch hand = touch("height", {row.low, {right, row.high.y}});
    if (hand.pressed) grasp(desk, state);
    const bool unmoved = state.grasp && state.grasp->height == shotHeight(state, shot);
    if (hand.held || hand.released) dragShot(desk, state, hand.released);
    if (hand.clicked && unmoved) startEntry(state);
    if (hand.over || hand.held) {
        ImGui::SetMouseCursor(ImGuiMouseCursor_ResizeNS);
        if (!hand.held) desk.hint = "Drag up or down, or click and type a height";
    }
    heightSign(desk.pen, {row.low.x + desk.units(5), y},
               hand.over || hand.held ? desk.colours.ink : desk.colours.quiet);
    const std::string words = heightWords(state, shot);
    const double x = row.low.x + desk.units(16);
    desk.pen.text({x, y}, words, TypeSize::LabelStrong, desk.colours.ink);
    if (by != 0)
        desk.pen.text({x + desk.pen.width(words, TypeSize::LabelStrong) + desk.units(7), y},
                      raisedWords(*state.model, by), TypeSize::LabelStrong, desk.colours.attention);
}

void entryRow(Desk& desk, const WindowState& state, const Box& row) {
    const double y = row.middle().y, x = row.low.x + desk.units(16);
    const double wide = desk.pen.width(*state.entry, TypeSize::LabelStrong), end = x + wide + desk.units(2);
    desk.pen.text({x, y}, *state.entry, TypeSize::LabelStrong, desk.colours.ink);
    desk.pen.line({end, y - desk.units(8)}, {end, y + desk.units(8)}, desk.colours.attention, 1.4);
    desk.pen.line({x, y + desk.units(11)}, {row.high.x, y + desk.units(11)}, desk.colours.ink, 1.2);
}

std::string lastLine(const WindowState& state, const Movable& shot) {
    const Plan& plan = state.model->plan;
    if (state.entry)
        return std::string("A bare number is in ") + unitWord(plan.bareUnit) + ". Enter takes it.";
    const std::string source = shotSource(plan, shot);
    if (raisedBy(state, shot) == 0) return source;
    return source + " has " + formatLength(shotOf(plannedOf(state), shot).height, plan.show);
}

void drawDot(Desk& desk, const WindowState& state, const ShotDot& dot, glm::dvec2 at) {
    const bool strong = dot.shot == state.shot || dot.shot == desk.pointedShot;
    const Colour ink = strong || raisedBy(state, dot.shot) != 0 ? desk.colours.attention : desk.colours.ink;
    desk.under.disc(at, strong ? 7 : 5, desk.colours.paper);
    desk.under.disc(at, strong ? 5.6 : 3.9, ink);
    desk.under.disc(at, strong ? 3.6 : 2.5, layerColour(state, dot.layer));
}

}  // namespace

void drawShotPanel(Desk& desk, WindowState& state) {
    if (!state.model || !state.shotsShown || !state.shot) return;
    const Movable shot = *state.shot;
    const Box box = panelBox(desk, state);
    desk.panel = box;
    desk.pen.fill(box, desk.colours.slip);
    desk.pen.outline(box, desk.colours.quiet, 1);
    const double left = box.low.x + desk.units(12), wide = box.width() - desk.units(24);
    const auto line = [&](double y, const std::string& words, TypeSize face, const Colour& colour) {
        desk.pen.text({left, box.low.y + desk.units(y)}, desk.pen.shortened(words, face, wide), face, colour);
    };
    const Shot& record = shotOf(state.model->plan, shot);
    const std::string name = shotName(state.model->plan, shot);
    line(16, record.description.empty() ? name : name + ", " + record.description, TypeSize::BodyStrong,
         desk.colours.ink);
    line(37, "At " + placeWords(*state.model, shotPlace(state, shot)), TypeSize::Label, desk.colours.quiet);
    const Box row{{left, box.low.y + desk.units(48)}, {left + wide, box.low.y + desk.units(72)}};
    ImGui::PushID("shot");
    if (state.entry)
        entryRow(desk, state, row);
    else
        heightRow(desk, state, row);
    cover("panel", box);
    ImGui::PopID();
    if (state.shot) line(86, lastLine(state, shot), TypeSize::Label, desk.colours.quiet);
}

bool useShots(Desk& desk, WindowState& state, const Look& look, const Camera& camera, bool over) {
    if (!state.shotsShown || state.clientView || state.drawing) return false;
    const bool held = ImGui::IsItemActive(), pressed = ImGui::IsItemActivated(),
               released = ImGui::IsItemDeactivated();
    if (over && (!held || pressed))
        desk.pointedShot = shotNear(state, look, camera, desk.pointer, desk.units(graspUnits));
    if (pressed && desk.pointedShot && ImGui::IsMouseDown(ImGuiMouseButton_Left)) {
        chooseShot(state, desk.pointedShot);
        grasp(desk, state);
    }
    if (state.grasp && (held || released)) {
        dragShot(desk, state, released);
        return true;
    }
    if (!desk.pointedShot || held || released) return false;
    ImGui::SetMouseCursor(ImGuiMouseCursor_ResizeNS);
    const glm::dvec2 place = shotPlace(state, *desk.pointedShot);
    if (cellAt(*state.model, place) >= 0) desk.pointed = place;
    desk.hint = "Drag up or down to move this shot";
    if (ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left))
        cutAtStationOf(state, state.model->stationOffset(place).x);
    return true;
}

void drawShots(Desk& desk, const WindowState& state, const Look& look, const Camera& camera) {
    if (!state.shotsShown || state.clientView) return;
    for (const bool strong : {false, true})  // the chosen one and the one under the pointer over all others
        for (const ShotDot& dot : shotDots(state, look)) {
            if ((dot.shot == state.shot || dot.shot == desk.pointedShot) != strong) continue;
            const auto at = camera.project(dot.at, state.frame.width, state.frame.height);
            if (!at || coveredByParts(state.frame, {*at - desk.units(4), *at + desk.units(4)})) continue;
            drawDot(desk, state, dot, *at);
            if (!strong || dot.shot == state.shot) continue;
            desk.under.textOver({at->x, at->y - desk.units(16)},
                                shotName(state.model->plan, dot.shot) + "  " + heightWords(state, dot.shot),
                                TypeSize::LabelStrong, desk.colours.attention, desk.colours.paper,
                                Anchor::Middle);
        }
}

}  // namespace underfoot
