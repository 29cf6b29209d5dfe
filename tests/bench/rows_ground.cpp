// Triangulating shots, and laying two triangulations over each other.

#include "bench/rows.h"
#include "ground/surface.h"
#include "model/overlay.h"
#include "plan/read_points.h"

namespace underfoot::bench {
namespace {

std::vector<peers::Point2> pairsOf(const std::vector<glm::dvec2>& places) {
    std::vector<peers::Point2> pairs;
    pairs.reserve(places.size());
    for (const glm::dvec2& p : places) pairs.push_back({p.x, p.y});
    return pairs;
}

void addTriangulation(int shots) {
    const std::string row = "triangulate", size = shortNumber(shots);
    const Runs runs = shots > 100000 ? Runs::Once : Runs::Many;
    const auto places = kept([shots] { return scatteredPlaces(shots); });
    const auto pairs = kept([places] { return pairsOf(places->get()); });
    add(
        row, size, "ours",
        [places](benchmark::State& state) {
            const auto& points = places->get();
            for (auto _ : state) benchmark::DoNotOptimize(Triangulation::ofPoints(points).triangles().size());
        },
        runs);
    add(
        row, size, "CGAL",
        [pairs](benchmark::State& state) {
            const auto& points = pairs->get();
            for (auto _ : state) benchmark::DoNotOptimize(peers::cgalTriangulate(points));
        },
        runs);
    if (shots > 500000) return;  // GEOS takes eight seconds there
    add(
        row, size, "GEOS",
        [pairs](benchmark::State& state) {
            const auto& points = pairs->get();
            for (auto _ : state) benchmark::DoNotOptimize(peers::geosTriangulate(points));
        },
        runs);
}

/// Two surfaces, and what the overlay starts from: nothing but them in the site's box.
struct TwoSurfaces {
    Area area;
    std::unique_ptr<Surface> upper;
    Groundwork work;
    std::vector<std::pair<peers::Point2, peers::Point2>> lines;
};

std::unique_ptr<Surface> surfaceOver(int shots, uint64_t seed, const Site& site) {
    std::vector<glm::dvec3> points;
    for (const Shot& shot : shotsAt(scatteredPlaces(shots, seed), 0.6, 0.04, 0.01, seed + 1))
        points.emplace_back(shot.at, shot.height);
    return triangulatedSurface(points, Beyond::Nearest, site.low, site.high);
}

std::unique_ptr<TwoSurfaces> twoSurfaces(int many, int few) {
    auto made = std::make_unique<TwoSurfaces>();
    Site& site = made->work.site;
    site.low = glm::dvec2(-shotsReach - 0.5);
    site.high = glm::dvec2(siteSide + shotsReach + 0.5);
    made->work.ground = surfaceOver(many, 11, site);
    made->upper = surfaceOver(few, 22, site);
    Plot plot;
    plot.area = &made->area;
    plot.finish = made->upper.get();
    made->work.plots.push_back(plot);
    for (const Surface* surface : {made->work.ground.get(), made->upper.get()})
        for (const auto& [a, b] : surface->breakLines(site.low, site.high))
            made->lines.push_back({{a.x, a.y}, {b.x, b.y}});
    return made;
}

void addOverlay(int many, int few) {
    const std::string row = "overlay", size = shortNumber(many) + "+" + shortNumber(few);
    const Runs runs = many > 5000 ? Runs::Once : Runs::Many;
    const auto two = kept([many, few] { return twoSurfaces(many, few); });
    add(
        row, size, "ours",
        [two](benchmark::State& state) {
            const Groundwork& work = two->get()->work;
            for (auto _ : state) benchmark::DoNotOptimize(Overlay(work).mesh().triangles().size());
        },
        runs);
    add(
        row, size, "GEOS",
        [two](benchmark::State& state) {
            const auto& lines = two->get()->lines;
            for (auto _ : state) benchmark::DoNotOptimize(peers::geosFaces(lines, 1e-6));
            state.counters["lines"] = static_cast<double>(lines.size());
        },
        runs);
}

void addReading(int shots) {
    const auto text =
        kept([shots] { return pointFileText(shotsAt(scatteredPlaces(shots), 0.6, 0.04, 0.01, 2)); });
    add("read points", shortNumber(shots), "ours", [text](benchmark::State& state) {
        const std::string& bytes = text->get();
        for (auto _ : state) {
            std::vector<glm::dvec3> read;
            Diagnostics faults;
            readScanText(bytes, "bench.csv", {true, LengthUnit::Metre}, read, faults);
            benchmark::DoNotOptimize(read.data());
        }
        state.counters["bytes"] = static_cast<double>(bytes.size());
    });
}

}  // namespace

void addGroundRows() {
    for (const int shots : {10000, 200000, 1000000}) addTriangulation(shots);
    addOverlay(200, 60);
    addOverlay(10000, 2000);
    for (const int shots : {200000, 1000000}) addReading(shots);
}

}  // namespace underfoot::bench
