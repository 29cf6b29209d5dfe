// Findings as slips along the right edge.

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/words.h"
#include "share/drawing.h"
#include "study/findings.h"
#include "view/camera.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double slipHeight = 32;
constexpr double slipGap = 5;
constexpr double slipHeadHeight = 34;

struct SlipText {
    double body = 0, remedy = 0, source = 0;
};

double innerWidth(const Desk& desk, const Box& box) {
    return box.width() - desk.units(28);
}

SlipText heightsOf(Desk& desk, const Finding& finding, const Box& box) {
    const double wide = innerWidth(desk, box);
    const auto measure = [&](const std::string& words, TypeSize face) {
        return words.empty() ? 0.0 : desk.pen.wrapped({0, 0}, wide, words, face, desk.colours.ink, true);
    };
    return {measure(finding.what, TypeSize::Label), measure(finding.remedy, TypeSize::Body),
            measure(finding.source, TypeSize::Label)};
}

double openHeight(const Desk& desk, const SlipText& text) {
    const double gaps = (text.remedy > 0 ? 6 : 0) + (text.source > 0 ? 6 : 0);
    return desk.units(slipHeight + 12 + gaps) + text.body + text.remedy + text.source;
}

/// A slip with its upper right corner cut off.
void drawPaper(Desk& desk, const Box& box, bool over, bool open) {
    const double corner = desk.units(9);
    const std::vector<glm::dvec2> ring{box.low,
                                       {box.high.x - corner, box.low.y},
                                       {box.high.x, box.low.y + corner},
                                       box.high,
                                       {box.low.x, box.high.y}};
    desk.pen.polygon(ring, desk.colours.slip);
    desk.pen.polyline(ring, over || open ? desk.colours.quiet : desk.colours.rule, 1, true);
    desk.pen.fill({box.low, {box.low.x + desk.units(open ? 4 : 3), box.high.y}}, desk.colours.attention);
}

void drawLine(Desk& desk, const WindowState& state, const Finding& finding, const Box& box) {
    const double y = box.low.y + desk.units(slipHeight / 2);
    const double left = box.low.x + desk.units(14), right = box.high.x - desk.units(14);
    const std::string what = capitalised(findingName(finding.kind));
    const std::string amount = amountWords(state, finding);
    const double amountWide = desk.pen.width(amount, TypeSize::LabelStrong);
    const std::string where = placeWords(*state.model, finding.at);
    const double whereWide = desk.pen.width(where, TypeSize::Label);
    const double whereRight = right - desk.units(58);
    desk.pen.text({right, y}, amount, TypeSize::LabelStrong, desk.colours.attention, Anchor::End);
    const double whereEnd = std::min(whereRight, right - amountWide - desk.units(8));
    desk.pen.text({whereEnd, y}, where, TypeSize::Label, desk.colours.quiet, Anchor::End);
    desk.pen.text(
        {left, y},
        desk.pen.shortened(what, TypeSize::LabelStrong, whereEnd - whereWide - left - desk.units(8)),
        TypeSize::LabelStrong, desk.colours.ink);
}

void drawOpened(Desk& desk, const Finding& finding, const SlipText& text, const Box& box) {
    const glm::dvec2 left{box.low.x + desk.units(14), box.low.y + desk.units(slipHeight)};
    const double wide = innerWidth(desk, box);
    double y = left.y;
    y += desk.pen.wrapped({left.x, y}, wide, finding.what, TypeSize::Label, desk.colours.quiet);
    if (text.remedy > 0)
        y += desk.units(6) + desk.pen.wrapped({left.x, y + desk.units(6)}, wide, finding.remedy,
                                              TypeSize::Body, desk.colours.ink);
    if (text.source > 0)
        desk.pen.wrapped({left.x, y + desk.units(6)}, wide, finding.source, TypeSize::Label,
                         desk.colours.quiet);
}

void drawHeading(Desk& desk, WindowState& state) {
    const Box& box = state.frame.slips;
    const Box head{box.low, {box.high.x, box.low.y + desk.units(slipHeadHeight - 4)}};
    ground(desk,
           {{head.low.x - desk.units(8), head.low.y - desk.units(6)}, {state.frame.width, head.high.y}});
    const size_t count = state.findings.size();
    const std::string words = count == 0 ? "Nothing to look at" : "To look at";
    const double y = head.low.y + desk.units(9);
    desk.pen.text({head.low.x, y}, words, TypeSize::BodyStrong,
                  count == 0 ? desk.colours.quiet : desk.colours.ink);
    if (count == 0 && state.notes.empty()) return;
    if (count > 0)
        desk.pen.text({head.low.x + desk.pen.width(words, TypeSize::BodyStrong) + desk.units(8), y},
                      fmt::format("{}", count), TypeSize::BodyStrong, desk.colours.attention);
    desk.pen.text({head.high.x, y}, state.slipsOpen ? "fold" : "open", TypeSize::Label, desk.colours.quiet,
                  Anchor::End);
    const Touch hand = touch("slips head", head);
    if (hand.over) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    if (hand.clicked) {
        const Camera camera = state.camera.to;
        state.slipsOpen = !state.slipsOpen;
        layOutAgain(state);
        if (!state.cameraOwn && sameCamera(camera, state.camera.to)) fitView(state, desk.now);
    }
}

/// What was done to scans, below the slips; returns its height.
double drawNotes(Desk& desk, const WindowState& state, glm::dvec2 top, double wide, bool measureOnly) {
    double y = top.y;
    for (const std::string& note : state.notes)
        y += desk.units(6) + desk.pen.wrapped({top.x, y + desk.units(6)}, wide, note, TypeSize::Label,
                                              desk.colours.quiet, measureOnly);
    return y - top.y;
}

void scrollBy(Desk& desk, WindowState& state, const Box& list, double whole) {
    const double most = std::max(0.0, whole - list.height());
    if (desk.wheel != 0 && list.holds(desk.pointer) && most > 0) {
        state.slipsScroll -= desk.wheel * desk.units(48);
        desk.wheel = 0;
    }
    state.slipsScroll = std::clamp(state.slipsScroll, 0.0, most);
    if (most <= 0) return;
    const double x = list.high.x + desk.units(6), part = list.height() / whole;
    const double top = list.low.y + state.slipsScroll / whole * list.height();
    desk.pen.line({x, top}, {x, top + part * list.height()}, desk.colours.rule, 3);
}

}  // namespace

void drawSlips(Desk& desk, WindowState& state) {
    const Box& box = state.frame.slips;
    if (!state.model || box.width() <= 0) return;
    drawHeading(desk, state);
    if (!state.slipsOpen || (state.findings.empty() && state.notes.empty())) return;
    const Box list{{box.low.x, box.low.y + desk.units(slipHeadHeight)}, box.high};
    double whole = 0;
    std::vector<SlipText> texts(state.findings.size());
    std::vector<double> heights;
    for (size_t i = 0; i < state.findings.size(); ++i) {
        const bool open = state.openFinding == static_cast<int>(i);
        if (open) texts[i] = heightsOf(desk, state.findings[i], list);
        heights.push_back(open ? openHeight(desk, texts[i]) : desk.units(slipHeight));
        whole += heights.back() + desk.units(slipGap);
    }
    whole += drawNotes(desk, state, {list.low.x, 0}, list.width(), true);
    scrollBy(desk, state, list, whole);
    desk.pen.clip({list.low, {list.high.x + 1, list.high.y}});
    double y = list.low.y - state.slipsScroll;
    int chosen = -1;
    for (size_t i = 0; i < state.findings.size(); ++i) {
        const Box slip{{list.low.x, std::round(y)}, {list.high.x, std::round(y + heights[i])}};
        y += heights[i] + desk.units(slipGap);
        if (slip.high.y < list.low.y || slip.low.y > list.high.y) continue;
        ImGui::PushID(static_cast<int>(i));
        const Touch hand = touch("slip", slip);
        ImGui::PopID();
        const bool open = state.openFinding == static_cast<int>(i);
        drawPaper(desk, slip, hand.over, open);
        drawLine(desk, state, state.findings[i], slip);
        if (open) drawOpened(desk, state.findings[i], texts[i], slip);
        if (hand.over) {
            ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
            desk.pointed = state.findings[i].at;
        }
        if (hand.clicked) chosen = static_cast<int>(i);
    }
    drawNotes(desk, state, {list.low.x, y}, list.width(), false);
    desk.pen.endClip();
    if (chosen >= 0) chooseFinding(state, chosen, desk.now);
}

}  // namespace underfoot
