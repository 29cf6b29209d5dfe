#pragma once
// Text files as they come: bounded, checked to be text, line ends made plain.

#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

#include "measure/diagnostic.h"

namespace underfoot {

struct CloseFile {
    void operator()(std::FILE* file) const { std::fclose(file); }
};
using OpenFile = std::unique_ptr<std::FILE, CloseFile>;

/// Reads a file of at most `greatestBytes`. A file that says it is larger is refused before it is read; from
/// a pipe or a device no more than one byte past the bound is taken, and only where `ordinaryOnly` allows it
/// at all. `name` is what messages call the file. Missing files, folders and unreadable ones are told.
Result<std::string> readTextFile(const std::filesystem::path& file, const std::string& name,
                                 long long greatestBytes, bool ordinaryOnly);

/// Checks that bytes are UTF-8 text and makes them plain: a byte-order mark is taken off and lone carriage
/// returns become line ends. UTF-16, zero bytes and bytes that are no UTF-8 are refused, with the line.
Result<std::string> plainText(std::string bytes, const std::string& name);

/// Whether a piece of text that starts and ends with whole characters is UTF-8 with no zero byte in it.
bool isPlainText(std::string_view piece);

}  // namespace underfoot
