#include "view/scene_buffers.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

#include "model/solid.h"
#include "study/section.h"
#include "view/unit_field.h"

namespace underfoot {

namespace {

constexpr size_t unitsOfTile = 2500;
/// Thinner units than this many pixels are drawn by their tops alone.
constexpr double leastThickness = 2.5;

size_t at(int index) {
    return static_cast<size_t>(index);
}

void addBox(Bounds& box, const Vertices& vertices) {
    if (vertices.empty()) return;
    glm::vec3 low(vertices[0].x, vertices[0].y, vertices[0].z), high = low;
    for (const Vertex& v : vertices) {
        low = glm::min(low, glm::vec3(v.x, v.y, v.z));
        high = glm::max(high, glm::vec3(v.x, v.y, v.z));
    }
    box.add(low);
    box.add(high);
}

}  // namespace

void SceneBuffers::discard(Mesh& mesh) {
    if (!mesh.empty()) spare_.emplace(mesh.bytes(), std::move(mesh));
    mesh = {};
}

void SceneBuffers::discard(std::vector<Batch>& batches) {
    for (Batch& batch : batches) discard(batch.mesh);
    batches.clear();
}

template <class Triangles>
void SceneBuffers::fill(Mesh& mesh, const Triangles& triangles) {
    if (const auto same = spare_.find(Mesh::bytesOf(triangles)); same != spare_.end()) {
        mesh = std::move(same->second);
        spare_.erase(same);
    }
    mesh.fill(triangles);
}

void SceneBuffers::add(std::vector<Batch>& to, const Vertices& vertices, const Paint& paint, Part part,
                       LayerId layer) {
    if (vertices.empty()) return;
    Batch batch;
    fill(batch.mesh, vertices);
    batch.paint = paint;
    batch.part = part;
    batch.layer = layer;
    batch.peeled = layer >= 0;
    to.push_back(std::move(batch));
}

void SceneBuffers::setModel(std::shared_ptr<const Model> model, const Catalogue& catalogue) {
    made_ = std::move(model);
    model_ = made_.get();
    laid_ = laidOut(*model_);
    cutter_.reset();
    riders_ = Riders(*model_);
    moving_ = false;
    movingMeshes_.clear();
    movingMeasured_.reset();
    catalogue_ = catalogue;
    spare_.clear();
    for (std::vector<Batch>* group : {&solids_, &cutFaces_, &stepFaces_, &measured_, &marked_})
        discard(*group);
    for (TileBatches& made : tiles_)
        for (Batch* batch : {&made.near, &made.far}) discard(batch->mesh);
    tiles_.clear();
    fields_.clear();
    cutLine_.clear();
    peelLimit_.clear();
    measuredLayer_ = markedUnit_ = -1;
    things_ = {};
    boxes_.assign(model_->layers.size(), {});
    for (LayerId layer = 0; layer < static_cast<LayerId>(model_->layers.size()); ++layer) {
        const Paint paint = layerPaint(layer);
        const auto place = [&](const Vertices& vertices, const Paint& with, Part part) {
            addBox(boxes_[at(layer)], vertices);
            add(solids_, vertices, with, part, layer);
        };
        const LayerMeshes meshes = layerMeshes(*model_, layerSolid(*model_, layer), laid_, nullptr);
        place(meshes.solid, paint, Part::Solid);
        if (meshes.joints.empty()) continue;
        place(meshes.joints, jointPaint(layer), Part::Joints);
        place(meshes.rim, paint, Part::Rim);
        addTiles(layer);
    }
    const auto thing = [&](const Vertices& vertices, const Paint& paint, Part part) {
        addBox(things_, vertices);
        add(solids_, vertices, paint, part, -1);
        if (part == Part::FixedThings && !vertices.empty()) solids_.back().nearer = 1;
    };
    thing(edgingMesh(*model_), edgingPaint(), Part::Edging);
    thing(pipeMesh(*model_), pipePaint(), Part::Pipes);
    for (FixedKind kind : {FixedKind::Slab, FixedKind::Wall, FixedKind::House})
        thing(fixedThingMesh(*model_, kind), fixedPaint(kind), Part::FixedThings);
}

// ---------------------------------------------------------------- heights that move

/// The meshes once more, with what their corners hang on: seldom wanted, and as large as themselves.
void SceneBuffers::startMoving() {
    const Model& model = *made_;
    const auto keep = [&](const Solid& solid, Part part, Vertices vertices,
                          const std::vector<uint32_t>& from) {
        const auto found = std::find_if(solids_.begin(), solids_.end(), [&](const auto& one) {
            return one.layer == solid.layer && one.part == part;
        });
        if (found == solids_.end()) return;
        movingMeshes_.push_back(
            {static_cast<size_t>(found - solids_.begin()),
             MovingMesh(model, solid, std::move(vertices), from, part == Part::Joints ? jointBelowTop : 0)});
    };
    for (LayerId layer = 0; layer < static_cast<LayerId>(model.layers.size()); ++layer) {
        const Solid solid = layerSolid(model, layer);
        LayerTriangles from;
        LayerMeshes meshes = layerMeshes(model, solid, laid_, &from);
        keep(solid, Part::Solid, std::move(meshes.solid), from.solid);
        keep(solid, Part::Joints, std::move(meshes.joints), from.joints);
        keep(solid, Part::Rim, std::move(meshes.rim), from.rim);
    }
    const std::vector<int>& planeOf = riders_.seat(model);
    if (!planeOf.empty()) planeOfRider_.fill(planeOf.data(), planeOf.size() * sizeof(int), GL_R32I);
}

void SceneBuffers::send(const MovingMesh& mesh, const MovingMesh::Change& change, Mesh& into, LayerId layer) {
    for (const auto& [first, last] : change.runs) into.replace(mesh.vertices(), first, last);
    Bounds& box = boxes_[at(layer)];
    if (change.runs.empty() || box.empty()) return;
    box.low.z = std::min(box.low.z, change.lowest);
    box.high.z = std::max(box.high.z, change.highest);
}

void SceneBuffers::followMeasured(const MovedPosts& moved) {
    if (measured_.empty()) return;
    const LayerId layer = measured_[0].layer;
    if (!movingMeasured_) {
        const Solid solid = layerSolid(*made_, layer);
        std::vector<uint32_t> all(solid.triangles.size());
        std::iota(all.begin(), all.end(), 0U);
        movingMeasured_.emplace(*made_, solid, wholeLayerMesh(*made_, layer), all, 0);
    }
    send(*movingMeasured_, movingMeasured_->follow(*model_, moved), measured_[0].mesh, layer);
}

void SceneBuffers::moveHeights(const Model& model, std::span<const int> moved) {
    assert(made_ && model.cells.size() == made_->cells.size() && model.posts.size() == made_->posts.size());
    if (!std::exchange(moving_, true)) startMoving();
    if (model_ != &model) cutter_.reset();
    model_ = &model;
    const MovedPosts posts(model, moved);
    std::vector<MovingMesh*> meshes;
    for (MovingBatch& one : movingMeshes_) meshes.push_back(&one.mesh);
    const auto changes = followAll(meshes, model, posts);
    for (size_t i = 0; i < meshes.size(); ++i) {
        Batch& batch = solids_[movingMeshes_[i].batch];
        for (const MovingMesh::Change& change : changes[i]) send(*meshes[i], change, batch.mesh, batch.layer);
    }
    followMeasured(posts);
    riders_.follow(model);
    if (!riders_.planes().empty())
        ridePlanes_.fill(riders_.planes().data(), riders_.planes().size() * sizeof(glm::vec4), GL_RGBA32F);
    cutLine_.clear();
    peelLimit_.clear();
}

void SceneBuffers::bindRiders(int planeOfRiderUnit, int ridePlanesUnit) const {
    planeOfRider_.bind(planeOfRiderUnit);
    ridePlanes_.bind(ridePlanesUnit);
}

Section SceneBuffers::sectionAlong(const std::vector<glm::dvec2>& line) {
    if (!cutter_) cutter_.emplace(*model_);
    Section section = cutter_->cut(line);
    if (moving_) riders_.move(*model_, section);
    return section;
}

void SceneBuffers::addTiles(LayerId layer) {
    for (UnitTile& tile : unitTiles(*model_, layer, unitsOfTile)) {
        TileBatches& made = tiles_.emplace_back();
        for (Batch* batch : {&made.near, &made.far}) {
            batch->paint = layerPaint(layer);
            batch->part = Part::Units;
            batch->layer = layer;
        }
        boxes_[at(layer)].add(tile.box.low);
        boxes_[at(layer)].add(tile.box.high);
        made.tile = std::move(tile);
    }
}

namespace {

/// False where all of a box lies on the outer side of one edge of the frame, or behind the eye. `aspect`:
/// width over height.
bool inSight(const Bounds& box, const Camera& camera, double aspect, const glm::dvec3& rise) {
    const double tangent = std::tan(camera.fieldOfView / 2);
    std::array<int, 5> outside{};
    for (int i = 0; i < 8; ++i) {
        const glm::dvec3 corner = glm::dvec3(i & 1 ? box.high.x : box.low.x, i & 2 ? box.high.y : box.low.y,
                                             i & 4 ? box.high.z : box.low.z) +
                                  rise - camera.eye();
        const double ahead = glm::dot(corner, camera.forward());
        const double x = glm::dot(corner, camera.right()) / (tangent * aspect) + camera.shift.x * ahead;
        const double y = glm::dot(corner, camera.up()) / tangent + camera.shift.y * ahead;
        outside[0] += x < -ahead;
        outside[1] += x > ahead;
        outside[2] += y < -ahead;
        outside[3] += y > ahead;
        outside[4] += ahead <= 0;
    }
    return std::find(outside.begin(), outside.end(), 8) == outside.end();
}

}  // namespace

/// Meshes are made when first seen: of very many units most are never seen near.
void SceneBuffers::makeTiles(const Shown& shown, const Camera& camera, int width, int height) {
    const double aspect = static_cast<double>(width) / height;
    const double pixel = 2 * std::tan(camera.fieldOfView / 2) / height;  // metres at one metre
    for (TileBatches& made : tiles_) {
        const glm::dvec3 rise{0, 0, shown.rise[at(made.tile.layer)]};
        const glm::dvec3 eye = camera.eye() - rise;
        const double away = glm::length(eye - glm::clamp(eye, made.tile.box.low, made.tile.box.high));
        if (!shown.visible[at(made.tile.layer)]) continue;
        made.inSight = inSight(made.tile.box, camera, aspect, rise);
        if (!made.inSight) continue;
        made.isFar = made.tile.thickness < leastThickness * pixel * away;
        if (made.isFar && lookUp_) makeField(made.tile.layer);
        if (made.isFar && !lookUp_ && made.far.mesh.empty())
            fill(made.far.mesh, unitTops(*made_, made.tile.units));
        if (!made.isFar && made.near.mesh.empty()) fill(made.near.mesh, unitPrisms(*made_, made.tile.units));
    }
}

void SceneBuffers::makeField(LayerId layer) {
    if (fields_.count(layer) > 0) return;
    const UnitField found = unitField(*made_, layer);
    Field& field = fields_[layer];
    field.paint = layerPaint(layer);
    field.low = found.low;
    field.square = found.square;
    field.squares = {found.across, found.down};
    field.starts.fill(found.starts.data(), found.starts.size() * sizeof(uint32_t));
    field.entries.fill(found.entries.data(), found.entries.size() * sizeof(UnitField::Entry));
    field.corners.fill(found.corners.data(), found.corners.size() * sizeof(glm::vec2));
}

bool SceneBuffers::showsRim(LayerId layer) const {
    return std::any_of(tiles_.begin(), tiles_.end(),
                       [&](const TileBatches& made) { return made.tile.layer == layer && made.isFar; });
}

void SceneBuffers::addCaps(std::vector<Batch>& to, const CapMeshes& caps, bool steps) {
    const size_t first = to.size();
    for (LayerId layer = 0; layer < static_cast<LayerId>(caps.layers.size()); ++layer) {
        const bool joints = !caps.units[at(layer)].empty();
        const size_t mine = to.size();
        add(to, caps.layers[at(layer)], joints ? jointPaint(layer) : layerPaint(layer),
            joints ? Part::Joints : Part::Solid, layer);
        const bool bold = model_->layers[at(layer)].role == Role::Geotextile;
        if (bold && to.size() > mine) to.back().nearer = 1;
        add(to, caps.units[at(layer)], layerPaint(layer), Part::Units, layer);
        if (joints) to.back().nearer = 2;
    }
    const auto thing = [&](const Vertices& vertices, const Paint& paint, Part part) {
        if (vertices.empty()) return;
        add(to, vertices, paint, part, -1);
        to.back().nearer = 3;
    };
    thing(caps.edging, edgingPaint(), Part::Edging);
    thing(caps.pipes, pipePaint(), Part::Pipes);
    for (FixedKind kind : {FixedKind::Slab, FixedKind::Wall, FixedKind::House})
        thing(caps.fixedThings[at(static_cast<int>(kind))], fixedPaint(kind), Part::FixedThings);
    for (size_t i = first; i < to.size(); ++i) {
        to[i].cap = true;
        to[i].cut = steps;
        to[i].peeled = !steps && to[i].layer >= 0;
    }
}

void SceneBuffers::makeCutFaces(const Shown& shown) {
    if (cutLine_ == shown.cutLine) return;
    cutLine_ = shown.cutLine;
    discard(cutFaces_);
    if (cutLine_.empty()) return;
    addCaps(cutFaces_, capMeshes(*model_, sectionAlong(cutLine_), laid_), false);
}

void SceneBuffers::makeStepFaces(const Shown& shown) {
    if (peelLimit_ == shown.peelLimit) return;
    peelLimit_ = shown.peelLimit;
    discard(stepFaces_);
    for (LayerId layer = 0; layer < static_cast<LayerId>(model_->layers.size()); ++layer)
        if (shown.peeled(layer))
            addCaps(stepFaces_,
                    capMeshes(*model_, sectionAlong(stepLine(*model_, shown, layer)), laid_, layer), true);
}

/// Units laid out one by one have no thickness to paint: for that their layer is shown whole.
void SceneBuffers::makeMeasured(const Look& look) {
    const LayerId layer = look.thickness ? look.thickness->layer : -1;
    if (layer == measuredLayer_) return;
    measuredLayer_ = layer;
    discard(measured_);
    movingMeasured_.reset();
    if (layer >= 0 && model_->layers[at(layer)].role == Role::Units)
        add(measured_, wholeLayerMesh(*made_, layer), layerPaint(layer), Part::Solid, layer);
    if (moving_) followMeasured(MovedPosts(*model_));
}

void SceneBuffers::makeMarked(const Look& look) {
    if (look.highlightUnit == markedUnit_) return;
    markedUnit_ = look.highlightUnit;
    discard(marked_);
    if (markedUnit_ < 0 || at(markedUnit_) >= model_->units.size()) return;
    const LayerId layer = model_->units[at(markedUnit_)].layer;
    add(marked_, unitMesh(*made_, std::vector<int>{markedUnit_}), layerPaint(layer), Part::Units, layer);
    if (!marked_.empty()) marked_.back().nearer = 2;
}

void SceneBuffers::prepare(const Look& look, const Shown& shown, const Camera& camera, int width, int height,
                           bool lookUp) {
    lookUp_ = lookUp;
    makeTiles(shown, camera, width, height);
    makeCutFaces(shown);
    makeStepFaces(shown);
    makeMeasured(look);
    makeMarked(look);
    spare_.clear();
}

bool SceneBuffers::isShown(const Batch& batch, const Look& look, const Shown& shown) const {
    if (batch.part == Part::Edging) return look.edging;
    if (batch.part == Part::Pipes) return look.pipes;
    if (batch.part == Part::FixedThings) return look.fixedThings;
    if (batch.layer == measuredLayer_ && !measured_.empty() && batch.part != Part::Solid) return false;
    return shown.visible[at(batch.layer)] != 0;
}

Bounds SceneBuffers::bounds(const Look& look, const Shown& shown) const {
    Bounds box;
    const auto addAll = [&](const Bounds& other, double rise) {
        if (other.empty()) return;
        box.add(other.low + glm::dvec3{0, 0, rise});
        box.add(other.high + glm::dvec3{0, 0, rise});
    };
    for (size_t i = 0; i < boxes_.size(); ++i)
        if (shown.visible[i]) addAll(boxes_[i], shown.rise[i]);
    if (look.edging || look.fixedThings || look.pipes) addAll(things_, 0);
    if (box.empty()) box.add({0, 0, 0});
    return box;
}

}  // namespace underfoot
