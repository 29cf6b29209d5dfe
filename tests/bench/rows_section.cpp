// Sections at any bearing, through shots and through units.

#include "bench/rows.h"
#include "model/solid.h"
#include "study/section.h"

namespace underfoot::bench {
namespace {

using Lines = std::vector<std::vector<glm::dvec2>>;
constexpr int lineCount = 64;

struct Cuttable {
    Cuttable(const Plan& plan, double side)
        : model(modelOf(plan)), lines(bearings(lineCount, side)), cutter(model) {
        for (auto& line : lines)
            for (glm::dvec2& p : line) p = model.toLocal(p);
    }
    Model model;
    Lines lines;
    Cutter cutter;
};
using KeptCuttable = Kept<std::unique_ptr<Cuttable>>;

void cutOurs(benchmark::State& state, const KeptCuttable& what) {
    const Cuttable& made = *what->get();
    size_t next = 0;
    for (auto _ : state)
        benchmark::DoNotOptimize(made.cutter.cut(made.lines[next++ % lineCount]).intervals.size());
    state.counters["cells"] = static_cast<double>(made.model.cells.size());
    state.counters["units"] = static_cast<double>(made.model.units.size());
}

void addPeer(const std::string& row, const std::string& size, const std::string& who,
             const KeptCuttable& what, const Kept<std::unique_ptr<peers::Slicer>>& peer) {
    add(row, size, who, [what, peer](benchmark::State& state) {
        const Lines& lines = what->get()->lines;
        peers::Slicer& slicer = *peer->get();
        size_t next = 0;
        for (auto _ : state) {
            const auto& line = lines[next++ % lineCount];
            benchmark::DoNotOptimize(slicer.cut({{line[0].x, line[0].y}, {line[1].x, line[1].y}}));
        }
        tellSetUp(state, peer);
    });
}

void addSections(int shots) {
    const std::string row = "section", size = shortNumber(shots);
    const KeptCuttable what =
        kept([shots] { return std::make_unique<Cuttable>(shotsPlan(shots), siteSide); });
    const auto meshes = kept([what] { return layerMeshes(what->get()->model); });
    add(row, size, "ours", [what](benchmark::State& state) { cutOurs(state, what); });
    add(row, size, "set-up of ours", [what](benchmark::State& state) {
        const Model& model = what->get()->model;
        for (auto _ : state) benchmark::DoNotOptimize(Cutter(model));
    });
    addPeer(row, size, "CGAL", what, kept([meshes] { return peers::cgalSlicer(meshes->get()); }));
    addPeer(row, size, "VTK", what, kept([meshes] { return peers::vtkSlicer(meshes->get()); }));
}

/// All units as one mesh of prisms.
std::vector<peers::Mesh> unitMesh(const Model& model) {
    peers::Mesh mesh;
    for (const UnitPiece& unit : model.units) {
        const Prism prism = unitPrism(model, unit);
        const auto first = static_cast<uint32_t>(mesh.points.size());
        for (const glm::dvec3& p : prism.points) mesh.points.push_back({p.x, p.y, p.z});
        for (const auto& t : prism.triangles)
            mesh.triangles.push_back({first + static_cast<uint32_t>(t[0]),
                                      first + static_cast<uint32_t>(t[1]),
                                      first + static_cast<uint32_t>(t[2])});
    }
    return {mesh};
}

void addUnitSections(int units) {
    const std::string row = "section of units", size = shortNumber(units);
    const KeptCuttable what =
        kept([units] { return std::make_unique<Cuttable>(unitsPlan(units), unitsSide(units)); });
    add(row, size, "ours", [what](benchmark::State& state) { cutOurs(state, what); });
    addPeer(row, size, "CGAL", what,
            kept([what] { return peers::cgalSlicer(unitMesh(what->get()->model)); }));
}

}  // namespace

void addSectionRows() {
    for (const int shots : {200, 10000, 200000}) addSections(shots);
    for (const int units : {20000, 500000}) addUnitSections(units);
}

}  // namespace underfoot::bench
