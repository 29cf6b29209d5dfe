#include "command/command_line.h"

#include <algorithm>
#include <stdexcept>
#include <utility>

#include <CLI/CLI.hpp>

namespace underfoot::command {

Option& Option::needs(const Option& other) {
    held_->needs(other.held_);
    return *this;
}

Option& Option::excludes(const Option& other) {
    held_->excludes(other.held_);
    return *this;
}

Option& Option::within(double least, double greatest) {
    held_->check(CLI::Range(least, greatest));
    return *this;
}

Option& Option::within(int least, int greatest) {
    held_->check(CLI::Range(least, greatest));
    return *this;
}

Option& Option::oneOf(const std::vector<std::string>& words) {
    held_->check(CLI::IsMember(words));
    return *this;
}

Option& Option::required() {
    held_->required();
    return *this;
}

Option& Option::repeated() {
    held_->take_all()->expected(1);
    return *this;
}

Option& Option::showDefault() {
    held_->capture_default_str();
    return *this;
}

Option Verb::addOption(const std::string& name, std::string& into, const std::string& does) {
    return Option(held_->add_option(name, into, does));
}

Option Verb::addOption(const std::string& name, std::vector<std::string>& into, const std::string& does) {
    return Option(held_->add_option(name, into, does));
}

Option Verb::addOption(const std::string& name, double& into, const std::string& does) {
    return Option(held_->add_option(name, into, does));
}

Option Verb::addOption(const std::string& name, int& into, const std::string& does) {
    return Option(held_->add_option(name, into, does));
}

Option Verb::addFlag(const std::string& name, bool& into, const std::string& does) {
    return Option(held_->add_flag(name, into, does));
}

CommandLine::CommandLine(const std::string& program, const std::string& version, const std::string& does,
                         const std::string& footer)
    : held_(std::make_unique<CLI::App>(does)) {
    held_->name(program);
    held_->set_version_flag("--version", program + ' ' + version);
    held_->require_subcommand(1);
    held_->footer(footer);
}

CommandLine::~CommandLine() = default;

Verb CommandLine::addVerb(const std::string& name, const std::string& does, const std::string& example,
                          std::function<void()> chosen) {
    CLI::App* verb = held_->add_subcommand(name, does);
    verb->footer("Example:\n  " + example + "\n");
    verb->callback(std::move(chosen));
    return Verb(verb);
}

CommandLine::Read CommandLine::read(std::span<const std::string> arguments, std::string& complaint) {
    // The parser takes the arguments from the back.
    std::vector<std::string> reversed(arguments.begin() + (arguments.empty() ? 0 : 1), arguments.end());
    std::reverse(reversed.begin(), reversed.end());
    try {
        held_->parse(std::move(reversed));
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success)) {
            held_->exit(error);  // --help and --version
            return Read::Answered;
        }
        complaint = error.what();
        return Read::Wrong;
    }
    return Read::Well;
}

}  // namespace underfoot::command
