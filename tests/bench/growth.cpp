// CPU time of every step and the greatest memory for a plan of one size: bench_growth shots|units|areas
// COUNT. A process of its own for each size, so that memory is that size's own. Prints one line of JSON.

#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>
#include <string_view>

#include "bench/big_plan.h"
#include "model/model.h"
#include "model/solid.h"
#include "plan/catalogue.h"
#include "study/earthwork.h"
#include "study/findings.h"
#include "study/placed.h"
#include "study/section.h"
#include "study/stakes.h"
#include "study/units.h"
#include "study/volumes.h"
#include "study/water.h"

namespace underfoot::bench {
namespace {

double megabytes() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_maxrss) / 1024;
}

/// CPU time of the quickest of several runs; what takes long runs once.
template <class Work>
double milliseconds(Work work) {
    double least = 1e300, all = 0;
    for (int run = 0; run < 9 && all < 200; ++run) {
        const std::clock_t begin = std::clock();
        work();
        const double took = 1e3 * static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
        least = std::min(least, took);
        all += took;
    }
    return least;
}

std::optional<Plan> planOf(std::string_view what, int count) {
    if (what == "shots") return shotsPlan(count, Edges::Raised);
    if (what == "units") return unitsPlan(count, Edges::Raised);
    if (what == "areas") return areasPlan(count);
    return {};
}

/// Studies that a hand-shot plan is asked for; past this many cells a plan is a scan, whose tops are thinned.
constexpr size_t mostStudied = 150'000;

std::string studiesOf(const Model& model) {
    if (model.cells.size() > mostStudied) return "";
    const Catalogue catalogue = loadCatalogue(model.plan);
    const double earthwork = milliseconds([&] {
        earthBalance(model, catalogue);
        liftsToPlace(model, catalogue);
    });
    const glm::dvec2 site = model.site.high - model.site.low;
    const auto grid = gridPoints(model, std::max(site.x, site.y) / 60);
    const double set = milliseconds([&] {
        if (grid) stakes(model, *grid);
    });
    const double as = milliseconds([&] { placed(model, catalogue); });
    const double flow = milliseconds([&] { waterReport(model, catalogue, WaterOn::Finish); });
    const double counted = milliseconds([&] { unitsReport(model, catalogue); });
    return fmt::format(
        ", \"earthwork\": {:.4f}, \"stakes\": {:.4f}, \"placed\": {:.4f}, \"water\": {:.4f}, "
        "\"unit_counts\": "
        "{:.4f}, \"memory_studied\": {:.1f}",
        earthwork, set, as, flow, counted, megabytes());
}

int measure(std::string_view what, int count) {
    const auto plan = planOf(what, count);
    if (!plan) return EXIT_FAILURE;
    Checked<Model> model;
    const double build = milliseconds([&] { model = buildModel(*plan); });
    if (!model) {
        std::fprintf(stderr, "%s\n", formatDiagnostic(model.error().front()).c_str());
        return EXIT_FAILURE;
    }
    const double cut = milliseconds([&] { cutAtStation(*model, 0.4 * model->site.high.x); });
    const double sums = milliseconds([&] { volumes(*model); });
    size_t found = 0;
    const double look = milliseconds([&] { found = findings(*model, loadCatalogue(model->plan)).size(); });
    const double solids = milliseconds([&] {
        for (size_t l = 0; l < model->layers.size(); ++l) layerSolid(*model, static_cast<LayerId>(l));
    });
    const double memory = megabytes();
    fmt::print(
        "{{\"what\": \"{}\", \"count\": {}, \"cells\": {}, \"units\": {}, \"findings\": {}, \"model\": "
        "{:.4f}, "
        "\"section\": {:.4f}, \"volumes\": {:.4f}, \"findings_ms\": {:.4f}, \"solids\": {:.4f}, "
        "\"memory\": {:.1f}{}}}\n",
        what, count, model->cells.size(), model->units.size(), found, build, cut, sums, look, solids, memory,
        studiesOf(*model));
    return EXIT_SUCCESS;
}

}  // namespace
}  // namespace underfoot::bench

int main(int argc, char** argv) {
    if (argc != 3) {
        std::fprintf(stderr, "bench_growth shots|units|areas COUNT\n");
        return EXIT_FAILURE;
    }
    return underfoot::bench::measure(argv[1], std::atoi(argv[2]));
}
