#pragma once
// Small turns of text that every folder needs.

#include <string>

namespace underfoot {

/// The text with its first letter made a capital; letters past ASCII stay as they are.
inline std::string capitalised(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}
/// The text with its first letter made small.
inline std::string uncapitalised(std::string text) {
    if (!text.empty() && text[0] >= 'A' && text[0] <= 'Z') text[0] = static_cast<char>(text[0] - 'A' + 'a');
    return text;
}

}  // namespace underfoot
