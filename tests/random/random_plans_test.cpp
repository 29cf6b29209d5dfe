// Plans drawn by lot, held against the promises of a model.

#include <algorithm>
#include <cstdlib>

#include <gtest/gtest.h>

#include "model/model.h"
#include "model/solid.h"
#include "random/random_plan.h"

namespace underfoot {
namespace {

using namespace underfoot::testing;

int plansToTry() {
    const char* asked = std::getenv("UNDERFOOT_RANDOM_PLANS");
    return asked ? std::atoi(asked) : 400;
}
uint64_t firstSeed() {
    const char* asked = std::getenv("UNDERFOOT_RANDOM_SEED");
    return asked ? std::strtoull(asked, nullptr, 10) : 1;
}

std::vector<double> layerVolumes(const Model& model) {
    std::vector<std::pair<std::string, double>> named;
    for (size_t i = 0; i < model.layers.size(); ++i)
        if (static_cast<LayerId>(i) != model.nativeSoil)
            named.emplace_back(model.layers[i].name,
                               enclosedVolume(model, layerSolid(model, static_cast<LayerId>(i))));
    std::sort(named.begin(), named.end());
    std::vector<double> volumes;
    for (const auto& [name, volume] : named) volumes.push_back(volume);
    return volumes;
}

void expectSameVolumes(const Model& a, const Model& b, double within) {
    const std::vector<double> first = layerVolumes(a), second = layerVolumes(b);
    ASSERT_EQ(first.size(), second.size());
    for (size_t i = 0; i < first.size(); ++i)
        EXPECT_NEAR(first[i], second[i], within * std::max(1.0, first[i]));
}

class RandomPlans : public ::testing::Test {
  protected:
    template <class Check>
    void forEach(int part, Check check) {
        for (int i = 0; i < plansToTry() / part; ++i) {
            const uint64_t seed = firstSeed() + static_cast<uint64_t>(i) * static_cast<uint64_t>(part);
            SCOPED_TRACE("seed " + std::to_string(seed));
            check(randomPlan(seed));
            if (HasFatalFailure()) return;
        }
    }
};

TEST_F(RandomPlans, ModelsKeepEveryPromise) {
    int built = 0;
    forEach(1, [&](const Plan& plan) {
        const Checked<Model> model = buildModel(plan);
        if (!model) return;  // two layers that take up between two known surfaces: refused, and rightly so
        ++built;
        EXPECT_EQ(modelFault(*model), std::nullopt);
    });
    EXPECT_GT(built, plansToTry() * 3 / 4);
}

TEST_F(RandomPlans, TheOrderOfAreasAndShotsChangesNothing) {
    forEach(4, [&](Plan plan) {
        const Checked<Model> first = buildModel(plan);
        if (!first) return;
        std::reverse(plan.areas.begin(), plan.areas.end());
        std::reverse(plan.buildUps.begin(), plan.buildUps.end());
        const Checked<Model> second = buildModel(plan);
        ASSERT_TRUE(second);
        expectSameVolumes(*first, *second, 2e-6);
    });
}

TEST_F(RandomPlans, MovingThePlanMovesTheAnswersWithIt) {
    forEach(4, [&](const Plan& plan) {
        const Checked<Model> first = buildModel(plan);
        if (!first) return;
        Plan moved = plan;
        const glm::dvec2 by{1024, -512};
        auto moveRing = [&](Ring& ring) {
            ring.start += by;
            for (OutlineEdge& edge : ring.edges) {
                edge.to += by;
                if (edge.through) *edge.through += by;
            }
        };
        for (Area& area : moved.areas) {
            moveRing(area.outline);
            for (Ring& opening : area.openings) moveRing(opening);
        }
        for (Finish& finish : moved.finishes)
            for (FinishPlane& plane : finish.planes) plane.at += by;
        for (Shot& s : moved.ground.shots) s.at += by;
        for (MeasuredTop& top : moved.measuredTops)
            for (Shot& s : top.shots) s.at += by;
        const Checked<Model> second = buildModel(moved);
        ASSERT_TRUE(second);
        expectSameVolumes(*first, *second, 2e-6);
    });
}

}  // namespace
}  // namespace underfoot
