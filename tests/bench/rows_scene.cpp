// The courtyard, as a builder waits for it. No peers: goals in milliseconds.

#include <cstdio>

#include "bench/rows.h"
#include "plan/read_plan.h"
#include "study/section.h"
#include "study/volumes.h"

namespace underfoot::bench {
namespace {

constexpr const char* row = "courtyard";

Plan courtyard() {
    auto plan = readPlan(std::string(UNDERFOOT_SOURCE_DIR) + "/scenes/courtyard.toml");
    if (plan) return std::move(*plan);
    std::fprintf(stderr, "%s\n", formatDiagnostic(plan.error().front()).c_str());
    std::abort();
}

/// What the window reads after every change: the open section and the volumes.
void readAnswers(const Model& model) {
    benchmark::DoNotOptimize(cutAtStation(model, 14 * 0.3048).intervals.size());
    benchmark::DoNotOptimize(volumes(model).fill);
}

}  // namespace

void addSceneRows() {
    const auto plan = kept(courtyard);
    add(row, "plan read", "ours", [](benchmark::State& state) {
        for (auto _ : state) benchmark::DoNotOptimize(courtyard().areas.data());
    });
    add(row, "plan to model", "ours", [plan](benchmark::State& state) {
        const Plan& read = plan->get();
        for (auto _ : state) benchmark::DoNotOptimize(modelOf(read).cells.data());
    });
    add(row, "corner dragged", "ours", [plan](benchmark::State& state) {
        Plan moved = plan->get();
        double step = 0.001;
        for (auto _ : state) {
            // The corner where the L turns inward, to and fro.
            moved.areas[0].outline.edges[3].to.x += step;
            step = -step;
            readAnswers(modelOf(moved));
        }
    });
}

}  // namespace underfoot::bench
