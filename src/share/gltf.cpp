#include "share/gltf.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string_view>
#include <utility>
#include <variant>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <tl/expected.hpp>

#include "model/solid.h"
#include "plan/plan.h"
#include "share/colour.h"
#include "share/glb.h"
#include "share/gltf_layers.h"
#include "share/gltf_mesh.h"
#include "share/grain.h"
#include "share/layer_facts.h"
#include "share/png.h"

namespace underfoot {
namespace {

constexpr double seenThrough = 0.16;
/// Pipes are not a material of a build-up: a plain light grey.
constexpr const char* pipeColour = "#C9CCC6";
constexpr const char* outlineColour = "#20262B";

/// Readers keep names best in plain ASCII; the full name stands in the extras.
std::string plainName(std::string_view name) {
    std::string out;
    for (const char c : name) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte >= 0x20 && byte < 0x7F)
            out += c;
        else if (byte >= 0xC0 || byte < 0x20)
            out += '_';  // one for each character beyond ASCII
    }
    return out.empty() ? "part" : out;
}

std::array<double, 4> linearColour(const std::array<double, 3>& srgb, double divisor, double opacity) {
    std::array<double, 4> out{0, 0, 0, opacity};
    for (size_t i = 0; i < 3; ++i) out[i] = std::min(1.0, toLinear(srgb[i]) / divisor);
    return out;
}

/// Adds a closed mesh to others; its volume.
double append(Prism& all, const Prism& prism) {
    const int first = static_cast<int>(all.points.size());
    all.points.insert(all.points.end(), prism.points.begin(), prism.points.end());
    for (const auto& t : prism.triangles) all.triangles.push_back({first + t[0], first + t[1], first + t[2]});
    all.faces.insert(all.faces.end(), prism.faces.begin(), prism.faces.end());
    return prismVolume(prism);
}

class Export {
  public:
    Export(const Model& model, const Catalogue& catalogue, const GltfOptions& options)
        : model_(model),
          catalogue_(catalogue),
          options_(options),
          facts_(layerFacts(model)),
          level_(highestFinish(model)),
          rounded_(roundPoints(model.points, level_)) {}

    Result<GlbScene> scene() {
        addRoot();
        makeMeshes();
        addLayers();
        if (options_.things) {
            addEdging();
            addPipes();
            addFixedThings();
        }
        if (options_.ground && model_.nativeSoil >= 0 && wanted(model_.nativeSoil))
            addLayer(model_.nativeSoil, "Ground");
        if (scene_.nodes[0].children.empty())
            return tl::unexpected(Diagnostic{{model_.plan.file, 0, 0},
                                             "There is nothing to write: no layer has any thickness.",
                                             "Choose other layers or check the build-ups."});
        if (options_.liftApart) addMoves();
        return std::move(scene_);
    }

  private:
    struct Look {
        int natural = 0;
        int through = -1;  ///< for the second variant; -1: unchanged
        double tile = 1;
    };

    bool wanted(LayerId layer) const {
        return options_.layers.empty() ||
               std::find(options_.layers.begin(), options_.layers.end(), layer) != options_.layers.end();
    }
    const LayerFacts& facts(LayerId layer) const { return facts_[static_cast<size_t>(layer)]; }
    const ModelLayer& layerOf(LayerId layer) const { return model_.layers[static_cast<size_t>(layer)]; }

    std::string unused(std::string_view name) {
        const std::string plain = plainName(name);
        std::string out = plain;
        for (int i = 2; !names_.insert(out).second; ++i) out = fmt::format("{} {}", plain, i);
        return out;
    }

    int addNode(std::string_view name, int mesh, int parent) {
        const int node = static_cast<int>(scene_.nodes.size());
        scene_.nodes.push_back({unused(name), mesh, {}, {}});
        if (parent >= 0) scene_.nodes[static_cast<size_t>(parent)].children.push_back(node);
        return node;
    }
    GlbExtras& extrasOf(int node) { return scene_.nodes[static_cast<size_t>(node)].extras; }

    int addMesh(std::string_view name, GlbPrimitive primitive) {
        scene_.meshes.push_back({plainName(name), {}});
        scene_.meshes.back().primitives.push_back(std::move(primitive));
        return static_cast<int>(scene_.meshes.size()) - 1;
    }

    int addMaterial(GlbMaterial material) {
        scene_.materials.push_back(std::move(material));
        return static_cast<int>(scene_.materials.size()) - 1;
    }

    void addRoot() {
        scene_.name = plainName(model_.plan.title.empty() ? "Patio" : model_.plan.title);
        scene_.variants = {"Natural", "Thickness"};
        scene_.animation = "Lift apart";
        GlbExtras& extras = extrasOf(addNode("Patio", -1, -1));
        if (!model_.plan.title.empty()) extras.emplace_back("title", model_.plan.title);
        if (!model_.plan.datum.empty()) extras.emplace_back("datum", model_.plan.datum);
        extras.emplace_back("origin_x_m", model_.site.origin.x);
        extras.emplace_back("origin_y_m", model_.site.origin.y);
        extras.emplace_back("origin_height_m", level_);
    }

    /// Textures are shared by grain; the number of the image.
    int grainImage(const Grain& grain) {
        const auto [found, isNew] = grains_.try_emplace(grain.kind, static_cast<int>(scene_.images.size()));
        if (isNew) {
            const std::string kind(grain.kind);
            scene_.images.push_back({plainName("grain of " + kind), std::string(grain.png), true});
        }
        return found->second;
    }

    /// `above`: lies over a take-up layer, so the second variant lets it show through.
    Look look(const Material& material, bool above) {
        const auto [found, isNew] = looks_.try_emplace(material.name);
        Look& entry = found->second;
        if (isNew) {
            GlbMaterial natural;
            natural.name = plainName(material.title.empty() ? material.name : material.title);
            natural.roughness = material.roughness;
            double mean = 1;
            if (options_.textures) {
                const Grain& grain = grainOf(material.grain);
                natural.image = grainImage(grain);
                mean = grain.meanLinear;
                entry.tile = grain.tile;
                natural.extras.emplace_back("texture_tile_m", grain.tile);
            }
            natural.colour = linearColour(material.colour, mean, 1);
            if (!material.purpose.empty()) natural.extras.emplace_back("purpose", material.purpose);
            entry.natural = addMaterial(natural);
        }
        if (above && entry.through < 0) {
            GlbMaterial through = scene_.materials[static_cast<size_t>(entry.natural)];
            through.name += ", seen through";
            through.colour[3] = seenThrough;
            entry.through = addMaterial(through);
        }
        Look out = entry;
        if (!above) out.through = -1;
        return out;
    }

    Look layerLook(LayerId layer) {
        const bool above = options_.thickness && facts(layer).overTakeUp && !facts(layer).takesUp;
        return look(catalogue_.material(layerOf(layer).material, layerOf(layer).role), above);
    }

    void addFacts(int node, LayerId layer) {
        const LayerFacts& f = facts(layer);
        const ModelLayer& l = layerOf(layer);
        GlbExtras& extras = extrasOf(node);
        extras.emplace_back("layer", l.name);
        extras.emplace_back("role", roleName(l.role));
        extras.emplace_back("material", catalogue_.material(l.material, l.role).title);
        if (layer == model_.nativeSoil) return;
        extras.emplace_back("least_m", f.least);
        extras.emplace_back("mean_m", f.mean);
        extras.emplace_back("greatest_m", f.greatest);
        extras.emplace_back("volume_m3", f.volume);
        if (f.wanted) extras.emplace_back("wanted_m", *f.wanted);
        if (f.wantedLeast) extras.emplace_back("wanted_least_m", *f.wantedLeast);
        if (f.wantedGreatest) extras.emplace_back("wanted_greatest_m", *f.wantedGreatest);
        if (f.takesUp && options_.thickness) {
            extras.emplace_back("heat_min_m", f.range.low);
            extras.emplace_back("heat_max_m", f.range.high);
        }
    }

    int heatMaterial(LayerId layer, const std::string& name) {
        GlbMaterial material;
        material.name = plainName(name + ", thickness");
        material.image = static_cast<int>(scene_.images.size());
        material.coordinates = options_.textures ? 1 : 0;
        material.unlit = true;
        scene_.images.push_back({material.name, encodePng(thicknessStrip(facts(layer).range)), false});
        return addMaterial(material);
    }

    // ------------------------------------------------------------ layers

    bool isHeated(LayerId layer) const { return options_.thickness && facts(layer).takesUp; }

    /// What takes longest, of all layers side by side.
    void makeMeshes() {
        std::vector<LayerMeshWish> wishes;
        for (LayerId layer = 0; layer < static_cast<LayerId>(model_.layers.size()); ++layer) {
            if (!wanted(layer) || (layer == model_.nativeSoil && !options_.ground)) continue;
            LayerMeshWish wish;
            wish.layer = layer;
            if (options_.textures)
                wish.tile =
                    grainOf(catalogue_.material(layerOf(layer).material, layerOf(layer).role).grain).tile;
            for (const int area : areasWithUnits(layer)) {
                wish.area = area;
                wishes.push_back(wish);
            }
            if (wish.area >= 0) continue;
            wish.heated = isHeated(layer);
            wish.range = facts(layer).range;
            wish.outlined = options_.outlines;
            wishes.push_back(wish);
        }
        std::vector<LayerMesh> made = layerMeshes(model_, rounded_, options_.textures, wishes);
        for (size_t i = 0; i < wishes.size(); ++i)
            meshes_.emplace(std::pair{wishes[i].layer, wishes[i].area}, std::move(made[i]));
    }

    void addLayers() {
        std::vector<LayerId> order;
        for (LayerId layer = 0; layer < static_cast<LayerId>(model_.layers.size()); ++layer)
            if (layer != model_.nativeSoil && wanted(layer)) order.push_back(layer);
        std::stable_sort(order.begin(), order.end(),
                         [&](LayerId a, LayerId b) { return facts(a).rank < facts(b).rank; });
        for (const LayerId layer : order) {
            const std::vector<int> areas = areasWithUnits(layer);
            if (areas.empty())
                addLayer(layer, layerOf(layer).name);
            else
                addUnits(layer, areas);
        }
    }

    void addLayer(LayerId layer, const std::string& asked) {
        LayerMesh& made = meshes_.at({layer, -1});
        if (!made.stands) return;
        const int node = addNode(asked, -1, 0);
        const Look look = layerLook(layer);
        const std::string name = scene_.nodes[static_cast<size_t>(node)].name;
        if (!made.faces.indices.empty()) {
            made.faces.material = look.natural;
            made.faces.variantMaterial = isHeated(layer) ? heatMaterial(layer, name) : look.through;
            scene_.nodes[static_cast<size_t>(node)].mesh = addMesh(name, std::move(made.faces));
            if (options_.outlines) addOutline(std::move(made.outline), name, node);
        }
        addFacts(node, layer);
        lifted_.emplace_back(node, facts(layer).rank);
    }

    void addOutline(GlbPrimitive lines, const std::string& name, int parent) {
        if (outlineMaterial_ < 0) {
            GlbMaterial ink;
            ink.name = "Outline";
            ink.colour = linearColour(webColour(outlineColour), 1, 1);
            ink.unlit = true;
            outlineMaterial_ = addMaterial(ink);
        }
        if (lines.indices.empty()) return;
        lines.material = outlineMaterial_;
        const int mesh = addMesh(name + " outline", std::move(lines));
        addNode(name + " outline", mesh, parent);
    }

    std::vector<int> areasWithUnits(LayerId layer) const {
        std::set<int> areas;
        for (const UnitPiece& unit : model_.units)
            if (unit.layer == layer) areas.insert(unit.area);
        return {areas.begin(), areas.end()};
    }

    void addUnits(LayerId layer, const std::vector<int>& areas) {
        const int node = addNode(layerOf(layer).name, -1, 0);
        const Look look = layerLook(layer);
        size_t count = 0;
        double volume = 0;
        for (const int area : areas) {
            LayerMesh& made = meshes_.at({layer, area});
            volume += made.unitsVolume;
            count += made.units;
            if (made.faces.indices.empty()) continue;
            made.faces.material = look.natural;
            made.faces.variantMaterial = look.through;
            const std::string name =
                fmt::format("{}, {}", layerOf(layer).name, model_.plan.areas[static_cast<size_t>(area)].name);
            const int mesh = addMesh(name, std::move(made.faces));
            if (areas.size() == 1)
                scene_.nodes[static_cast<size_t>(node)].mesh = mesh;
            else
                addNode(name, mesh, node);
        }
        addUnlaid(layer, areas, node);
        addFacts(node, layer);
        extrasOf(node).emplace_back("units", static_cast<double>(count));
        extrasOf(node).emplace_back("units_volume_m3", volume);
        lifted_.emplace_back(node, facts(layer).rank);
    }

    /// Where a layer of units runs through an area that has no layout: its plain solid, there only.
    void addUnlaid(LayerId layer, const std::vector<int>& laid, int parent) {
        const auto isLaid = [&](const Column& c) {
            return std::binary_search(laid.begin(), laid.end(), c.area) && !c.beyond;
        };
        const auto holds = [&](const Column& c) {
            return std::any_of(c.entries.begin(), c.entries.end(),
                               [&](const ColumnEntry& e) { return e.layer == layer; });
        };
        if (std::none_of(model_.columns.begin(), model_.columns.end(),
                         [&](const Column& c) { return holds(c) && !isLaid(c); }))
            return;
        Model rest = model_;
        const auto other = static_cast<LayerId>(rest.layers.size());
        rest.layers.push_back(layerOf(layer));
        for (Column& column : rest.columns)
            if (isLaid(column))
                for (ColumnEntry& entry : column.entries)
                    if (entry.layer == layer) entry.layer = other;
        const Solid solid = layerSolid(rest, layer);
        if (solid.triangles.empty()) return;
        const Look look = layerLook(layer);
        MeshBuilder builder(look.tile, options_.textures, false, room_);
        builder.add({rest.points, rounded_, solid.triangles, solid.faces});
        const std::string name = layerOf(layer).name + ", no pattern";
        const int mesh = addMesh(name, builder.take(look.natural, look.through));
        addNode(name, mesh, parent);
    }

    template <class Parts, class Make>
    void addThings(const char* name, const char* role, const Material& material, const Parts& parts,
                   Make make, int rank) {
        if (parts.empty()) return;
        const Look l = look(material, false);
        MeshBuilder builder(l.tile, options_.textures, false, room_);
        Prism all;  // one mesh, so that pieces that meet share their vertices
        double volume = 0;
        for (const auto& part : parts) volume += append(all, make(part));
        addPrism(builder, all, level_);
        if (builder.empty()) return;
        const int mesh = addMesh(name, builder.take(l.natural, -1));
        const int node = addNode(name, mesh, 0);
        extrasOf(node).emplace_back("role", role);
        extrasOf(node).emplace_back("material", material.title);
        extrasOf(node).emplace_back("pieces", static_cast<double>(parts.size()));
        extrasOf(node).emplace_back("volume_m3", volume);
        if (rank > 0) lifted_.emplace_back(node, rank);
    }

    void addEdging() {
        int top = 0;
        for (const LayerFacts& f : facts_) top = std::max(top, f.rank);
        const Material& material = catalogue_.material(edgingMaterial(), Role::Slab);
        addThings(
            "Edging", "edging", material, model_.edging, [](const EdgingPiece& p) { return edgingPrism(p); },
            top);
        addThings(
            "Edging spikes", "edging spikes", material, model_.spikes,
            [](const Spike& s) { return spikePrism(s); }, top);
    }

    std::string edgingMaterial() const {
        for (const Area& area : model_.plan.areas)
            for (const Edging& edging : area.edgings) return edging.material;
        return "edging";
    }

    void addPipes() {
        Material material;
        material.name = "pipe";
        material.title = "Pipe";
        material.colour = webColour(pipeColour);
        material.grain = "edging";
        material.roughness = 0.6;
        for (const BuriedRun& run : model_.plan.buriedRuns)
            addThings(
                run.name.empty() ? "Pipe" : run.name.c_str(), "pipe", material, std::vector{run},
                [&](const BuriedRun& r) { return pipePrism(model_, r); }, 0);
    }

    void addFixedThings() {
        for (const FixedThing& thing : model_.plan.fixedThings) {
            const char* role = thing.kind == FixedKind::Slab   ? "fixed slab"
                               : thing.kind == FixedKind::Wall ? "wall"
                                                               : "house";
            addThings(
                thing.name.empty() ? role : thing.name.c_str(), role,
                catalogue_.material("concrete", Role::Slab), std::vector{thing},
                [&](const FixedThing& t) { return fixedPrism(model_, t); }, 0);
        }
    }

    void addMoves() {
        const glm::dvec2 size = model_.site.high - model_.site.low;
        const double step = std::clamp(0.05 * std::hypot(size.x, size.y), 0.15, 0.5);
        int lowest = std::numeric_limits<int>::max();
        for (const auto& [node, rank] : lifted_)
            if (rank > 0) lowest = std::min(lowest, rank);
        for (const auto& [node, rank] : lifted_)
            if (rank > 0)
                scene_.moves.push_back({node, {0.0F, static_cast<float>(step * (rank - lowest + 1)), 0.0F}});
    }

    const Model& model_;
    const Catalogue& catalogue_;
    const GltfOptions& options_;
    std::vector<LayerFacts> facts_;
    double level_;
    RoundedPoints rounded_;
    MeshRoom room_;
    std::map<std::pair<LayerId, int>, LayerMesh> meshes_;  ///< by area, -1: of the layer itself
    GlbScene scene_;
    std::set<std::string> names_;
    std::map<std::string_view, int> grains_;  ///< images by kind
    std::map<std::string, Look> looks_;
    int outlineMaterial_ = -1;
    std::vector<std::pair<int, int>> lifted_;  ///< node, rank
};

}  // namespace

Result<std::string> gltfBytes(const Model& model, const Catalogue& catalogue, const GltfOptions& options) {
    return Export(model, catalogue, options).scene().and_then(glbBytes);
}

Result<Written> writeGltf(const Model& model, const Catalogue& catalogue, const std::filesystem::path& file,
                          const GltfOptions& options) {
    return Export(model, catalogue, options).scene().and_then([&](const GlbScene& scene) {
        return writeGlb(scene, file);
    });
}

}  // namespace underfoot
