#pragma once
// Lengths, stations and places as the command line takes them. Errors are sentences.

#include <string>
#include <string_view>
#include <vector>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "plan/plan.h"

namespace underfoot::command {

template <class T>
using Read = tl::expected<T, std::string>;

/// A length; a bare number counts in the plan's unit. Metres.
Read<double> readLength(std::string_view text, const Plan& plan);

/// A station: "0+14.3" (100 ft to the full station, 1000 m where the plan shows metres) or a length. Metres.
Read<double> readStation(std::string_view text, const Plan& plan);

/// "STATION,OFFSET" -> place in plan coordinates.
Read<glm::dvec2> readStationOffset(std::string_view text, const Plan& plan);

/// "X,Y" -> place in plan coordinates.
Read<glm::dvec2> readXY(std::string_view text, const Plan& plan);

/// "X,Y X,Y …", two places or more. Places stand apart by semicolons where there is one, else by blanks (then
/// no length may hold a blank).
Read<std::vector<glm::dvec2>> readLine(std::string_view text, const Plan& plan);

/// "WIDTHxHEIGHT" in pixels, each from 16 to 8192.
Read<glm::ivec2> readSize(std::string_view text);

/// "1:20" or "20" -> 20; from 1 to 10000.
Read<int> readScale(std::string_view text);

}  // namespace underfoot::command
