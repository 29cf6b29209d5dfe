#pragma once
// The command line: its verbs and their options. What parses it is known to command_line.cpp alone.

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "command/exit_code.h"

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace underfoot::command {

/// What a verb does once the whole line was read.
using Action = std::function<ExitCode()>;

/// One option of a verb, to say more about it. Stays good as long as its command line.
class Option {
  public:
    Option& needs(const Option& other);     ///< only together with the other
    Option& excludes(const Option& other);  ///< never together with the other
    Option& within(double least, double greatest);
    Option& within(int least, int greatest);
    Option& oneOf(const std::vector<std::string>& words);
    Option& required();
    Option& repeated();     ///< may be given again; each time takes one value
    Option& showDefault();  ///< in the help

  private:
    friend class Verb;
    explicit Option(CLI::Option* held) : held_(held) {}
    CLI::Option* held_;
};

/// A verb whose options are being told. What options are read into must outlive the reading. Stays good as
/// long as its command line.
class Verb {
  public:
    Verb() = default;
    /// A name without dashes is a value at its place in the line.
    Option addOption(const std::string& name, std::string& into, const std::string& does);
    Option addOption(const std::string& name, std::vector<std::string>& into, const std::string& does);
    Option addOption(const std::string& name, double& into, const std::string& does);
    Option addOption(const std::string& name, int& into, const std::string& does);
    Option addFlag(const std::string& name, bool& into, const std::string& does);

  private:
    friend class CommandLine;
    explicit Verb(CLI::App* held) : held_(held) {}
    CLI::App* held_ = nullptr;
};

class CommandLine {
  public:
    /// `footer` stands below the list of verbs.
    CommandLine(const std::string& program, const std::string& version, const std::string& does,
                const std::string& footer);
    CommandLine(const CommandLine&) = delete;
    CommandLine& operator=(const CommandLine&) = delete;
    ~CommandLine();

    /// `chosen` is called when the line names the verb and all of it was read.
    Verb addVerb(const std::string& name, const std::string& does, const std::string& example,
                 std::function<void()> chosen);

    enum class Read { Well, Answered, Wrong };
    /// Reads the arguments, the program's name first. Answered: help or the version was asked for and
    /// printed. Wrong: `complaint` says what.
    Read read(std::span<const std::string> arguments, std::string& complaint);

  private:
    std::unique_ptr<CLI::App> held_;
};

}  // namespace underfoot::command
