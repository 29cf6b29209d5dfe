#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>
#include <vector>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "plan/plan.h"
#include "study/section.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double gapBetweenLayers = 0.28;  // metres between neighbouring ranks when fully apart

size_t at(int index) {
    return static_cast<size_t>(index);
}

/// Upper and lower layer of every two that follow each other in a column, without repeats.
std::vector<std::pair<LayerId, LayerId>> neighboursInColumns(const Model& model) {
    std::vector<std::pair<LayerId, LayerId>> pairs;
    for (const Column& column : model.columns)
        for (size_t i = 1; i < column.entries.size(); ++i) {
            const auto pair = std::make_pair(column.entries[i - 1].layer, column.entries[i].layer);
            if (pair.first != pair.second) pairs.push_back(pair);
        }
    std::sort(pairs.begin(), pairs.end());
    pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
    return pairs;
}

double reach(const Model& model) {
    return 4 * (glm::length(model.site.high - model.site.low) + 1);
}

std::vector<glm::dvec2> carriedOn(const Model& model, const std::vector<glm::dvec2>& line) {
    std::vector<glm::dvec2> out;
    for (const glm::dvec2& p : line)
        if (out.empty() || glm::length(p - out.back()) > 1e-9) out.push_back(p);
    if (out.size() < 2) return {};
    const double far = reach(model);
    out.front() += glm::normalize(out[0] - out[1]) * far;
    out.back() += glm::normalize(out.back() - out[out.size() - 2]) * far;
    return out;
}

/// Closes a line that ends far out into the region on its left: along a wide circle, turning left from its
/// end to its start.
std::vector<glm::dvec2> regionOnLeft(const Model& model, std::vector<glm::dvec2> line) {
    const glm::dvec2 middle = 0.5 * (model.site.low + model.site.high);
    const glm::dvec2 end = line.back() - middle, start = line.front() - middle;
    const double radius = std::max(glm::length(end), glm::length(start));
    const double from = std::atan2(end.y, end.x);
    double turn = std::atan2(start.y, start.x) - from;
    constexpr double pi = std::numbers::pi;
    while (turn <= 0) turn += 2 * pi;
    const int pieces = std::max(2, static_cast<int>(std::ceil(turn / 0.7)));
    for (int i = 1; i < pieces; ++i) {
        const double angle = from + turn * i / pieces;
        line.push_back(middle + radius * glm::dvec2{std::cos(angle), std::sin(angle)});
    }
    return line;
}

void resolveCut(const Model& model, const CutLook& look, Shown& shown) {
    shown.cutLine = carriedOn(model, look.line);
    if (shown.cutLine.empty()) return;
    std::vector<glm::dvec2> left = shown.cutLine;
    if (!look.removeLeft) std::reverse(left.begin(), left.end());
    shown.cutLine = left;  // what is taken away lies on its left
    shown.removed = regionOnLeft(model, std::move(left));
}

/// Extent along a direction of what was built (not the untouched ground), as far as the cut leaves it.
std::pair<double, double> builtExtent(const Model& model, const Shown& shown, glm::dvec2 along) {
    double low = infinite, high = -infinite;
    const auto add = [&](double s) { low = std::min(low, s), high = std::max(high, s); };
    for (const Cell& cell : model.cells) {
        if (model.columnOf(cell).entries.size() < 2) continue;
        for (int c = 0; c < 3; ++c) {
            const double s = glm::dot(model.at(cell, c), along);
            const bool inside = s >= low && s <= high;
            if (!inside && !shown.cutAway(model.at(cell, c))) add(s);
        }
    }
    if (!shown.cutLine.empty()) {
        const Section section = cut(model, shown.cutLine);
        for (const SectionInterval& interval : section.intervals)
            if (model.columns[at(interval.column)].entries.size() >= 2)
                for (const double s : {interval.from, interval.to}) add(glm::dot(section.at(s), along));
    }
    return low <= high ? std::make_pair(low, high) : std::make_pair(0.0, 0.0);
}

void resolvePeel(const Model& model, const Look& look, Shown& shown) {
    shown.peelLimit.assign(model.layers.size(), infinite);
    shown.peelAlong = houseFrame(model.plan.baseline).second;
    const int steps = peelSteps(model);
    const double peel = std::clamp(look.peel, 0.0, static_cast<double>(steps));
    if (peel <= 0) return;
    const auto [low, high] = builtExtent(model, shown, shown.peelAlong);
    const double tread = 0.84 * (high - low) / steps;
    for (size_t i = 0; i < model.layers.size(); ++i)
        if (shown.rank[i] < steps && shown.rank[i] < peel)
            shown.peelLimit[i] = high - tread * (peel - shown.rank[i]);
    // Edging stands on what the units' bed lies on: it goes with the bed.
    shown.edgingLimit = peel > 1 ? high - tread * (peel - 1) : infinite;
}

}  // namespace

std::pair<glm::dvec2, glm::dvec2> houseFrame(const Baseline& baseline) {
    const glm::dvec2 from = baseline.at(baseline.startStation, 0);
    const glm::dvec2 out = glm::normalize(baseline.at(baseline.startStation, 1) - from);
    return {out, {-out.y, out.x}};
}

bool Shown::cutAway(glm::dvec2 p) const {
    bool inside = false;
    for (size_t i = 0, j = removed.size() - 1; i < removed.size(); j = i++) {
        const glm::dvec2 a = removed[i], b = removed[j];
        if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
            inside = !inside;
    }
    return inside;
}

bool Shown::peeled(LayerId layer) const {
    return std::isfinite(peelLimit[at(layer)]);
}

bool Shown::keeps(LayerId layer, glm::dvec2 p) const {
    return visible[at(layer)] && glm::dot(p, peelAlong) <= peelLimit[at(layer)] && !cutAway(p);
}

std::vector<int> layerRanks(const Model& model) {
    const auto pairs = neighboursInColumns(model);
    // Longest way up from the native soil; columns that contradict each other cannot raise it for ever.
    std::vector<int> up(model.layers.size(), 1);
    if (model.nativeSoil >= 0) up[at(model.nativeSoil)] = 0;
    for (size_t round = 0; round < model.layers.size(); ++round) {
        bool changed = false;
        for (const auto& [upper, lower] : pairs)
            if (upper != model.nativeSoil && up[at(upper)] < up[at(lower)] + 1 &&
                up[at(lower)] < static_cast<int>(up.size())) {
                up[at(upper)] = up[at(lower)] + 1;
                changed = true;
            }
        if (!changed) break;
    }
    const int highest = up.empty() ? 0 : *std::max_element(up.begin(), up.end());
    for (int& rank : up) rank = highest - rank;
    return up;
}

int peelSteps(const Model& model) {
    if (model.layers.empty()) return 0;
    const std::vector<int> rank = layerRanks(model);
    return *std::max_element(rank.begin(), rank.end());
}

double layerRise(const Model& model, const Look& look, LayerId layer) {
    const std::vector<int> rank = layerRanks(model);
    const int deepest = *std::max_element(rank.begin(), rank.end());
    return std::clamp(look.liftApart, 0.0, 1.0) * gapBetweenLayers * (deepest - rank[at(layer)]);
}

Shown resolve(const Model& model, const Look& look) {
    Shown shown;
    shown.rank = layerRanks(model);
    const int deepest = peelSteps(model);
    const int measured =
        look.thickness && look.thickness->layer >= 0 ? shown.rank[at(look.thickness->layer)] : -1;
    for (size_t i = 0; i < model.layers.size(); ++i) {
        const int rank = shown.rank[i];
        shown.rise.push_back(std::clamp(look.liftApart, 0.0, 1.0) * gapBetweenLayers * (deepest - rank));
        const bool above =
            look.thickness && static_cast<LayerId>(i) != look.thickness->layer && rank <= measured;
        shown.visible.push_back(look.shows(static_cast<LayerId>(i)) && !above);
    }
    if (look.cut) resolveCut(model, *look.cut, shown);
    resolvePeel(model, look, shown);
    return shown;
}

std::vector<glm::dvec2> stepLine(const Model& model, const Shown& shown, LayerId layer) {
    const glm::dvec2 along = shown.peelAlong;
    const glm::dvec2 middle = 0.5 * (model.site.low + model.site.high);
    const glm::dvec2 on = middle + along * (shown.peelLimit[at(layer)] - glm::dot(middle, along));
    const glm::dvec2 across{along.y, -along.x};  // `along` lies to its left
    return {on - across * reach(model), on + across * reach(model)};
}

namespace {

/// Adds the column at one place: `height(k)` of each interface.
template <class Height>
void addColumn(Bounds& box, const Shown& shown, const Column& column, glm::dvec2 p, Height height) {
    for (size_t k = 0; k < column.entries.size(); ++k) {
        const LayerId layer = column.entries[k].layer;
        if (!shown.visible[at(layer)]) continue;
        box.add({p, height(k) + shown.rise[at(layer)]});
        box.add({p, height(k + 1) + shown.rise[at(layer)]});
    }
}

void addCutFace(Bounds& box, const Model& model, const Shown& shown) {
    if (shown.cutLine.empty()) return;
    const Section section = cut(model, shown.cutLine);
    for (const SectionInterval& interval : section.intervals)
        for (size_t end = 0; end < 2; ++end)
            addColumn(box, shown, model.columns[at(interval.column)],
                      section.at(end == 0 ? interval.from : interval.to),
                      [&](size_t k) { return section.heights[at(interval.first) + 2 * k + end]; });
}

void addFixedThings(Bounds& box, const Model& model, const Shown& shown) {
    for (const FixedThing& thing : model.plan.fixedThings)
        for (const glm::dvec2& corner : toChords(thing.outline, 0.01).corners) {
            const glm::dvec2 p = glm::clamp(model.toLocal(corner), model.site.low, model.site.high);
            if (shown.cutAway(p)) continue;
            box.add({p, thing.top});
        }
}

}  // namespace

Bounds shownBounds(const Model& model, const Look& look) {
    const Shown shown = resolve(model, look);
    Bounds box;
    for (const Post& post : model.posts) {
        const glm::dvec2 p = model.vertices[at(post.vertex)];
        if (!shown.removed.empty() && shown.cutAway(p)) continue;
        addColumn(box, shown, model.columns[at(post.column)], p,
                  [&](size_t k) { return model.heights[at(post.first) + k]; });
    }
    addCutFace(box, model, shown);
    if (look.fixedThings) addFixedThings(box, model, shown);
    return box;
}

CutLook cutToward(const std::vector<glm::dvec2>& line, const Camera& camera) {
    CutLook look{line, true};
    if (line.size() < 2) return look;
    // Weighed by the legs' lengths: the side of a bent line that faces the eye most.
    const glm::dvec2 toEye{std::cos(camera.azimuth), std::sin(camera.azimuth)};
    double left = 0;
    for (size_t i = 1; i < line.size(); ++i) {
        const glm::dvec2 leg = line[i] - line[i - 1];
        left += glm::dot(glm::dvec2{-leg.y, leg.x}, toEye);
    }
    look.removeLeft = left >= 0;
    return look;
}

Camera facingCut(const Model& model, const CutLook& cut) {
    Camera camera = threeQuarterView(model);
    const glm::dvec2 along = cut.line.size() < 2 ? glm::dvec2{0, 0} : cut.line.back() - cut.line.front();
    const double length = glm::length(along);
    if (length <= 0) return camera;
    const glm::dvec2 open = glm::dvec2{-along.y, along.x} * ((cut.removeLeft ? 1.0 : -1.0) / length);
    const double square = std::atan2(open.y, open.x);
    // How far the usual view stands off from square on the face; kept to a part of it, and never none.
    const double off = std::remainder(camera.azimuth - square, 2 * std::numbers::pi);
    camera.azimuth = square + std::copysign(std::clamp(std::abs(off), 0.35, 0.6), off);
    camera.elevation = 0.5;
    return camera;
}

CutLook cutAcross(const Model& model, double station, const Camera& camera) {
    const Baseline& base = model.plan.baseline;
    return cutToward({model.toLocal(base.at(station, 0)), model.toLocal(base.at(station, 1))}, camera);
}

CutLook cutAlong(const Model& model, double offset, const Camera& camera) {
    const Baseline& base = model.plan.baseline;
    return cutToward({model.toLocal(base.at(base.startStation, offset)),
                      model.toLocal(base.at(base.startStation + 1, offset))},
                     camera);
}

ThemeColours themeColours(Theme theme) {
    const auto hex = [](unsigned rgb) {
        return glm::dvec3(rgb >> 16 & 255u, rgb >> 8 & 255u, rgb & 255u) / 255.0;
    };
    if (theme == Theme::Dark) return {hex(0x1B2024), hex(0xE8E4DB), hex(0xE58A5E)};
    return {hex(0xF5F2EB), hex(0x20262B), hex(0xA3401C)};
}

}  // namespace underfoot
