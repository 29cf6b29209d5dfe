#pragma once
// Standard output and standard error: colours, progress, and whether everything was written.

#include <condition_variable>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>

#include "command/exit_code.h"

namespace underfoot::command {

/// Prints to standard output.
void print(std::string_view text);
/// "underfoot: " and a sentence, on standard error.
void complain(std::string_view sentence);

/// Bold, or the colour for what wants attention, where standard output is a terminal that shows it; else the
/// text as it is. NO_COLOR (any value but the empty one) turns both off.
std::string bold(std::string_view text);
std::string attention(std::string_view text);

/// Flushes standard output. `code` when all of it was written; else says so and answers CannotWrite.
ExitCode finishOutput(ExitCode code);

/// Says on standard error what is being done, when it takes longer than half a second and standard error is a
/// terminal; takes the words away again at its end.
class Progress {
  public:
    explicit Progress(std::string what);
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

  private:
    std::string what_;
    std::mutex mutex_;
    std::condition_variable ended_;
    bool end_ = false;
    std::thread thread_;
};

}  // namespace underfoot::command
