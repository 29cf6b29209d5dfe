// Heights from rod readings and from strings, through the reader.

#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "plan_text.h"

namespace underfoot {
namespace {

using test::foot;

/// Ground shots of the sound plan with all its own replaced by `ways`; in feet.
std::vector<double> heights(const std::string& ways) {
    const std::string text(test::soundPlan);
    const size_t from = text.find("shots = [\n"), to = text.find("[[measured_top]]");
    const Plan plan = test::sound(text.substr(0, from) + ways + "\n" + text.substr(to));
    std::vector<double> feet;
    for (const Shot& shot : plan.ground.shots) feet.push_back(shot.height / foot);
    return feet;
}

std::string rod(double benchmark, double backsight, const std::vector<double>& readings) {
    std::string shots;
    for (size_t i = 0; i < readings.size(); ++i)
        shots += fmt::format("[{}, {}, {}], ", i, i * i, readings[i]);
    return fmt::format("{{ benchmark = {}, backsight = {}, shots = [ {} ] }}", benchmark, backsight, shots);
}

TEST(Levelling, manyShotsFromOneSetUp) {
    // Levelling worked example: benchmark 40.000, backsight 1.26, so HI 41.26; heights are HI less each
    // reading.
    const auto found = heights("rod = " + rod(40, 1.26, {1.12, 1.235, 1.39, 1.21, 1.17, 1.49}));
    const std::vector<double> wanted{40.14, 40.025, 39.87, 40.05, 40.09, 39.77};
    ASSERT_EQ(found.size(), wanted.size());
    for (size_t i = 0; i < wanted.size(); ++i) EXPECT_NEAR(found[i], wanted[i], 1e-9);
}

/// Carries the height along turning points: each is read from the set-up before it and is the mark of the
/// next.
std::vector<double> carried(double benchmark, const std::vector<std::pair<double, double>>& setUps) {
    std::vector<double> found;
    for (const auto& [backsight, foresight] : setUps) {
        // Two more readings only make a surface of it.
        const auto one = heights("rod = [ " + rod(benchmark, backsight, {foresight, 5, 5}) + " ]");
        found.push_back(one.empty() ? 0 : one[0]);
        benchmark = found.back();
    }
    return found;
}

TEST(Levelling, turningPoints) {
    // Civil Engineering Survey Review, 3rd ed., Table 8-1: BM1 107.34; BS 7.25 / FS 1.07 -> TP1 113.52;
    // BS 9.66 / FS 0.48 -> TP2 122.70; BS 8.09 / FS 10.70 -> BM2 120.09.
    const auto found = carried(107.34, {{7.25, 1.07}, {9.66, 0.48}, {8.09, 10.70}});
    EXPECT_NEAR(found[0], 113.52, 1e-9);
    EXPECT_NEAR(found[1], 122.70, 1e-9);
    EXPECT_NEAR(found[2], 120.09, 1e-9);
}

TEST(Levelling, misclosure) {
    // Worked levelling example with a known closing mark of 94.91: heights 93.28, 92.76, 98.25, 94.95,
    // misclosure +0.04 ft.
    const auto found = carried(100, {{3.10, 9.82}, {6.44, 6.96}, {8.76, 3.27}, {7.12, 10.42}});
    EXPECT_NEAR(found[0], 93.28, 1e-9);
    EXPECT_NEAR(found[1], 92.76, 1e-9);
    EXPECT_NEAR(found[2], 98.25, 1e-9);
    EXPECT_NEAR(found[3], 94.95, 1e-9);
    EXPECT_NEAR(found[3] - 94.91, 0.04, 1e-9);
}

TEST(Levelling, groundRodAndGradeRod) {
    // US Navy Engineering Aid 14069, fig. 14-36: BM 106.35, BS 4.65, ground rod 2.40: ground 108.60, which is
    // 0.75 above the wanted 107.85.
    const auto found = heights("rod = " + rod(106.35, 4.65, {2.40, 5, 5}));
    EXPECT_NEAR(found[0] - 107.85, 0.75, 1e-9);
}

TEST(Levelling, measuredDownFromAString) {
    // A string from 100 to 99.8 over 10 ft falls 2 %; 3 in and 7 in below it at 5 ft are 99.9 - 0.25 and 99.9
    // - 7/12.
    const auto found = heights(
        "string = { from = [0, 0], from_height = 100, to = [10, 0], to_height = 99.8, shots = [ [5, 0, \"3 "
        "in\"], [0, 0, 0], [5, 0.5, \"3 in\"] ] }");
    ASSERT_EQ(found.size(), 3u);
    EXPECT_NEAR(found[0], 99.9 - 0.25, 1e-9);
    EXPECT_NEAR(found[1], 100, 1e-9);
}

TEST(Levelling, severalSetUps) {
    const auto found = heights(
        "rod = [ { benchmark = 100, backsight = 5, shots = [ [0, 0, 4] ] }, { benchmark = 90, backsight = 5, "
        "shots = [ [9, 1, 4], [1, 9, 3] ] } ]");
    EXPECT_EQ(found.size(), 3u);
    EXPECT_NEAR(found[0], 101, 1e-9);
    EXPECT_NEAR(found[1], 91, 1e-9);
    EXPECT_NEAR(found[2], 92, 1e-9);
}

}  // namespace
}  // namespace underfoot
