#include <cmath>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include <glm/vec2.hpp>

#include "share/drawing.h"
#include "view/scene_view.h"
#include "window/glide.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/shots.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

/// Lays things out from the right to the left of the controls' line.
struct FromRight {
    double x = 0;
    double y = 0;
    Box take(double wide, double tall) {
        x -= wide;
        return {{x, y - tall / 2}, {x + wide, y + tall / 2}};
    }
};

void themeSign(Pen& pen, const Box& box, const Colour& colour) {
    const glm::dvec2 c = box.middle();
    pen.ring(c, 6.5, colour, 1.4);
    pen.list().PathClear();
    const auto r = static_cast<float>(pen.units(6.5));
    pen.list().PathArcTo({static_cast<float>(c.x), static_cast<float>(c.y)}, r, 1.5708F, 4.7124F, 18);
    const auto part = [](double v) { return static_cast<float>(v); };
    pen.list().PathFillConvex(
        ImGui::ColorConvertFloat4ToU32({part(colour.red), part(colour.green), part(colour.blue), 1}));
}

/// A picture frame with its hanger.
void clientSign(Pen& pen, const Box& box, const Colour& colour) {
    const glm::dvec2 c = box.middle();
    const double w = pen.units(7.5), h = pen.units(5);
    pen.outline({{c.x - w, c.y - h + pen.units(2)}, {c.x + w, c.y + h + pen.units(2)}}, colour, 1.4);
    pen.polyline({{c.x - w * 0.55, c.y - h + pen.units(2)},
                  {c.x, c.y - pen.units(7.5)},
                  {c.x + w * 0.55, c.y - h + pen.units(2)}},
                 colour, 1.2);
}

/// A square in perspective, or seen from above.
void cornerSign(Pen& pen, const Box& box, const Colour& colour) {
    const glm::dvec2 c = box.middle();
    const double w = pen.units(8), h = pen.units(4.2), t = pen.units(3.5);
    pen.polyline({{c.x - w, c.y - 1}, {c.x, c.y - h - 1}, {c.x + w, c.y - 1}, {c.x, c.y + h - 1}}, colour,
                 1.4, true);
    pen.polyline(
        {{c.x - w, c.y - 1}, {c.x - w, c.y + t}, {c.x, c.y + h + t}, {c.x + w, c.y + t}, {c.x + w, c.y - 1}},
        colour, 1.2);
}

/// A dot that goes up and down.
void shotSign(Pen& pen, const Box& box, const Colour& colour, bool on) {
    const glm::dvec2 c = box.middle();
    const double w = pen.units(4), near = pen.units(5), far = pen.units(9.5);
    pen.disc(c, 2.6, colour);
    for (const double way : {-1.0, 1.0})
        pen.polyline({{c.x - w, c.y + way * near}, {c.x, c.y + way * far}, {c.x + w, c.y + way * near}},
                     colour, 1.4);
    if (on)
        pen.line({c.x - pen.units(8), c.y + pen.units(13)}, {c.x + pen.units(8), c.y + pen.units(13)}, colour,
                 1.6);
}

void aboveSign(Pen& pen, const Box& box, const Colour& colour) {
    const glm::dvec2 c = box.middle();
    const double w = pen.units(6.5);
    pen.outline({c - w, c + w}, colour, 1.4);
    pen.line({c.x - w, c.y}, {c.x + w, c.y}, colour, 1);
    pen.line({c.x, c.y - w}, {c.x, c.y + w}, colour, 1);
}

void namedSlider(Desk& desk, FromRight& row, const char* id, const std::string& name, const Glide& value,
                 const std::function<void(double)>& set, const std::function<void()>& done) {
    const Box box = row.take(desk.units(88), desk.units(24));
    bool released = false;
    const auto moved = slider(desk, id, box, value.at(desk.now), released);
    row.x -= desk.units(14);
    desk.pen.text({row.x, row.y}, name, TypeSize::Label, desk.colours.ink, Anchor::End);
    row.x -= desk.pen.width(name, TypeSize::Label) + desk.units(22);
    if (moved) set(*moved);
    if (released) done();
}

}  // namespace

void drawControls(Desk& desk, WindowState& state) {
    if (state.clientView) return;
    const Box& box = state.frame.controls;
    ground(desk, {{box.low.x, 0}, {state.frame.width, box.high.y}});
    FromRight row{box.high.x, std::round(box.low.y + desk.units(14))};
    const double side = desk.units(28);
    Pen& pen = desk.pen;
    if (signButton(desk, "help", row.take(side, side), "What the keys do",
                   [&](const Box& b, const Colour& c) {
                       pen.text(b.middle(), "?", TypeSize::BodyStrong, c, Anchor::Middle);
                   }))
        state.helpOpen = !state.helpOpen;
    if (signButton(desk, "theme", row.take(side, side),
                   state.theme == Theme::Light ? "Dark paper" : "Light paper",
                   [&](const Box& b, const Colour& c) { themeSign(pen, b, c); }))
        toggleTheme(state);
    if (!state.model) return cover("controls", box);
    if (signButton(desk, "client", row.take(side, side), "View for a client",
                   [&](const Box& b, const Colour& c) { clientSign(pen, b, c); }))
        setClientView(state, true, desk.now);
    if (signButton(desk, "above", row.take(side, side), "From above",
                   [&](const Box& b, const Colour& c) { aboveSign(pen, b, c); }))
        lookFromAbove(state, desk.now);
    if (signButton(desk, "corner", row.take(side, side), "From the garden",
                   [&](const Box& b, const Colour& c) { cornerSign(pen, b, c); }))
        lookThreeQuarter(state, desk.now);
    if (signButton(desk, "shots", row.take(side, side),
                   state.shotsShown ? "Put the shots away" : "Shots, to be dragged up and down",
                   [&](const Box& b, const Colour& c) {
                       shotSign(pen, b, state.shotsShown ? desk.colours.ink : c, state.shotsShown);
                   }))
        showShots(state, !state.shotsShown);
    row.x -= desk.units(18);
    namedSlider(
        desk, row, "lift", "Lift apart", state.lift,
        [&](double v) { state.dragging = true, setLift(state, v, desk.now); },
        [&] { state.dragging = false, setLift(state, state.lift.goal(), desk.now); });
    namedSlider(
        desk, row, "peel", "Peel", state.peel,
        [&](double v) { state.dragging = true, setPeel(state, v, desk.now); },
        [&] { state.dragging = false; });
    cover("controls", box);
}

}  // namespace underfoot
