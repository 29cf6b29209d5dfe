// Sheets that lie over the window: faults of the plan, what the keys do; and the hint beside the pointer.

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iterator>
#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

void drawSheetPaper(Desk& desk, const Box& box) {
    desk.over.fill({box.low + desk.units(3), box.high + desk.units(3)}, faded({0, 0, 0, 1}, 0.12));
    desk.over.fill(box, desk.colours.slip);
    desk.over.outline(box, desk.colours.ink, 1);
    desk.over.outline(box.inset(desk.units(4)), desk.colours.rule, 1);
}

std::string faultPlace(const Diagnostic& fault) {
    const std::string file = std::filesystem::path(fault.place.file).filename().string();
    if (fault.place.line <= 0) return file;
    return fmt::format("{}, line {}", file, fault.place.line);
}

/// One fault's words; returns their height.
double drawFault(Desk& desk, const Diagnostic& fault, glm::dvec2 top, double wide, bool measureOnly) {
    double y = top.y;
    if (!measureOnly)
        desk.over.text({top.x, y + desk.units(9)},
                       desk.over.shortened(faultPlace(fault), TypeSize::LabelStrong, wide),
                       TypeSize::LabelStrong, desk.colours.attention);
    y += desk.units(20);
    y += desk.over.wrapped({top.x, y}, wide, fault.what, TypeSize::Body, desk.colours.ink, measureOnly);
    if (!fault.remedy.empty())
        y += desk.over.wrapped({top.x, y}, wide, fault.remedy, TypeSize::Body, desk.colours.quiet,
                               measureOnly);
    return y - top.y + desk.units(14);
}

std::string sheetHeading(const WindowState& state) {
    const size_t count = state.faults.size();
    return count == 1 ? "One thing in the plan to put right"
                      : fmt::format("{} things in the plan to put right", count);
}

}  // namespace

void drawSheet(Desk& desk, WindowState& state) {
    if (!state.sheetOpen || state.faults.empty()) return;
    const double wide = std::min(desk.units(620), state.frame.width - desk.units(64));
    const double pad = desk.units(26), inner = wide - 2 * pad;
    double list = 0;
    for (const Diagnostic& fault : state.faults) list += drawFault(desk, fault, {0, 0}, inner, true);
    const double most = state.frame.height - desk.units(160);
    const double high = std::min(list + desk.units(112), most);
    const double left = std::round(0.5 * (state.frame.width - wide)),
                 top = std::round(std::max(desk.units(72), 0.42 * (state.frame.height - high)));
    const Box box{{left, top}, {left + wide, top + high}};
    drawSheetPaper(desk, box);
    desk.over.text({box.low.x + pad, box.low.y + desk.units(34)}, sheetHeading(state), TypeSize::Head,
                   desk.colours.ink);
    const Box view{{box.low.x + pad, box.low.y + desk.units(60)},
                   {box.high.x - pad, box.high.y - desk.units(50)}};
    const double spare = std::max(0.0, list - view.height());
    if (box.holds(desk.pointer)) {
        state.sheetScroll -= desk.wheel * desk.units(48);
        desk.wheel = 0;
    }
    state.sheetScroll = std::clamp(state.sheetScroll, 0.0, spare);
    desk.over.clipOwn(view);
    double y = view.low.y - state.sheetScroll;
    for (const Diagnostic& fault : state.faults) y += drawFault(desk, fault, {view.low.x, y}, inner, false);
    desk.over.endClipOwn();
    const double foot = box.high.y - desk.units(26);
    const std::string words = state.model ? "The last good model stays until then."
                                          : "The window follows as soon as the file is saved.";
    desk.over.text({view.low.x, foot}, words, TypeSize::Label, desk.colours.quiet);
    if (state.model) {
        const std::string close = "Close";
        const double x = view.high.x - desk.over.width(close, TypeSize::LabelStrong);
        const Touch hand = touch("close sheet", {{x - desk.units(10), foot - desk.units(14)},
                                                 {view.high.x + desk.units(10), foot + desk.units(14)}});
        desk.over.text({x, foot}, close, TypeSize::LabelStrong, desk.colours.ink);
        desk.over.line({x, foot + desk.units(9)}, {view.high.x, foot + desk.units(9)},
                       hand.over ? desk.colours.ink : desk.colours.rule, 1.2);
        if (hand.clicked) state.sheetOpen = false;
    }
    cover("sheet", box);
}

void drawHelp(Desk& desk, WindowState& state) {
    if (!state.helpOpen) return;
    static constexpr const char* lines[][2] = {
        {"Drag", "turn"},
        {"Right drag, or shift and drag", "move"},
        {"Wheel", "nearer and farther"},
        {"Click", "keep a place under attention"},
        {"Double click", "cut there"},
        {"Left, right", "move the cut"},
        {"Page up, page down   S", "raise or lower the finish or a shot, save it"},
        {"G", "shots, to be dragged up and down"},
        {"Enter", "type the chosen shot's height"},
        {"Ctrl Z   Ctrl Y", "undo a raised height, do it again"},
        {"1 to 8", "the questions, in their order"},
        {"Up, down   Ctrl C", "rows of the answer, copy its table"},
        {"X", "draw a cut; with shift along or across the house"},
        {"P   L", "peel, lift apart"},
        {"T", "colour the next layer by its thickness"},
        {"H   Q   F", "from the garden, from above, all in view"},
        {"C   D", "view for a client, dark paper"},
        {"Esc", "one step back"}};
    const double wide = std::min(desk.units(560), state.frame.width - desk.units(64)), line = desk.units(27);
    const double high = desk.units(84) + line * std::size(lines);
    const double left = std::round(0.5 * (state.frame.width - wide)),
                 top = std::round(0.4 * (state.frame.height - high));
    const Box box{{left, top}, {left + wide, top + high}};
    drawSheetPaper(desk, box);
    desk.over.text({left + desk.units(26), top + desk.units(34)}, "Keys and pointer", TypeSize::Head,
                   desk.colours.ink);
    double y = top + desk.units(72);
    for (const auto& [key, does] : lines) {
        desk.over.text({left + desk.units(26), y}, key, TypeSize::BodyStrong, desk.colours.ink);
        desk.over.text({left + desk.units(262), y}, does, TypeSize::Body, desk.colours.ink);
        y += line;
    }
    if (touch("help sheet", box).clicked) state.helpOpen = false;
}

void drawHint(Desk& desk, const WindowState& state) {
    if (desk.hint.empty()) return;
    const double wide = desk.over.width(desk.hint, TypeSize::Label), pad = desk.units(8),
                 high = desk.units(24);
    glm::dvec2 low = desk.pointer + glm::dvec2{desk.units(14), desk.units(18)};
    low.x = std::round(std::clamp(low.x, desk.units(4), state.frame.width - wide - 2 * pad - desk.units(4)));
    if (low.y + high > state.frame.height - desk.units(4)) low.y = desk.pointer.y - high - desk.units(8);
    low.y = std::round(low.y);
    const Box box{low, {low.x + wide + 2 * pad, low.y + high}};
    desk.over.fill(box, desk.colours.ink);
    desk.over.text({box.low.x + pad, box.middle().y}, desk.hint, TypeSize::Label, desk.colours.paper);
}

}  // namespace underfoot
