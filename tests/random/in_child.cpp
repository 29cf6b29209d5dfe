#include "random/in_child.h"

#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstring>

namespace underfoot::testing {
namespace {

[[noreturn]] void answer(const std::function<std::optional<std::string>()>& check, int to, unsigned seconds) {
    ::alarm(seconds);
    const std::optional<std::string> fault = check();
    if (!fault) ::_exit(0);
    size_t written = 0;
    while (written < fault->size()) {
        const ssize_t n = ::write(to, fault->data() + written, fault->size() - written);
        if (n <= 0) break;
        written += static_cast<size_t>(n);
    }
    ::_exit(1);
}

std::string readAll(int from) {
    std::string text;
    char buffer[1024];
    for (ssize_t n = 0; (n = ::read(from, buffer, sizeof buffer)) > 0;)
        text.append(buffer, static_cast<size_t>(n));
    return text;
}

}  // namespace

std::optional<std::string> inChild(const std::function<std::optional<std::string>()>& check,
                                   unsigned seconds) {
    int ends[2];
    if (::pipe(ends) != 0) return "no pipe to a process of its own";
    const pid_t child = ::fork();
    if (child < 0) return "no process of its own";
    if (child == 0) {
        ::close(ends[0]);
        answer(check, ends[1], seconds);
    }
    ::close(ends[1]);
    std::string text = readAll(ends[0]);
    ::close(ends[0]);
    int status = 0;
    ::waitpid(child, &status, 0);
    if (WIFSIGNALED(status) && WTERMSIG(status) == SIGALRM) return "it takes too long";
    if (WIFSIGNALED(status)) return std::string("it ends with ") + ::strsignal(WTERMSIG(status));
    if (WEXITSTATUS(status) == 0) return std::nullopt;
    return text.empty() ? "it ends with code " + std::to_string(WEXITSTATUS(status)) : text;
}

}  // namespace underfoot::testing
