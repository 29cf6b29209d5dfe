#include "window/shots.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <limits>
#include <memory>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "measure/words.h"
#include "plan/written_heights.h"
#include "window/heights.h"
#include "window/layout.h"
#include "window/marks.h"

namespace underfoot {

namespace {

constexpr double farBehind = 1.5;    // metres
constexpr size_t longestEntry = 40;  // letters

const std::string& layerOf(const Plan& plan, const Movable& shot) {
    return plan.measuredTops[static_cast<size_t>(shot.list)].layer;
}

bool sees(const WindowState& state, const Look& look, const Ray& ray, const glm::dvec3& dot) {
    const std::optional<Hit> hit = state.picker->pick(look, ray);
    return !hit || hit->distance + farBehind >= glm::length(dot - ray.from);
}

bool has(const Plan& plan, const Movable& shot) {
    const auto list = static_cast<size_t>(shot.list), item = static_cast<size_t>(shot.item);
    if (shot.of == Movable::Of::GroundShot) return item < plan.ground.shots.size();
    return list < plan.measuredTops.size() && item < plan.measuredTops[list].shots.size();
}

/// Every shot of a plan: the ground's, then the measured tops'.
std::vector<Movable> allShots(const Plan& plan) {
    std::vector<Movable> all;
    const auto add = [&](Movable::Of of, size_t list, size_t count) {
        for (size_t i = 0; i < count; ++i) all.push_back({of, static_cast<int>(list), static_cast<int>(i)});
    };
    add(Movable::Of::GroundShot, 0, plan.ground.shots.size());
    for (size_t t = 0; t < plan.measuredTops.size(); ++t)
        add(Movable::Of::MeasuredShot, t, plan.measuredTops[t].shots.size());
    return all;
}

}  // namespace

std::vector<ShotDot> shotDots(const WindowState& state, const Look& look) {
    std::vector<ShotDot> dots;
    const Model& model = *state.model;
    const auto add = [&](Movable shot, LayerId layer, const std::vector<Shot>& shots) {
        if (layer < 0 || !look.shows(layer)) return;
        const double rise = layerRise(model, look, layer);
        for (; static_cast<size_t>(shot.item) < shots.size(); ++shot.item) {
            const glm::dvec2 place = shotPlace(state, shot);
            if (!takenAway(state, place))
                dots.push_back({shot, layer, {place, shotHeight(state, shot) + rise}});
        }
    };
    add({Movable::Of::GroundShot, 0, 0}, model.nativeSoil, model.plan.ground.shots);
    for (size_t t = 0; t < model.plan.measuredTops.size(); ++t) {
        const MeasuredTop& top = model.plan.measuredTops[t];
        add({Movable::Of::MeasuredShot, static_cast<int>(t), 0}, model.findLayer(top.layer), top.shots);
    }
    return dots;
}

std::optional<Movable> shotNear(const WindowState& state, const Look& look, const Camera& camera,
                                glm::dvec2 pixel, double reach) {
    std::optional<Movable> nearest;
    double least = reach;
    for (const ShotDot& dot : shotDots(state, look)) {
        const auto seen = camera.project(dot.at, state.frame.width, state.frame.height);
        if (!seen || glm::length(*seen - pixel) > least) continue;
        if (!sees(state, look, camera.ray(*seen, state.frame.width, state.frame.height), dot.at)) continue;
        least = glm::length(*seen - pixel);
        nearest = dot.shot;
    }
    return nearest;
}

std::string shotName(const Plan& plan, const Movable& shot) {
    const std::string of = shot.of == Movable::Of::GroundShot ? "Ground" : capitalised(layerOf(plan, shot));
    const std::string& number = shotOf(plan, shot).number;
    return number.empty() ? of + " shot" : fmt::format("{} shot {}", of, number);
}

std::string shotSource(const Plan& plan, const Movable& shot) {
    const SourcePlace& place = shotOf(plan, shot).place;
    const std::string file = std::filesystem::path(place.file).filename().string();
    return place.line > 0 ? fmt::format("{}, line {}", file, place.line) : file;
}

glm::dvec2 shotPlace(const WindowState& state, const Movable& shot) {
    return state.model->toLocal(shotOf(state.model->plan, shot).at);
}

double shotHeight(const WindowState& state, const Movable& shot) {
    return shotOf(plannedOf(state), shot).height + raisedBy(state, shot);
}

void showShots(WindowState& state, bool shown) {
    state.shotsShown = shown && state.model;
    if (!state.shotsShown) chooseShot(state, {});
}

void chooseShot(WindowState& state, std::optional<Movable> shot) {
    state.entry.reset();
    state.shot = shot;
    if (shot) attend(state, shotPlace(state, *shot));
}

std::optional<Movable> shotAt(const WindowState& state, glm::dvec2 place) {
    std::optional<Movable> nearest;
    double least = std::numeric_limits<double>::infinity();
    for (const Movable& shot : allShots(state.model->plan)) {
        const double far = glm::length(shotPlace(state, shot) - place);
        if (far < least) least = far, nearest = shot;
    }
    return nearest;
}

void keepShot(WindowState& state, const Model& next) {
    state.grasp.reset();
    state.entry.reset();
    state.pointedShot.reset();
    if (!state.shot) return;
    const Shot& before = shotOf(state.model->plan, *state.shot);
    if (!has(next.plan, *state.shot) || shotOf(next.plan, *state.shot).at != before.at) state.shot.reset();
}

void stepShot(WindowState& state, const Movable& shot, double from, double steps, bool held) {
    const double step = raiseStep(*state.model), most = raiseMost(*state.model);
    const double planned = shotOf(plannedOf(state), shot).height;
    double by = from - planned;
    if (steps != 0) {
        const double height = step * std::round((from + steps * step) / step);
        // A typed height may lie farther off.
        const double farthest = std::max(most, std::abs(from - planned));
        by = std::clamp(height - planned, -farthest, farthest);
    }
    raiseBy(state, shot, std::abs(by) < 0.5 * step && steps != 0 ? 0 : by, held);
}

// ---------------------------------------------------------------- typing

void startEntry(WindowState& state) {
    if (state.shot) state.entry = "";
}

void typeInto(WindowState& state, unsigned letter) {
    if (!state.entry || letter < 0x20 || letter > 0x7E || state.entry->size() >= longestEntry) return;
    *state.entry += static_cast<char>(letter);
}

void takeEntry(WindowState& state) {
    if (!state.entry || !state.shot) return;
    if (state.entry->empty()) return state.entry.reset();
    const auto height = parseLength(*state.entry, state.model->plan.bareUnit);
    if (!height) {
        state.notice = height.error();
        return;
    }
    if (!isHeight(*height)) {
        state.notice = "No ground is so high or so deep: look at the unit.";
        return;
    }
    state.entry.reset();
    raiseBy(state, *state.shot, *height - shotOf(plannedOf(state), *state.shot).height);
}

}  // namespace underfoot
