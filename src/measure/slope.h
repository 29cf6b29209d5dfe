#pragma once
// Slopes as rise over run, and how they are written.

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "measure/length.h"

namespace underfoot {

/// Reads "3/16 in/ft", "1/4 in per ft", "2 %", "1:48", "20 mm/m" or a bare ratio "0.02". Returns rise over
/// run (2 % is 0.02), or a sentence that says what could not be read. "1:48" is rise : run.
tl::expected<double, std::string> parseSlope(std::string_view text);

/// "2.08 %"; "no slope" for what is no number.
std::string formatPercent(double riseOverRun);
/// "2.08 % (1/4 in/ft)" in feet styles, "2.08 %" in metres.
std::string formatSlope(double riseOverRun, const LengthFormat& format);

}  // namespace underfoot
