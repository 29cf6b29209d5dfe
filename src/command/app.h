#pragma once
// The command line as a whole.

#include <span>
#include <string>

#include "command/exit_code.h"

namespace underfoot::command {

/// Runs one command line; arguments as main() gets them, the program's name first. Answers on standard
/// output, complaints on standard error. May throw only what the standard library throws.
ExitCode runCommand(std::span<const std::string> arguments);

}  // namespace underfoot::command
