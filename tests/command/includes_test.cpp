// The folders depend one way only; every #include line is read and judged.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <regex>
#include <set>

#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

using Names = std::set<std::string>;

/// What each folder may include beside itself.
const std::map<std::string, Names>& allowed() {
    static const std::map<std::string, Names> arrows = {
        {"measure", {}},
        {"plan", {"measure"}},
        {"ground", {"measure"}},
        {"model", {"measure", "plan", "ground"}},
        {"study", {"measure", "plan", "ground", "model"}},
        {"share", {"measure", "plan", "ground", "model", "study"}},
        {"view", {"measure", "plan", "ground", "model", "study"}},
        {"window", {"measure", "plan", "ground", "model", "study", "share", "view"}},
        {"command", {"measure", "plan", "ground", "model", "study", "share", "view", "window"}},
    };
    return arrows;
}

/// Libraries that only some folders may see, by how their headers' names begin, and never in a public header.
const std::map<std::string, Names>& heavy() {
    static const std::map<std::string, Names> owners = {
        {"toml++/", {"plan"}},
        {"fast_float/", {"plan"}},
        {"geos", {"model"}},
        {"tiny_gltf", {}},
        {"CGAL/", {}},
        {"nlohmann/", {"share"}},
        {"zlib", {"share"}},
        {"xlsxwriter", {"share"}},
        {"cairo", {"share", "view"}},
        {"pango/", {"share", "view"}},
        {"fontconfig/", {"view"}},
        {"libdeflate", {"view"}},
        {"epoxy/", {"view", "window"}},
        {"imgui", {"window"}},
        {"backends/imgui", {"window"}},
        {"GLFW/", {"window"}},
        {"CLI/", {"command"}},
        {"fmt/", {"measure", "plan", "ground", "model", "study", "share", "view", "window", "command"}},
    };
    return owners;
}

struct Include {
    std::string file;    ///< of src/, for example "plan/plan.h"
    std::string folder;  ///< "plan"
    bool header = false;
    std::string named;  ///< what stands between the quotes or angle brackets
    bool angled = false;
};

std::vector<Include> includesIn(const std::string& file, const std::string& text) {
    static const std::regex form(R"(^\s*#\s*include\s*([<"])([^>"]+)[>"])");
    std::vector<Include> found;
    for (const std::string& line : linesOf(text)) {
        std::smatch parts;
        if (!std::regex_search(line, parts, form)) continue;
        found.push_back(
            {file, file.substr(0, file.find('/')), file.ends_with(".h"), parts[2], parts[1] == "<"});
    }
    return found;
}

std::vector<Include> allIncludes() {
    std::vector<Include> all;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(source("src"))) {
        const auto kind = entry.path().extension();
        if (kind != ".h" && kind != ".cpp") continue;
        const std::string name = std::filesystem::relative(entry.path(), source("src")).generic_string();
        for (Include& one : includesIn(name, readFile(entry.path()))) all.push_back(std::move(one));
    }
    return all;
}

/// Public headers are those that another folder includes, and those that they include.
Names publicHeaders(const std::vector<Include>& all) {
    Names names;
    for (const Include& one : all)
        if (!one.angled && one.named.substr(0, one.named.find('/')) != one.folder) names.insert(one.named);
    for (size_t before = 0; before != names.size();) {
        before = names.size();
        for (const Include& one : all)
            if (!one.angled && names.contains(one.file)) names.insert(one.named);
    }
    return names;
}

std::string wrongArrow(const Include& one) {
    if (one.angled) return "";
    const size_t slash = one.named.find('/');
    if (slash == std::string::npos) return one.file + " names \"" + one.named + "\" without its folder";
    const std::string target = one.named.substr(0, slash);
    if (target == one.folder) return "";
    const auto arrows = allowed().find(one.folder);
    if (arrows == allowed().end()) return one.file + " stands in a folder that is not known";
    return arrows->second.contains(target) ? "" : one.file + " must not include " + one.named;
}

std::string wrongLibrary(const Include& one, const Names& openHeaders) {
    for (const auto& [begins, owners] : heavy()) {
        if (!one.named.starts_with(begins)) continue;
        if (!owners.contains(one.folder)) return one.file + " must not include " + one.named;
        if (openHeaders.contains(one.file))
            return one.file + " is read by other folders and must not include " + one.named;
    }
    return "";
}

TEST(Includes, FollowTheArrowsBetweenTheFolders) {
    const auto all = allIncludes();
    ASSERT_GT(all.size(), 200u);
    for (const Include& one : all) EXPECT_EQ(wrongArrow(one), "");
}

TEST(Includes, KeepHeavyLibrariesInTheirFolder) {
    const auto all = allIncludes();
    const Names openHeaders = publicHeaders(all);
    ASSERT_TRUE(openHeaders.contains("plan/plan.h"));
    for (const Include& one : all) EXPECT_EQ(wrongLibrary(one, openHeaders), "");
}

TEST(Includes, AWrongArrowIsFound) {
    const auto one = includesIn("plan/bad.h", "  #  include \"study/section.h\"\n").at(0);
    EXPECT_EQ(wrongArrow(one), "plan/bad.h must not include study/section.h");
    const auto view = includesIn("view/bad.cpp", "#include \"share/gltf.h\"\n").at(0);
    EXPECT_EQ(wrongArrow(view), "view/bad.cpp must not include share/gltf.h");
    EXPECT_NE(wrongLibrary(includesIn("study/bad.cpp", "#include <imgui.h>\n").at(0), {}), "");
    EXPECT_NE(wrongLibrary(includesIn("plan/bad.h", "#include <toml++/toml.h>\n").at(0), {"plan/bad.h"}), "");
    // A header that only its own folder names, read by one that others name.
    std::vector<Include> all = includesIn("study/one.cpp", "#include \"model/open.h\"\n");
    for (Include& next : includesIn("model/open.h", "#include \"model/inner.h\"\n")) all.push_back(next);
    const Names open = publicHeaders(all);
    EXPECT_TRUE(open.contains("model/inner.h"));
    EXPECT_NE(wrongLibrary(includesIn("model/inner.h", "#include <geos_c.h>\n").at(0), open), "");
}

/// The types that a header declares for all: structs, classes and enumerations of the project's own
/// namespace.
std::vector<std::string> typesOf(const std::string& header) {
    static const std::regex declared(
        "^(?:struct|class|enum class) ([A-Z][A-Za-z0-9]*)(?: final| :.*)? \\{.*");
    std::vector<std::string> types;
    std::smatch found;
    for (const std::string& line : linesOf(header))
        if (std::regex_match(line, found, declared)) types.push_back(found[1]);
    return types;
}

TEST(Headers, GiveEachTypeANameOfItsOwn) {
    EXPECT_THAT(typesOf("struct A {\nclass B : public A {\nenum class C : int { D };\n  struct E {\n"),
                testing::ElementsAre("A", "B", "C"));
    std::map<std::string, std::string> headerOf;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(source("src"))) {
        if (entry.path().extension() != ".h") continue;
        for (const std::string& type : typesOf(readFile(entry.path()))) {
            const auto [other, isNew] = headerOf.emplace(type, entry.path().string());
            EXPECT_TRUE(isNew) << type << " stands in " << other->second << " and in " << entry.path();
        }
    }
    EXPECT_GT(headerOf.size(), 200u);
}

/// The build enforces what it can: only the named folders' targets link the library.
void expectOnlyFor(const std::string& library, const std::string& folders, const std::string& line) {
    if (line.find(library) == std::string::npos) return;
    EXPECT_THAT(line, testing::ContainsRegex("underfoot_folder.(" + folders + ") "));
}

TEST(Includes, NoFolderLinksLibrariesItMayNotSee) {
    int folders = 0;
    for (const auto& line : linesOf(readFile(source("src/CMakeLists.txt")))) {
        if (line.find("underfoot_folder(") == std::string::npos) continue;
        ++folders;
        expectOnlyFor("TOMLPLUSPLUS", "plan", line);
        expectOnlyFor("GEOS_C", "model", line);
        expectOnlyFor("nlohmann", "share", line);
        expectOnlyFor("XLSXWRITER", "share", line);
        expectOnlyFor("CAIRO", "share|view", line);
        expectOnlyFor("DEFLATE", "view", line);
        expectOnlyFor("IMGUI", "window", line);
    }
    EXPECT_GE(folders, 8);
}

}  // namespace
}  // namespace underfoot::test
