#pragma once
// Enough of an XML reader to tell whether a file is well formed and to ask for its elements.

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace underfoot::test {

struct Element {
    std::string name;
    std::map<std::string, std::string> attributes;
    size_t depth = 0;
};

/// The elements in order, or nothing when the text is not well formed: tags that do not close in order,
/// attributes without quotes or given twice, bare & or < in text, more than one root.
inline std::optional<std::vector<Element>> readXml(std::string_view text) {
    std::vector<Element> out;
    std::vector<std::string> open;
    size_t roots = 0;
    const auto entitiesAreGood = [](std::string_view part) {
        for (size_t at = part.find('&'); at != part.npos; at = part.find('&', at + 1)) {
            const size_t end = part.find(';', at);
            const std::string_view name = end == part.npos ? "" : part.substr(at + 1, end - at - 1);
            if (name != "amp" && name != "lt" && name != "gt" && name != "quot" && name != "apos")
                return false;
        }
        return true;
    };
    for (size_t at = 0; at < text.size();) {
        const size_t tag = text.find('<', at);
        if (!entitiesAreGood(text.substr(at, tag == text.npos ? tag : tag - at))) return {};
        if (tag == text.npos) break;
        const size_t end = text.find('>', tag);
        if (end == text.npos) return {};
        std::string_view inside = text.substr(tag + 1, end - tag - 1);
        at = end + 1;
        if (inside.starts_with('?')) continue;
        if (inside.starts_with('/')) {
            if (open.empty() || open.back() != inside.substr(1)) return {};
            open.pop_back();
            continue;
        }
        const bool closed = inside.ends_with('/');
        if (closed) inside.remove_suffix(1);
        Element element;
        const size_t nameEnd = std::min(inside.find_first_of(" \n"), inside.size());
        element.name = inside.substr(0, nameEnd);
        element.depth = open.size();
        for (size_t i = nameEnd; (i = inside.find_first_not_of(" \n", i)) != inside.npos;) {
            const size_t equals = inside.find("=\"", i);
            const size_t quote = equals == inside.npos ? equals : inside.find('"', equals + 2);
            if (quote == inside.npos) return {};
            const std::string value(inside.substr(equals + 2, quote - equals - 2));
            if (value.find('<') != value.npos || !entitiesAreGood(value)) return {};
            if (!element.attributes.emplace(inside.substr(i, equals - i), value).second) return {};
            i = quote + 1;
        }
        if (open.empty() && ++roots > 1) return {};
        if (!closed) open.push_back(element.name);
        out.push_back(element);
    }
    return open.empty() && roots == 1 ? std::optional(out) : std::nullopt;
}

}  // namespace underfoot::test
