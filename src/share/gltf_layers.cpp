#include "share/gltf_layers.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <numeric>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/side_by_side.h"
#include "model/solid.h"
#include "share/layer_facts.h"

namespace underfoot {

namespace {

constexpr double outlineGap = 0.002;
constexpr double sharpDegrees = 30;

struct Room {
    MeshRoom mesh;
    Facings facings{sharpDegrees};
};

/// A number of its own for each unit, so that no two neighbours show the same piece of grain.
glm::dvec2 shiftOf(size_t unit) {
    const auto h = static_cast<uint32_t>(unit + 1) * 2654435761U;
    return {static_cast<double>(h >> 22) / 1024.0, static_cast<double>(h >> 12 & 1023U) / 1024.0};
}

/// Three values a triangle: where each corner's thickness lies in the range.
std::vector<float> heatOf(const Model& model, const Solid& solid, LayerId layer,
                          const ThicknessRange& range) {
    std::vector<float> out;
    out.reserve(solid.triangles.size() * 3);
    for (size_t t = 0; t < solid.triangles.size(); ++t) {
        const Cell& cell = model.cells[static_cast<size_t>(solid.cellOf[t])];
        for (const int point : solid.triangles[t]) {
            const glm::dvec3& p = model.points[static_cast<size_t>(point)];
            const double thickness =
                layerThickness(model, cell, nearestCorner(model, cell, {p.x, p.y}), layer);
            out.push_back(
                static_cast<float>(std::clamp((thickness - range.low) / (range.high - range.low), 0.0, 1.0)));
        }
    }
    return out;
}

class Maker {
  public:
    Maker(const Model& model, const RoundedPoints& rounded, bool textured)
        : model_(model), rounded_(rounded), textured_(textured) {}

    LayerMesh solid(const LayerMeshWish& wish, Room& room) const {
        LayerMesh made;
        const Solid solid = layerSolid(model_, wish.layer);
        made.stands = !solid.triangles.empty();
        if (!made.stands) return made;
        const MeshSource source{model_.points, rounded_, solid.triangles, solid.faces};
        MeshBuilder builder(wish.tile, textured_, wish.heated, room.mesh);
        builder.add(source, {0, 0},
                    wish.heated ? heatOf(model_, solid, wish.layer, wish.range) : std::vector<float>{},
                    &room.facings);
        if (wish.outlined && !builder.empty())
            made.outline = sharpEdges(source, room.facings, outlineGap, 0, room.mesh);
        made.faces = builder.take(0, -1);
        return made;
    }

    LayerMesh units(const LayerMeshWish& wish, Room& room) const {
        LayerMesh made;
        MeshBuilder builder(wish.tile, textured_, false, room.mesh);
        for (size_t i = 0; i < model_.units.size(); ++i) {
            const UnitPiece& unit = model_.units[i];
            if (unit.layer != wish.layer || unit.area != wish.area) continue;
            const Prism prism = unitPrism(model_, unit);
            addPrism(builder, prism, rounded_.level, shiftOf(i));
            made.unitsVolume += prismVolume(prism);
            ++made.units;
        }
        made.stands = made.units > 0;
        made.faces = builder.take(0, -1);
        return made;
    }

  private:
    const Model& model_;
    const RoundedPoints& rounded_;
    bool textured_;
};

/// In cells or units: what it takes to make a mesh grows with that.
size_t sizeOf(const Model& model, const LayerMeshWish& wish) {
    if (wish.area >= 0) return model.units.size();
    std::vector<char> holds(model.columns.size(), 0);
    for (size_t c = 0; c < holds.size(); ++c)
        holds[c] = std::any_of(model.columns[c].entries.begin(), model.columns[c].entries.end(),
                               [&](const ColumnEntry& entry) { return entry.layer == wish.layer; });
    return static_cast<size_t>(std::count_if(model.cells.begin(), model.cells.end(), [&](const Cell& cell) {
        return holds[static_cast<size_t>(cell.column)] != 0;
    }));
}

}  // namespace

std::vector<LayerMesh> layerMeshes(const Model& model, const RoundedPoints& rounded, bool textured,
                                   std::span<const LayerMeshWish> wishes) {
    std::vector<size_t> sizes, order(wishes.size());
    for (const LayerMeshWish& wish : wishes) sizes.push_back(sizeOf(model, wish));
    std::iota(order.begin(), order.end(), size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) { return sizes[a] > sizes[b]; });
    std::vector<LayerMesh> made(wishes.size());
    const Maker maker(model, rounded, textured);
    sideBySideIn<Room>(order.size(), [&](size_t i, Room& room) {
        const LayerMeshWish& wish = wishes[order[i]];
        made[order[i]] = wish.area >= 0 ? maker.units(wish, room) : maker.solid(wish, room);
    });
    return made;
}

void addPrism(MeshBuilder& builder, const Prism& prism, double level, glm::dvec2 shift) {
    const RoundedPoints rounded = roundPoints(prism.points, level);
    builder.add({prism.points, rounded, prism.triangles, prism.faces}, shift);
}

}  // namespace underfoot
