#include "window/heights.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <fstream>
#include <iterator>
#include <memory>
#include <string>
#include <utility>

#include <tl/expected.hpp>

#include "measure/length.h"
#include "plan/written_heights.h"
#include "share/write_file.h"
#include "study/findings.h"
#include "study/thickness.h"

namespace underfoot {

namespace {

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
    const int cell = cellAt(model, intoArea(model, place));
    if (cell < 0) return {};
    const Column& column = model.columnOf(model.cells[static_cast<size_t>(cell)]);
    if (column.area < 0 || column.beyond) return {};
    const std::string& name = model.plan.areas[static_cast<size_t>(column.area)].finish;
    for (size_t i = 0; i < model.plan.finishes.size(); ++i)
        if (model.plan.finishes[i].name == name) return static_cast<int>(i);
    return {};
}

std::optional<double> finishHeightAt(const Model& model, glm::dvec2 place) {
    place = intoArea(model, place);
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

const Shot& shotOf(const Plan& plan, const Movable& shot) {
    assert(shot.of != Movable::Of::Finish);
    const std::vector<Shot>& all = shot.of == Movable::Of::GroundShot
                                       ? plan.ground.shots
                                       : plan.measuredTops[static_cast<size_t>(shot.list)].shots;
    return all[static_cast<size_t>(shot.item)];
}

double raisedBy(const WindowState& state, const Movable& what) {
    if (state.raise)
        for (const Raised& one : state.raise->all)
            if (one.what == what) return one.by;
    return 0;
}

bool anythingRaised(const WindowState& state) {
    return state.raise && !state.raise->all.empty();
}

const Plan& plannedOf(const WindowState& state) {
    return state.raise ? state.raise->planned->plan : state.model->plan;
}

std::vector<HeightEdit> raiseEdits(const Plan& plan, const Movable& what, double by) {
    if (what.of != Movable::Of::Finish) {
        const auto of =
            what.of == Movable::Of::GroundShot ? HeightEdit::Of::GroundShot : HeightEdit::Of::MeasuredShot;
        return {{of, what.list, what.item, shotOf(plan, what).height + by}};
    }
    const Finish& finish = plan.finishes[static_cast<size_t>(what.list)];
    std::vector<HeightEdit> edits;
    const auto add = [&](size_t item, double level) {
        edits.push_back({HeightEdit::Of::FinishLevel, what.list, static_cast<int>(item), level + by});
    };
    for (size_t i = 0; i < finish.planes.size(); ++i) add(i, finish.planes[i].level);
    if (finish.planes.empty())
        for (size_t i = 0; i < finish.spots.size(); ++i) add(i, finish.spots[i].level);
    return edits;
}

namespace {

/// What is worked on beside the window may have been moved by any wish before: all of it is said anew.
void wantMove(WindowState& state, bool settle) {
    std::vector<HeightEdit> edits;
    for (const Movable& what : state.raiseSteps.touched)
        for (const HeightEdit& edit : raiseEdits(plannedOf(state), what, raisedBy(state, what)))
            edits.push_back(edit);
    state.moveWanted = MoveWanted{std::move(edits), ++state.moves, settle};
}

/// With nothing raised the plan's own model is at hand, with its findings.
void showPlanned(WindowState& state) {
    const Raise before = std::move(*state.raise);
    state.raise.reset();
    replaceModel(state, before.planned);
    useFindings(state, before.plannedFindings);
    // The heights that are worked on beside the window go back too; what comes of it is not looked at.
    wantMove(state, true);
}

/// Shows what is raised now.
void follow(WindowState& state, std::vector<Raised> all, bool held) {
    if (!state.raise) {
        state.raise = Raise{};
        state.raise->planned = state.model;
        state.raise->plannedFindings = state.findings;
        state.raise->shown = state.moves;
    }
    state.raise->all = std::move(all);
    state.notice.clear();
    if (state.raise->all.empty() && !held) return showPlanned(state);
    state.raise->waiting = true;
    wantMove(state, !held);
}

std::vector<Raised> allRaised(const WindowState& state) {
    return state.raise ? state.raise->all : std::vector<Raised>{};
}

/// One step from one list of steps to the other.
bool step(WindowState& state, std::vector<std::vector<Raised>>& from, std::vector<std::vector<Raised>>& to) {
    if (from.empty() || state.raiseSteps.inDrag) return false;
    to.push_back(allRaised(state));
    std::vector<Raised> all = std::move(from.back());
    from.pop_back();
    follow(state, std::move(all), false);
    return true;
}

void noteStep(WindowState& state) {
    state.raiseSteps.before.push_back(allRaised(state));
    state.raiseSteps.after.clear();
}

}  // namespace

void raiseBy(WindowState& state, const Movable& what, double by, bool held) {
    if (!state.model || raisedBy(state, what) == by) return;
    if (!state.raiseSteps.inDrag) noteStep(state);
    state.raiseSteps.inDrag = held;
    std::vector<Movable>& touched = state.raiseSteps.touched;
    if (std::find(touched.begin(), touched.end(), what) == touched.end()) touched.push_back(what);
    std::vector<Raised> all = allRaised(state);
    std::erase_if(all, [&](const Raised& one) { return one.what == what; });
    if (by != 0) all.push_back({what, by});
    follow(state, std::move(all), held);
}

void raiseFinish(WindowState& state, int finish, double by, bool held) {
    if (!state.model) return;
    const double step = raiseStep(*state.model), most = raiseMost(*state.model);
    raiseBy(state, {Movable::Of::Finish, finish, 0}, step * std::round(std::clamp(by, -most, most) / step),
            held);
}

void settleRaise(WindowState& state) {
    if (!std::exchange(state.raiseSteps.inDrag, false)) return;
    // A drag back to where it began is no step.
    if (state.raiseSteps.before.back() == allRaised(state)) state.raiseSteps.before.pop_back();
    follow(state, allRaised(state), false);
}

void dropRaise(WindowState& state) {
    if (!anythingRaised(state)) return;
    settleRaise(state);
    if (!anythingRaised(state)) return;
    noteStep(state);
    follow(state, {}, false);
}

bool undoRaise(WindowState& state) {
    return step(state, state.raiseSteps.before, state.raiseSteps.after);
}

bool redoRaise(WindowState& state) {
    return step(state, state.raiseSteps.after, state.raiseSteps.before);
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
    if (anythingRaised(state) && !state.raise->waiting && !state.raise->refused) state.saveWanted = true;
}

namespace {

HeightChange changeOf(const HeightEdit& edit) {
    const auto of = edit.of == HeightEdit::Of::GroundShot     ? HeightChange::Of::GroundShot
                    : edit.of == HeightEdit::Of::MeasuredShot ? HeightChange::Of::MeasuredShot
                                                              : HeightChange::Of::FinishLevel;
    return {of, edit.list, edit.item, edit.value};
}

}  // namespace

Result<void> writeRaise(const std::filesystem::path& planFile, const Plan& plan,
                        const std::vector<Raised>& all) {
    // As it stands, byte for byte; reading it as a plan has shown that it is text.
    std::ifstream file(planFile, std::ios::binary);
    std::string text(std::istreambuf_iterator<char>(file), {});
    if (!file || text.empty())
        return tl::unexpected(Diagnostic{{planFile.string(), 0, 0},
                                         "The plan's file cannot be read any more, so nothing was saved.",
                                         "Put it back where it was."});
    std::vector<HeightChange> changes;
    for (const Raised& one : all)
        for (const HeightEdit& edit : raiseEdits(plan, one.what, one.by)) changes.push_back(changeOf(edit));
    const Result<std::string> changed = withHeights(plan, text, changes);
    if (!changed) return tl::unexpected(changed.error());
    const Result<Written> written = writeFile(planFile, *changed);
    if (!written) return tl::unexpected(written.error());
    return {};
}

}  // namespace underfoot
