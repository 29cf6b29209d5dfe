#pragma once
// Small turns of text that every folder needs.

#include <string>

namespace underfoot {

/// The text with its first letter made a capital; letters past ASCII stay as they are.
inline std::string capitalised(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

}  // namespace underfoot
