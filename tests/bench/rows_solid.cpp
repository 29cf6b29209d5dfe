// The closed solid of one layer. The peer has the layer's top and bottom as one slab over all shots and cuts
// the area's outline out of it, one boolean.

#include "bench/rows.h"
#include "ground/triangulation.h"
#include "model/solid.h"

namespace underfoot::bench {
namespace {

using Triangles = std::vector<std::array<int, 3>>;

/// A closed mesh between heights over one plan triangulation: tops, undersides turned over, and a wall under
/// every side that has no neighbour.
peers::Mesh between(const std::vector<glm::dvec2>& places, const std::vector<double>& tops,
                    const std::vector<double>& undersides, const std::vector<Triangle>& triangles) {
    peers::Mesh mesh;
    const auto below = static_cast<uint32_t>(places.size());
    for (size_t i = 0; i < places.size(); ++i) mesh.points.push_back({places[i].x, places[i].y, tops[i]});
    for (size_t i = 0; i < places.size(); ++i)
        mesh.points.push_back({places[i].x, places[i].y, undersides[i]});
    for (const Triangle& triangle : triangles) {
        const auto corner = [&](size_t c) { return static_cast<uint32_t>(triangle.v[c % 3]); };
        mesh.triangles.push_back({corner(0), corner(1), corner(2)});
        mesh.triangles.push_back({below + corner(0), below + corner(2), below + corner(1)});
        for (size_t e = 0; e < 3; ++e) {
            if (triangle.neighbour[e] >= 0) continue;
            const uint32_t a = corner(e + 1), b = corner(e + 2);
            mesh.triangles.push_back({a, below + a, below + b});
            mesh.triangles.push_back({a, below + b, b});
        }
    }
    return mesh;
}

/// The slab between the tops of "base" and of "lower base" over all places that were shot.
peers::Mesh slab(const Plan& plan) {
    const std::vector<Shot>&top = plan.measuredTops[0].shots, &bottom = plan.measuredTops[1].shots;
    std::vector<glm::dvec2> places;
    for (const Shot& shot : top) places.push_back(shot.at);
    std::vector<int> vertexOf;
    const Triangulation mesh = Triangulation::ofPoints(places, &vertexOf);
    std::vector<double> tops(mesh.vertices().size()), undersides(tops);
    for (size_t i = 0; i < places.size(); ++i) {
        tops[static_cast<size_t>(vertexOf[i])] = top[i].height;
        undersides[static_cast<size_t>(vertexOf[i])] = bottom[i].height;
    }
    return between(mesh.vertices(), tops, undersides, mesh.triangles());
}

/// The outline as a tall upright prism, its opening left out: the cells of a model without shots.
peers::Mesh outlinePrism() {
    Plan plan = emptyPlan();
    plan.areas.push_back(ellArea());
    plan.ground.shots = made::planeShots(-5);
    plan.ground.fillLifts = FillLifts::Parallel;
    const Model model = modelOf(plan);
    std::vector<int> vertexOf(model.vertices.size(), -1), cellOf(model.cells.size(), -1);
    const auto inside = [&](int cell) {
        if (cell < 0) return false;
        const Column& column = model.columnOf(model.cells[static_cast<size_t>(cell)]);
        return column.area >= 0 && !column.beyond;
    };
    std::vector<Triangle> triangles;
    std::vector<glm::dvec2> places;
    for (int c = 0; c < static_cast<int>(model.cells.size()); ++c) {
        if (!inside(c)) continue;
        const Cell& cell = model.cells[static_cast<size_t>(c)];
        Triangle& triangle = triangles.emplace_back();
        for (size_t i = 0; i < 3; ++i) {
            int& vertex = vertexOf[static_cast<size_t>(cell.vertex[i])];
            if (vertex < 0) {
                vertex = static_cast<int>(places.size());
                places.push_back(model.vertices[static_cast<size_t>(cell.vertex[i])]);
            }
            triangle.v[i] = vertex;
            triangle.neighbour[i] = inside(cell.neighbour[i]) ? cell.neighbour[i] : -1;
        }
    }
    const std::vector<double> high(places.size(), 10), low(places.size(), -10);
    return between(places, high, low, triangles);
}

void addSolid(int shots) {
    const std::string row = "solid of one layer", size = shortNumber(shots);
    const auto model = kept([shots] { return modelOf(shotsPlan(shots)); });
    add(row, size, "ours", [model](benchmark::State& state) {
        const Model& made = model->get();
        const LayerId base = made.findLayer("base");
        for (auto _ : state) benchmark::DoNotOptimize(layerSolid(made, base).triangles.size());
    });
    const auto peer = kept([shots] { return peers::cgalBoolean(slab(shotsPlan(shots)), outlinePrism()); });
    add(
        row, size, "CGAL",
        [peer](benchmark::State& state) {
            peers::Boolean& boolean = *peer->get();
            double volume = 0;
            for (auto _ : state) {
                state.PauseTiming();
                boolean.prepare();
                state.ResumeTiming();
                benchmark::DoNotOptimize(volume = boolean.intersection());
            }
            if (volume <= 0) state.SkipWithError("nothing in common");
            state.counters["m3"] = volume;
        },
        shots > 1000 ? Runs::Once : Runs::Many);
}

}  // namespace

void addSolidRows() {
    for (const int shots : {200, 10000, 200000}) addSolid(shots);
}

}  // namespace underfoot::bench
