#pragma once
// The parts of the plan reader, one for each kind of record. Each reads its own keys of the file's root table
// into the plan and reports what is wrong; what concerns several parts is checked at the end.

#include <filesystem>
#include <vector>

#include "plan/reading.h"

namespace underfoot {

/// The tables of a [[key]]. One table written with single brackets is reported.
std::vector<const Value*> tablesOf(Reading& reading, const Value& root, std::string_view key);

void readBuildUps(Reading& reading, const Value& root, Plan& plan);
void readFinishes(Reading& reading, const Value& root, Plan& plan);
void readAreas(Reading& reading, const Value& root, Plan& plan);
void readPipes(Reading& reading, const Value& root, Plan& plan);
void readFixedThings(Reading& reading, const Value& root, Plan& plan);
void readLimits(Reading& reading, const Value& root, Plan& plan);
/// The code that rules there, and the places for fire; after the areas, which these may name.
void readCode(Reading& reading, const Value& root, Plan& plan);
void readFires(Reading& reading, const Value& root, Plan& plan);
/// What a comparison needs of the file; also tells `reading` which build-ups variants use.
struct Comparison;
Comparison readComparisonFrom(Reading& reading, const Value& root, const Plan& plan);
/// Materials, carriers and prices.
void readSupplies(Reading& reading, const Value& root, Plan& plan);
/// After everything else: a cut at a station runs past all that is there.
void readCuts(Reading& reading, const Value& root, Plan& plan);

/// Pattern, units and borders of an area; `ring` is the area's outline where it could be read.
struct ReadRing;
UnitLayout readUnits(Reading& reading, const Value& value, const std::string& owner,
                     const std::optional<ReadRing>& ring);
std::vector<Edging> readEdgings(const Fields& area, const std::optional<ReadRing>& ring);

/// Shots of the ground and of measured tops, after the areas: point files are looked for in `folder`.
/// Long files are read side by side.
void readHeights(Reading& reading, const Value& root, const std::filesystem::path& folder, Plan& plan);

/// Names that must exist, names that must be single, layers that take up twice, what nothing uses.
void checkReferences(Reading& reading, Plan& plan);
/// Areas that lie around others, "all" made names; none around itself, straight or in a ring. Openings stay
/// within their area.
void checkNesting(Reading& reading, Plan& plan);
/// Places that must be near each other, shots that span a surface, point files in the wrong order.
void checkPlaces(Reading& reading, const Plan& plan);
/// Three or more, not in line, one height at one place (but for a scan, which may repeat a place). `owner`
/// names the shots: "the ground".
void checkShots(Reading& reading, const std::vector<Shot>& shots, const Scan& scan, const std::string& owner,
                const SourcePlace& place);

}  // namespace underfoot
