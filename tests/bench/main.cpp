#include <cstdio>
#include <cstdlib>

#include "bench/rows.h"
#include "measure/diagnostic.h"
#include "model/solid.h"

namespace underfoot::bench {

Model modelOf(const Plan& plan) {
    auto model = buildModel(plan);
    if (model) return std::move(*model);
    for (const Diagnostic& diagnostic : model.error())
        std::fprintf(stderr, "%s\n", formatDiagnostic(diagnostic).c_str());
    std::abort();
}

std::vector<peers::Mesh> layerMeshes(const Model& model) {
    std::vector<peers::Mesh> meshes;
    for (size_t layer = 0; layer < model.layers.size(); ++layer) {
        if (static_cast<LayerId>(layer) == model.nativeSoil) continue;
        const Solid solid = layerSolid(model, static_cast<LayerId>(layer));
        if (solid.triangles.empty()) continue;
        std::vector<int> nameOf(model.points.size(), -1);
        peers::Mesh& mesh = meshes.emplace_back();
        mesh.triangles.reserve(solid.triangles.size());
        for (const auto& triangle : solid.triangles) {
            auto& named = mesh.triangles.emplace_back();
            for (size_t c = 0; c < 3; ++c) {
                int& name = nameOf[static_cast<size_t>(triangle[c])];
                if (name < 0) {
                    name = static_cast<int>(mesh.points.size());
                    const glm::dvec3 p = model.points[static_cast<size_t>(triangle[c])];
                    mesh.points.push_back({p.x, p.y, p.z});
                }
                named[c] = static_cast<uint32_t>(name);
            }
        }
    }
    return meshes;
}

std::string shortNumber(int number) {
    if (number >= 1000000) return std::to_string(number / 1000000) + "M";
    if (number >= 1000) return std::to_string(number / 1000) + "k";
    return std::to_string(number);
}

}  // namespace underfoot::bench

int main(int argc, char** argv) {
    using namespace underfoot::bench;
    addGroundRows();
    addSectionRows();
    addStudyRows();
    addSolidRows();
    addGlbRows();
    addSceneRows();
    benchmark::Initialize(&argc, argv);
    if (benchmark::ReportUnrecognizedArguments(argc, argv)) return EXIT_FAILURE;
    return benchmark::RunSpecifiedBenchmarks() > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
