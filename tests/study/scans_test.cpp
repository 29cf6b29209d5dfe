// Scans on their way through a model: what is kept, what is told, what is found.

#include <cmath>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "../model/make_plan.h"
#include "plan/catalogue.h"
#include "study/findings.h"
#include "study/notes.h"

namespace underfoot {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;
using ::testing::StartsWith;

/// Points over x and y from -2 to 6 on the plane z = 9.5 + 0.01 x, scattered by `noise`.
Scan scanOf(int count, double noise) {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> place(-2, 6);
    std::normal_distribution<double> off(0, 1);
    Scan scan;
    for (int i = 0; i < count; ++i) {
        const double x = place(random), y = place(random);
        scan.points.emplace_back(x, y, 9.5 + 0.01 * x + noise * off(random));
    }
    return scan;
}

/// A court from (0, 0) to (4, 3) with its finish at 10, on scanned ground.
Plan planOn(Scan scan) {
    Plan plan = made::plainPlan({0, 0}, {4, 3}, 10, {});
    plan.ground.scan = std::move(scan);
    return plan;
}

Model modelOf(const Plan& plan) {
    auto model = buildModel(plan);
    EXPECT_TRUE(model.has_value());
    return *std::move(model);
}

std::vector<Finding> deviations(const Model& model) {
    std::vector<Finding> found;
    for (const Finding& finding : findings(model, loadCatalogue(model.plan)))
        if (finding.kind == FindingKind::ScanDeviates) found.push_back(finding);
    return found;
}

TEST(Scans, aModelStandsOnWhatThinningLeaves) {
    const Model model = modelOf(planOn(scanOf(50000, 0)));
    ASSERT_THAT(model.scans, SizeIs(1));
    const ThinnedScan& scan = model.scans.front();
    EXPECT_EQ(scan.layer, "");
    EXPECT_EQ(scan.measured, 50000u);
    EXPECT_LT(scan.kept, 100u);  // the corners of the hull
    EXPECT_EQ(scan.wanted, 0.001);
    EXPECT_LE(scan.greatest, 1e-6);
    EXPECT_LT(model.cells.size(), 2000u);
    EXPECT_THAT(deviations(model), IsEmpty());
    // The ground is the plane, to the error.
    for (const Cell& cell : model.cells)
        for (int c = 0; c < 3; ++c) {
            const glm::dvec2 at = model.toPlan(model.at(cell, c));
            if (at.x < 0 || at.x > 4 || at.y < 0 || at.y > 3) continue;
            EXPECT_NEAR(model.factsAt(cell, c).ground, 9.5 + 0.01 * at.x, 1e-6);
        }
}

TEST(Scans, whatWasDoneIsTold) {
    EXPECT_THAT(
        notes(modelOf(planOn(scanOf(50000, 0)))),
        ElementsAre(::testing::AllOf(StartsWith("Of the ground's scan "),
                                     HasSubstr(" of 50,000 points are kept; the farthest lies 0.0 mm"))));
    EXPECT_THAT(notes(modelOf(planOn(scanOf(50000, 0.002)))),
                ElementsAre(::testing::AllOf(StartsWith("The 50,000 points of the ground's scan scatter by "),
                                             HasSubstr("averaged over squares of 125.0 mm"))));
    EXPECT_THAT(notes(modelOf(made::plainPlan({0, 0}, {4, 3}, 10, made::planeShots(9.5)))), IsEmpty());
}

TEST(Scans, areToldInInchesToWhoReadsInches) {
    Plan plan = planOn(scanOf(50000, 0.00254));  // a tenth of an inch
    plan.show = {LengthStyle::FeetInches, 16};
    EXPECT_THAT(notes(modelOf(plan)), ElementsAre(HasSubstr("scatter by 0.10 in")));
}

TEST(Scans, aPlansOwnErrorRules) {
    Scan scan = scanOf(20000, 0.002);
    scan.thinTo = 0.05;
    const Model model = modelOf(planOn(scan));
    EXPECT_EQ(model.scans.at(0).wanted, 0.05);
    EXPECT_EQ(model.scans.at(0).square, 0);  // 2 mm of scatter is little beside 50 mm
    EXPECT_LE(model.scans.at(0).greatest, 0.05);
    Plan plan = planOn(scanOf(20000, 0.002));
    plan.limits.push_back({"scan.thin_to", 0.05, "Rough ground.", {}});
    EXPECT_EQ(modelOf(plan).scans.at(0).wanted, 0.05);
    plan.limits.back().value = 0;  // nothing is finer than nothing
    plan.limits.push_back({"scan.kept", 50, "", {}});
    EXPECT_GT(modelOf(plan).scans.at(0).error, 0);
}

TEST(Scans, aCoarserErrorThanAskedForIsFound) {
    Plan plan = planOn(scanOf(20000, 0.002));
    plan.limits.push_back({"scan.kept", 20, "Little memory.", {}});
    plan.limits.push_back({"scan.average", 0, "Every point counts.", {}});
    const Model model = modelOf(plan);
    const std::vector<Finding> found = deviations(model);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_EQ(found[0].rule, "scan.kept");
    EXPECT_EQ(found[0].wanted, 0.001);
    EXPECT_EQ(found[0].measured, model.scans.at(0).error);
    EXPECT_LE(model.scans.at(0).greatest, model.scans.at(0).error);
    EXPECT_THAT(found[0].what, HasSubstr("instead of 1.0 mm: else more than 20 of its points"));
}

TEST(Scans, aStrayPointIsFound) {
    Scan scan = scanOf(50000, 0.002);
    EXPECT_THAT(deviations(modelOf(planOn(scan))), IsEmpty());
    scan.points.emplace_back(1.5, 2.5, 9.515 + 0.4);  // a boot, 0.4 m above the ground
    const Model model = modelOf(planOn(scan));
    const std::vector<Finding> found = deviations(model);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, 0.4, 0.006);  // from the others' surface, to three times their scatter
    EXPECT_NEAR(model.toPlan(found[0].at).x, 1.5, 1e-6);
    EXPECT_NEAR(model.toPlan(found[0].at).y, 2.5, 1e-6);
}

TEST(Scans, aMeasuredTopMayBeOne) {
    // The bedding's top 60 mm under the finish where 50 mm of units belong: scanned, and of no shot.
    Plan plan = made::plainPlan({0, 0}, {4, 3}, 10, made::planeShots(9.5));
    MeasuredTop top;
    top.layer = "base";
    std::mt19937 random(3);
    std::uniform_real_distribution<double> place(0, 1);
    for (int i = 0; i < 20000; ++i) top.scan.points.emplace_back(4 * place(random), 3 * place(random), 9.915);
    plan.measuredTops.push_back(top);
    const Model model = modelOf(plan);
    ASSERT_THAT(model.scans, SizeIs(1));
    EXPECT_EQ(model.scans[0].layer, "base");
    EXPECT_THAT(notes(model), ElementsAre(StartsWith("Of the scan of \"base\" ")));
    // 10 - 0.05 of units - 9.915: the bedding takes up 35 mm.
    const LayerId bedding = model.findLayer("bedding");
    int seen = 0;
    for (const Cell& cell : model.cells) {
        const Column& column = model.columnOf(cell);
        if (column.area != 0 || column.beyond) continue;
        for (size_t e = 0; e < column.entries.size(); ++e)
            if (column.entries[e].layer == bedding) {
                ++seen;
                EXPECT_NEAR(model.thickness(cell, 0, static_cast<int>(e)), 0.035, 1e-9);
            }
    }
    EXPECT_GT(seen, 0);
}

}  // namespace
}  // namespace underfoot
