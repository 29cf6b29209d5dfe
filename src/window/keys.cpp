// What the keys do.

#include <algorithm>
#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "window/glide.h"
#include "window/heights.h"
#include "window/layout.h"
#include "window/questions.h"
#include "window/shots.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

bool escape(WindowState& state, double now) {
    if (state.helpOpen) return state.helpOpen = false, true;
    if (state.sheetOpen && state.model) return state.sheetOpen = false, true;
    if (state.drawing) return state.drawing.reset(), true;
    if (state.clientView) return setClientView(state, false, now), true;
    if (state.answer.open != Question::None) {
        if (state.answer.chosen != PageSpot{}) return chooseRow(state, state.answer.chosen), true;
        return openQuestion(state, Question::None, now), true;
    }
    if (state.openFinding >= 0) return state.openFinding = -1, true;
    if (state.thicknessLayer >= 0) return toggleThickness(state, state.thicknessLayer, now), true;
    if (state.shot) return chooseShot(state, {}), true;
    if (anythingRaised(state)) return dropRaise(state), true;
    if (state.place) return state.place.reset(), true;
    if (state.shotsShown) return showShots(state, false), true;
    return false;
}

bool stepStation(WindowState& state, double steps, double now) {
    if (!state.cut.station) return false;
    const bool metric = state.model->plan.show.style == LengthStyle::Metres;
    cutAtStationOf(state, *state.cut.station + steps * (metric ? 0.05 : 0.1 * metresPerFoot));
    settleCut(state, now);
    return true;
}

/// Raises the chosen shot, else the finish whose stack the column shows.
bool stepHeight(WindowState& state, double steps) {
    if (state.shot) return stepShot(state, *state.shot, shotHeight(state, *state.shot), steps), true;
    const auto place = columnPlace(state);
    const auto finish = place ? finishAt(*state.model, *place) : std::nullopt;
    if (!finish) return false;
    const double before = raisedBy(state, {Movable::Of::Finish, *finish, 0});
    raiseFinish(state, *finish, before + steps * raiseStep(*state.model));
    return true;
}

bool nextThickness(WindowState& state, double now) {
    const auto place = columnPlace(state);
    if (!place) return false;
    const std::vector<ColumnRow> rows = columnRows(state, *place);
    const auto current = std::find_if(
        rows.begin(), rows.end(), [&](const ColumnRow& row) { return row.layer == state.thicknessLayer; });
    const auto next = current == rows.end() ? rows.begin() : current + 1;
    if (next == rows.end() || next->ground) {
        if (state.thicknessLayer >= 0) toggleThickness(state, state.thicknessLayer, now);
        return true;
    }
    toggleThickness(state, next->layer, now);
    return true;
}

/// While a height is typed all keys are its own.
void pressInEntry(WindowState& state, Key key) {
    if (key == Key::Enter) return takeEntry(state);
    if (key == Key::Backspace && !state.entry->empty()) state.entry->pop_back();
    if (key != Key::Escape) return;
    state.entry.reset();
    state.notice.clear();
}

}  // namespace

bool pressKey(WindowState& state, Key key, bool much, double now) {
    if (state.entry) return pressInEntry(state, key), true;
    if (key == Key::Escape) return escape(state, now);
    if (key == Key::D) return toggleTheme(state), true;
    if (key == Key::Help) return state.helpOpen = !state.helpOpen, true;
    if (!state.model) return false;
    // Stations run from right to left where the garden lies to the left of the baseline: keys follow the
    // picture.
    const double right = glm::dot(state.planMap.right,
                                  state.model->plan.baseline.at(1, 0) - state.model->plan.baseline.at(0, 0));
    const double step = (right < 0 ? -1 : 1) * (much ? 10 : 1);
    switch (key) {
        case Key::Left:
            return stepStation(state, -step, now);
        case Key::Right:
            return stepStation(state, step, now);
        case Key::PageUp:
            return stepHeight(state, much ? 8 : 1);
        case Key::PageDown:
            return stepHeight(state, much ? -8 : -1);
        case Key::Up:
        case Key::Down:
            return stepRow(state, key == Key::Up ? -1 : 1), state.answer.open != Question::None;
        case Key::Copy:
            return state.answer.copyWanted = state.answer.told && !state.answer.told->csv.empty();
        case Key::S:
            return saveRaise(state), state.saveWanted;
        case Key::G:
            return showShots(state, !state.shotsShown), true;
        case Key::Enter:
            return startEntry(state), state.entry.has_value();
        case Key::Undo:
            return undoRaise(state);
        case Key::Redo:
            return redoRaise(state);
        case Key::C:
            return setClientView(state, !state.clientView, now), true;
        case Key::F:
        case Key::Home:
            return fitView(state, now), true;
        case Key::H:
            return lookThreeQuarter(state, now), true;
        case Key::Q:
            return lookFromAbove(state, now), true;
        case Key::L:
            return setLift(state, state.lift.goal() > 0 ? 0 : 1, now), true;
        case Key::P:
            return setPeel(state, state.peel.goal() > 0 ? 0 : 1, now), true;
        case Key::T:
            return nextThickness(state, now);
        case Key::X:
            return startDrawing(state), true;
        default:
            break;
    }
    const auto number = static_cast<size_t>(key) - static_cast<size_t>(Key::One);
    if (key < Key::One || number >= questions.size()) return false;
    return openQuestion(state, questions[number], now), true;
}

}  // namespace underfoot
