#include "window/window_state.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <glm/geometric.hpp>

#include "measure/words.h"
#include "study/notes.h"
#include "study/thickness.h"
#include "window/shots.h"

namespace underfoot {

namespace {

constexpr double shortestCut = 0.1;        // metres
constexpr double radiansPerPixel = 0.006;  // at 100 %
constexpr double planRim = 10;

size_t at(int index) {
    return static_cast<size_t>(index);
}

void glideCamera(WindowState& state, const Camera& goal, double now) {
    state.camera.from = state.motion ? cameraAt(state, now) : goal;
    state.camera.to = goal;
    state.camera.part.jump(0);
    state.camera.part.toward(1, now, state.motion);
}

void setCamera(WindowState& state, const Camera& camera) {
    state.camera.from = state.camera.to = camera;
    state.camera.part.jump(1);
}

/// The look with everything that glides at its goal.
Look goalLook(const WindowState& state) {
    return lookOf(state, 1e18);
}

/// The box of what is shown, less the side that a straight cut takes away.
Bounds boundsLeft(const WindowState& state) {
    const Bounds all = shownBounds(*state.model, goalLook(state));
    const CutState& cut = state.cut;
    if (all.empty() || !cut.shown || cut.line.size() != 2 || cut.section.intervals.empty()) return all;
    const glm::dvec2 a = cut.line[0], along = cut.line[1] - a;
    Bounds left;
    const auto add = [&](glm::dvec2 p) { left.add({p, all.low.z}), left.add({p, all.high.z}); };
    for (const glm::dvec2 p : state.model->vertices) {
        const double side = along.x * (p.y - a.y) - along.y * (p.x - a.x);
        if (cut.removeLeft ? side <= 0 : side >= 0) add(p);
    }
    add(cut.section.at(cut.section.intervals.front().from));
    add(cut.section.at(cut.section.intervals.back().to));
    return left;
}

Camera fitted(const WindowState& state, Camera camera) {
    const WindowFrame& frame = state.frame;
    if (state.model && frame.width > 0) camera.fit(boundsLeft(state), frame.width, frame.height, frame.scene);
    return camera;
}

void refit(WindowState& state, double now) {
    if (state.model && !state.cameraOwn) glideCamera(state, fitted(state, state.camera.to), now);
}

void useSection(WindowState& state, Section section) {
    state.cut.line = section.line;
    state.cut.station = section.station;
    state.cut.section = std::move(section);
}

void chooseOpenSide(WindowState& state) {
    if (state.cut.line.size() >= 2)
        state.cut.removeLeft = cutToward(state.cut.line, state.camera.to).removeLeft;
}

const NamedCut* namedCut(const Model& model, const std::string& name) {
    for (const NamedCut& cut : model.plan.cuts)
        if (!name.empty() && cut.name == name) return &cut;
    return nullptr;
}

std::vector<glm::dvec2> localLine(const Model& model, const NamedCut& cut) {
    std::vector<glm::dvec2> line;
    for (const glm::dvec2 p : cut.along) line.push_back(model.toLocal(p));
    return line;
}

Camera usualView(const WindowState& state) {
    if (!state.cut.shown || state.cut.line.size() < 2) return threeQuarterView(*state.model);
    return facingCut(*state.model, CutLook{state.cut.line, state.cut.removeLeft});
}

void firstCut(WindowState& state) {
    if (state.model->plan.cuts.empty()) {
        cutAtStationOf(state, 0.5 * (state.stations.low + state.stations.high));
        chooseOpenSide(state);
    } else {
        cutAlongNamed(state, state.model->plan.cuts.front());
    }
}

/// What a reading before held of places and layers, by names and in plan coordinates.
struct Kept {
    std::shared_ptr<const Model> model;
    std::vector<std::string> hidden;
    std::string thickness;
};

Kept keep(const WindowState& state) {
    Kept kept{state.model, {}, {}};
    if (!state.model) return kept;
    const std::vector<ModelLayer>& layers = state.model->layers;
    for (size_t i = 0; i < layers.size() && i < state.hidden.size(); ++i)
        if (state.hidden[i]) kept.hidden.push_back(layers[i].name);
    if (state.thicknessLayer >= 0) kept.thickness = layers[at(state.thicknessLayer)].name;
    return kept;
}

void restoreLayers(WindowState& state, const Kept& kept) {
    state.hidden.assign(state.model->layers.size(), 0);
    for (const std::string& name : kept.hidden) {
        const LayerId layer = state.model->findLayer(name);
        if (layer >= 0) state.hidden[at(layer)] = 1;
    }
    state.thicknessLayer = kept.thickness.empty() ? -1 : state.model->findLayer(kept.thickness);
    state.pointedLayer = -1;
}

/// The cut, on the model as it is now.
void cutAgain(WindowState& state) {
    const bool removeLeft = state.cut.removeLeft;
    if (const NamedCut* named = namedCut(*state.model, state.cut.name))
        useSection(state, cut(*state.model, localLine(*state.model, *named)));
    else if (state.cut.station)
        cutAtStationOf(state, *state.cut.station);
    else
        useSection(state, cut(*state.model, state.cut.line));
    state.cut.removeLeft = removeLeft;
    if (state.cut.section.intervals.empty()) firstCut(state);
}

void restorePlaces(WindowState& state, const Kept& kept) {
    const glm::dvec2 shift = kept.model->site.origin - state.model->site.origin;
    for (glm::dvec2& p : state.cut.line) p += shift;
    if (state.place) *state.place += shift;
    if (state.place && cellAt(*state.model, *state.place) < 0) state.place.reset();
    Camera camera = state.camera.to;
    camera.target += glm::dvec3(shift, 0);
    setCamera(state, camera);
    cutAgain(state);
}

FrameParts partsOf(const WindowState& state) {
    return {state.clientView, state.slipsOpen && !(state.findings.empty() && state.notes.empty()),
            state.thicknessLayer >= 0, state.answer.open != Question::None};
}

double highestSurface(const Model& model) {
    double high = model.site.floor;
    for (const glm::dvec3& p : model.points) high = std::max(high, p.z);
    return high;
}

}  // namespace

// ---------------------------------------------------------------- readings and layout

void receive(WindowState& state, Loaded loaded, double now) {
    state.faults = std::move(loaded.faults);
    state.sheetOpen = !state.faults.empty();
    state.sheetScroll = 0;
    if (!loaded.model) return;
    const Kept kept = keep(state);
    state.raise.reset();
    state.raiseSteps = {};
    keepShot(state, *loaded.model);
    state.moveWanted.reset();
    state.notice.clear();
    state.saveWanted = false;
    state.model = std::move(loaded.model);
    state.picker = std::make_shared<const Picker>(state.model);
    state.catalogue = std::move(loaded.catalogue);
    state.findings = std::move(loaded.findings);
    state.notes = notes(*state.model);
    state.openFinding = -1;
    state.pointed.reset();
    state.drawing.reset();
    state.stations = stationReach(*state.model);
    restoreLayers(state, kept);
    layOutAgain(state);
    if (state.answer.open != Question::None) askAgain(state);
    if (kept.model) {
        restorePlaces(state, kept);
        refit(state, now);
        return;
    }
    setCamera(state, threeQuarterView(*state.model));
    firstCut(state);
    setCamera(state, fitted(state, usualView(state)));
}

void replaceModel(WindowState& state, std::shared_ptr<const Model> model) {
    const Kept kept = keep(state);
    state.model = std::move(model);
    state.picker = std::make_shared<const Picker>(state.model);
    state.stations = stationReach(*state.model);
    restoreLayers(state, kept);
    if (state.place && cellAt(*state.model, *state.place) < 0) state.place.reset();
    if (state.frame.plan.width() > 0)
        state.planMap = planMap(*state.model, state.frame.plan, state.frame.units(planRim));
    cutAgain(state);
    if (state.answer.open != Question::None) askAgain(state);
}

void layOutAgain(WindowState& state) {
    state.frame = frameOf(state.frame.width, state.frame.height, state.frame.scale, partsOf(state));
    if (state.model && state.frame.plan.width() > 0)
        state.planMap = planMap(*state.model, state.frame.plan, state.frame.units(planRim));
}

void layOut(WindowState& state, double width, double height, double scale) {
    const bool same =
        state.frame.width == width && state.frame.height == height && state.frame.scale == scale;
    if (same) return;
    state.frame.width = width;
    state.frame.height = height;
    state.frame.scale = scale;
    layOutAgain(state);
    if (state.model && !state.cameraOwn) setCamera(state, fitted(state, state.camera.to));
}

// ---------------------------------------------------------------- the cut

void cutAtStationOf(WindowState& state, double station) {
    if (!state.model) return;
    const double inside = std::clamp(station, state.stations.low, state.stations.high);
    useSection(state, cutAtStation(*state.model, inside));
    state.cut.station = inside;
    state.cut.name.clear();
}

void cutAlongLine(WindowState& state, const std::vector<glm::dvec2>& line, std::string name) {
    if (!state.model || line.size() < 2) return;
    useSection(state, cut(*state.model, line));
    state.cut.name = std::move(name);
    chooseOpenSide(state);
    state.cut.shown = true;
}

void cutAlongNamed(WindowState& state, const NamedCut& named) {
    cutAlongLine(state, localLine(*state.model, named), named.name);
}

void moveCutTo(WindowState& state, glm::dvec2 place) {
    if (!state.model || state.cut.line.size() < 2) return;
    if (state.cut.station) return cutAtStationOf(state, state.model->stationOffset(place).x);
    const glm::dvec2 along = glm::normalize(state.cut.line.back() - state.cut.line.front());
    const glm::dvec2 across{-along.y, along.x};
    const glm::dvec2 shift = across * glm::dot(place - state.cut.line.front(), across);
    std::vector<glm::dvec2> line = state.cut.line;
    for (glm::dvec2& p : line) p += shift;
    useSection(state, cut(*state.model, line));
    state.cut.name.clear();
}

void cutFromOtherSide(WindowState& state) {
    state.cut.removeLeft = !state.cut.removeLeft;
}

void settleCut(WindowState& state, double now) {
    refit(state, now);
}
void showCut(WindowState& state, bool shown) {
    state.cut.shown = shown;
}
bool stripMirrored(const WindowState& state) {
    return state.cut.removeLeft;
}

void startDrawing(WindowState& state) {
    if (state.model) state.drawing = CutSketch{};
}

void drawFrom(WindowState& state, glm::dvec2 place) {
    state.drawing = CutSketch{true, place, place};
}

void drawTo(WindowState& state, glm::dvec2 place, bool squared) {
    if (!state.drawing || !state.drawing->started) return;
    state.drawing->to = place;
    if (!squared) return;
    const PlanMap& map = state.planMap;
    const glm::dvec2 d = place - state.drawing->from;
    const double right = glm::dot(d, map.right), down = glm::dot(d, map.down);
    const bool along = std::abs(right) >= std::abs(down);
    state.drawing->to = state.drawing->from + (along ? map.right * right : map.down * down);
}

void finishDrawing(WindowState& state, double now) {
    if (!state.drawing) return;
    const CutSketch line = *state.drawing;
    state.drawing.reset();
    if (!line.started || glm::length(line.to - line.from) < shortestCut) return;
    cutAlongLine(state, {line.from, line.to}, "");
    settleCut(state, now);
}

// ---------------------------------------------------------------- layers

void setPeel(WindowState& state, double part, double now) {
    state.peel.toward(std::clamp(part, 0.0, 1.0), now, state.motion && !state.dragging);
}

void setLift(WindowState& state, double part, double now) {
    state.lift.toward(std::clamp(part, 0.0, 1.0), now, state.motion && !state.dragging);
    if (!state.dragging) refit(state, now);
}

void toggleLayer(WindowState& state, LayerId layer) {
    if (layer >= 0 && at(layer) < state.hidden.size()) state.hidden[at(layer)] ^= 1;
}

void showAllLayers(WindowState& state) {
    std::fill(state.hidden.begin(), state.hidden.end(), uint8_t{0});
}

void toggleThickness(WindowState& state, LayerId layer, double now) {
    state.thicknessLayer = state.thicknessLayer == layer ? -1 : layer;
    if (state.thicknessLayer >= 0 && at(layer) < state.hidden.size()) state.hidden[at(layer)] = 0;
    layOutAgain(state);
    refit(state, now);
}

// ---------------------------------------------------------------- findings

void chooseFinding(WindowState& state, int index, double now) {
    if (index < 0 || at(index) >= state.findings.size()) return;
    if (state.openFinding == index) {
        state.openFinding = -1;
        return;
    }
    state.openFinding = index;
    const Finding& finding = state.findings[at(index)];
    attend(state, finding.at);
    cutAtStationOf(state, finding.station);
    state.cut.shown = true;
    chooseOpenSide(state);
    Camera camera = fitted(state, state.camera.to);
    camera.distance *= 0.8;
    const int cell = cellAt(*state.model, finding.at);
    const double height =
        cell < 0 ? camera.target.z : state.model->height(state.model->cells[at(cell)], 0, 0);
    camera.target = glm::dvec3(finding.at, height);
    glideCamera(state, camera, now);
    state.cameraOwn = true;
}

// ---------------------------------------------------------------- attention

void attend(WindowState& state, std::optional<glm::dvec2> place) {
    if (place && !(state.model && cellAt(*state.model, *place) >= 0)) return;
    state.place = place;
    if (state.answer.open == Question::Water && state.answer.options.waterFrom != place) askAgain(state);
}

namespace {

std::optional<glm::dvec2> middleOfLongestRun(const WindowState& state) {
    double best = 0, from = 0, to = 0, end = -1;
    std::optional<double> middle;
    int area = -1;
    for (const SectionInterval& interval : state.cut.section.intervals) {
        const Column& column = state.model->columns[at(interval.column)];
        const bool inside = column.area >= 0 && !column.beyond;
        if (!inside || column.area != area || interval.from > end + 1e-6) from = interval.from;
        area = inside ? column.area : -1;
        end = to = interval.to;
        if (inside && to - from > best) {
            best = to - from;
            middle = 0.5 * (from + to);
        }
    }
    if (!middle) return {};
    return state.cut.section.at(*middle);
}

std::optional<glm::dvec2> insideAnyArea(const Model& model) {
    for (const Cell& cell : model.cells) {
        const Column& column = model.columnOf(cell);
        if (column.area >= 0 && !column.beyond)
            return (model.at(cell, 0) + model.at(cell, 1) + model.at(cell, 2)) / 3.0;
    }
    return {};
}

}  // namespace

std::optional<glm::dvec2> columnPlace(const WindowState& state) {
    if (!state.model) return {};
    for (const std::optional<glm::dvec2>& place : {state.pointed, state.place})
        if (place && cellAt(*state.model, *place) >= 0) return place;
    if (const auto middle = middleOfLongestRun(state)) return middle;
    return insideAnyArea(*state.model);
}

// ---------------------------------------------------------------- eye

Camera cameraAt(const WindowState& state, double now) {
    const CameraGlide& glide = state.camera;
    const double t = glide.part.at(now);
    if (t >= 1) return glide.to;
    Camera camera = glide.to;
    const auto between = [t](const auto& a, const auto& b) { return a + (b - a) * t; };
    camera.target = between(glide.from.target, glide.to.target);
    camera.distance = between(glide.from.distance, glide.to.distance);
    camera.elevation = between(glide.from.elevation, glide.to.elevation);
    camera.azimuth =
        glide.from.azimuth + std::remainder(glide.to.azimuth - glide.from.azimuth, 2 * std::numbers::pi) * t;
    camera.shift = between(glide.from.shift, glide.to.shift);
    return camera;
}

void orbitBy(WindowState& state, glm::dvec2 pixels, double now) {
    Camera camera = cameraAt(state, now);
    const double turn = radiansPerPixel / std::max(state.frame.scale, 0.1);
    camera.orbit(-pixels.x * turn, pixels.y * turn);
    setCamera(state, camera);
    state.cameraOwn = true;
}

void panBy(WindowState& state, glm::dvec2 pixels, double now) {
    Camera camera = cameraAt(state, now);
    camera.pan(pixels.x, pixels.y, state.frame.height);
    setCamera(state, camera);
    state.cameraOwn = true;
}

void zoomAbout(WindowState& state, glm::dvec3 point, double factor, double now) {
    Camera camera = cameraAt(state, now);
    const double before = camera.distance;
    camera.zoom(factor);
    // What the camera did not do at its limits, the target doesn't do either.
    camera.target = point + (camera.target - point) * (camera.distance / before);
    setCamera(state, camera);
    state.cameraOwn = true;
}

void fitView(WindowState& state, double now) {
    state.cameraOwn = false;
    refit(state, now);
}

void lookFromAbove(WindowState& state, double now) {
    if (!state.model) return;
    glideCamera(state, fitted(state, planView(*state.model)), now);
    state.cameraOwn = false;
}

void lookThreeQuarter(WindowState& state, double now) {
    if (!state.model) return;
    glideCamera(state, fitted(state, usualView(state)), now);
    state.cameraOwn = false;
}

void setClientView(WindowState& state, bool on, double now) {
    if (state.clientView == on) return;
    state.clientView = on;
    state.drawing.reset();
    state.pointed.reset();
    layOutAgain(state);
    refit(state, now);
}

void toggleTheme(WindowState& state) {
    state.theme = state.theme == Theme::Light ? Theme::Dark : Theme::Light;
}

std::optional<glm::dvec3> placeUnder(const WindowState& state, const Look& look, const Ray& ray) {
    if (!state.model) return {};
    if (const std::optional<Hit> hit = state.picker->pick(look, ray)) return hit->place;
    const double level = highestSurface(*state.model);
    if (ray.along.z > -1e-6) return {};
    const double far = (level - ray.from.z) / ray.along.z;
    if (far <= 0) return {};
    return ray.from + ray.along * far;
}

Look lookOf(const WindowState& state, double now) {
    Look look;
    look.theme = state.theme;
    look.quality = state.dragging || moving(state, now) ? Quality::Dragging : Quality::Full;
    look.liftApart = state.lift.at(now);
    look.hidden = state.hidden;
    if (!state.model) return look;
    look.peel = state.peel.at(now) * peelSteps(*state.model);
    if (state.cut.shown && state.cut.line.size() >= 2)
        look.cut = CutLook{state.cut.line, state.cut.removeLeft};
    if (state.quickCard) look.highlightLayer = state.pointedLayer;
    if (state.thicknessLayer >= 0) look.thickness = ThicknessLook{state.thicknessLayer, {}, {}};
    return look;
}

bool sameLook(const Look& a, const Look& b) {
    return a.theme == b.theme && a.quality == b.quality && a.peel == b.peel && a.liftApart == b.liftApart &&
           a.hidden == b.hidden && a.edging == b.edging && a.fixedThings == b.fixedThings &&
           a.pipes == b.pipes && a.grain == b.grain && a.cut == b.cut && a.thickness == b.thickness &&
           a.highlightLayer == b.highlightLayer && a.highlightUnit == b.highlightUnit &&
           a.highlightPlace == b.highlightPlace && a.highlightRadius == b.highlightRadius;
}

bool sameCamera(const Camera& a, const Camera& b) {
    return a.target == b.target && a.distance == b.distance && a.azimuth == b.azimuth &&
           a.elevation == b.elevation && a.fieldOfView == b.fieldOfView && a.shift == b.shift;
}

bool moving(const WindowState& state, double now) {
    return state.peel.moving(now) || state.lift.moving(now) || state.camera.part.moving(now);
}

// ---------------------------------------------------------------- the column

std::string titleOf(const Model& model, LayerId layer) {
    return capitalised(model.layers[at(layer)].name);
}

namespace {

ColumnRow rowOf(const WindowState& state, LayerId layer) {
    ColumnRow row;
    row.layer = layer;
    row.title = titleOf(*state.model, layer);
    row.ground = layer == state.model->nativeSoil;
    row.shown = at(layer) >= state.hidden.size() || !state.hidden[at(layer)];
    return row;
}

ColumnRow& rowFor(const WindowState& state, std::vector<ColumnRow>& rows, LayerId layer) {
    for (ColumnRow& row : rows)
        if (row.layer == layer) return row;
    rows.push_back(rowOf(state, layer));
    return rows.back();
}

}  // namespace

std::vector<ColumnRow> columnRows(const WindowState& state, glm::dvec2 place) {
    std::vector<ColumnRow> rows;
    const Model& model = *state.model;
    place = intoArea(model, place);
    const int cell = cellAt(model, place);
    if (cell < 0) return rows;
    const Column& column = model.columnOf(model.cells[at(cell)]);
    if (!column.beyond)
        if (const BuildUp* buildUp = buildUpOf(model.plan, column.area))
            for (const Layer& layer : buildUp->layers) {
                ColumnRow& row = rowFor(state, rows, model.findLayer(layer.name));
                row.wanted = layer.thickness;
                row.least = layer.least;
                row.greatest = layer.greatest;
            }
    for (const LayerAt& layer : stackAtPoint(model, place))
        rowFor(state, rows, layer.layer).thickness += layer.thickness();
    std::stable_partition(rows.begin(), rows.end(), [](const ColumnRow& row) { return !row.ground; });
    return rows;
}

std::string areaAt(const Model& model, glm::dvec2 place) {
    const int cell = cellAt(model, intoArea(model, place));
    if (cell < 0) return "";
    const Column& column = model.columnOf(model.cells[at(cell)]);
    return column.area < 0 || column.beyond ? "" : model.plan.areas[at(column.area)].name;
}

}  // namespace underfoot
