#pragma once
// Reading a plan file and the point files it names.

#include <filesystem>
#include <string>
#include <string_view>

#include "measure/diagnostic.h"
#include "plan/plan.h"

namespace underfoot {

/// Largest file that is read at all: a larger plan or point file is refused with a sentence.
inline constexpr long long greatestPlanBytes = 16LL << 20;
inline constexpr long long greatestPointFileBytes = 256LL << 20;

/// Reads a plan. All errors that can be found are reported together, in the order of the file.
/// Point files are found relative to the plan's folder. Memory stays in proportion to the file's size.
Checked<Plan> readPlan(const std::filesystem::path& file);

/// The same from text; `folder` is where point files are looked for.
Checked<Plan> readPlanText(std::string_view text, const std::string& fileName,
                           const std::filesystem::path& folder);

}  // namespace underfoot
