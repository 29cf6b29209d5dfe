#include "plan/finish_levels.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "measure/length.h"
#include "plan/document.h"
#include "plan/read_plan.h"

namespace underfoot {
namespace {

constexpr double same = 1e-6;  // metres

double levelOf(const Plan& plan, const LevelChange& change) {
    const Finish& finish = plan.finishes[static_cast<size_t>(change.finish)];
    const auto item = static_cast<size_t>(change.item);
    return finish.planes.empty() ? finish.spots[item].level : finish.planes[item].level;
}

const Value* itemOf(const Value& finish, const char* list, int item) {
    const Value* all = finish.find(list);
    const auto* items = all ? all->as<Value::List>() : nullptr;
    if (!items || static_cast<size_t>(item) >= items->size()) return nullptr;
    return (*items)[static_cast<size_t>(item)].find("level");
}

const Value* valueOf(const Value& root, const Plan& plan, const LevelChange& change) {
    const std::string& name = plan.finishes[static_cast<size_t>(change.finish)].name;
    const Value* finish = root.find("finish");
    if (!name.empty()) {
        const Value* named = root.find("finishes");
        finish = named ? named->find(name) : nullptr;
    }
    if (!finish) return nullptr;
    if (finish->find("spots")) return itemOf(*finish, "spots", change.item);
    if (finish->find("planes")) return itemOf(*finish, "planes", change.item);
    return finish->find("level");
}

/// Where a line and column of a text lie; columns count characters.
size_t offsetOf(std::string_view text, int line, int column) {
    size_t at = 0;
    for (int l = 1; l < line && at < text.size(); ++l)
        at = std::min(text.find('\n', at), text.size() - 1) + 1;
    for (int c = 1; c < column && at < text.size(); ++c) do
            ++at;
        while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U);
    return at;
}

/// A value as it stands in the text: from `at`, quotes included.
struct Written {
    size_t at = 0;
    size_t size = 0;
    char quote = 0;  // 0: a number
    std::string inside;
};

std::optional<Written> writtenAt(std::string_view text, size_t at) {
    if (at >= text.size()) return {};
    const char quote = text[at];
    if (quote != '"' && quote != '\'') {
        const size_t end = text.find_first_not_of("+-0123456789._eExX", at);
        const size_t size = std::min(end, text.size()) - at;
        if (size == 0) return {};
        return Written{at, size, 0, std::string(text.substr(at, size))};
    }
    if (text.substr(at).starts_with("\"\"\"") || text.substr(at).starts_with("'''")) return {};
    std::string inside;
    for (size_t i = at + 1; i < text.size() && text[i] != '\n'; ++i) {
        if (text[i] == quote) return Written{at, i + 1 - at, quote, inside};
        if (quote == '"' && text[i] == '\\' && i + 1 < text.size()) ++i;
        inside += text[i];
    }
    return {};
}

bool reads(const std::string& words, const Plan& plan, double level) {
    const auto length = parseLength(words, plan.bareUnit);
    return length && std::abs(*length - level) < same;
}

std::string decimals(double value, int places) {
    std::string text = fmt::format("{:.{}f}", value, places);
    while (text.back() == '0' && text[text.size() - 2] != '.') text.pop_back();
    return text;
}

/// 99' 8 3/16" as "99 ft 8 3/16 in".
std::string inWords(const std::string& marks) {
    std::string words;
    for (const char c : marks)
        words += c == '\'' ? std::string(" ft") : c == '"' ? std::string(" in") : std::string(1, c);
    return words;
}

std::string wordsFor(double level, const std::string& old, const Plan& plan) {
    const bool feet = old.find_first_of("'\"f") != std::string::npos || old.find("in") != std::string::npos;
    if (feet) {
        const std::string words = inWords(formatLength(level, {LengthStyle::FeetInches, 32}));
        return reads(words, plan, level) ? words : decimals(level / metresPerFoot, 6) + " ft";
    }
    if (old.find("mm") != std::string::npos) return decimals(level * 1000, 3) + " mm";
    if (old.find('m') != std::string::npos) return decimals(level, 6) + " m";
    return decimals(level / metresPer(plan.bareUnit), 6);
}

Diagnostic cannot(const Plan& plan, const std::string& what) {
    return {{plan.file, 0, 0}, what, "Change the level in the file by hand, and save it there."};
}

/// Where the change is made, and by what.
struct Replacement {
    Written old;
    std::string text;
};

Result<Replacement> replacementFor(const Plan& plan, std::string_view text, const Value& root,
                                   const LevelChange& change) {
    const Value* value = valueOf(root, plan, change);
    const auto old = value ? writtenAt(text, offsetOf(text, value->line, value->column)) : std::nullopt;
    if (!old || !reads(old->inside, plan, levelOf(plan, change)))
        return tl::unexpected(
            cannot(plan, "The file no longer holds the finish level that is shown, so nothing was saved."));
    const std::string words = old->quote ? wordsFor(change.level, old->inside, plan)
                                         : decimals(change.level / metresPer(plan.bareUnit), 6);
    return Replacement{*old, old->quote ? old->quote + words + old->quote : words};
}

/// Whether a text reads as the plan with other levels, all other finishes' levels as before.
bool readsAs(const std::string& text, const Plan& plan, const std::vector<LevelChange>& changes) {
    const auto now = readPlanText(text, plan.file, std::filesystem::path(plan.file).parent_path());
    if (!now || now->finishes.size() != plan.finishes.size()) return false;
    for (size_t f = 0; f < plan.finishes.size(); ++f) {
        const Finish& finish = plan.finishes[f];
        const size_t items = finish.planes.empty() ? finish.spots.size() : finish.planes.size();
        for (size_t i = 0; i < items; ++i) {
            LevelChange wanted{static_cast<int>(f), static_cast<int>(i), 0};
            wanted.level = levelOf(plan, wanted);
            for (const LevelChange& one : changes)
                if (one.finish == wanted.finish && one.item == wanted.item) wanted.level = one.level;
            if (std::abs(levelOf(*now, wanted) - wanted.level) > same) return false;
        }
    }
    return true;
}

}  // namespace

Result<std::string> withLevels(const Plan& plan, std::string_view text,
                               const std::vector<LevelChange>& changes) {
    constexpr std::string_view mark = "\xEF\xBB\xBF";
    const size_t skipped = text.starts_with(mark) ? mark.size() : 0;
    const std::string_view body = text.substr(skipped);
    const auto root = readDocument(body, plan.file);
    if (!root) return tl::unexpected(root.error());
    std::vector<Replacement> all;
    for (const LevelChange& change : changes) {
        auto one = replacementFor(plan, body, *root, change);
        if (!one) return tl::unexpected(one.error());
        all.push_back(std::move(*one));
    }
    std::sort(all.begin(), all.end(),
              [](const Replacement& a, const Replacement& b) { return a.old.at > b.old.at; });
    std::string changed(text);
    for (const Replacement& one : all) changed.replace(skipped + one.old.at, one.old.size, one.text);
    if (!readsAs(changed, plan, changes))
        return tl::unexpected(
            cannot(plan, "The changed plan would not read back as it is shown, so nothing was saved."));
    return changed;
}

}  // namespace underfoot
