// The courtyard, as a builder waits for it. No peers: goals in milliseconds.

#include <cstdio>

#include "bench/rows.h"
#include "model/rebuild.h"
#include "plan/catalogue.h"
#include "plan/read_plan.h"
#include "study/earthwork.h"
#include "study/placed.h"
#include "study/section.h"
#include "study/stakes.h"
#include "study/takeoff.h"
#include "study/units.h"
#include "study/volumes.h"
#include "study/water.h"

namespace underfoot::bench {
namespace {

constexpr const char* row = "courtyard";

Plan courtyard() {
    auto plan = readPlan(std::string(UNDERFOOT_SOURCE_DIR) + "/scenes/courtyard.toml");
    if (plan) return std::move(*plan);
    std::fprintf(stderr, "%s\n", formatDiagnostic(plan.error().front()).c_str());
    std::abort();
}

/// The section that is open in the window.
void readSection(const Model& model) {
    benchmark::DoNotOptimize(cutAtStation(model, 14 * 0.3048).intervals.size());
}

/// All that the window can be asked, one after the other.
void study(const Model& model, const Catalogue& catalogue) {
    benchmark::DoNotOptimize(earthBalance(model, catalogue).fill);
    liftsToPlace(model, catalogue);
    screedRails(model, 3);
    placed(model, catalogue);
    waterReport(model, catalogue, WaterOn::Finish);
    takeoff(model, catalogue);  // units too
}

Rebuilder rebuilderOf(const Plan& plan) {
    auto made = Rebuilder::of(plan);
    if (!made) std::abort();
    return std::move(*made);
}

/// Moves one height up and down by a millimetre, counts volumes on, then reads what else is asked for.
template <class Read>
void drag(benchmark::State& state, Rebuilder& rebuilder, HeightEdit edit, Read read) {
    double step = 0.001;
    MovingVolumes moving(rebuilder.stacks());
    for (auto _ : state) {
        edit.value += step;
        step = -step;
        const auto kept = rebuilder.move({&edit, 1});
        if (!kept || *kept != Rebuilder::Kept::Cells) state.SkipWithError("the cells did not stay");
        benchmark::DoNotOptimize(moving.move(rebuilder.stacks(), rebuilder.movedPosts()).fill);
        read(rebuilder.stacks());
    }
    state.counters["posts"] = static_cast<double>(rebuilder.movedPosts().size());
}

void addDragged(const std::string& size, const Kept<Plan>& plan, const Kept<Rebuilder>& rebuilder,
                HeightEdit (*edit)(const Plan&)) {
    add(row, size, "ours", [plan, rebuilder, edit](benchmark::State& state) {
        drag(state, rebuilder->get(), edit(plan->get()), readSection);
    });
}

HeightEdit finishLevel(const Plan& plan) {
    return {HeightEdit::Of::FinishLevel, 0, 0, plan.finishes[0].planes[0].level};
}
HeightEdit groundShot(const Plan& plan) {
    const int middle = static_cast<int>(plan.ground.shots.size() / 2);
    return {HeightEdit::Of::GroundShot, 0, middle, plan.ground.shots[static_cast<size_t>(middle)].height};
}
HeightEdit baseShot(const Plan& plan) {
    return {HeightEdit::Of::MeasuredShot, 0, 20, plan.measuredTops[0].shots[20].height};
}

/// The finish moved under N shots: heights of all stacks, and the volumes.
void addSlider(int shots) {
    const auto plan = kept([shots] { return shotsPlan(shots); });
    const auto rebuilder = kept([plan] { return rebuilderOf(plan->get()); });
    add("heights after a slider", shortNumber(shots), "ours", [plan, rebuilder](benchmark::State& state) {
        drag(state, rebuilder->get(), finishLevel(plan->get()), [](const Model&) {});
    });
}

}  // namespace

void addSceneRows() {
    for (const int shots : {10000, 200000, 1000000}) addSlider(shots);
    const auto plan = kept(courtyard);
    add(row, "plan read", "ours", [](benchmark::State& state) {
        for (auto _ : state) benchmark::DoNotOptimize(courtyard().areas.data());
    });
    add(row, "plan to model", "ours", [plan](benchmark::State& state) {
        const Plan& read = plan->get();
        for (auto _ : state) benchmark::DoNotOptimize(modelOf(read).cells.data());
    });
    add(row, "all studies", "ours", [plan](benchmark::State& state) {
        const Model model = modelOf(plan->get());
        const Catalogue catalogue = loadCatalogue(model.plan);
        for (auto _ : state) study(model, catalogue);
    });
    add(row, "corner dragged", "ours", [plan](benchmark::State& state) {
        Plan moved = plan->get();
        double step = 0.001;
        for (auto _ : state) {
            // The corner where the L turns inward, to and fro.
            moved.areas[0].outline.edges[3].to.x += step;
            step = -step;
            const Model model = modelOf(moved);
            readSection(model);
            benchmark::DoNotOptimize(volumes(model).fill);
        }
    });
    const auto rebuilder = kept([plan] { return rebuilderOf(plan->get()); });
    addDragged("finish dragged", plan, rebuilder, finishLevel);
    addDragged("ground shot dragged", plan, rebuilder, groundShot);
    addDragged("base shot dragged", plan, rebuilder, baseShot);
}

}  // namespace underfoot::bench
