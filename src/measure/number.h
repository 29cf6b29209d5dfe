#pragma once
// Plain numbers as people write them. Nothing here depends on the locale.

#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace underfoot {

/// The text without the blanks and tabs around it.
std::string_view trimmed(std::string_view text);

/// The text with typographic signs turned into the plain ones: prime, double prime and curly quotes into '
/// and ", the minus sign into -, the fraction slash into /, written-out fractions such as ½ into " 1/2",
/// no-break and thin spaces into a space. Leading and trailing blanks are dropped. Everything else stays as
/// it is.
std::string plainMarks(std::string_view text);

/// Reads the number that `text` starts with and takes it off: "14", "2.5", ".5", "3/8", "6 1/2", "6-1/2". No
/// sign and no exponent. Finite, or a sentence that says what could not be read. `fraction`, when given, says
/// whether a fraction was part of it.
tl::expected<double, std::string> takeNumber(std::string_view& text, bool* fraction = nullptr);

/// Reads a whole text as one number with an optional sign: "-1/2", "0.5", "30".
tl::expected<double, std::string> parseNumber(std::string_view text);

/// A number written out, with a comma between each three digits before the point: "-12345.6" is "-12,345.6".
std::string grouped(std::string number);

}  // namespace underfoot
