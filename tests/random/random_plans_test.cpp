// Plans drawn by lot, and plans kept from earlier finds, held against the properties.
//
// UNDERFOOT_RANDOM_PLANS says how many (default 400), UNDERFOOT_RANDOM_SEED the first seed (default 1).
// A plan that fails is made as small as it goes and written as a plan file into the folder that
// UNDERFOOT_RANDOM_KEEP names, else beside the temporary files. Mended, it moves to tests/random/kept.

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>

#include <gtest/gtest.h>

#include "plan/read_plan.h"
#include "random/in_child.h"
#include "random/properties.h"
#include "random/random_plan.h"
#include "random/shrink.h"
#include "random/write_plan.h"

namespace underfoot::testing {
namespace {

namespace fs = std::filesystem;

constexpr unsigned longestSeconds = 120;
constexpr int shards = 4;

uint64_t fromEnvironment(const char* name, uint64_t otherwise) {
    const char* asked = std::getenv(name);
    return asked ? std::strtoull(asked, nullptr, 10) : otherwise;
}
uint64_t plansToTry() {
    return fromEnvironment("UNDERFOOT_RANDOM_PLANS", 400);
}
uint64_t firstSeed() {
    return fromEnvironment("UNDERFOOT_RANDOM_SEED", 1);
}

Fault faultOf(const Property& property, const Plan& plan) {
    return inChild([&] { return property.fault(plan); }, longestSeconds);
}

/// A smaller plan counts only where the reader would take it.
bool isLegal(const Plan& plan) {
    return readPlanText(planText(plan), plan.file, "no such folder").has_value();
}

fs::path keep(const Property& property, const Plan& plan, uint64_t seed) {
    const char* folder = std::getenv("UNDERFOOT_RANDOM_KEEP");
    const fs::path file = (folder ? fs::path(folder) : fs::temp_directory_path()) /
                          (std::string(property.name) + "-" + std::to_string(seed) + ".toml");
    std::ofstream(file) << planText(plan);
    return file;
}

struct Part {
    Property property;
    int shard = 0;
};
void PrintTo(const Part& part, std::ostream* out) {
    *out << part.property.name;
}

class RandomPlans : public ::testing::TestWithParam<Part> {};

TEST_P(RandomPlans, Hold) {
    const Property& property = GetParam().property;
    const int shard = GetParam().shard;
    const auto step = static_cast<uint64_t>(property.part);
    const uint64_t count = (plansToTry() + step - 1) / step;
    for (uint64_t i = static_cast<uint64_t>(shard); i < count; i += shards) {
        const uint64_t seed = firstSeed() + i * step;
        const Plan plan = randomPlan(seed);
        const Fault fault = faultOf(property, plan);
        if (!fault) continue;
        // Told at once: making it smaller may take longer than the test is given.
        ADD_FAILURE() << "seed " << seed << ": " << *fault;
        const Plan small =
            shrunk(plan, [&](const Plan& less) { return isLegal(less) && faultOf(property, less); });
        std::cout << "kept, smaller, in " << keep(property, small, seed) << ": "
                  << faultOf(property, small).value_or("no fault") << std::endl;
    }
}

std::vector<Part> parts() {
    std::vector<Part> all;
    for (const Property& property : properties())
        for (int shard = 0; shard < shards; ++shard) all.push_back({property, shard});
    return all;
}
INSTANTIATE_TEST_SUITE_P(Drawn, RandomPlans, ::testing::ValuesIn(parts()),
                         [](const ::testing::TestParamInfo<Part>& at) {
                             return std::string(at.param.property.name) + std::to_string(at.param.shard);
                         });

TEST(RandomPlan, IsMostlyAccepted) {
    int refused = 0;
    for (uint64_t seed = 1; seed <= 30; ++seed) {
        const Plan plan = randomPlan(seed);
        const auto check = [&] { return isRefused(plan) ? Fault("refused") : Fault(); };
        refused += inChild(check, longestSeconds) ? 1 : 0;
    }
    EXPECT_LT(refused, 8);
}

TEST(RandomPlan, IsTheSameForOneSeed) {
    EXPECT_EQ(planText(randomPlan(7)), planText(randomPlan(7)));
    EXPECT_NE(planText(randomPlan(7)), planText(randomPlan(8)));
}

/// What the lot can draw, it does draw.
TEST(RandomPlan, DrawsEveryKindOfPlan) {
    size_t fewestAreas = 99, mostAreas = 0, fewestLayers = 99, mostLayers = 0, fewestShots = 999,
           mostShots = 0;
    size_t mostTops = 0, openings = 0, arcs = 0, around = 0, nested = 0, spots = 0;
    for (uint64_t seed = 1; seed <= 400; ++seed) {
        const Plan plan = randomPlan(seed);
        fewestAreas = std::min(fewestAreas, plan.areas.size());
        mostAreas = std::max(mostAreas, plan.areas.size());
        fewestShots = std::min(fewestShots, plan.ground.shots.size());
        mostShots = std::max(mostShots, plan.ground.shots.size());
        mostTops = std::max(mostTops, plan.measuredTops.size());
        size_t rings = 0;
        for (const BuildUp& buildUp : plan.buildUps) {
            fewestLayers = std::min(fewestLayers, buildUp.layers.size());
            mostLayers = std::max(mostLayers, buildUp.layers.size());
        }
        for (const Area& area : plan.areas) {
            openings = std::max(openings, area.openings.size());
            rings += area.around.size();
            for (const OutlineEdge& edge : area.outline.edges) arcs += edge.through ? 1U : 0U;
        }
        around += rings == 1 ? 1U : 0U;
        nested += rings == 3 ? 1U : 0U;
        spots += plan.finishes.front().spots.empty() ? 0U : 1U;
    }
    EXPECT_EQ(fewestAreas, 1U);
    EXPECT_EQ(mostAreas, 6U);
    EXPECT_EQ(fewestLayers, 3U);
    EXPECT_EQ(mostLayers, 10U);  // nine, and the fill
    EXPECT_EQ(fewestShots, 0U);
    EXPECT_GT(mostShots, 400U);
    EXPECT_LE(mostShots, 500U);
    EXPECT_EQ(mostTops, 3U);
    EXPECT_GE(openings, 2U);
    for (const size_t count : {arcs, around, nested, spots}) EXPECT_GT(count, 20U);
}

// ---------------------------------------------------------------- the shrinker and the child

TEST(Shrinker, LeavesOutWhatDoesNotMatter) {
    // "Fails" when there is an area with an opening, and more than four shots: 5 shots, 1 area, 1 opening
    // stay.
    const auto fails = [](const Plan& plan) {
        size_t openings = 0;
        for (const Area& area : plan.areas) openings += area.openings.size();
        return openings > 0 && plan.ground.shots.size() > 4;
    };
    uint64_t seed = 1;
    while (!fails(randomPlan(seed)) || randomPlan(seed).areas.size() < 4) ++seed;
    const Plan small = shrunk(randomPlan(seed), fails);
    ASSERT_EQ(small.areas.size(), 1U);
    EXPECT_EQ(small.areas[0].openings.size(), 1U);
    EXPECT_EQ(small.ground.shots.size(), 5U);
    EXPECT_TRUE(small.measuredTops.empty());
    EXPECT_EQ(small.buildUps.size(), 1U);
    EXPECT_EQ(small.buildUps[0].layers.size(), 1U);
}

TEST(InChild, TellsHowTheCheckEnded) {
    EXPECT_EQ(inChild([] { return Fault{}; }, 10), std::nullopt);
    EXPECT_EQ(inChild([] { return Fault{"wrong"}; }, 10), "wrong");
    EXPECT_EQ(inChild([]() -> Fault { std::_Exit(7); }, 10), "it ends with code 7");
    EXPECT_EQ(inChild(
                  []() -> Fault {
                      for (volatile bool on = true; on;) {
                      }
                      return {};
                  },
                  1),
              "it takes too long");
}

// ---------------------------------------------------------------- kept plans

std::vector<fs::path> keptPlans() {
    std::vector<fs::path> files;
    const fs::path folder = fs::path(UNDERFOOT_SOURCE_DIR) / "tests/random/kept";
    if (fs::is_directory(folder))
        for (const auto& entry : fs::directory_iterator(folder)) files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    return files;
}

class KeptPlan : public ::testing::TestWithParam<fs::path> {};
GTEST_ALLOW_UNINSTANTIATED_PARAMETERIZED_TEST(KeptPlan);

TEST_P(KeptPlan, HoldsEveryProperty) {
    const Checked<Plan> plan = readPlan(GetParam());
    ASSERT_TRUE(plan) << formatDiagnostic(plan.error().front());
    for (const Property& property : properties())
        EXPECT_EQ(faultOf(property, *plan), std::nullopt) << property.name;
}
INSTANTIATE_TEST_SUITE_P(Earlier, KeptPlan, ::testing::ValuesIn(keptPlans()),
                         [](const ::testing::TestParamInfo<fs::path>& at) {
                             std::string name = at.param.stem().string();
                             std::replace_if(
                                 name.begin(), name.end(),
                                 [](char c) { return !std::isalnum(static_cast<unsigned char>(c)); }, '_');
                             return name;
                         });

}  // namespace
}  // namespace underfoot::testing
