#include <cstdio>
#include <exception>
#include <string>
#include <vector>

#include "command/app.h"
#include "command/exit_code.h"

int main(int argc, char** argv) {
    using underfoot::command::ExitCode;
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
