// What the JSON of a check says of scans.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "../model/make_plan.h"
#include "share/json.h"

namespace underfoot {
namespace {

TEST(ScansJson, pointsKeptAndTheGreatestDeviationAreThere) {
    Plan plan = made::plainPlan({0, 0}, {4, 3}, 10, {});
    // On a grid of 50 mm, level but for one point 30 mm down.
    for (int x = -20; x <= 100; ++x)
        for (int y = -20; y <= 80; ++y)
            plan.ground.scan.points.emplace_back(0.05 * x, 0.05 * y, x == 30 && y == 20 ? 9.57 : 9.6);
    plan.ground.scan.thinTo = 0.05;
    const auto model = buildModel(plan);
    ASSERT_TRUE(model.has_value());
    const auto scan = nlohmann::json::parse(findingsJson(*model, {})).at("scans").at(0);
    EXPECT_TRUE(scan.at("layer").is_null());
    EXPECT_EQ(scan.at("points"), 121 * 101);
    EXPECT_EQ(scan.at("kept"), 4);
    EXPECT_NEAR(scan.at("wanted").at("m"), 0.05, 1e-12);
    EXPECT_NEAR(scan.at("thinned_to").at("m"), 0.05, 1e-12);
    EXPECT_EQ(scan.at("averaged_over").at("m"), 0);
    EXPECT_NEAR(scan.at("greatest_deviation").at("m"), 0.03, 1e-8);
    EXPECT_NEAR(scan.at("at").at("x_m"), 1.5, 1e-8);
    EXPECT_NEAR(scan.at("at").at("y_m"), 1.0, 1e-8);
}

TEST(ScansJson, withoutAScanTheListIsEmpty) {
    const auto model = buildModel(made::plainPlan({0, 0}, {4, 3}, 10, made::planeShots(9.5)));
    ASSERT_TRUE(model.has_value());
    EXPECT_TRUE(nlohmann::json::parse(findingsJson(*model, {})).at("scans").empty());
}

}  // namespace
}  // namespace underfoot
