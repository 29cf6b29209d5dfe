#include "share/placed_tables.h"

#include <algorithm>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "../model/make_plan.h"

namespace underfoot {
namespace {

using made::shot;

// A hump of 15 mm in the middle of a base otherwise on plan (-75 mm).
Model humped() {
    Plan plan = made::plainPlan({0, 0}, {6, 4}, 0, made::planeShots(-0.175));
    plan.measuredTops.push_back(
        {"base",
         {shot(0, 0, -0.075), shot(6, 0, -0.075), shot(6, 4, -0.075), shot(0, 4, -0.075), shot(3, 2, -0.060)},
         Extend::Nearest,
         {},
         {}});
    return *buildModel(plan);
}

TEST(PlacedTables, JsonSaysWhatWasShotForetoldAndWanted) {
    const Model model = humped();
    const auto root = nlohmann::json::parse(placedJson(model, placed(model, loadCatalogue(model.plan))));
    const auto& top = root.at("tops").at(0);
    EXPECT_EQ(top.at("layer"), "base");
    EXPECT_EQ(top.at("passes"), false);
    EXPECT_NEAR(top.at("surface").at("greatest").at("m").get<double>(), 0.015, 1e-8);
    EXPECT_NEAR(top.at("surface").at("greatest_at").at("x_m").get<double>(), 3, 1e-6);
    EXPECT_EQ(top.at("finishes").at(0).at("way"), "to strings");
    EXPECT_NEAR(top.at("finishes").at(0).at("beds").at(0).at("least").at("m").get<double>(), 0.010, 1e-8);
    EXPECT_EQ(top.at("strings_stay").at("patches").at(0).at("what"), "shave");
    EXPECT_EQ(top.at("strings_stay").at("shift").at("m"), 0);
}

TEST(PlacedTables, CsvHasARowForEachPatch) {
    const Model model = humped();
    const Placed all = placed(model, loadCatalogue(model.plan));
    const std::string csv = placedCsv(model, all);
    const PlacedTop& top = all.tops.at(0);
    const size_t patches = top.surface.high.size() + top.surface.low.size() + top.surface.gaps.size() +
                           top.stringsMove.patches.size();
    EXPECT_GE(patches, 1u);
    EXPECT_EQ(static_cast<size_t>(std::count(csv.begin(), csv.end(), '\n')), patches + 1);
    EXPECT_NE(csv.find("base,high,3.000000"), std::string::npos);
    // Strings raised by 15 - 9.525 = 5.475 mm: the tip is within 3/8 in of plan, and nothing is left to
    // shave.
    EXPECT_NEAR(top.stringsMove.shift, 0.005475, 2e-5);
    EXPECT_EQ(csv.find("shave"), std::string::npos);
}

}  // namespace
}  // namespace underfoot
