#include "plan/written_heights.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "measure/length.h"
#include "plan/document.h"
#include "plan/read_plan.h"
#include "plan/reading.h"

namespace underfoot {
namespace {

constexpr double same = 1e-6;  // metres

using Of = HeightChange::Of;

const std::vector<Shot>& shotsOf(const Plan& plan, const HeightChange& change) {
    return change.of == Of::GroundShot ? plan.ground.shots
                                       : plan.measuredTops[static_cast<size_t>(change.list)].shots;
}

double heightOf(const Plan& plan, const HeightChange& change) {
    const auto item = static_cast<size_t>(change.item);
    if (change.of != Of::FinishLevel) return shotsOf(plan, change)[item].height;
    const Finish& finish = plan.finishes[static_cast<size_t>(change.list)];
    return finish.planes.empty() ? finish.spots[item].level : finish.planes[item].level;
}

const Value* itemOf(const Value* list, int item) {
    const auto* items = list ? list->as<Value::List>() : nullptr;
    if (!items || static_cast<size_t>(item) >= items->size()) return nullptr;
    return &(*items)[static_cast<size_t>(item)];
}

const Value* levelOf(const Value& root, const Plan& plan, const HeightChange& change) {
    const std::string& name = plan.finishes[static_cast<size_t>(change.list)].name;
    const Value* finish = root.find("finish");
    if (!name.empty()) {
        const Value* named = root.find("finishes");
        finish = named ? named->find(name) : nullptr;
    }
    if (!finish) return nullptr;
    for (const char* list : {"spots", "planes"})
        if (const Value* all = finish->find(list)) {
            const Value* one = itemOf(all, change.item);
            return one ? one->find("level") : nullptr;
        }
    return finish->find("level");
}

/// The table that the shots stand in.
const Value* ownerOf(const Value& root, const HeightChange& change) {
    if (change.of == Of::GroundShot) return root.find("ground");
    return itemOf(root.find("measured_top"), change.list);
}

/// Shots that the plan itself gives as heights come first of all, in their order.
const Value* shotHeightOf(const Value& root, const HeightChange& change) {
    const Value* owner = ownerOf(root, change);
    const Value* shot = owner ? itemOf(owner->find("shots"), change.item) : nullptr;
    if (!shot) return nullptr;
    return shot->as<Value::List>() ? itemOf(shot, 2) : shot->find("height");
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

/// How many decimals the last number of a text has.
int decimalsIn(const std::string& text) {
    const size_t point = text.rfind('.');
    if (point == std::string::npos) return 0;
    const size_t end = std::min(text.find_first_not_of("0123456789", point + 1), text.size());
    return static_cast<int>(end - point - 1);
}

/// With at most so many decimals, and no fewer than the old text has (one at least).
std::string decimals(double value, int places, const std::string& old) {
    std::string text = fmt::format("{:.{}f}", value, places);
    const auto least = static_cast<size_t>(std::clamp(decimalsIn(old), 1, places));
    const size_t shortest = text.find('.') + 1 + least;
    while (text.size() > shortest && text.back() == '0') text.pop_back();
    return text;
}

/// 99' 8 3/16" as "99 ft 8 3/16 in".
std::string inWords(const std::string& marks) {
    std::string words;
    for (const char c : marks)
        words += c == '\'' ? std::string(" ft") : c == '"' ? std::string(" in") : std::string(1, c);
    return words;
}

std::string wordsFor(double height, const Written& old, const Plan& plan) {
    const auto has = [&](std::string_view unit) { return old.inside.find(unit) != std::string::npos; };
    if (old.quote == 0) return decimals(height / metresPer(plan.bareUnit), 6, old.inside);
    if (has("'") || has("\"") || has("f") || has("in")) {
        const std::string words = inWords(formatLength(height, {LengthStyle::FeetInches, 32}));
        return reads(words, plan, height) ? words : decimals(height / metresPerFoot, 6, old.inside) + " ft";
    }
    if (has("mm")) return decimals(height * 1000, 3, old.inside) + " mm";
    if (has("m")) return decimals(height, 6, old.inside) + " m";
    return decimals(height / metresPer(plan.bareUnit), 6, old.inside);
}

Diagnostic cannot(const Plan& plan, const std::string& what) {
    return {{plan.file, 0, 0}, what, "Change the height in the file by hand, and save it there."};
}

/// The shot that stands at a place in one of the set-ups at `key`.
const Value* amongSetUps(const Value* owner, const char* key, const SourcePlace& place) {
    const Value* all = owner ? owner->find(key) : nullptr;
    if (!all) return nullptr;
    const auto inOne = [&](const Value& setUp) -> const Value* {
        const Value* shots = setUp.find("shots");
        const auto* list = shots ? shots->as<Value::List>() : nullptr;
        if (!list) return nullptr;
        for (const Value& shot : *list)
            if (shot.line == place.line && shot.column == place.column) return &shot;
        return nullptr;
    };
    const auto* list = all->as<Value::List>();
    if (!list) return inOne(*all);
    for (const Value& setUp : *list)
        if (const Value* shot = inOne(setUp)) return shot;
    return nullptr;
}

/// What a height is written by: itself, or what was read on a rod or measured down from a string, which gets
/// smaller by as much as the height gets greater.
struct WrittenBy {
    const Value* value = nullptr;
    bool down = false;
};

WrittenBy writtenBy(const Plan& plan, const Value& root, const HeightChange& change) {
    if (change.of == Of::FinishLevel) return {levelOf(root, plan, change), false};
    const SourcePlace& place = shotsOf(plan, change)[static_cast<size_t>(change.item)].place;
    for (const auto& [key, third] : {std::pair{"rod", "rod"}, std::pair{"string", "down"}})
        if (const Value* shot = amongSetUps(ownerOf(root, change), key, place))
            return {shot->as<Value::List>() ? itemOf(shot, 2) : shot->find(third), true};
    return {shotHeightOf(root, change), false};
}

/// What to do for a shot that stands in a point file; nothing for one of the plan's own.
std::optional<Diagnostic> writtenElsewhere(const Plan& plan, const HeightChange& change) {
    if (change.of == Of::FinishLevel) return {};
    const Shot& shot = shotsOf(plan, change)[static_cast<size_t>(change.item)];
    if (shot.place.file == plan.file) return {};
    return Diagnostic{shot.place, "This shot stands in a point file, so nothing was saved.",
                      fmt::format("Change the height on line {} of {} to {}.", shot.place.line,
                                  std::filesystem::path(shot.place.file).filename().string(),
                                  formatLength(change.height, plan.show))};
}

/// The length that a value in the text is.
std::optional<double> lengthIn(const Value& value, const Written& old, const Plan& plan) {
    if (old.quote) {
        const auto length = parseLength(old.inside, plan.bareUnit);
        return length ? std::optional(*length) : std::nullopt;
    }
    const auto* number = value.as<double>();
    return number ? std::optional(*number * metresPer(plan.bareUnit)) : std::nullopt;
}

/// Where the change is made, and by what.
struct Replacement {
    Written old;
    std::string text;
};

Result<Replacement> replacementFor(const Plan& plan, std::string_view text, const Value& root,
                                   const HeightChange& change) {
    if (auto elsewhere = writtenElsewhere(plan, change)) return tl::unexpected(std::move(*elsewhere));
    const auto [value, down] = writtenBy(plan, root, change);
    const auto old = value ? writtenAt(text, offsetOf(text, value->line, value->column)) : std::nullopt;
    const auto length = old ? lengthIn(*value, *old, plan) : std::nullopt;
    // What is read down to a height is seen to be the old one when all is read back.
    if (!length || (!down && std::abs(*length - heightOf(plan, change)) >= same))
        return tl::unexpected(
            cannot(plan, "The file no longer holds the height that is shown, so nothing was saved."));
    const double now = down ? *length - (change.height - heightOf(plan, change)) : change.height;
    const std::string words = wordsFor(now, *old, plan);
    return Replacement{*old, old->quote ? old->quote + words + old->quote : words};
}

bool near(double a, double b) {
    return std::abs(a - b) <= same;
}

/// Whether two plans have the same finishes and shots, at the same places and heights.
bool sameHeights(const Plan& a, const Plan& b) {
    const auto sameLevels = [](const auto& x, const auto& y) {
        return std::equal(x.begin(), x.end(), y.begin(), y.end(), [](const auto& p, const auto& q) {
            return p.at == q.at && near(p.level, q.level);
        });
    };
    const auto sameShots = [](const std::vector<Shot>& x, const std::vector<Shot>& y) {
        return std::equal(x.begin(), x.end(), y.begin(), y.end(), [](const Shot& p, const Shot& q) {
            return p.at == q.at && near(p.height, q.height);
        });
    };
    return std::equal(a.finishes.begin(), a.finishes.end(), b.finishes.begin(), b.finishes.end(),
                      [&](const Finish& x, const Finish& y) {
                          return sameLevels(x.planes, y.planes) && sameLevels(x.spots, y.spots);
                      }) &&
           sameShots(a.ground.shots, b.ground.shots) &&
           std::equal(a.measuredTops.begin(), a.measuredTops.end(), b.measuredTops.begin(),
                      b.measuredTops.end(), [&](const MeasuredTop& x, const MeasuredTop& y) {
                          return x.layer == y.layer && sameShots(x.shots, y.shots);
                      });
}

void put(Plan& plan, const HeightChange& change) {
    const auto list = static_cast<size_t>(change.list), item = static_cast<size_t>(change.item);
    if (change.of == Of::GroundShot)
        plan.ground.shots[item].height = change.height;
    else if (change.of == Of::MeasuredShot)
        plan.measuredTops[list].shots[item].height = change.height;
    else if (plan.finishes[list].planes.empty())
        plan.finishes[list].spots[item].level = change.height;
    else
        plan.finishes[list].planes[item].level = change.height;
}

/// Whether a text reads as the plan with other heights, all others as before.
bool readsAs(const std::string& text, const Plan& plan, const std::vector<HeightChange>& changes) {
    const auto now = readPlanText(text, plan.file, std::filesystem::path(plan.file).parent_path());
    if (!now) return false;
    Plan wanted = plan;
    for (const HeightChange& change : changes) put(wanted, change);
    return sameHeights(*now, wanted);
}

}  // namespace

bool isHeight(double metres) {
    return metres >= bounds::height.least && metres <= bounds::height.greatest;
}

Result<std::string> withHeights(const Plan& plan, std::string_view text,
                                const std::vector<HeightChange>& changes) {
    constexpr std::string_view mark = "\xEF\xBB\xBF";
    const size_t skipped = text.starts_with(mark) ? mark.size() : 0;
    const std::string_view body = text.substr(skipped);
    const auto root = readDocument(body, plan.file);
    if (!root) return tl::unexpected(root.error());
    std::vector<Replacement> all;
    for (const HeightChange& change : changes) {
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
