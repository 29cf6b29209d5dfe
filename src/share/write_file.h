#pragma once
// Writing a whole file so that nobody ever sees half of it.

#include <filesystem>
#include <span>
#include <string_view>

#include "measure/diagnostic.h"

namespace underfoot {

/// What a successful write leaves behind.
struct Written {
    std::filesystem::path file;
    size_t bytes = 0;
};

/// Writes `bytes` as the whole content of `file`: into a new file in the same folder, flushed to the disk,
/// then renamed over the old one. Either the new content stands there, complete, or the old file is
/// untouched; a failed write leaves no other file behind. A symbolic link is followed, and the file it points
/// to is replaced; the permissions of a file that is replaced are kept.
///
/// A target that is neither a file nor a folder (a device, a pipe: /dev/stdout) cannot be renamed over and is
/// written to directly.
///
/// Errors, each as a sentence with a remedy: folder missing, no permission, target is a folder, disk full,
/// file too large for the limit in force, any other fault of the system by its own words.
Result<Written> writeFile(const std::filesystem::path& file, std::string_view bytes);

/// The same for bytes that lie in several places, one after the other.
Result<Written> writeFile(const std::filesystem::path& file, std::span<const std::string_view> pieces);

}  // namespace underfoot
