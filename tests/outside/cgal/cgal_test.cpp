// Every layer's volume, cuts and thickness against CGAL 5.5 (The CGAL Project, CGAL User and Reference
// Manual), on the scenes and on plans drawn by lot. CGAL sees only the corners and triangles of the solids:
// neither cells nor stacks.
//
// UNDERFOOT_CGAL_PLANS says how many plans are drawn (default 60).

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <glm/geometric.hpp>

#include "ground/grid.h"
#include "outside/cgal/cgal_solid.h"
#include "plan/read_plan.h"
#include "random/random_plan.h"
#include "study/section.h"
#include "study/thickness.h"
#include "study/volumes.h"

namespace underfoot::outside {
namespace {

using underfoot::testing::Lot;
using underfoot::testing::randomPlan;

void expectNear(double found, double wanted, double within) {
    EXPECT_NEAR(found, wanted, within * std::max(1.0, std::abs(wanted)));
}

struct PeerLayer {
    LayerId layer = -1;
    CgalSolid solid;
};

std::vector<PeerLayer> peersOf(const Model& model) {
    std::vector<PeerLayer> peers;
    for (LayerId layer = 0; layer < static_cast<LayerId>(model.layers.size()); ++layer) {
        const Solid solid = layerSolid(model, layer);
        if (!solid.triangles.empty()) {
            peers.push_back({layer, CgalSolid(model, solid)});
        } else if (layer != model.nativeSoil) {
            EXPECT_EQ(volumes(model).layers[static_cast<size_t>(layer)].volume, 0);
        }
    }
    return peers;
}

// ---------------------------------------------------------------- solids and volumes

void expectSound(const CgalSolid& peer, double volume) {
    const auto fault = peer.fault();
    ASSERT_FALSE(fault.has_value()) << *fault;
    EXPECT_EQ(peer.crossings(), 0U);
    expectNear(peer.volume(), volume, 1e-9);
}

double soilVolume(const Model& model) {
    double volume = 0;
    for (const Cell& cell : model.cells) {
        const int soil = model.interfaces(cell) - 2;
        for (int corner = 0; corner < 3; ++corner)
            volume += model.planArea(cell) * model.thickness(cell, corner, soil) / 3;
    }
    return volume;
}

void volumesAgree(const Model& model, const std::vector<PeerLayer>& peers) {
    const Volumes found = volumes(model);
    for (const PeerLayer& peer : peers) {
        SCOPED_TRACE(model.layers[static_cast<size_t>(peer.layer)].name);
        if (peer.layer == model.nativeSoil) {
            expectSound(peer.solid, soilVolume(model));
            continue;
        }
        const LayerVolume& layer = found.layers[static_cast<size_t>(peer.layer)];
        ASSERT_EQ(layer.layer, peer.layer);
        expectSound(peer.solid, layer.volume);
        if (layer.lifts.size() < 2) continue;
        for (const LiftVolume& lift : layer.lifts) {
            const Solid solid = layerSolid(model, layer.layer, lift.lift);
            if (solid.triangles.empty()) {
                EXPECT_EQ(lift.volume, 0);
            } else {
                expectSound(CgalSolid(model, solid), lift.volume);
            }
        }
    }
}

// ---------------------------------------------------------------- sections

/// The cut faces of every layer, lifts together, native soil included.
std::vector<double> facesOf(const Model& model, const Section& section) {
    std::vector<double> areas(model.layers.size(), 0.0);
    for (const SectionInterval& i : section.intervals) {
        const auto& entries = model.columns[static_cast<size_t>(i.column)].entries;
        const double* at = section.heights.data() + i.first;
        for (size_t e = 0; e < entries.size(); ++e, at += 2)
            areas[static_cast<size_t>(entries[e].layer)] +=
                0.5 * (at[0] - at[2] + at[1] - at[3]) * (i.to - i.from);
    }
    return areas;
}

/// A line right across the model in any direction.
std::vector<glm::dvec2> lineAcross(const Model& model, Lot& lot) {
    const glm::dvec2 size = model.site.high - model.site.low;
    const glm::dvec2 through = model.site.low + size * glm::dvec2(lot.real(0, 1), lot.real(0, 1));
    const double angle = lot.real(0, 7), reach = 1 + glm::length(size);
    const glm::dvec2 way{reach * std::cos(angle), reach * std::sin(angle)};
    return {snap(through - way), snap(through + way)};
}

void sectionsAgree(const Model& model, std::vector<PeerLayer>& peers, int count) {
    Lot lot(model.cells.size());
    const Cutter cutter(model);
    for (int i = 0; i < count; ++i) {
        const auto line = lineAcross(model, lot);
        const Section section = cutter.cut(line);
        const auto areas = facesOf(model, section);
        for (PeerLayer& peer : peers) {
            SCOPED_TRACE(model.layers[static_cast<size_t>(peer.layer)].name + ", cut " + std::to_string(i));
            expectNear(areas[static_cast<size_t>(peer.layer)], peer.solid.cutArea(line[0], line[1]), 1e-7);
        }
        for (const Extremes& one : extremes(model, section))
            expectNear(one.area, areas[static_cast<size_t>(one.layer)], 1e-12);
    }
}

// ---------------------------------------------------------------- thickness

void thicknessAgrees(const Model& model, const std::vector<PeerLayer>& peers, int count) {
    Lot lot(model.cells.size() + 1);
    std::vector<glm::dvec2> points;
    const glm::dvec2 size = model.site.high - model.site.low;
    for (int i = 0; i < count; ++i)
        points.push_back(snap(model.site.low + size * glm::dvec2(lot.real(0, 1), lot.real(0, 1))));
    const std::vector<double> rows = thicknessAtPoints(model, points);
    int told = 0;
    for (size_t p = 0; p < points.size(); ++p) {
        std::vector<double> stack(model.layers.size(), 0.0);
        for (const LayerAt& at : stackAtPoint(model, points[p]))
            stack[static_cast<size_t>(at.layer)] += at.thickness();
        for (const PeerLayer& peer : peers) {
            const auto layer = static_cast<size_t>(peer.layer);
            SCOPED_TRACE(model.layers[layer].name + " at local " + std::to_string(points[p].x) + ", " +
                         std::to_string(points[p].y));
            const double row = rows[p * model.layers.size() + layer];
            const auto wanted = peer.solid.thickness(points[p]);
            if (!wanted) continue;
            ++told;
            expectNear(std::isnan(row) ? 0 : row, *wanted, 1e-8);
            expectNear(stack[layer], *wanted, 1e-8);
        }
    }
    // A point drawn by lot stands on no edge.
    EXPECT_GE(told, 0.99 * static_cast<double>(points.size() * peers.size()));
}

// ---------------------------------------------------------------- scenes

class SceneInCgal : public ::testing::TestWithParam<const char*> {
  protected:
    static Model model() {
        auto plan = readPlan(std::filesystem::path(UNDERFOOT_SOURCE_DIR) / "scenes" /
                             (GetParam() + std::string(".toml")));
        EXPECT_TRUE(plan.has_value()) << formatDiagnostic(plan.error().front());
        auto model = buildModel(*plan);
        EXPECT_TRUE(model.has_value()) << formatDiagnostic(model.error().front());
        return *std::move(model);
    }
};

TEST_P(SceneInCgal, Volumes) {
    const Model scene = model();
    volumesAgree(scene, peersOf(scene));
}

TEST_P(SceneInCgal, Sections) {
    const Model scene = model();
    auto peers = peersOf(scene);
    sectionsAgree(scene, peers, 60);
}

TEST_P(SceneInCgal, Thickness) {
    const Model scene = model();
    thicknessAgrees(scene, peersOf(scene), 500);
}

INSTANTIATE_TEST_SUITE_P(All, SceneInCgal, ::testing::Values("first-plan", "terrace", "courtyard", "seat"),
                         [](const ::testing::TestParamInfo<const char*>& at) {
                             std::string name = at.param;
                             std::erase(name, '-');
                             return name;
                         });

// ---------------------------------------------------------------- plans drawn by lot

constexpr int shards = 4;

class DrawnInCgal : public ::testing::TestWithParam<int> {};

TEST_P(DrawnInCgal, Agrees) {
    const char* asked = std::getenv("UNDERFOOT_CGAL_PLANS");
    const uint64_t count = asked ? std::strtoull(asked, nullptr, 10) : 40;
    uint64_t built = 0, tried = 0;
    for (uint64_t seed = 1 + static_cast<uint64_t>(GetParam()); seed <= count; seed += shards, ++tried) {
        const auto model = buildModel(randomPlan(seed));
        if (!model) continue;
        ++built;
        SCOPED_TRACE("seed " + std::to_string(seed));
        auto peers = peersOf(*model);
        volumesAgree(*model, peers);
        sectionsAgree(*model, peers, 5);
        thicknessAgrees(*model, peers, 40);
    }
    // The model refuses some, but not many.
    EXPECT_GE(4 * built, 3 * tried);
}

INSTANTIATE_TEST_SUITE_P(Plans, DrawnInCgal, ::testing::Range(0, shards));

// ---------------------------------------------------------------- the measure itself

/// Two cubes of one metre, as triangles of a model that has nothing else; `turned` wounds them inward.
struct Cubes {
    Model model;
    Solid solid;
    explicit Cubes(glm::dvec3 second, bool turned = false) {
        for (const glm::dvec3 low : {glm::dvec3(0, 0, 0), second}) add(low, turned);
    }
    void add(glm::dvec3 low, bool turned) {
        std::array<int, 8> corner{};
        for (int i = 0; i < 8; ++i)
            corner[static_cast<size_t>(i)] = point(low + glm::dvec3(i & 1, i >> 1 & 1, i >> 2));
        for (const std::array<int, 4>& f :
             {std::array{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}}) {
            for (const std::array<int, 3>& t : {std::array{f[0], f[1], f[2]}, {f[0], f[2], f[3]}}) {
                std::array<int, 3> made{};
                for (size_t c = 0; c < 3; ++c) made[turned ? 2 - c : c] = corner[static_cast<size_t>(t[c])];
                solid.triangles.push_back(made);
            }
        }
    }
    int point(glm::dvec3 p) {
        for (size_t i = 0; i < model.points.size(); ++i)
            if (model.points[i] == p) return static_cast<int>(i);
        model.points.push_back(p);
        return static_cast<int>(model.points.size()) - 1;
    }
};

TEST(CgalSolid, TakesTwoCubesThatTouchAlongAnEdgeForTwo) {
    const Cubes cubes({1, 1, 0});
    CgalSolid peer(cubes.model, cubes.solid);
    EXPECT_FALSE(peer.fault().has_value()) << *peer.fault();
    EXPECT_EQ(peer.crossings(), 0U);
    EXPECT_DOUBLE_EQ(peer.volume(), 2);
    EXPECT_NEAR(peer.cutArea({-1, 0.25}, {3, 0.25}), 1, 1e-12);
    EXPECT_NEAR(*peer.thickness({1.4, 1.3}), 1, 1e-12);
    EXPECT_NEAR(*peer.thickness({1.4, 0.3}), 0, 1e-12);
}

TEST(CgalSolid, SeesCubesThatCross) {
    const Cubes cubes({0.5, 0.25, 0.125});
    EXPECT_GT(CgalSolid(cubes.model, cubes.solid).crossings(), 0U);
}

TEST(CgalSolid, SeesWhatIsInsideOutOrOpen) {
    const Cubes turned({3, 0, 0}, true);
    EXPECT_TRUE(CgalSolid(turned.model, turned.solid).fault().has_value());
    Cubes open({3, 0, 0});
    open.solid.triangles.pop_back();
    EXPECT_TRUE(CgalSolid(open.model, open.solid).fault().has_value());
}

}  // namespace
}  // namespace underfoot::outside
