// Writing .glb files: the writer by itself beside other writers of the same vertices, and the whole export
// from a model beside plainly writing the same bytes.

#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <glm/geometric.hpp>

#include "bench/rows.h"
#include "plan/catalogue.h"
#include "share/glb.h"
#include "share/gltf.h"

namespace underfoot::bench {
namespace {

std::string scratchFile(const char* ending) {
    const std::string name = "underfoot-bench-" + std::to_string(getpid()) + ending;
    return (std::filesystem::temp_directory_path() / name).string();
}

/// Positions as glTF has them, y up, and a normal for every vertex.
GlbPrimitive primitiveOf(const peers::Mesh& mesh) {
    std::vector<glm::dvec3> points, normals(mesh.points.size(), glm::dvec3(0));
    for (const peers::Point3& p : mesh.points) points.emplace_back(p[0], p[2], -p[1]);
    GlbPrimitive primitive;
    primitive.indices.reserve(3 * mesh.triangles.size());
    for (const auto& t : mesh.triangles) {
        const glm::dvec3 a = points[t[0]], normal = glm::cross(points[t[1]] - a, points[t[2]] - a);
        for (const uint32_t corner : t) {
            normals[corner] += normal;
            primitive.indices.push_back(corner);
        }
    }
    primitive.vertices.reserve(6 * points.size());
    for (size_t i = 0; i < points.size(); ++i) {
        const glm::dvec3 unit = normals[i] / std::max(1e-30, glm::length(normals[i]));
        for (const glm::dvec3& part : {points[i], unit})
            for (int k = 0; k < 3; ++k) primitive.vertices.push_back(static_cast<float>(part[k]));
    }
    return primitive;
}

/// Every layer's mesh, all of them `copies` times over.
GlbScene sceneOf(const Model& model, int copies) {
    GlbScene scene;
    scene.name = "Patio";
    scene.materials.push_back({"Stone", {0.6, 0.6, 0.6, 1}, 0.9, -1, 0, false, {}});
    scene.nodes.push_back({"Patio", -1, {}, {}});
    std::vector<GlbPrimitive> layers;
    for (const peers::Mesh& mesh : layerMeshes(model)) layers.push_back(primitiveOf(mesh));
    for (int i = 0; i < copies * static_cast<int>(layers.size()); ++i) {
        const std::string name = "Layer " + std::to_string(i);
        scene.meshes.push_back({name, {layers[static_cast<size_t>(i) % layers.size()]}});
        scene.nodes.push_back({name, i, {}, {}});
        scene.nodes.front().children.push_back(i + 1);
    }
    return scene;
}

std::vector<peers::Shape> shapesOf(const GlbScene& scene) {
    std::vector<peers::Shape> shapes;
    for (const GlbMesh& mesh : scene.meshes)
        shapes.push_back({mesh.name, mesh.primitives[0].vertices, mesh.primitives[0].indices});
    return shapes;
}

void writePlainly(benchmark::State& state, const std::string& bytes) {
    const std::string file = scratchFile(".bytes");
    for (auto _ : state) {
        std::FILE* out = std::fopen(file.c_str(), "wb");
        benchmark::DoNotOptimize(std::fwrite(bytes.data(), 1, bytes.size(), out));
        std::fclose(out);
    }
    std::filesystem::remove(file);
    state.counters["bytes"] = static_cast<double>(bytes.size());
}

struct GlbSize {
    const char* name;
    int shots;
    int copies = 1;
};

void addWriters(const GlbSize& size) {
    const std::string row = "glb, writer alone";
    const Runs runs = size.shots > 10000 ? Runs::Once : Runs::Many;
    const auto scene = kept([size] { return sceneOf(modelOf(shotsPlan(size.shots)), size.copies); });
    const auto bytes = kept([scene] { return glbBytes(scene->get()).value(); });
    add(
        row, size.name, "ours",
        [scene](benchmark::State& state) {
            const std::string file = scratchFile(".glb");
            const GlbScene& made = scene->get();
            for (auto _ : state)
                if (!writeGlb(made, file)) state.SkipWithError("not written");
            std::filesystem::remove(file);
        },
        runs);
    add(
        row, size.name, "fwrite", [bytes](benchmark::State& state) { writePlainly(state, bytes->get()); },
        runs);
    add(
        row, size.name, "tinygltf",
        [scene](benchmark::State& state) {
            const std::string file = scratchFile(".tiny.glb");
            const auto shapes = shapesOf(scene->get());
            for (auto _ : state)
                if (!peers::tinygltfWrite(shapes, file)) state.SkipWithError("not written");
            std::filesystem::remove(file);
        },
        runs);
    if (size.copies > 1) return;  // assimp takes far more memory than the others
    const auto assimp = kept([scene] { return peers::assimpWriter(shapesOf(scene->get())); });
    add(
        row, size.name, "assimp",
        [assimp](benchmark::State& state) {
            const std::string file = scratchFile(".assimp.glb");
            peers::SceneWriter& writer = *assimp->get();
            for (auto _ : state)
                if (!writer.write(file)) state.SkipWithError("not written");
            std::filesystem::remove(file);
        },
        runs);
}

void addExport(const GlbSize& size) {
    const std::string row = "glb, from the model";
    const Runs runs = size.shots > 10000 ? Runs::Once : Runs::Many;
    const auto model = kept([size] { return modelOf(shotsPlan(size.shots)); });
    const auto bytes =
        kept([model] { return gltfBytes(model->get(), loadCatalogue(model->get().plan)).value(); });
    add(
        row, size.name, "ours",
        [model](benchmark::State& state) {
            const std::string file = scratchFile(".model.glb");
            const Model& made = model->get();
            const Catalogue catalogue = loadCatalogue(made.plan);
            for (auto _ : state)
                if (!writeGltf(made, catalogue, file)) state.SkipWithError("not written");
            std::filesystem::remove(file);
        },
        runs);
    add(
        row, size.name, "fwrite", [bytes](benchmark::State& state) { writePlainly(state, bytes->get()); },
        runs);
}

}  // namespace

void addGlbRows() {
    for (const GlbSize& size : {GlbSize{"0.5MB", 970}, {"21MB", 58000}, {"494MB", 58000, 24}})
        addWriters(size);
    for (const GlbSize& size : {GlbSize{"0.5MB", 160}, {"21MB", 11000}, {"494MB", 275000}}) addExport(size);
}

}  // namespace underfoot::bench
