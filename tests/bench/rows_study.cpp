// Thickness at many points, and volumes.

#include <algorithm>
#include <cmath>
#include <glm/geometric.hpp>
#include <numeric>

#include "bench/rows.h"
#include "model/rebuild.h"
#include "study/thickness.h"
#include "study/volumes.h"

namespace underfoot::bench {
namespace {

constexpr int pointCount = 100000;

/// A model with the meshes that the peers read, and points all over its site.
struct Studied {
    explicit Studied(int shots) : model(modelOf(shotsPlan(shots))), meshes(layerMeshes(model)) {
        Dice dice(5);
        for (int i = 0; i < pointCount; ++i) {
            const double x = dice.real(0, siteSide);
            const glm::dvec2 p = model.toLocal({x, dice.real(0, siteSide)});
            points.push_back({p.x, p.y});
        }
        sorted = peers::cgalSorted(points);
    }
    Model model;
    std::vector<peers::Mesh> meshes;
    std::vector<peers::Point2> points, sorted;
};
using KeptStudied = Kept<std::unique_ptr<Studied>>;
using Points = std::vector<peers::Point2> Studied::*;

void readOurs(benchmark::State& state, const KeptStudied& what, Points which) {
    std::vector<glm::dvec2> places;
    for (const auto& p : (*what->get()).*which) places.push_back({p[0], p[1]});
    const Model& model = what->get()->model;
    // Kept from one run to the next, as the peers keep theirs; all else is made anew each time.
    std::vector<double> thickness(places.size() * model.layers.size());
    for (auto _ : state) {
        thicknessAtPoints(model, places, thickness);
        benchmark::DoNotOptimize(thickness.data());
    }
    double sum = 0;
    for (size_t i = 0; i < thickness.size(); ++i)
        if (static_cast<LayerId>(i % model.layers.size()) != model.nativeSoil && !std::isnan(thickness[i]))
            sum += thickness[i];
    state.counters["metres"] = sum;
    state.counters["cells"] = static_cast<double>(model.cells.size());
}

void addProber(const std::string& row, const std::string& size, const std::string& who,
               const KeptStudied& what, Points which, const Kept<std::unique_ptr<peers::Prober>>& peer,
               Runs runs = Runs::Many) {
    add(
        row, size, who,
        [what, which, peer](benchmark::State& state) {
            const auto& points = (*what->get()).*which;
            peers::Prober& prober = *peer->get();
            std::vector<double> thickness;
            for (auto _ : state) {
                prober.thickness(points, thickness);
                benchmark::DoNotOptimize(thickness.data());
            }
            state.counters["metres"] = std::accumulate(thickness.begin(), thickness.end(), 0.0);
            tellSetUp(state, peer);
        },
        runs);
}

/// The model's own plan triangulation as CGAL would hold it: eight heights a vertex.
std::unique_ptr<peers::Prober> locator(const Model& model, bool sorts) {
    constexpr size_t interfaces = 8;
    std::vector<peers::Point2> vertices;
    for (const glm::dvec2& v : model.vertices) vertices.push_back({v.x, v.y});
    std::vector<double> heights(vertices.size() * interfaces);
    for (const Cell& cell : model.cells)
        for (int c = 0; c < 3; ++c) {
            const int last = model.interfaces(cell) - 1;
            double* at = &heights[static_cast<size_t>(cell.vertex[static_cast<size_t>(c)]) * interfaces];
            for (int k = 0; k < static_cast<int>(interfaces); ++k)
                at[k] = model.height(cell, c, std::min(k, last));
        }
    return peers::cgalLocate(vertices, std::move(heights), interfaces, sorts);
}

void addThickness(const std::string& size, const KeptStudied& what) {
    const std::string any = "thickness", sorted = "thickness, sorted points";
    add(any, size, "ours", [what](benchmark::State& state) { readOurs(state, what, &Studied::points); });
    addProber(any, size, "CGAL rays", what, &Studied::points,
              kept([what] { return peers::cgalRays(what->get()->meshes); }), Runs::Once);
    addProber(any, size, "CGAL location", what, &Studied::points,
              kept([what] { return locator(what->get()->model, true); }));
    add(sorted, size, "ours", [what](benchmark::State& state) { readOurs(state, what, &Studied::sorted); });
    addProber(sorted, size, "CGAL location", what, &Studied::sorted,
              kept([what] { return locator(what->get()->model, false); }));
}

void addMeasurer(const std::string& row, const std::string& size, const std::string& who,
                 const Kept<std::unique_ptr<peers::Measurer>>& peer) {
    add(row, size, who, [peer](benchmark::State& state) {
        peers::Measurer& measurer = *peer->get();
        double volume = 0;
        for (auto _ : state) benchmark::DoNotOptimize(volume = measurer.volume());
        tellSetUp(state, peer);
        state.counters["m3"] = volume;
    });
}

double sumOf(const Volumes& all) {
    double sum = 0;
    for (const LayerVolume& layer : all.layers) sum += layer.volume;
    return sum;
}

void addVolumes(const std::string& size, const KeptStudied& what) {
    add("volumes", size, "ours", [what](benchmark::State& state) {
        const Model& model = what->get()->model;
        double volume = 0;
        for (auto _ : state) benchmark::DoNotOptimize(volume = sumOf(volumes(model)));
        state.counters["m3"] = volume;
    });
    addMeasurer("volumes", size, "CGAL", kept([what] { return peers::cgalMeasurer(what->get()->meshes); }));
    addMeasurer("volumes", size, "VTK", kept([what] { return peers::vtkMeasurer(what->get()->meshes); }));
}

/// A model before and after one shot of the base was raised, and the posts where they differ.
struct Raised {
    explicit Raised(int shots) {
        const Plan plan = shotsPlan(shots);
        auto rebuilder = Rebuilder::of(plan);
        if (!rebuilder) std::abort();
        before = rebuilder->stacks();
        const std::vector<Shot>& tops = plan.measuredTops[0].shots;
        const auto nearer = [](const Shot& one, const Shot& other) {
            const glm::dvec2 place(4, 4);  // well inside the area
            return glm::distance(one.at, place) < glm::distance(other.at, place);
        };
        const auto nearest = std::min_element(tops.begin(), tops.end(), nearer);
        const HeightEdit edit{HeightEdit::Of::MeasuredShot, 0, static_cast<int>(nearest - tops.begin()),
                              nearest->height + 0.001};
        if (!rebuilder->move({&edit, 1})) std::abort();
        after = rebuilder->stacks();
        posts = rebuilder->movedPosts();
        if (posts.empty()) std::abort();
    }
    Model before, after;
    std::vector<int> posts;
};

void addMovingVolumes(int shots, const KeptStudied& what) {
    const std::string row = "volumes after a height", size = shortNumber(shots);
    const auto raised = kept([shots] { return std::make_unique<Raised>(shots); });
    add(row, size, "ours", [raised](benchmark::State& state) {
        const Raised& made = *raised->get();
        MovingVolumes moving(made.before);
        bool up = false;
        double volume = 0;
        for (auto _ : state) {
            up = !up;
            benchmark::DoNotOptimize(volume = sumOf(moving.move(up ? made.after : made.before, made.posts)));
        }
        state.counters["m3"] = volume;
        state.counters["posts"] = static_cast<double>(made.posts.size());
    });
    addMeasurer(row, size, "CGAL", kept([what] { return peers::cgalMeasurer(what->get()->meshes); }));
    addMeasurer(row, size, "VTK", kept([what] { return peers::vtkMeasurer(what->get()->meshes); }));
}

}  // namespace

void addStudyRows() {
    for (const int shots : {200, 10000, 200000}) {
        const KeptStudied what = kept([shots] { return std::make_unique<Studied>(shots); });
        addThickness(shortNumber(shots), what);
        addVolumes(shortNumber(shots), what);
        addMovingVolumes(shots, what);
    }
}

}  // namespace underfoot::bench
