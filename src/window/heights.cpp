#include "window/heights.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <memory>
#include <string>
#include <utility>

#include <tl/expected.hpp>

#include "measure/length.h"
#include "plan/finish_levels.h"
#include "share/write_file.h"
#include "study/findings.h"
#include "study/thickness.h"

namespace underfoot {

namespace {

const Plan& plannedOf(const WindowState& state) {
    return state.raise ? state.raise->planned->plan : state.model->plan;
}

/// The open finding again among new ones: of the same kind and layer, the nearest.
int sameFinding(const std::vector<Finding>& all, const Finding& wanted) {
    int best = -1;
    double nearest = 1.0;  // metres
    for (size_t i = 0; i < all.size(); ++i) {
        if (all[i].kind != wanted.kind || all[i].layer != wanted.layer) continue;
        const double far = std::hypot(all[i].at.x - wanted.at.x, all[i].at.y - wanted.at.y);
        if (far < nearest) nearest = far, best = static_cast<int>(i);
    }
    return best;
}

void useFindings(WindowState& state, std::vector<Finding> findings) {
    const int open = state.openFinding;
    state.openFinding = open < 0 ? -1 : sameFinding(findings, state.findings[static_cast<size_t>(open)]);
    const bool shown = state.findings.empty() == findings.empty();
    state.findings = std::move(findings);
    if (!shown) layOutAgain(state);
}

}  // namespace

std::optional<int> finishAt(const Model& model, glm::dvec2 place) {
    const int cell = cellAt(model, place);
    if (cell < 0) return {};
    const Column& column = model.columnOf(model.cells[static_cast<size_t>(cell)]);
    if (column.area < 0 || column.beyond) return {};
    const std::string& name = model.plan.areas[static_cast<size_t>(column.area)].finish;
    for (size_t i = 0; i < model.plan.finishes.size(); ++i)
        if (model.plan.finishes[i].name == name) return static_cast<int>(i);
    return {};
}

std::optional<double> finishHeightAt(const Model& model, glm::dvec2 place) {
    const int index = cellAt(model, place);
    if (index < 0) return {};
    const Cell& cell = model.cells[static_cast<size_t>(index)];
    const glm::dvec2 a = model.at(cell, 0), b = model.at(cell, 1) - a, c = model.at(cell, 2) - a,
                     p = place - a;
    const double whole = b.x * c.y - b.y * c.x;
    if (whole == 0) return {};
    const double u = (p.x * c.y - p.y * c.x) / whole, v = (b.x * p.y - b.y * p.x) / whole;
    const auto finish = [&](int corner) { return model.factsAt(cell, corner).designFinish; };
    const double height = finish(0) + u * (finish(1) - finish(0)) + v * (finish(2) - finish(0));
    return std::isnan(height) ? std::nullopt : std::optional(height);
}

double raiseStep(const Model& model) {
    const LengthFormat& show = model.plan.show;
    if (show.style == LengthStyle::Metres) return 0.001;
    if (show.style == LengthStyle::DecimalFeet) return 0.01 * metresPerFoot;
    return metresPerInch / show.denominator;
}

double raiseMost(const Model& model) {
    return model.plan.show.style == LengthStyle::Metres ? 0.6 : 2 * metresPerFoot;
}

std::vector<HeightEdit> raiseEdits(const Plan& plan, int finish, double by) {
    const Finish& of = plan.finishes[static_cast<size_t>(finish)];
    std::vector<HeightEdit> edits;
    const auto add = [&](size_t item, double level) {
        edits.push_back({HeightEdit::Of::FinishLevel, finish, static_cast<int>(item), level + by});
    };
    for (size_t i = 0; i < of.planes.size(); ++i) add(i, of.planes[i].level);
    if (of.planes.empty())
        for (size_t i = 0; i < of.spots.size(); ++i) add(i, of.spots[i].level);
    return edits;
}

void raiseFinish(WindowState& state, int finish, double by, bool held) {
    if (!state.model) return;
    std::vector<HeightEdit> back;
    if (state.raise && state.raise->finish != finish)
        back = raiseEdits(plannedOf(state), state.raise->finish, 0);
    const double step = raiseStep(*state.model), most = raiseMost(*state.model);
    const double wanted = step * std::round(std::clamp(by, -most, most) / step);
    if (!state.raise) {
        if (wanted == 0) return;
        state.raise = Raise{};
        state.raise->planned = state.model;
        state.raise->plannedFindings = state.findings;
    } else if (state.raise->finish == finish && state.raise->by == wanted) {
        return;
    }
    state.raise->finish = finish;
    state.raise->by = wanted;
    state.raise->waiting = true;
    std::vector<HeightEdit> edits = raiseEdits(plannedOf(state), finish, wanted);
    edits.insert(edits.end(), back.begin(), back.end());
    state.notice.clear();
    state.moveWanted = MoveWanted{std::move(edits), ++state.moves, !held};
}

void settleRaise(WindowState& state) {
    if (!state.raise) return;
    state.raise->waiting = true;
    state.moveWanted =
        MoveWanted{raiseEdits(plannedOf(state), state.raise->finish, state.raise->by), ++state.moves, true};
}

void dropRaise(WindowState& state, double) {
    if (!state.raise) return;
    const Raise before = std::move(*state.raise);
    state.raise.reset();
    state.notice.clear();
    // The heights that are worked on beside the window go back too; what comes of it is not looked at.
    state.moveWanted = MoveWanted{raiseEdits(before.planned->plan, before.finish, 0), ++state.moves, true};
    replaceModel(state, before.planned);
    useFindings(state, before.plannedFindings);
}

void receiveMoved(WindowState& state, Moved moved) {
    if (!state.raise || moved.number != state.moves) {
        // An older place on the way: shown while the next is made.
        if (state.raise && moved.model && moved.number > state.raise->shown) {
            state.raise->shown = moved.number;
            replaceModel(state, std::move(moved.model));
        }
        return;
    }
    Raise& raise = *state.raise;
    if (!moved.faults.empty()) {
        state.notice = moved.faults.front().what;
        raise.waiting = false;
        raise.refused = true;
        return;
    }
    raise.refused = false;
    raise.waiting = !moved.findings;
    raise.shown = moved.number;
    if (moved.model != state.model) replaceModel(state, std::move(moved.model));
    if (moved.findings) useFindings(state, std::move(*moved.findings));
}

void saveRaise(WindowState& state) {
    if (state.raise && !state.raise->waiting && !state.raise->refused && state.raise->by != 0)
        state.saveWanted = true;
}

Result<void> writeRaise(const std::filesystem::path& planFile, const Plan& plan, int finish, double by) {
    // As it stands, byte for byte; reading it as a plan has shown that it is text.
    std::ifstream file(planFile, std::ios::binary);
    std::string text(std::istreambuf_iterator<char>(file), {});
    if (!file || text.empty())
        return tl::unexpected(Diagnostic{{planFile.string(), 0, 0},
                                         "The plan's file cannot be read any more, so nothing was saved.",
                                         "Put it back where it was."});
    std::vector<LevelChange> changes;
    for (const HeightEdit& edit : raiseEdits(plan, finish, by))
        changes.push_back({edit.list, edit.item, edit.value});
    const Result<std::string> changed = withLevels(plan, text, changes);
    if (!changed) return tl::unexpected(changed.error());
    const Result<Written> written = writeFile(planFile, *changed);
    if (!written) return tl::unexpected(written.error());
    return {};
}

}  // namespace underfoot
