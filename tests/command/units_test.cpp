// The verb that counts units.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

using testing::HasSubstr;

TEST(UnitsVerb, TableCsvAndJsonAgree) {
    const Folder folder;
    const Ran text = underfoot("units scenes/courtyard.toml --pieces --csv " + (folder / "a.csv").string());
    ASSERT_EQ(text.code, 0) << text.err;
    EXPECT_THAT(text.out, HasSubstr("court 41 "));
    EXPECT_THAT(text.out, testing::Not(HasSubstr("court 42 ")));
    EXPECT_EQ(linesOf(readFile(folder / "a.csv")).size(), 42u);  // one a cut piece and the heads
    const Ran json = underfoot("units scenes/courtyard.toml --json");
    ASSERT_EQ(json.code, 0) << json.err;
    const auto root = nlohmann::json::parse(json.out);
    const auto& count = root["units"][0];
    EXPECT_EQ(count["pieces"].size(), 41u);
    EXPECT_EQ(count["bought"].get<int>(), count["whole"].get<int>() + count["sawn_units"].get<int>());
    EXPECT_LE(count["sawn_units_at_least"].get<int>(), count["sawn_units"].get<int>());
    EXPECT_TRUE(root["start_lines"].empty());
}

TEST(UnitsVerb, StartLineIsForThePlan) {
    const Ran ran = underfoot("units scenes/courtyard.toml --start-line");
    ASSERT_EQ(ran.code, 0) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("In the plan, in the units of this area: start = ["));
}

TEST(UnitsVerb, APlanWithoutUnitsSaysSo) {
    const Ran ran = underfoot("units scenes/first-plan.toml");
    EXPECT_EQ(ran.code, 0);
    EXPECT_THAT(ran.out, HasSubstr("lays out no units"));
}

TEST(UnitsVerb, HerringboneHasNoMirrorLines) {
    const Ran ran = underfoot("units scenes/terrace.toml --start-line --symmetrical");
    EXPECT_EQ(ran.code, 0);
    EXPECT_THAT(ran.err, HasSubstr("no mirror lines"));
}

}  // namespace
}  // namespace underfoot::test
