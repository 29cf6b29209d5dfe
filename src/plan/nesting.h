#pragma once
// A first look at TOML text, before it is parsed.

#include <optional>
#include <string>
#include <string_view>

#include "measure/diagnostic.h"

namespace underfoot {

/// The place where brackets are nested deeper than `greatestNesting`, or where a key has more dotted parts
/// than `greatestKeyParts`, or where a sign beyond ASCII stands outside of quote marks, with what to do.
/// Texts and comments are stepped over. A parser that calls itself for every level could otherwise run out of
/// stack.
std::optional<Diagnostic> nestingFault(std::string_view text, const std::string& fileName);

/// A bracket that is still open.
struct OpenBracket {
    char bracket = '[';
    int line = 0;
    int column = 0;
};
/// The innermost bracket still open where `line` and `column` stand; nothing when all are closed there.
std::optional<OpenBracket> openBracketAt(std::string_view text, int line, int column);

}  // namespace underfoot
