// How long the shipped scenes take, step by step, from plan file to answers. The peer of the export stands
// beside it: plainly writing the same bytes to a file.

#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>
#include <string>

#include "model/solid.h"
#include "plan/read_plan.h"
#include "share/gltf.h"
#include "study/findings.h"
#include "study/section.h"
#include "study/thickness.h"
#include "study/volumes.h"

namespace underfoot {
namespace {

const char* const sceneNames[] = {"first-plan", "seat", "terrace", "courtyard"};

std::string sceneFile(const benchmark::State& state) {
    return std::string(UNDERFOOT_SOURCE_DIR) + "/scenes/" + sceneNames[state.range(0)] + ".toml";
}

Plan planOf(benchmark::State& state) {
    state.SetLabel(sceneNames[state.range(0)]);
    auto plan = readPlan(sceneFile(state));
    if (!plan) std::abort();
    return std::move(*plan);
}

Model modelOf(benchmark::State& state) {
    auto model = buildModel(planOf(state));
    if (!model) std::abort();
    return std::move(*model);
}

double middleStation(const Model& model) {
    return model.stationOffset((model.site.low + model.site.high) * 0.5).x;
}

void readingThePlan(benchmark::State& state) {
    state.SetLabel(sceneNames[state.range(0)]);
    for (auto _ : state) benchmark::DoNotOptimize(readPlan(sceneFile(state)));
}

void buildingTheModel(benchmark::State& state) {
    const Plan plan = planOf(state);
    for (auto _ : state) benchmark::DoNotOptimize(buildModel(plan));
}

void cuttingASection(benchmark::State& state) {
    const Model model = modelOf(state);
    for (auto _ : state) benchmark::DoNotOptimize(cutAtStation(model, middleStation(model)));
}

void readingVolumes(benchmark::State& state) {
    const Model model = modelOf(state);
    for (auto _ : state) benchmark::DoNotOptimize(volumes(model));
}

void lookingForFindings(benchmark::State& state) {
    const Model model = modelOf(state);
    const Catalogue catalogue = loadCatalogue(model.plan);
    for (auto _ : state) benchmark::DoNotOptimize(findings(model, catalogue));
}

void closingEverySolid(benchmark::State& state) {
    const Model model = modelOf(state);
    for (auto _ : state)
        for (size_t layer = 0; layer < model.layers.size(); ++layer)
            benchmark::DoNotOptimize(layerSolid(model, static_cast<LayerId>(layer)));
}

void makingTheGlb(benchmark::State& state) {
    const Model model = modelOf(state);
    const Catalogue catalogue = loadCatalogue(model.plan);
    for (auto _ : state) benchmark::DoNotOptimize(gltfBytes(model, catalogue));
}

/// The peer of makingTheGlb: its bytes, already made, written to a file.
void writingTheSameBytes(benchmark::State& state) {
    const Model model = modelOf(state);
    const std::string bytes = gltfBytes(model, loadCatalogue(model.plan)).value();
    for (auto _ : state) {
        std::FILE* file = std::tmpfile();
        benchmark::DoNotOptimize(std::fwrite(bytes.data(), 1, bytes.size(), file));
        std::fclose(file);
    }
    state.counters["bytes"] = static_cast<double>(bytes.size());
}

BENCHMARK(readingThePlan)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);
BENCHMARK(buildingTheModel)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);
BENCHMARK(cuttingASection)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);
BENCHMARK(readingVolumes)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);
BENCHMARK(lookingForFindings)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);
BENCHMARK(closingEverySolid)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);
BENCHMARK(makingTheGlb)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);
BENCHMARK(writingTheSameBytes)->DenseRange(0, 3)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace underfoot
