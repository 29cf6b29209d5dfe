#include "plan/words.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <iterator>
#include <utility>

#include <fmt/format.h>

namespace underfoot {
namespace {

constexpr std::array<std::pair<const char*, Role>, 11> roles{{
    {"units", Role::Units},
    {"underlayment", Role::Underlayment},
    {"bedding", Role::Bedding},
    {"base", Role::Base},
    {"geotextile", Role::Geotextile},
    {"slab", Role::Slab},
    {"infill stone", Role::InfillStone},
    {"protective sand", Role::ProtectiveSand},
    {"fill", Role::Fill},
    {"backfill", Role::Backfill},
    {"native soil", Role::NativeSoil},
}};

constexpr std::array<std::pair<const char*, Pattern>, 6> patterns{{
    {"stack", Pattern::Stack},
    {"running", Pattern::Running},
    {"herringbone 45", Pattern::Herringbone45},
    {"herringbone 90", Pattern::Herringbone90},
    {"basket weave", Pattern::BasketWeave},
    {"repeat", Pattern::Repeat},
}};

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

/// Letters changed, added, dropped or swapped with their neighbour.
size_t editDistance(std::string_view a, std::string_view b) {
    std::vector<size_t> twoBack(b.size() + 1), back(b.size() + 1), row(b.size() + 1);
    for (size_t j = 0; j <= b.size(); ++j) back[j] = j;
    for (size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (size_t j = 1; j <= b.size(); ++j) {
            const bool same = lower(a[i - 1]) == lower(b[j - 1]);
            row[j] = std::min({back[j] + 1, row[j - 1] + 1, back[j - 1] + (same ? 0 : 1)});
            const bool swapped =
                i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
            if (swapped) row[j] = std::min(row[j], twoBack[j - 2] + 1);
        }
        std::swap(twoBack, back);
        std::swap(back, row);
    }
    return back[b.size()];
}

/// A word longer than this is not compared letter by letter.
constexpr size_t greatestWord = 80;

}  // namespace

std::optional<std::string> nearestWord(std::string_view word, const std::vector<std::string>& known) {
    if (word.size() > greatestWord) return std::nullopt;
    size_t best = std::max<size_t>(2, word.size() / 3) + 1;
    std::optional<std::string> nearest;
    for (const std::string& candidate : known) {
        if (candidate.size() > greatestWord) continue;
        const size_t distance = editDistance(word, candidate);
        if (distance >= best || distance >= std::max(word.size(), candidate.size())) continue;
        best = distance;
        nearest = candidate;
    }
    return nearest;
}

std::string listed(const std::vector<std::string>& words) {
    std::string text;
    for (size_t i = 0; i < words.size(); ++i) {
        if (i > 0) text += i + 1 == words.size() ? " and " : ", ";
        text += fmt::format("\"{}\"", words[i]);
    }
    return text;
}

std::string suggestion(std::string_view word, const std::vector<std::string>& known) {
    if (const auto near = nearestWord(word, known)) return fmt::format("Did you mean \"{}\"?", *near);
    if (known.empty()) return "The plan has none.";
    constexpr size_t most = 40;
    if (known.size() <= most)
        return fmt::format("Known {} {}.", known.size() == 1 ? "is" : "are", listed(known));
    return fmt::format("Known are {} and others.", listed({known.begin(), known.begin() + most}));
}

const char* roleName(Role role) {
    for (const auto& [name, known] : roles)
        if (known == role) return name;
    assert(false && "a role outside the list");
    return "";
}

std::optional<Role> roleFromName(std::string_view name) {
    for (const auto& [word, role] : roles)
        if (word == name) return role;
    return std::nullopt;
}

std::vector<std::string> roleNames() {
    std::vector<std::string> names;
    for (const auto& [name, role] : roles)
        if (role != Role::Backfill && role != Role::NativeSoil) names.emplace_back(name);
    return names;
}

std::optional<Pattern> patternFromName(std::string_view name) {
    for (const auto& [word, pattern] : patterns)
        if (word == name) return pattern;
    return std::nullopt;
}

std::vector<std::string> patternNames() {
    std::vector<std::string> names;
    names.reserve(std::size(patterns));
    for (const auto& [name, pattern] : patterns) names.emplace_back(name);
    return names;
}

}  // namespace underfoot
