#include "view/drawn_meshes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "plan/plan.h"
#include "study/section.h"

namespace underfoot {

namespace {

constexpr size_t unitsOfTile = 2500;
constexpr double nothing = 1e-9;

size_t at(int index) {
    return static_cast<size_t>(index);
}

/// The bared faces of all layers, in one pass over the cells.
class BaredFaces {
  public:
    BaredFaces(const Model& model, const Shown& shown, const Laid& laid, double eyeHeight)
        : model_(model), shown_(shown), laid_(laid), eyeHeight_(eyeHeight), meshes_(model.layers.size()) {}

    std::vector<LayerMeshes> make() {
        for (const Cell& cell : model_.cells) addCell(cell);
        return std::move(meshes_);
    }

  private:
    /// One layer of a cell, its lifts together: from interface `above` down to `below`.
    struct Slice {
        LayerId layer = -1;
        int above = 0, below = 0;
    };

    void addCell(const Cell& cell) {
        const Column& column = model_.columnOf(cell);
        for (int i = 0; i < 3; ++i) {
            place_[at(i)] = model_.at(cell, i);
            stack_[at(i)] = model_.stack(cell, i);
        }
        slices_.clear();
        const int entries = static_cast<int>(column.entries.size());
        for (int k = 0; k < entries; ++k) {
            const LayerId layer = column.entries[at(k)].layer;
            if (!slices_.empty() && slices_.back().layer == layer && slices_.back().below == k) {
                slices_.back().below = k + 1;
            } else {
                slices_.push_back({layer, k, k + 1});
            }
        }
        std::erase_if(slices_, [&](const Slice& s) { return !isThere(s); });
        sod_ = entries == 1 && column.area < 0;
        for (size_t i = 0; i < slices_.size(); ++i) {
            if (!shown_.visible[at(slices_[i].layer)]) continue;
            const bool hasLower = i + 1 < slices_.size();
            if (i == 0 || !covers(slices_[i - 1], slices_[i], column.area)) addTop(slices_[i], column.area);
            const bool seenFromBelow = hasLower ? !covers(slices_[i + 1], slices_[i], column.area)
                                                : eyeHeight_ <= lowest(slices_[i]);
            if (seenFromBelow) addBottom(slices_[i], column.area);
            for (int edge = 0; edge < 3; ++edge)
                if ((cell.seams & (1 << edge)) && !goesOn(cell, slices_[i], edge))
                    addSide(slices_[i], column.area, edge);
        }
    }

    bool isThere(const Slice& s) const {
        double most = 0;
        for (const double* stack : stack_) most = std::max(most, stack[s.above] - stack[s.below]);
        return most > nothing;
    }
    double lowest(const Slice& s) const {
        return std::min({stack_[0][s.below], stack_[1][s.below], stack_[2][s.below]});
    }
    bool holds(LayerId layer, int area) const { return area >= 0 && laid_[at(layer)][at(area)]; }
    /// Whether a neighbour in the stack hides the face between them wherever the other is kept. Between laid
    /// units one sees what they lie on.
    bool covers(const Slice& by, const Slice& s, int area) const {
        return shown_.visible[at(by.layer)] && shown_.rise[at(by.layer)] == shown_.rise[at(s.layer)] &&
               shown_.peelLimit[at(by.layer)] >= shown_.peelLimit[at(s.layer)] && !holds(by.layer, area);
    }

    /// Whether the cell across an edge has the same layer as high and as deep there.
    bool goesOn(const Cell& cell, const Slice& s, int edge) const {
        const int other = cell.neighbour[at(edge)];
        if (other < 0) return false;
        const Cell& beyond = model_.cells[at(other)];
        const std::vector<ColumnEntry>& entries = model_.columnOf(beyond).entries;
        const auto is = [&](const ColumnEntry& entry) { return entry.layer == s.layer; };
        const auto first = std::find_if(entries.begin(), entries.end(), is);
        if (first == entries.end()) return false;
        const auto above = first - entries.begin();
        const auto below = std::find_if_not(first, entries.end(), is) - entries.begin();
        for (int corner : {(edge + 1) % 3, (edge + 2) % 3}) {
            const auto same = std::find(beyond.vertex.begin(), beyond.vertex.end(), cell.vertex[at(corner)]);
            if (same == beyond.vertex.end()) return false;
            const double* stack = model_.stack(beyond, static_cast<int>(same - beyond.vertex.begin()));
            if (stack[above] < stack_[at(corner)][s.above] || stack[below] > stack_[at(corner)][s.below])
                return false;
        }
        return true;
    }

    void addTop(const Slice& s, int area) {
        LayerMeshes& mesh = meshes_[at(s.layer)];
        const bool joints = holds(s.layer, area);
        Vertices& out = joints ? mesh.joints : mesh.solid;
        // Pages that stay untouched take no memory.
        if (out.empty()) out.reserve(3 * model_.cells.size());
        add(out, s, FaceKind::Top, {0, 1, 2}, {s.above, s.above, s.above});
        if (joints)
            for (size_t i = out.size() - 3; i < out.size(); ++i)
                out[i].z -= static_cast<float>(jointBelowTop);
    }
    void addBottom(const Slice& s, int area) {
        add(sides(s, area), s, FaceKind::Bottom, {0, 2, 1}, {s.below, s.below, s.below});
    }
    /// Across the edge opposite to a corner, whatever stands behind it: that hides it where it does.
    void addSide(const Slice& s, int area, int edge) {
        const int a = (edge + 1) % 3, b = (edge + 2) % 3;
        const bool thickA = stack_[at(a)][s.above] - stack_[at(a)][s.below] > nothing;
        const bool thickB = stack_[at(b)][s.above] - stack_[at(b)][s.below] > nothing;
        if (thickB) add(sides(s, area), s, FaceKind::Side, {a, b, b}, {s.below, s.below, s.above});
        if (thickA) add(sides(s, area), s, FaceKind::Side, {a, b, a}, {s.below, s.above, s.above});
    }
    Vertices& sides(const Slice& s, int area) {
        LayerMeshes& mesh = meshes_[at(s.layer)];
        return holds(s.layer, area) ? mesh.rim : mesh.solid;
    }

    void add(Vertices& out, const Slice& s, FaceKind kind, std::array<int, 3> corner,
             std::array<int, 3> interface) {
        std::array<glm::dvec3, 3> p;
        for (size_t i = 0; i < 3; ++i) p[i] = {place_[at(corner[i])], stack_[at(corner[i])][interface[i]]};
        const glm::dvec3 n = glm::cross(p[1] - p[0], p[2] - p[0]);
        const double length = glm::length(n);
        Vertex v;
        setNormal(v, length > 0 ? n / length : glm::dvec3{0, 0, 1});
        v.kind = static_cast<uint8_t>(kind);
        v.sod = sod_ ? 1 : 0;
        for (size_t i = 0; i < 3; ++i) {
            const double* stack = stack_[at(corner[i])];
            v.x = static_cast<float>(p[i].x);
            v.y = static_cast<float>(p[i].y);
            v.z = static_cast<float>(p[i].z);
            v.depth = static_cast<float>(stack[0] - p[i].z);
            v.thickness = kind == FaceKind::Top ? static_cast<float>(stack[s.above] - stack[s.below]) : 0.0F;
            out.push_back(v);
        }
    }

    const Model& model_;
    const Shown& shown_;
    const Laid& laid_;
    double eyeHeight_;
    std::vector<LayerMeshes> meshes_;
    std::array<glm::dvec2, 3> place_{};
    std::array<const double*, 3> stack_{};
    std::vector<Slice> slices_;
    bool sod_ = false;
};

class Collector {
  public:
    Collector(const Model& model, const Catalogue& catalogue, const Look& look, const Shown& shown)
        : model_(model), catalogue_(catalogue), look_(look), shown_(shown), laid_(laidOut(model)) {}

    std::vector<DrawnMesh> collect(const Camera& camera, int height) {
        measuredUnits_ = look_.thickness && look_.thickness->layer >= 0 &&
                         model_.layers[at(look_.thickness->layer)].role == Role::Units;
        addUnits(camera, height);
        addCutFaces();
        addStepFaces();
        addLayers(camera);
        addThings();
        addMarked();
        return std::move(out_);
    }

  private:
    bool isMeasured(LayerId layer) const { return look_.thickness && look_.thickness->layer == layer; }
    /// Units laid out one by one have no thickness to paint: for that their layer is shown whole.
    bool isWhole(LayerId layer) const { return measuredUnits_ && isMeasured(layer); }

    DrawnMesh* add(SharedTriangles triangles, const Paint& paint, Part part, LayerId layer) {
        if (triangles.vertices.empty()) return nullptr;
        DrawnMesh& made = out_.emplace_back();
        made.triangles = std::move(triangles);
        made.paint = paint;
        made.part = part;
        made.layer = layer;
        made.peeled = layer >= 0;
        return &made;
    }
    DrawnMesh* add(Vertices vertices, const Paint& paint, Part part, LayerId layer) {
        return add(SharedTriangles{std::move(vertices), {}}, paint, part, layer);
    }

    void addUnits(const Camera& camera, int height) {
        const double pixel = 2 * std::tan(camera.fieldOfView / 2) / height;  // metres at one metre
        for (LayerId layer = 0; layer < static_cast<LayerId>(model_.layers.size()); ++layer) {
            if (!shown_.visible[at(layer)] || model_.layers[at(layer)].role != Role::Units) continue;
            if (isWhole(layer)) continue;
            const glm::dvec3 eye = camera.eye() - glm::dvec3{0, 0, shown_.rise[at(layer)]};
            for (const UnitTile& tile : unitTiles(model_, layer, unitsOfTile)) {
                const double away = glm::length(eye - glm::clamp(eye, tile.box.low, tile.box.high));
                const bool far = tile.thickness < leastUnitThickness * pixel * away;
                if (far) showsRim_.push_back(layer);
                DrawnMesh* made = add(far ? unitTops(model_, tile.units) : unitPrisms(model_, tile.units),
                                      paint(layer), Part::Units, layer);
                if (made) made->shades = false;
            }
        }
    }

    Paint paint(LayerId layer) const { return layerPaint(model_, catalogue_, layer); }

    void addCaps(CapMeshes caps, bool steps) {
        const size_t first = out_.size();
        for (LayerId layer = 0; layer < static_cast<LayerId>(caps.layers.size()); ++layer) {
            if (!shown_.visible[at(layer)]) continue;
            const bool joints = !caps.units[at(layer)].empty();
            DrawnMesh* mine = nullptr;
            if (!joints || !isWhole(layer))
                mine = add(std::move(caps.layers[at(layer)]),
                           joints ? jointPaint(model_, catalogue_, layer) : paint(layer),
                           joints ? Part::Joints : Part::Solid, layer);
            if (mine && model_.layers[at(layer)].role == Role::Geotextile) mine->nearer = 1;
            if (isWhole(layer)) continue;
            if (DrawnMesh* units = add(std::move(caps.units[at(layer)]), paint(layer), Part::Units, layer)) {
                units->nearer = 2;
                units->shades = false;
            }
        }
        const auto thing = [&](Vertices& vertices, const Paint& with, Part part, bool shows) {
            if (!shows) return;
            if (DrawnMesh* made = add(std::move(vertices), with, part, -1)) made->nearer = 3;
        };
        thing(caps.edging, edgingPaint(model_, catalogue_), Part::Edging, look_.edging);
        thing(caps.pipes, pipePaint(), Part::Pipes, look_.pipes);
        for (FixedKind kind : {FixedKind::Slab, FixedKind::Wall, FixedKind::House})
            thing(caps.fixedThings[at(static_cast<int>(kind))], fixedPaint(catalogue_, kind),
                  Part::FixedThings, look_.fixedThings);
        for (size_t i = first; i < out_.size(); ++i) {
            out_[i].cap = true;
            out_[i].cut = steps;
            out_[i].peeled = !steps && out_[i].layer >= 0;
        }
    }

    void addCutFaces() {
        if (!shown_.cutLine.empty()) addCaps(capMeshes(model_, cut(model_, shown_.cutLine), laid_), false);
    }
    void addStepFaces() {
        for (LayerId layer = 0; layer < static_cast<LayerId>(model_.layers.size()); ++layer)
            if (shown_.peeled(layer))
                addCaps(capMeshes(model_, cut(model_, stepLine(model_, shown_, layer)), laid_, layer), true);
    }

    void addLayers(const Camera& camera) {
        Laid laid = laid_;
        if (measuredUnits_) laid[at(look_.thickness->layer)].assign(model_.plan.areas.size(), false);
        std::vector<LayerMeshes> meshes = BaredFaces(model_, shown_, laid, camera.eye().z).make();
        for (LayerId layer = 0; layer < static_cast<LayerId>(meshes.size()); ++layer) {
            LayerMeshes& mesh = meshes[at(layer)];
            const Paint with = paint(layer);
            if (DrawnMesh* made = add(std::move(mesh.solid), with, Part::Solid, layer))
                made->measured = isMeasured(layer);
            if (DrawnMesh* made =
                    add(std::move(mesh.joints), jointPaint(model_, catalogue_, layer), Part::Joints, layer))
                made->measured = isMeasured(layer);
            if (DrawnMesh* made = add(std::move(mesh.rim), with, Part::Rim, layer))
                made->seen = std::find(showsRim_.begin(), showsRim_.end(), layer) != showsRim_.end();
        }
    }

    void addThings() {
        if (look_.edging) add(edgingMesh(model_), edgingPaint(model_, catalogue_), Part::Edging, -1);
        if (look_.pipes) add(pipeMesh(model_), pipePaint(), Part::Pipes, -1);
        if (!look_.fixedThings) return;
        for (FixedKind kind : {FixedKind::Slab, FixedKind::Wall, FixedKind::House})
            if (DrawnMesh* made =
                    add(fixedThingMesh(model_, kind), fixedPaint(catalogue_, kind), Part::FixedThings, -1))
                made->nearer = 1;
    }

    void addMarked() {
        const int unit = look_.highlightUnit;
        if (unit < 0 || at(unit) >= model_.units.size()) return;
        const LayerId layer = model_.units[at(unit)].layer;
        if (!shown_.visible[at(layer)] || isWhole(layer)) return;
        DrawnMesh* made = add(unitMesh(model_, std::vector<int>{unit}), paint(layer), Part::Units, layer);
        if (!made) return;
        made->nearer = 2;
        made->shades = false;
        made->tinted = 0.75;
    }

    const Model& model_;
    const Catalogue& catalogue_;
    const Look& look_;
    const Shown& shown_;
    Laid laid_;
    bool measuredUnits_ = false;
    std::vector<LayerId> showsRim_;
    std::vector<DrawnMesh> out_;
};

}  // namespace

std::vector<DrawnMesh> drawnMeshes(const Model& model, const Catalogue& catalogue, const Look& look,
                                   const Shown& shown, const Camera& camera, int height) {
    return Collector(model, catalogue, look, shown).collect(camera, height);
}

}  // namespace underfoot
