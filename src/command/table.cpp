#include "command/table.h"

#include <algorithm>
#include <cassert>

#include "command/terminal.h"

namespace underfoot::command {

size_t columnsWide(const std::string& text) {
    return static_cast<size_t>(std::count_if(
        text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
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

std::string Table::text() const {
    std::string out = bold(line(heads_)) + '\n';
    for (const auto& row : rows_) out += line(row) + '\n';
    return out;
}

}  // namespace underfoot::command
