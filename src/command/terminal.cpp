#include "command/terminal.h"

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <utility>

#include <unistd.h>

namespace underfoot::command {

namespace {

bool coloured() {
    const char* none = std::getenv("NO_COLOR");
    const char* kind = std::getenv("TERM");
    const bool dumb = kind == nullptr || std::string_view(kind) == "dumb";
    return (none == nullptr || *none == '\0') && !dumb && isatty(STDOUT_FILENO) != 0;
}

std::string dressed(std::string_view code, std::string_view text) {
    if (!coloured() || text.empty()) return std::string(text);
    return "\x1b[" + std::string(code) + "m" + std::string(text) + "\x1b[0m";
}

}  // namespace

void print(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stdout);
}

void complain(std::string_view sentence) {
    std::fprintf(stderr, "underfoot: %.*s\n", static_cast<int>(sentence.size()), sentence.data());
}

std::string bold(std::string_view text) {
    return dressed("1", text);
}
std::string attention(std::string_view text) {
    return dressed("33", text);
}

ExitCode finishOutput(ExitCode code) {
    const bool written = std::fflush(stdout) == 0 && std::ferror(stdout) == 0;
    if (written) return code;
    complain("Standard output could not be written. Is the disk full?");
    return ExitCode::CannotWrite;
}

Progress::Progress(std::string what) : what_(std::move(what)) {
    if (isatty(STDERR_FILENO) == 0) return;
    thread_ = std::thread([this] {
        std::unique_lock lock(mutex_);
        if (ended_.wait_for(lock, std::chrono::milliseconds(500), [this] { return end_; })) return;
        std::fprintf(stderr, "%s …", what_.c_str());
        ended_.wait(lock, [this] { return end_; });
        std::fputs("\r\x1b[K", stderr);
    });
}

Progress::~Progress() {
    if (!thread_.joinable()) return;
    {
        const std::lock_guard lock(mutex_);
        end_ = true;
    }
    ended_.notify_one();
    thread_.join();
}

}  // namespace underfoot::command
