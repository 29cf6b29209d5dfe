#include "plan/document.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <utility>

#include <fmt/format.h>

#include "plan/nesting.h"

// Everything of the library is compiled here, without exceptions: its faults come back as values.
#undef TOML_HEADER_ONLY
#undef TOML_SHARED_LIB
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_MAX_NESTED_VALUES 64
#define TOML_ENABLE_UNRELEASED_FEATURES 1  // inline tables may go on over several lines, as TOML 1.1 allows
#define TOML_ENABLE_FORMATTERS 0
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wsign-conversion"
#pragma GCC diagnostic ignored "-Wshadow"
#include <toml++/toml.h>
#pragma GCC diagnostic pop

namespace underfoot {
namespace {

int lineOf(const toml::source_region& region) {
    return static_cast<int>(region.begin.line);
}
int columnOf(const toml::source_region& region) {
    return static_cast<int>(region.begin.column);
}

Value convert(const toml::node& node);

Value::Table convertTable(const toml::table& table) {
    Value::Table members;
    members.reserve(table.size());
    for (const auto& [key, value] : table)
        members.push_back(
            {std::string(key.str()), lineOf(key.source()), columnOf(key.source()), convert(value)});
    std::sort(members.begin(), members.end(), [](const Member& a, const Member& b) {
        return std::pair(a.line, a.column) < std::pair(b.line, b.column);
    });
    return members;
}

Value::List convertList(const toml::array& array) {
    Value::List items;
    items.reserve(array.size());
    for (const toml::node& item : array) items.push_back(convert(item));
    return items;
}

Value convert(const toml::node& node) {
    Value value;
    value.line = lineOf(node.source());
    value.column = columnOf(node.source());
    if (const auto* table = node.as_table())
        value.held = convertTable(*table);
    else if (const auto* array = node.as_array())
        value.held = convertList(*array);
    else if (const auto* text = node.as_string())
        value.held = text->get();
    else if (const auto* whole = node.as_integer())
        value.held = static_cast<double>(whole->get());
    else if (const auto* number = node.as_floating_point())
        value.held = number->get();
    else if (const auto* truth = node.as_boolean())
        value.held = truth->get();
    return value;
}

struct Words {
    std::string what;
    std::string remedy;
};

/// What the parser says and what a builder is told instead: the first row whose words all occur counts.
struct Translation {
    std::string_view scope;
    std::string_view reason;
    const char* what;
    const char* remedy;
};

constexpr std::array<Translation, 21> translations{{
    {"inline table", "redefine", "This key is written twice.", "Keep one of the two."},
    {"table header", "expected ']'", "The heading in brackets is not closed.",
     "Write it as [name], or [[name]] for one of several."},
    {"table header", "end-of-file", "The heading in brackets is not closed.",
     "Write it as [name], or [[name]] for one of several."},
    {"table header", "redefine", "This heading stands in the file twice.",
     "Join the two parts; where several are meant, write [[name]]."},
    {"table", "redefine", "This heading stands in the file twice.",
     "Join the two parts; where several are meant, write [[name]]."},
    {"", "redefine", "This key is written twice.", "Keep one of the two."},
    {"string", "end-of-file", "A text is not closed.", "Add the quote mark at its end."},
    {"string", "control characters", "A text is not closed on its line, or holds a control sign.",
     "Add the quote mark at its end."},
    {"string", "escape sequence", "A backslash in a text has no meaning with the sign after it.",
     "Write \\\\ for a backslash, or put the text in '...'."},
    {"inline table", "comma", "A comma or the closing } is missing before this place.", "Add it."},
    {"inline table", "", "The table in braces is not written whole.",
     "Write { key = value, key = value } and close it with }."},
    {"array", "end-of-file", "A list is not closed.", "Add the closing ]."},
    {"array", "", "A comma or the closing ] is missing before this place.", "Add it."},
    {"", "expected '='", "There is no = after this key.", "Write key = value."},
    {"", "expected a comment or whitespace", "Something is left over after the value.",
     "Put the next key on a line of its own, or a text in quote marks."},
    {"", "expected value,", "There is no value after the =.", "Write one, or delete the key."},
    {"", "leading zero", "A number starts with a zero too many.", "Take it off."},
    {"", "determine value type", "This value is neither a number nor a text in quote marks.",
     "Put texts and lengths with units in quote marks."},
    {"", "expected keys, tables", "A line starts with something that is neither a key nor a heading.",
     "Write key = value, [name] or a # before a remark."},
    {"", "control character", "There is a control sign in the file.", "Save it as plain text in UTF-8."},
    {"", "end-of-file", "The file ends in the middle of a value.", "Close what is open, or delete it."},
}};

Words translate(std::string_view text) {
    const size_t colon = text.find(": ");
    const std::string_view scope = text.substr(0, colon == std::string_view::npos ? 0 : colon);
    const std::string_view reason = colon == std::string_view::npos ? text : text.substr(colon + 2);
    for (const Translation& row : translations) {
        if (scope.find(row.scope) == std::string_view::npos ||
            reason.find(row.reason) == std::string_view::npos)
            continue;
        return {row.what, row.remedy};
    }
    return {"This value can't be read.",
            "Put texts and lengths with units in quote marks; write plain numbers as 12 or 12.5."};
}

Diagnostic faultOf(const toml::parse_error& error, std::string_view text, const std::string& fileName) {
    const int line = lineOf(error.source()), column = columnOf(error.source());
    Words words = translate(error.description());
    if (const auto open = openBracketAt(text, line, column))
        words.remedy += fmt::format(" The {} of line {}, column {}, is still open here.", open->bracket,
                                    open->line, open->column);
    return {{fileName, line, column}, std::move(words.what), std::move(words.remedy)};
}

}  // namespace

const Value* Value::find(std::string_view key) const {
    const auto* table = as<Table>();
    if (!table) return nullptr;
    for (const Member& member : *table)
        if (member.key == key) return &member.value;
    return nullptr;
}

const char* Value::kind() const {
    constexpr std::array<const char*, 6> words{"a date", "true or false", "a number",
                                               "a text", "a list",        "a table"};
    return words[held.index()];
}

Result<Value> readDocument(std::string_view text, const std::string& fileName) {
    if (auto fault = nestingFault(text, fileName)) return tl::unexpected(std::move(*fault));
    const toml::parse_result parsed = toml::parse(text);
    if (!parsed) return tl::unexpected(faultOf(parsed.error(), text, fileName));
    return convert(parsed.table());
}

}  // namespace underfoot
