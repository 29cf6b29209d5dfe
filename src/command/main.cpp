#include <climits>
#include <cstdio>
#include <exception>
#include <string>
#include <vector>

#include "command/app.h"
#include "command/exit_code.h"

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace {

/// A large model is made step by step, and memory that one step leaves is what the next one needs: giving it
/// back to the system between them, and being handed it anew page by page, takes longer than many a step.
void keepMemory() {
#ifdef __GLIBC__
    mallopt(M_MMAP_THRESHOLD, 1 << 30);
    mallopt(M_TRIM_THRESHOLD, INT_MAX);
#endif
}

}  // namespace

int main(int argc, char** argv) {
    using underfoot::command::ExitCode;
    keepMemory();
    try {
        const std::vector<std::string> arguments(argv, argv + argc);
        return static_cast<int>(underfoot::command::runCommand(arguments));
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "underfoot: a fault of the program itself: %s\n", fault.what());
    } catch (...) {
        std::fputs("underfoot: a fault of the program itself.\n", stderr);
    }
    return static_cast<int>(ExitCode::Fault);
}
