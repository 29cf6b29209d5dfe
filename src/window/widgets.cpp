#include <array>
#include <cmath>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "measure/slope.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "study/findings.h"
#include "window/heights.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/window_state.h"

namespace underfoot {

double wordButton(Desk& desk, const char* id, glm::dvec2 at, const std::string& words, bool on,
                  bool& clicked) {
    const double wide = desk.pen.width(words, TypeSize::Label);
    const double half = desk.units(12);
    const Touch hand =
        touch(id, {{at.x - desk.units(4), at.y - half}, {at.x + wide + desk.units(4), at.y + half}});
    if (hand.over) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    const Colour colour = hand.over || on ? desk.colours.ink : desk.colours.quiet;
    desk.pen.text(at, words, on ? TypeSize::LabelStrong : TypeSize::Label, colour);
    const double y = at.y + desk.units(9);
    if (on || hand.over)
        desk.pen.line({at.x, y}, {at.x + wide, y}, on ? desk.colours.ink : desk.colours.rule, 1.2);
    clicked = hand.clicked;
    return wide;
}

std::optional<double> slider(Desk& desk, const char* id, const Box& box, double value, bool& released) {
    const Box reach{{box.low.x - desk.units(8), box.low.y}, {box.high.x + desk.units(8), box.high.y}};
    const Touch hand = touch(id, reach);
    const double y = std::round(box.middle().y);
    const double x = sliderX(box, value, 0, 1);
    const Colour& ink = desk.colours.ink;
    desk.pen.line({box.low.x, y}, {box.high.x, y}, desk.colours.rule, 1);
    desk.pen.line({box.low.x, y}, {x, y}, ink, 1.6);
    for (const double end : {box.low.x, box.high.x}) {
        const double tick = desk.units(4);
        desk.pen.line({end - tick, y + tick}, {end + tick, y - tick}, desk.colours.quiet, 1);
    }
    desk.pen.disc({x, y}, hand.over || hand.held ? 6.5 : 5.5, desk.colours.paper);
    desk.pen.disc({x, y}, hand.over || hand.held ? 5.5 : 4.5, ink);
    if (hand.over) ImGui::SetMouseCursor(ImGuiMouseCursor_ResizeEW);
    released = hand.released;
    if (!hand.held) return {};
    return sliderValue(box, desk.pointer.x, 0, 1);
}

bool signButton(Desk& desk, const char* id, const Box& box, const std::string& hint,
                const std::function<void(const Box&, const Colour&)>& draw) {
    const Touch hand = touch(id, box);
    if (hand.over) {
        ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
        desk.hint = hint;
    }
    draw(box, hand.over ? desk.colours.ink : desk.colours.quiet);
    return hand.clicked;
}

void heightSign(Pen& pen, glm::dvec2 middle, const Colour& colour) {
    const double w = pen.units(4), far = pen.units(7), near = pen.units(2.5);
    for (const double way : {-1.0, 1.0})
        pen.triangle({middle.x - w, middle.y + way * near}, {middle.x + w, middle.y + way * near},
                     {middle.x, middle.y + way * far}, colour);
}

std::string raisedWords(const Model& model, double by) {
    return (by > 0 ? "+" : "\u2212") + formatThickness(std::abs(by), model.plan.show);
}

void raiseButtons(Desk& desk, WindowState& state, const Movable& what, glm::dvec2 right) {
    bool clicked = false;
    right.x -= desk.pen.width("Back", TypeSize::Label);
    wordButton(desk, "raise back", right, "Back", false, clicked);
    if (clicked) return raiseBy(state, what, 0);
    right.x -= desk.pen.width("Save", TypeSize::Label) + desk.units(12);
    wordButton(desk, "raise save", right, "Save", false, clicked);
    if (clicked) saveRaise(state);
}

double dragSteps(const Desk& desk, double pixels) {
    return std::round(pixels / desk.units(desk.shift ? 12 : 3));
}

void ground(Desk& desk, const Box& box) {
    if (desk.model.overlaps(box)) desk.pen.fill(box, faded(desk.colours.paper, 0.86));
}

void cover(const char* id, const Box& box) {
    touch(id, box);
}

const Material& layerMaterial(const WindowState& state, LayerId layer) {
    const ModelLayer& of = state.model->layers[static_cast<size_t>(layer)];
    return state.catalogue.material(of.material, of.role);
}

Colour layerColour(const WindowState& state, LayerId layer) {
    const std::array<double, 3>& c = layerMaterial(state, layer).colour;
    return {c[0], c[1], c[2], 1};
}

std::string distanceWords(const Model& model, double metres) {
    const bool metric = model.plan.show.style == LengthStyle::Metres;
    const double shown = metric ? metres : metres / metresPerFoot;
    const double places = metric ? 100 : 10;
    const double rounded = std::round(shown * places) / places + 0.0;
    return metric ? fmt::format("{:.2f} m", rounded) : fmt::format("{:.1f} ft", rounded);
}

std::string placeWords(const Model& model, glm::dvec2 local) {
    const glm::dvec2 so = model.stationOffset(local);
    const std::string side = so.y < 0 ? " behind" : " out";
    return formatStation(so.x, model.plan.show) + ", " + distanceWords(model, std::abs(so.y)) + side;
}

std::string amountWords(const WindowState& state, const Finding& finding) {
    if (finding.kind == FindingKind::GroundExtended || finding.kind == FindingKind::GroundAssumed) return "";
    const Limit* limit = state.catalogue.findLimit(finding.rule);
    const std::string unit = limit == nullptr ? "m" : limit->unit;
    if (unit == "m") return formatThickness(finding.measured, state.model->plan.show);
    if (unit == "slope") return formatPercent(finding.measured);
    return fmt::format("{:.0f} %", finding.measured * 100);
}

}  // namespace underfoot
