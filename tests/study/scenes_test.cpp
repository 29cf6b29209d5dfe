// Questions asked of whole plans: the scenes that come with the program.

#include <cmath>
#include <filesystem>
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "plan/read_plan.h"
#include "random/random_plan.h"
#include "study/end_areas.h"
#include "study/findings.h"
#include "study/section.h"
#include "study/stakes.h"
#include "study/thickness.h"
#include "study/volumes.h"

namespace underfoot {
namespace {

Model builtScene(const std::string& name) {
    auto plan = readPlan(std::filesystem::path(UNDERFOOT_SOURCE_DIR) / "scenes" / (name + ".toml"));
    EXPECT_TRUE(plan.has_value()) << (plan ? "" : formatDiagnostic(plan.error().front()));
    auto model = buildModel(*plan);
    EXPECT_TRUE(model.has_value()) << (model ? "" : formatDiagnostic(model.error().front()));
    return *std::move(model);
}

class Scene : public ::testing::TestWithParam<const char*> {
  protected:
    const Model model = builtScene(GetParam());
};

INSTANTIATE_TEST_SUITE_P(All, Scene, ::testing::Values("first-plan", "terrace", "courtyard", "seat"));

// A site turned as 3, 4, 5 and pushed has the same stations and offsets, so that whatever is told by them is
// the same: the faces of the dig, stakes and rails, along sides too. Tops as shot are left out: their rows
// and columns of shots can be triangulated in more ways than one.
TEST_P(Scene, TurnedHasTheSameFacesStakesAndRails) {
    Plan plan = model.plan;
    plan.measuredTops.clear();
    for (Area& area : plan.areas) area.units.reset();
    const Checked<Model> first = buildModel(plan);
    testing::forEachPlace(plan, [](glm::dvec2& p) {
        p = glm::dvec2{0.6 * p.x - 0.8 * p.y + 11.37, 0.8 * p.x + 0.6 * p.y - 3.89};
    });
    const Checked<Model> second = buildModel(plan);
    ASSERT_TRUE(first && second);

    const auto a = endAreas(*first, 0.5), b = endAreas(*second, 0.5);
    ASSERT_TRUE(a && b);
    ASSERT_EQ(a->stations.size(), b->stations.size());
    for (size_t i = 0; i < a->stations.size(); ++i) {
        EXPECT_NEAR(a->stations[i].before.cut, b->stations[i].before.cut, 1e-4) << a->stations[i].station;
        EXPECT_NEAR(a->stations[i].after.cut, b->stations[i].after.cut, 1e-4) << a->stations[i].station;
        EXPECT_NEAR(a->stations[i].after.fill, b->stations[i].after.fill, 1e-4) << a->stations[i].station;
    }
    for (const bool across : {false, true}) {
        const auto one = screedRails(*first, 1.5, across), other = screedRails(*second, 1.5, across);
        ASSERT_TRUE(one && other);
        ASSERT_EQ(one->rails.size(), other->rails.size());
        for (size_t i = 0; i < one->rails.size(); ++i) {
            EXPECT_NEAR(one->rails[i].length, other->rails[i].length, 1e-4);
            EXPECT_NEAR(one->rails[i].points[0].height, other->rails[i].points[0].height, 1e-6);
        }
    }
    const auto set = stakes(*first, *gridPoints(*first, 0.5)),
               turned = stakes(*second, *gridPoints(*second, 0.5));
    ASSERT_EQ(set.size(), turned.size());
    for (size_t i = 0; i < set.size(); ++i) EXPECT_NEAR(set[i].cut(), turned[i].cut(), 1e-6) << i;
}

TEST_P(Scene, CutFacesIntegrateToVolumes) {
    // Between stations where the line passes a vertex every face is a quadratic of the station, so Simpson's
    // rule over each such strip gives the volume of every layer.
    std::set<double> stations;
    for (const glm::dvec2 v : model.vertices) stations.insert(model.stationOffset(v).x);
    const Cutter cutter(model);
    std::vector<double> sums(model.layers.size(), 0.0);
    const auto add = [&](double station, double weight) {
        for (const Extremes& e : extremes(model, cutter.cutAtStation(station)))
            sums[static_cast<size_t>(e.layer)] += weight * e.area;
    };
    // A hair inside each strip: along a line of cells' edges the section belongs to one side only.
    for (auto a = stations.begin(), b = std::next(a); b != stations.end(); ++a, ++b) {
        const double run = *b - *a, hair = 1e-3 * run;
        if (run < 1e-6) continue;
        // Simpson's rule over the inner part, and the two hairs by the value at their inner end.
        const double inner = run - 2 * hair;
        add(*a + hair, inner / 6 + hair);
        add(*a + run / 2, inner * 4 / 6);
        add(*b - hair, inner / 6 + hair);
    }
    const Volumes v = volumes(model);
    for (const LayerVolume& layer : v.layers) {
        EXPECT_NEAR(sums[static_cast<size_t>(layer.layer)], layer.volume, 2e-4 * std::max(layer.volume, 0.05))
            << model.layers[static_cast<size_t>(layer.layer)].name;
    }
}

TEST_P(Scene, SectionsAgreeWithPoints) {
    const glm::dvec2 low = model.site.low, size = model.site.high - model.site.low;
    int hint = -1;
    for (int trial = 0; trial < 12; ++trial) {
        const double t = trial / 11.0;
        const std::vector<glm::dvec2> line{low + glm::dvec2{t * size.x, -0.1 * size.y},
                                           low + glm::dvec2{0.5 * size.x, t * size.y},
                                           low + glm::dvec2{1.1 * size.x, (1 - t) * size.y}};
        const Section section = cut(model, line);
        for (size_t i = 0; i < section.intervals.size(); ++i) {
            const SectionInterval& interval = section.intervals[i];
            if (interval.to - interval.from < 1e-5) continue;  // the point looked up may lie in the next cell
            const double at = 0.5 * (interval.from + interval.to);
            const auto here = stackAt(model, section, at), there = stackAtPoint(model, section.at(at), &hint);
            ASSERT_EQ(here.size(), there.size()) << trial << " " << at;
            for (size_t e = 0; e < here.size(); ++e)
                ASSERT_NEAR(here[e].bottom, there[e].bottom, 1e-7) << trial << " " << at;
        }
    }
}

TEST_P(Scene, CutTwiceAndWithHelpTheSameBytes) {
    const Cutter cutter(model);
    const double middle = model.stationOffset(0.5 * (model.site.low + model.site.high)).x;
    const Section a = cutAtStation(model, middle), b = cutAtStation(model, middle),
                  c = cutter.cutAtStation(middle);
    EXPECT_EQ(a.heights, b.heights);
    EXPECT_EQ(a.heights, c.heights);
    ASSERT_EQ(a.units.size(), c.units.size());
    for (size_t u = 0; u < a.units.size(); ++u) {
        EXPECT_EQ(a.units[u].unit, c.units[u].unit);
        EXPECT_EQ(a.units[u].from, c.units[u].from);
        EXPECT_EQ(a.units[u].bottomTo, c.units[u].bottomTo);
    }
}

TEST_P(Scene, FieldsSumToTheVolumesInside) {
    for (const LayerVolume& layer : volumes(model).layers) {
        const ThicknessField all = thicknessField(model, layer.layer);
        EXPECT_NEAR(all.volume, layer.insideVolume, 1e-9);
        double sum = 0;
        for (int area = 0; area < static_cast<int>(model.plan.areas.size()); ++area)
            sum += thicknessField(model, layer.layer, area).volume;
        EXPECT_NEAR(sum, all.volume, 1e-9);
    }
}

TEST_P(Scene, PatchesEncloseWhatTheySum) {
    const Catalogue catalogue = loadCatalogue(model.plan);
    for (int area = 0; area < static_cast<int>(model.plan.areas.size()); ++area) {
        for (LayerId layer = 0; layer < static_cast<LayerId>(model.layers.size()); ++layer) {
            for (const Patch& patch : wantedField(model, catalogue, layer, area).patches) {
                double rings = 0;
                for (const auto& ring : patch.outline) rings += signedArea(ring);
                EXPECT_NEAR(rings, patch.area, 1e-6 + 1e-5 * patch.area);
                EXPECT_GT(patch.past, 0);
            }
        }
    }
}

TEST_P(Scene, FindingsAreTheSameEveryTime) {
    const Catalogue catalogue = loadCatalogue(model.plan);
    const auto a = findings(model, catalogue), b = findings(model, catalogue);
    ASSERT_EQ(a.size(), b.size());
    for (size_t i = 0; i < a.size(); ++i) {
        EXPECT_EQ(a[i].what, b[i].what);
        EXPECT_FALSE(a[i].what.empty());
        EXPECT_FALSE(a[i].remedy.empty());
        EXPECT_FALSE(a[i].source.empty());
    }
}

}  // namespace
}  // namespace underfoot
