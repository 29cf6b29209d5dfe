#include "plan/document.h"

#include <string>

#include <gtest/gtest.h>

#include "plan/nesting.h"
#include "plan/words.h"

namespace underfoot {
namespace {

std::string repeated(std::string_view piece, int times) {
    std::string text;
    for (int i = 0; i < times; ++i) text += piece;
    return text;
}

TEST(Documents, keepTheirOrderAndPlaces) {
    const auto root = readDocument("b = 1\na = [ \"x\", true ]\n[t]\nc = { d = 2.5 }\n", "f");
    ASSERT_TRUE(root);
    const auto& members = *root->as<Value::Table>();
    ASSERT_EQ(members.size(), 3u);
    EXPECT_EQ(members[0].key, "b");
    EXPECT_EQ(members[1].key, "a");
    EXPECT_EQ(members[1].line, 2);
    EXPECT_EQ(members[1].value.as<Value::List>()->at(1).column, 12);
    EXPECT_DOUBLE_EQ(*root->find("t")->find("c")->find("d")->as<double>(), 2.5);
}

TEST(Documents, tablesInBracesMayGoOnOverLines) {
    const auto root = readDocument("a = {\n  b = 1,\n  c = 2,\n}\n", "f");
    ASSERT_TRUE(root) << formatDiagnostic(root.error());
    EXPECT_DOUBLE_EQ(*root->find("a")->find("c")->as<double>(), 2);
}

TEST(DeepNesting, isRefusedGracefully) {
    for (const int depth : {greatestNesting + 1, 1000, 1000000}) {
        for (const std::string& text : {"a = " + repeated("[", depth) + repeated("]", depth),
                                        "a = " + repeated("{ a = ", depth) + "1" + repeated(" }", depth),
                                        "a = " + repeated("[", depth)}) {
            const auto root = readDocument(text, "f");
            ASSERT_FALSE(root);
            EXPECT_NE(root.error().what.find("nested more than 32 deep"), std::string::npos);
            EXPECT_EQ(root.error().place.line, 1);
        }
    }
    EXPECT_TRUE(readDocument("a = " + repeated("[", greatestNesting) + repeated("]", greatestNesting), "f"));
}

TEST(DeepNesting, longDottedKeysAreRefused) {
    for (const std::string& key :
         {repeated("a.", 1000000) + "a", repeated("\"a\".", 1000000) + "a", repeated("a . ", 100) + "a"}) {
        EXPECT_FALSE(readDocument(key + " = 1\n", "f"));
        EXPECT_FALSE(readDocument("[" + key + "]\n", "f"));
        EXPECT_FALSE(readDocument("x = { " + key + " = 1 }\n", "f"));
    }
    EXPECT_TRUE(readDocument(repeated("a.", greatestKeyParts - 1) + "a = 1\n", "f"));
}

TEST(DeepNesting, textsAndRemarksDoNotCount) {
    const std::string brackets = repeated("[", 100), dots = repeated("a.", 100);
    EXPECT_TRUE(readDocument("# " + brackets + dots + "\na = \"" + brackets + dots + "\"\nb = '" + brackets +
                                 dots + "'\nc = \"\"\"\n" + brackets + dots + "\n\\\"\"\"\"\nd = '''" +
                                 brackets + dots + "\n'''\n",
                             "f"));
    EXPECT_FALSE(readDocument("a = \"\"\"x\"\"\"\nb = " + brackets, "f"));
}

TEST(Documents, signsBeyondAsciiAreFineInTextsAndRemarks) {
    const auto root =
        readDocument("# größe\na = \"größe ½ 庭\"\n\"türe\" = '''ö'''\nb = \"\"\"\\\n  ä\uFEFE\"\"\"\n", "f");
    ASSERT_TRUE(root) << formatDiagnostic(root.error());
    EXPECT_EQ(*root->find("a")->as<std::string>(), "größe ½ 庭");
    EXPECT_EQ(*root->find("b")->as<std::string>(), "ä\uFEFE");
    EXPECT_TRUE(root->find("türe"));
    for (const char* odd : {"ä = 1\n", "a = ä\n", "a = [ 、 ]\n", "\uFEFEd"})
        EXPECT_FALSE(readDocument(odd, "f"));
}

TEST(OpenBrackets, innermostIsNamed) {
    const auto open = openBracketAt("a = [\n  { b = 1,\n", 3, 1);
    ASSERT_TRUE(open);
    EXPECT_EQ(open->bracket, '{');
    EXPECT_EQ(open->line, 2);
    EXPECT_EQ(open->column, 3);
    EXPECT_FALSE(openBracketAt("a = [ 1 ]\nb = ", 2, 5));
}

TEST(NearestWords, areFoundByLettersChanged) {
    const std::vector<std::string> known{"bedding", "base", "units", "underlayment"};
    EXPECT_EQ(nearestWord("beding", known), "bedding");
    EXPECT_EQ(nearestWord("Unit", known), "units");
    EXPECT_EQ(nearestWord("basse", known), "base");
    EXPECT_EQ(nearestWord("untis", known), "units");
    EXPECT_EQ(nearestWord("underlyament", known), "underlayment");
    EXPECT_FALSE(nearestWord("zzzzzz", known));
    EXPECT_FALSE(nearestWord(repeated("x", 100000), known));
    EXPECT_EQ(suggestion("zzzzzz", {"a", "b"}), "Known are \"a\" and \"b\".");
}

TEST(Roles, haveTheWordsOfThePlanFile) {
    for (const std::string& name : roleNames()) EXPECT_EQ(roleName(*roleFromName(name)), name);
    EXPECT_STREQ(roleName(Role::InfillStone), "infill stone");
    EXPECT_STREQ(roleName(Role::ProtectiveSand), "protective sand");
    EXPECT_EQ(roleNames().size(), 9u);
}

}  // namespace
}  // namespace underfoot
