#pragma once
// What every verb begins and ends with: the plan and its model, complaints about them, files written.

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "command/exit_code.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot::command {

/// A value, or the code to end with after the complaint was printed.
template <class T>
using Opened = tl::expected<T, ExitCode>;

/// Reads a plan. Complaints go to standard error, one a line.
Opened<Plan> openPlan(const std::filesystem::path& planFile);
/// Builds the model of a plan, likewise.
Opened<Model> openModel(Plan plan);
/// Both in one.
Opened<Model> openModel(const std::filesystem::path& planFile);

/// A layer of the model by its name; complains with the names there are.
Opened<LayerId> openLayer(const Model& model, std::string_view name);

/// Prints a sentence about the command line on standard error.
ExitCode badUsage(std::string_view sentence);
/// Prints that the place asked for lies outside.
ExitCode nothingThere(std::string_view sentence);

/// Writes a whole file (see share/write_file.h) and complains when that fails.
ExitCode writeAnswer(const std::filesystem::path& file, std::string_view bytes);

/// Makes the bytes and writes them where a file was named; else does nothing, and that is fine.
ExitCode writeIfAsked(const std::string& file, const std::function<std::string()>& bytes);

}  // namespace underfoot::command
