#pragma once
// What the program tells a person about bad input: where it stands, what is wrong, what to do.

#include <string>
#include <vector>

#include <tl/expected.hpp>

namespace underfoot {

/// A place in a text file. Lines and columns count from 1; 0 means "the file as a whole".
struct SourcePlace {
    std::string file;
    int line = 0;
    int column = 0;
};

/// One thing wrong with the input. `what` says what is wrong, `remedy` what to do about it; both are
/// whole sentences in the builder's words.
struct Diagnostic {
    SourcePlace place;
    std::string what;
    std::string remedy;
};

using Diagnostics = std::vector<Diagnostic>;

/// "file:line:column: what remedy" on one line.
std::string formatDiagnostic(const Diagnostic& diagnostic);

template <class T>
using Result = tl::expected<T, Diagnostic>;

/// Results of steps that report as many errors as they can find in one run.
template <class T>
using Checked = tl::expected<T, Diagnostics>;

}  // namespace underfoot
