#include "command/table.h"

#include <algorithm>
#include <cassert>
#include <cstdint>
#include <iterator>
#include <utility>

#include "command/terminal.h"

namespace underfoot::command {

namespace {

struct Range {
    uint32_t first, last;
};

/// The blocks of combining marks, joiners and selectors that lettering of plans may hold.
constexpr Range widthless[] = {{0x0300, 0x036F}, {0x0483, 0x0489}, {0x0591, 0x05BD}, {0x0610, 0x061A},
                               {0x064B, 0x065F}, {0x0900, 0x0902}, {0x093A, 0x093A}, {0x093C, 0x093C},
                               {0x0941, 0x0948}, {0x094D, 0x094D}, {0x0E31, 0x0E31}, {0x0E34, 0x0E3A},
                               {0x0E47, 0x0E4E}, {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF}, {0x200B, 0x200F},
                               {0x20D0, 0x20FF}, {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}};
constexpr Range wide[] = {{0x1100, 0x115F},   {0x2E80, 0x303E},  {0x3041, 0x33FF}, {0x3400, 0x4DBF},
                          {0x4E00, 0x9FFF},   {0xA000, 0xA4CF},  {0xAC00, 0xD7A3}, {0xF900, 0xFAFF},
                          {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},  {0xFFE0, 0xFFE6}, {0x1F300, 0x1F64F},
                          {0x1F900, 0x1F9FF}, {0x20000, 0x3FFFD}};

template <size_t count>
bool within(uint32_t letter, const Range (&ranges)[count]) {
    return std::any_of(std::begin(ranges), std::end(ranges),
                       [&](const Range& r) { return letter >= r.first && letter <= r.last; });
}

/// The letter that starts at `at`, which moves past it. Text is UTF-8.
uint32_t nextLetter(const std::string& text, size_t& at) {
    const auto byte = [&](size_t i) { return static_cast<uint32_t>(static_cast<unsigned char>(text[i])); };
    const uint32_t first = byte(at++);
    uint32_t letter = first < 0x80   ? first
                      : first < 0xE0 ? first & 0x1FU
                      : first < 0xF0 ? first & 0x0FU
                                     : first & 0x07U;
    while (at < text.size() && (byte(at) & 0xC0U) == 0x80U) letter = letter << 6U | (byte(at++) & 0x3FU);
    return letter;
}

}  // namespace

size_t columnsWide(const std::string& text) {
    size_t columns = 0;
    for (size_t at = 0; at < text.size();) {
        const uint32_t letter = nextLetter(text, at);
        columns += within(letter, widthless) ? 0U : within(letter, wide) ? 2U : 1U;
    }
    return columns;
}

Table::Table(std::vector<std::string> heads, size_t leftFrom)
    : heads_(std::move(heads)), leftFrom_(leftFrom) {
    for (const std::string& head : heads_) widths_.push_back(columnsWide(head));
}

void Table::add(std::vector<std::string> row) {
    assert(row.size() == heads_.size());
    for (size_t i = 0; i < row.size(); ++i) widths_[i] = std::max(widths_[i], columnsWide(row[i]));
    rows_.push_back(std::move(row));
}

std::string Table::line(const std::vector<std::string>& row) const {
    std::string out;
    for (size_t i = 0; i < row.size(); ++i) {
        const std::string blanks(widths_[i] - columnsWide(row[i]), ' ');
        const bool left = i == 0 || i >= leftFrom_;
        out += "  " + (left ? row[i] + blanks : blanks + row[i]);
    }
    out.erase(out.find_last_not_of(' ') + 1);
    return out;
}

namespace {

std::string tableText(const PageTable& page) {
    Table table(page.heads, page.leftFrom);
    for (const PageRow& row : page.rows) table.add(row.cells);
    return table.text();
}

}  // namespace

std::string textOf(const Page& page) {
    std::string text;
    for (const PagePart& part : page.parts()) {
        if (part.kind == PagePart::Kind::Table)
            text += tableText(part.table);
        else
            text += (part.kind == PagePart::Kind::Heading ? bold(part.text) : part.text) + '\n';
    }
    return text;
}

std::string Table::text() const {
    std::string out = bold(line(heads_)) + '\n';
    for (const auto& row : rows_) out += line(row) + '\n';
    return out;
}

}  // namespace underfoot::command
