#pragma once
// Point files of scanners, read piece by piece: the text is never held as a whole.

#include <filesystem>
#include <optional>
#include <vector>

#include <glm/vec3.hpp>

#include "plan/read_points.h"

namespace underfoot {

/// The points of an ordinary file of at most `greatestBytes` that has more than `greatestShots` points and
/// nothing in it that would have to be told. Nothing for every other file: readTextFile and readPointText
/// read those, and tell.
std::optional<std::vector<glm::dvec3>> readScanFile(const std::filesystem::path& file,
                                                    const PointFileForm& form, double greatestShots,
                                                    long long greatestBytes);

}  // namespace underfoot
