#include "command/run_underfoot.h"

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>

namespace underfoot::test {

namespace {

std::string quoted(const std::string& text) {
    return "'" + text + "'";
}

std::string readAll(FILE* pipe) {
    std::string out;
    char buffer[4096];
    for (size_t got = 0; (got = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;) out.append(buffer, got);
    return out;
}

}  // namespace

Ran underfoot(const std::string& arguments, const std::filesystem::path& folder, const std::string& redirect,
              const std::string& environment) {
    const Folder own;
    const auto errors = own / "stderr";
    const auto where = folder.empty() ? std::filesystem::path(UNDERFOOT_SOURCE_DIR) : folder;
    const std::string line = "cd " + quoted(where) + " && env " + environment + " " +
                             quoted(UNDERFOOT_BINARY) + " " + arguments + " 2>" + quoted(errors) +
                             " </dev/null " + redirect;
    Ran ran;
    FILE* pipe = popen(line.c_str(), "r");
    if (pipe == nullptr) return ran;
    ran.out = readAll(pipe);
    const int status = pclose(pipe);
    if (WIFEXITED(status)) ran.code = WEXITSTATUS(status);
    ran.err = readFile(errors);
    return ran;
}

Folder::Folder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "underfoot-test-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no folder for the test could be made");
    path_ = pattern;
}

Folder::~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
}

std::vector<std::string> Folder::names() const {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(path_))
        names.push_back(entry.path().filename());
    std::sort(names.begin(), names.end());
    return names;
}

std::string readFile(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::stringstream all;
    all << in.rdbuf();
    return all.str();
}

void writeText(const std::filesystem::path& file, const std::string& text) {
    std::ofstream out(file, std::ios::binary);
    out << text;
}

std::filesystem::path source(const std::string& name) {
    return std::filesystem::path(UNDERFOOT_SOURCE_DIR) / name;
}

std::vector<std::string> linesOf(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

}  // namespace underfoot::test
