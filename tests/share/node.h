#pragma once
// Runs the small scripts of npm/ on a file: other people's software looks at what this program wrote.

#include <unistd.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace underfoot::test {

struct Ran {
    int status = -1;
    std::string out;
};

inline Ran run(const std::string& command) {
    Ran ran;
    FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
    if (pipe == nullptr) return ran;
    std::array<char, 65536> buffer{};
    for (size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
        ran.out.append(buffer.data(), n);
    const int status = ::pclose(pipe);
    ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return ran;
}

inline const char* const npmFolder = UNDERFOOT_SOURCE_DIR "/tests/share/npm";

/// False only where the person who runs the tests said so.
inline bool npmWanted() {
    return std::getenv("UNDERFOOT_NO_NPM") == nullptr;
}
inline bool npmInstalled() {
    return std::filesystem::exists(std::string(npmFolder) + "/node_modules/gltf-validator");
}

inline Ran script(const char* name, const std::filesystem::path& file) {
    return run(std::string("node '") + npmFolder + '/' + name + "' '" + file.string() + "'");
}

/// A file that goes away again.
class PassingFile {
  public:
    PassingFile(const std::string& name, const std::string& bytes)
        : path_(std::filesystem::temp_directory_path() /
                ("underfoot-" + std::to_string(::getpid()) + "-" + name)) {
        std::ofstream(path_, std::ios::binary) << bytes;
    }
    ~PassingFile() {
        std::error_code trouble;
        std::filesystem::remove(path_, trouble);
    }
    PassingFile(const PassingFile&) = delete;
    PassingFile& operator=(const PassingFile&) = delete;
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

}  // namespace underfoot::test

/// At the start of a test that needs the packages of npm/.
#define NEEDS_NPM()                                                               \
    if (!underfoot::test::npmWanted()) GTEST_SKIP() << "UNDERFOOT_NO_NPM is set"; \
    ASSERT_TRUE(underfoot::test::npmInstalled())                                  \
        << "run: npm ci --prefix tests/share/npm (or set UNDERFOOT_NO_NPM)"
