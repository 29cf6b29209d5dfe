// What is asked and what is known of the answer.

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "share/page.h"
#include "window/heights.h"
#include "window/questions.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

/// Pages speak of the whole site: the scene is not cut open while one is, unless it is asked for.
void showWhole(WindowState& state, bool whole) {
    bool& back = state.answer.cutPutBack;
    if (whole) {
        back = back || state.cut.shown;
        showCut(state, false);
    } else if (std::exchange(back, false)) {
        showCut(state, true);
    }
}

}  // namespace

void openQuestion(WindowState& state, Question question, double now) {
    Answer& answer = state.answer;
    const Question next = answer.open == question ? Question::None : question;
    if (next == answer.open) return;
    answer.open = next;
    answer.told.reset();
    answer.options.why.clear();
    answer.chosen = answer.pointed = {};
    answer.scroll = 0;
    showWhole(state, next != Question::None);
    layOutAgain(state);
    if (next != Question::None) askAgain(state);
    if (!state.cameraOwn) fitView(state, now);
}

void choose(WindowState& state, const AskOptions& options) {
    if (state.answer.options == options) return;
    state.answer.options = options;
    askAgain(state);
}

void askAgain(WindowState& state) {
    Answer& answer = state.answer;
    answer.options.waterFrom = state.place;
    ++answer.number;
    answer.old = true;
    answer.wanted = true;
    answer.copied = false;
}

Ask askOf(const WindowState& state) {
    return {state.answer.open, state.answer.options,
            state.model,       anythingRaised(state) ? state.raise->planned : nullptr,
            state.catalogue,   state.answer.number};
}

void receiveTold(WindowState& state, Told told) {
    Answer& answer = state.answer;
    if (told.number != answer.number || told.question != answer.open) return;
    const auto sameShape = [&] {
        const auto& a = answer.told->page.parts();
        const auto& b = told.page.parts();
        return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const PagePart& x, const PagePart& y) {
            return x.kind == y.kind && x.table.heads == y.table.heads &&
                   x.table.rows.size() == y.table.rows.size();
        });
    };
    if (!answer.told || !sameShape()) answer.chosen = {};
    answer.told = std::move(told);
    answer.old = false;
}

namespace {

const PagePart* partAt(const Answer& answer, int part) {
    if (!answer.told || part < 0) return nullptr;
    const std::vector<PagePart>& parts = answer.told->page.parts();
    return static_cast<size_t>(part) < parts.size() ? &parts[static_cast<size_t>(part)] : nullptr;
}

std::optional<glm::dvec2> placeOf(const PageMark& mark) {
    if (!mark.points.empty()) return mark.points.front();
    if (!mark.rings.empty() && !mark.rings.front().empty()) return mark.rings.front().front();
    if (mark.lines.empty() || mark.lines.front().empty()) return {};
    const std::vector<glm::dvec2>& line = mark.lines.front();
    return line.size() == 2 ? 0.5 * (line[0] + line[1]) : line[line.size() / 2];
}

}  // namespace

const PageMark* markAt(const Answer& answer, PageSpot spot) {
    const PagePart* part = partAt(answer, spot.part);
    if (!part) return nullptr;
    if (spot.row < 0) return &part->mark;
    if (static_cast<size_t>(spot.row) >= part->table.rows.size()) return nullptr;
    return &part->table.rows[static_cast<size_t>(spot.row)].mark;
}

std::string chosenGoods(const Answer& answer) {
    if (answer.open != Question::Buy || !answer.options.why.empty() || !answer.told) return {};
    const PagePart* part = partAt(answer, answer.chosen.part);
    const std::vector<PagePart>& parts = answer.told->page.parts();
    const auto first = std::find_if(parts.begin(), parts.end(),
                                    [](const PagePart& one) { return one.kind == PagePart::Kind::Table; });
    const auto row = static_cast<size_t>(std::max(answer.chosen.row, 0));
    if (!part || first == parts.end() || part != &*first || row >= part->table.rows.size()) return {};
    return part->table.rows[row].cells[0];
}

void chooseRow(WindowState& state, PageSpot spot) {
    Answer& answer = state.answer;
    answer.chosen = answer.chosen == spot ? PageSpot{} : spot;
    const PageMark* mark = markAt(answer, answer.chosen);
    // Following the water from a row that tells of it would tell of something else.
    if (!mark || answer.open == Question::Water) return;
    if (const auto place = placeOf(*mark)) attend(state, place);
}

void stepRow(WindowState& state, int by) {
    Answer& answer = state.answer;
    if (!answer.told) return;
    std::vector<PageSpot> all;
    const std::vector<PagePart>& parts = answer.told->page.parts();
    for (size_t p = 0; p < parts.size(); ++p)
        for (size_t r = 0; r < parts[p].table.rows.size(); ++r)
            if (!parts[p].table.rows[r].sub) all.push_back({static_cast<int>(p), static_cast<int>(r)});
    if (all.empty()) return;
    const auto current = std::find(all.begin(), all.end(), answer.chosen);
    auto next = by > 0 ? all.begin() : all.end() - 1;
    if (current != all.end()) {
        if (by > 0 ? current + 1 == all.end() : current == all.begin()) return;
        next = current + by;
    }
    chooseRow(state, *next);
    answer.bringChosen = true;
}

}  // namespace underfoot
