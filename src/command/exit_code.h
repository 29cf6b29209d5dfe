#pragma once
// What the program answers its caller with.

namespace underfoot::command {

enum class ExitCode {
    Fine = 0,
    FindingsPresent = 1,  ///< check: there is something to look at
    BadUsage = 2,         ///< the command line asks for something that does not exist
    PlanWrong = 3,        ///< the plan or a file it names cannot be read, or is wrong
    CannotWrite = 4,      ///< the answer could not be written
    NoGraphics = 5,       ///< no OpenGL, no display, or built without pictures
    NothingThere = 6,     ///< the place asked for lies outside the plan: there is nothing to answer with
    Fault = 70,           ///< a fault of the program itself
};

/// The list as `--help` shows it.
const char* exitCodesHelp();

}  // namespace underfoot::command
