// What changes when a person sits at the other end: colour, and only where it is wanted.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

using testing::HasSubstr;
using testing::Not;

/// What `underfoot check` writes on a terminal (util-linux `script` gives it one).
std::string onATerminal(const std::string& environment) {
    const std::string line = "cd '" UNDERFOOT_SOURCE_DIR "' && env -u NO_COLOR " + environment +
                             " script -qec \"'" UNDERFOOT_BINARY
                             "' check scenes/courtyard.toml\" /dev/null </dev/null";
    FILE* pipe = popen(line.c_str(), "r");
    if (pipe == nullptr) return "";
    std::string out;
    char buffer[4096];
    for (size_t got = 0; (got = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;) out.append(buffer, got);
    pclose(pipe);
    return out;
}

TEST(Terminal, FindingsStandOutInColour) {
    EXPECT_THAT(onATerminal("TERM=xterm"), HasSubstr("\x1b[33mBed short"));
}

TEST(Terminal, NoColourWhereThePersonOrTheTerminalWantsNone) {
    for (const char* environment : {"TERM=xterm NO_COLOR=1", "TERM=dumb"}) {
        const std::string out = onATerminal(environment);
        EXPECT_THAT(out, HasSubstr("Bed short")) << environment;
        EXPECT_THAT(out, Not(HasSubstr("\x1b[33m"))) << environment;
    }
}

TEST(Terminal, AnEmptyNoColorCountsAsNone) {
    // no-color.org: only a value that is not empty counts.
    EXPECT_THAT(onATerminal("TERM=xterm NO_COLOR="), HasSubstr("\x1b[33m"));
}

}  // namespace
}  // namespace underfoot::test
