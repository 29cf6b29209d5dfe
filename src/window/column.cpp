// The build-up column: the layers under attention, drawn to scale, with names and thicknesses.

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/length.h"
#include "measure/words.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "window/heights.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/slabs.h"
#include "window/strip_canvas.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double rowHeight = 50;
constexpr double barWidth = 46;
constexpr double gutter = 26;

struct ColumnPlan {
    Box bar;                    // the whole stack, ground included
    std::vector<Box> segments;  // one for each row
    std::vector<double> rowsAt;
    double rowHigh = 0;
};

double wholeThickness(const std::vector<ColumnRow>& rows) {
    double whole = 0;
    for (const ColumnRow& row : rows) whole += row.ground ? 0 : row.thickness;
    return whole;
}

ColumnPlan planOf(const Desk& desk, const Box& box, const std::vector<ColumnRow>& rows) {
    ColumnPlan plan;
    const double top = box.low.y + desk.units(76);
    const double room = box.high.y - top;
    const auto count = static_cast<double>(rows.size());
    plan.rowHigh = std::min(desk.units(rowHeight), room / std::max(count, 1.0));
    const double soil = desk.units(30);
    const double stack =
        std::clamp(plan.rowHigh * count - soil, desk.units(60), std::max(room - soil, desk.units(60)));
    const double whole = wholeThickness(rows);
    const double perMetre = whole > 0 ? stack / whole : 0;
    double y = top;
    std::vector<double> wanted;
    for (const ColumnRow& row : rows) {
        const double high = row.ground ? soil : row.thickness * perMetre;
        plan.segments.push_back({{box.low.x, y}, {box.low.x + desk.units(barWidth), y + high}});
        wanted.push_back(y + high / 2);
        y += high;
    }
    plan.bar = {{box.low.x, top}, {box.low.x + desk.units(barWidth), y}};
    plan.rowsAt = spread(wanted, plan.rowHigh, top, box.high.y);
    return plan;
}

/// The underside of the ground: broken off.
std::vector<glm::dvec2> brokenOff(const Desk& desk, const Box& box) {
    const double tooth = desk.units(5);
    std::vector<glm::dvec2> ring{{box.low.x, box.low.y}, {box.high.x, box.low.y}};
    constexpr int teeth = 6;
    for (int i = 0; i <= teeth; ++i) {
        const double x = box.high.x - box.width() * i / teeth;
        ring.push_back({x, box.high.y - (i % 2 == 0 ? 0 : tooth)});
    }
    return ring;
}

void drawSegment(Desk& desk, const WindowState& state, const ColumnRow& row, const Box& box) {
    const Material& material = layerMaterial(state, row.layer);
    const Colour colour = layerColour(state, row.layer);
    if (!row.shown) {
        if (box.height() > desk.units(3)) desk.pen.outline(box, desk.colours.rule, 1);
        return;
    }
    const std::vector<glm::dvec2> ring =
        row.ground
            ? brokenOff(desk, box)
            : std::vector<glm::dvec2>{box.low, {box.high.x, box.low.y}, box.high, {box.low.x, box.high.y}};
    const Slabs shape(ring);
    desk.pen.fill(shape, mixed(colour, {1, 1, 1, 1}, 0.10));
    const bool lightFace = contrastRatio(colour, {0, 0, 0, 1}) > 7;
    const Colour mark = mixed(colour, lightFace ? Colour{0, 0, 0, 1} : Colour{1, 1, 1, 1}, 0.42);
    if (box.height() > desk.units(5)) drawHatch(desk.pen, shape, box, material.hatch, mark, box.low);
    if (box.height() < desk.units(3) && !row.ground) {
        desk.pen.line(box.low, {box.high.x, box.low.y}, colour, 2.4);
        return;
    }
    desk.pen.line(box.low, {box.high.x, box.low.y}, desk.colours.ink, 1);
}

/// A stripe of the three colours of thickness.
void thicknessSign(Pen& pen, const Box& box, const Colour& ring, bool on) {
    const Colour parts[] = {colourOf("#5B2A86"), colourOf("#EFEAE0"), colourOf("#0E7C6B")};
    const double third = box.height() / 3;
    for (int i = 0; i < 3; ++i) {
        const double y = box.low.y + third * i;
        pen.fill({{box.low.x, y}, {box.high.x, y + third}}, faded(parts[i], on ? 1 : 0.75));
    }
    pen.outline(on ? box.inset(-pen.units(2)) : box, ring, on ? 1.6 : 1);
}

void eyeSign(Pen& pen, const Box& box, const Colour& colour, bool shown) {
    if (shown) return pen.disc(box.middle(), 4.5, colour);
    pen.ring(box.middle(), 4.2, colour, 1.3);
}

std::string thicknessWords(const WindowState& state, const ColumnRow& row) {
    if (row.ground) return "";
    if (row.thickness <= 0) return "none here";
    return formatThickness(row.thickness, state.model->plan.show);
}

bool outOfRange(const ColumnRow& row) {
    if (row.ground || row.thickness <= 0) return false;
    constexpr double same = 1e-6;
    return (row.least && row.thickness < *row.least - same) ||
           (row.greatest && row.thickness > *row.greatest + same);
}

std::string rangeWords(const WindowState& state, const ColumnRow& row) {
    const LengthFormat& show = state.model->plan.show;
    if (row.least && row.greatest)
        return formatThickness(*row.least, show) + " to " + formatThickness(*row.greatest, show);
    if (row.least) return "at least " + formatThickness(*row.least, show);
    if (row.greatest) return "at most " + formatThickness(*row.greatest, show);
    return "";
}

void drawRow(Desk& desk, WindowState& state, const ColumnRow& row, const Box& box, int index) {
    ImGui::PushID(index);
    const double sign = desk.units(11), y = box.middle().y;
    const bool two = box.height() > desk.units(30) && !row.ground;
    const double nameY = two ? y - desk.units(9) : y;
    const glm::dvec2 eyeAt{box.high.x - desk.units(9), nameY}, stripeAt{box.high.x - desk.units(31), nameY};
    const Box eye{eyeAt - desk.units(11), eyeAt + desk.units(11)},
        stripe{stripeAt - desk.units(11), stripeAt + desk.units(11)};
    if (signButton(desk, "eye", eye, row.shown ? "Hide" : "Show",
                   [&](const Box& b, const Colour& c) { eyeSign(desk.pen, b, c, row.shown); }))
        toggleLayer(state, row.layer);
    const bool coloured = state.thicknessLayer == row.layer;
    if (!row.ground && signButton(desk, "stripe", stripe, coloured ? "Own colours" : "Colour by thickness",
                                  [&](const Box& b, const Colour& c) {
                                      const Box small{b.middle() - sign / 2, b.middle() + sign / 2};
                                      thicknessSign(desk.pen, small, coloured ? desk.colours.ink : c,
                                                    coloured);
                                  }))
        toggleThickness(state, row.layer, desk.now);
    const Touch hand = touch("row", box);
    if (hand.clicked) toggleLayer(state, row.layer);
    if (hand.over) {
        ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
        desk.pointedLayer = row.layer;
    }
    const double wide = stripe.low.x - box.low.x - desk.units(2);
    const Colour name = row.shown ? desk.colours.ink : desk.colours.quiet;
    const std::string thickness = thicknessWords(state, row), range = rangeWords(state, row);
    const std::string title = desk.pen.shortened(row.title, TypeSize::Body, wide);
    desk.pen.text({box.low.x, nameY}, title, hand.over ? TypeSize::BodyStrong : TypeSize::Body, name);
    if (two) {
        const Colour ink = outOfRange(row)     ? desk.colours.attention
                           : row.thickness > 0 ? desk.colours.ink
                                               : desk.colours.quiet;
        desk.pen.text({box.low.x, y + desk.units(9)}, thickness, TypeSize::LabelStrong, ink);
        const double after = desk.pen.width(thickness, TypeSize::LabelStrong) + desk.units(8);
        if (!range.empty() && after + desk.pen.width(range, TypeSize::Label) < box.width())
            desk.pen.text({box.low.x + after, y + desk.units(9)}, range, TypeSize::Label, desk.colours.quiet);
    }
    ImGui::PopID();
}

void drawLeader(Desk& desk, const Box& segment, double rowY) {
    const double y = segment.middle().y;
    const double left = segment.high.x + desk.units(3), right = segment.high.x + desk.units(gutter - 5);
    const double bend = desk.units(4);
    desk.pen.polyline({{left, y}, {left + bend, y}, {right - bend, rowY}, {right, rowY}}, desk.colours.quiet,
                      1);
}

/// The finish's height here, to be dragged up and down.
void drawFinish(Desk& desk, WindowState& state, glm::dvec2 place) {
    const std::optional<int> finish = finishAt(*state.model, place);
    const std::optional<double> height = finishHeightAt(*state.model, place);
    if (!finish || !height) return;
    const Box& box = state.frame.column;
    const double y = std::round(box.low.y + desk.units(53));
    const Movable what{Movable::Of::Finish, *finish, 0};
    const double by = raisedBy(state, what);
    const bool raised = by != 0;
    if (raised) raiseButtons(desk, state, what, {box.high.x, y});
    const double right = raised ? box.high.x - desk.units(78) : box.high.x;
    const Touch hand =
        touch("finish", {{box.low.x - desk.units(4), y - desk.units(13)}, {right, y + desk.units(13)}});
    ImGuiStorage& kept = *ImGui::GetStateStorage();
    const ImGuiID from = ImGui::GetID("finish from"), start = ImGui::GetID("finish start");
    if (hand.pressed) {
        kept.SetFloat(from, static_cast<float>(desk.pointer.y));
        kept.SetInt(start, static_cast<int>(std::lround(by / raiseStep(*state.model))));
    }
    if (hand.held) {
        state.dragging = true;
        const double pixels = static_cast<double>(kept.GetFloat(from)) - desk.pointer.y;
        const double steps = kept.GetInt(start) + dragSteps(desk, pixels);
        raiseFinish(state, *finish, steps * raiseStep(*state.model), true);
    }
    if (hand.released) settleRaise(state);
    if (hand.over || hand.held) {
        ImGui::SetMouseCursor(ImGuiMouseCursor_ResizeNS);
        if (!hand.held) desk.hint = "Drag up or down to raise or lower the finish";
    }
    heightSign(desk.pen, {box.low.x + desk.units(5), y},
               hand.over || hand.held ? desk.colours.ink : desk.colours.quiet);
    double x = box.low.x + desk.units(16);
    if (!raised) {
        desk.pen.text({x, y}, "Finish", TypeSize::Label, desk.colours.quiet);
        x += desk.pen.width("Finish", TypeSize::Label) + desk.units(8);
    }
    const std::string words = formatLength(*height, state.model->plan.show);
    desk.pen.text({x, y}, words, TypeSize::LabelStrong, desk.colours.ink);
    x += desk.pen.width(words, TypeSize::LabelStrong) + desk.units(7);
    if (raised)
        desk.pen.text({x, y}, raisedWords(*state.model, by), TypeSize::LabelStrong, desk.colours.attention);
}

}  // namespace

void drawColumn(Desk& desk, WindowState& state) {
    const Box& box = state.frame.column;
    const std::optional<glm::dvec2> place = columnPlace(state);
    if (!place || box.width() <= 0) return;
    const std::vector<ColumnRow> rows = columnRows(state, *place);
    if (rows.empty()) return;
    const ColumnPlan plan = planOf(desk, box, rows);
    const double foot = std::max(plan.bar.high.y, plan.rowsAt.back() + plan.rowHigh / 2);
    ground(desk, {{0, box.low.y - desk.units(6)}, {box.high.x + desk.units(4), foot + desk.units(8)}});
    std::string area = capitalised(areaAt(*state.model, *place));
    if (area.empty()) area = "Beside the areas";
    desk.pen.text({box.low.x, box.low.y + desk.units(9)},
                  desk.pen.shortened(area, TypeSize::BodyStrong, box.width()), TypeSize::BodyStrong,
                  desk.colours.ink);
    desk.pen.text({box.low.x, box.low.y + desk.units(30)}, "At " + placeWords(*state.model, *place),
                  TypeSize::Label, desk.colours.quiet);
    drawFinish(desk, state, *place);
    for (size_t i = 0; i < rows.size(); ++i) {
        drawSegment(desk, state, rows[i], plan.segments[i]);
        drawLeader(desk, plan.segments[i], plan.rowsAt[i]);
        const double half = plan.rowHigh / 2;
        const Box row{{plan.bar.high.x + desk.units(gutter), plan.rowsAt[i] - half},
                      {box.high.x, plan.rowsAt[i] + half}};
        drawRow(desk, state, rows[i], row, static_cast<int>(i));
    }
    desk.pen.line(plan.bar.low, {plan.bar.low.x, plan.bar.high.y}, desk.colours.ink, 1);
    desk.pen.line({plan.bar.high.x, plan.bar.low.y}, plan.bar.high, desk.colours.ink, 1);
    cover("column", {box.low, {box.high.x, foot}});
}

}  // namespace underfoot
