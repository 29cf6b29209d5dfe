#pragma once
// A TOML file as plain values that know where they stand. The TOML library itself stays behind document.cpp.

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "measure/diagnostic.h"

namespace underfoot {

struct Member;

/// One value of the file: nothing (a date or time), a truth value, a number (whole numbers too), a text, a
/// list or a table. Lines and columns count from 1.
struct Value {
    using List = std::vector<Value>;
    using Table = std::vector<Member>;

    int line = 0;
    int column = 0;
    std::variant<std::monostate, bool, double, std::string, List, Table> held;

    template <class T>
    const T* as() const {
        return std::get_if<T>(&held);
    }
    /// The member of a table; null where there is none, or where this is no table.
    const Value* find(std::string_view key) const;
    /// What it is, for a sentence: "a text", "a number", "a list", …
    const char* kind() const;
};

/// A name and its value. Members stand in the order of the file.
struct Member {
    std::string key;
    int line = 0;
    int column = 0;
    Value value;
};

/// Deepest nesting of brackets, and most dotted parts of a key, that are read at all.
inline constexpr int greatestNesting = 32;
inline constexpr int greatestKeyParts = 16;

/// Reads TOML text (UTF-8, no byte-order mark). A fault is told in plain words. Never throws; recursion is
/// bounded by the two constants above.
Result<Value> readDocument(std::string_view text, const std::string& fileName);

}  // namespace underfoot
