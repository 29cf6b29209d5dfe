#include <algorithm>
#include <filesystem>
#include <memory>
#include <string>

#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/plan_worker.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

std::string stageWords(Stage stage) {
    switch (stage) {
        case Stage::Reading:
            return "Reading the plan";
        case Stage::Building:
            return "Building the layers";
        case Stage::Checking:
            return "Checking";
        case Stage::Waiting:
            return "";
    }
    return "";
}

std::string secondLine(const WindowState& state) {
    const std::string stage = stageWords(state.stage);
    if (!stage.empty()) return stage;
    if (!state.notice.empty()) return state.notice;
    if (!state.faults.empty())
        return state.model ? "The file has faults; this is how it last stood" : "The plan cannot be shown";
    if (!state.model) return "";
    if (state.thicknessLayer >= 0) return "Thickness of " + titleOf(*state.model, state.thicknessLayer);
    return state.model->plan.datum;
}

void drawClientTitle(Desk& desk, const WindowState& state) {
    const Box& box = state.frame.title;
    const std::string title = state.model ? state.model->plan.title : "";
    const std::string words = desk.under.shortened(title, TypeSize::ClientHead, box.width());
    desk.under.text({box.low.x, box.low.y + desk.units(22)}, words, TypeSize::ClientHead, desk.colours.ink);
    const double foot = state.frame.height - desk.units(24);
    if (desk.pointer.y > state.frame.height - desk.units(80))
        desk.under.text({state.frame.width - desk.units(32), foot}, "Esc leaves this view", TypeSize::Label,
                        desk.colours.quiet, Anchor::End);
}

}  // namespace

void drawTitle(Desk& desk, WindowState& state) {
    if (state.clientView) return drawClientTitle(desk, state);
    const Box& box = state.frame.title;
    std::string title = state.model ? state.model->plan.title : "";
    if (title.empty() && state.model) title = std::filesystem::path(state.model->plan.file).stem().string();
    const double wide = box.width();
    const std::string head = desk.pen.shortened(title, TypeSize::Head, wide);
    const bool bad = !state.faults.empty() && state.stage == Stage::Waiting;
    const bool wants = bad || (!state.notice.empty() && state.stage == Stage::Waiting);
    // What could not be done is said in full: between the controls and the questions there is room for it.
    const double room = wants ? state.frame.width - 2 * box.low.x : wide;
    const std::string second = desk.pen.shortened(secondLine(state), TypeSize::Label, room);
    const double most =
        std::max(desk.pen.width(head, TypeSize::Head), desk.pen.width(second, TypeSize::Label));
    if (most > 0) ground(desk, {{0, 0}, {box.low.x + std::min(most, wide) + desk.units(16), box.high.y}});
    desk.pen.text({box.low.x, box.low.y + desk.units(13)}, head, TypeSize::Head, desk.colours.ink);
    desk.pen.text({box.low.x, box.low.y + desk.units(37)}, second, TypeSize::Label,
                  wants ? desk.colours.attention : desk.colours.quiet);
    if (bad && touch("faults", box).clicked) state.sheetOpen = true;
}

}  // namespace underfoot
