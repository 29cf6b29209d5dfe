// The plain table: alignment that survives characters of more than one byte.

#include "command/table.h"

#include <gtest/gtest.h>

namespace underfoot::command {
namespace {

TEST(Table, FirstColumnStandsLeftTheOthersRight) {
    Table table({"Layer", "Volume"});
    table.add({"sand", "7.5 ft³"});
    table.add({"units", "23.8 ft³"});
    EXPECT_EQ(table.text(),
              "  Layer    Volume\n"
              "  sand    7.5 ft³\n"
              "  units  23.8 ft³\n");
}

TEST(Table, ColumnsFromOneOnCanStandLeftAndNoBlanksEndALine) {
    Table table({"A", "B", "C"}, 2);
    table.add({"a", "1", "short"});
    table.add({"aa", "22", "longer text"});
    EXPECT_EQ(table.text(),
              "  A    B  C\n"
              "  a    1  short\n"
              "  aa  22  longer text\n");
}

TEST(Table, WidthCountsCharactersNotBytes) {
    EXPECT_EQ(columnsWide("ft²"), 3u);
    EXPECT_EQ(columnsWide("6 1/2″"), 6u);
    EXPECT_EQ(columnsWide(""), 0u);
}

TEST(Table, MarksOnALetterTakeNoColumnAndWideLettersTwo) {
    EXPECT_EQ(columnsWide("e\u0301"), 1u);               // e and a combining acute
    EXPECT_EQ(columnsWide("a\u0308o\u0308\u0323"), 2u);  // two marks on one letter
    EXPECT_EQ(columnsWide("\u5ead"), 2u);
    EXPECT_EQ(columnsWide("\U0001F333"), 2u);
    Table table({"Area", "Deep"});
    table.add({"cre\u0301pi", "2 in"});
    table.add({"crepi", "3 in"});
    EXPECT_EQ(table.text(), "  Area   Deep\n  cre\u0301pi  2 in\n  crepi  3 in\n");
}

}  // namespace
}  // namespace underfoot::command
