#pragma once
// A table in plain text.

#include <cstdint>
#include <string>
#include <vector>

#include "share/page.h"

namespace underfoot::command {

/// Columns are as wide as their widest text; the first column stands to the left, the others to the right
/// unless `leftFrom` says from which column on text stands to the left.
class Table {
  public:
    explicit Table(std::vector<std::string> heads, size_t leftFrom = SIZE_MAX);
    /// A row has as many texts as there are heads.
    void add(std::vector<std::string> row);
    bool empty() const { return rows_.empty(); }
    /// Heads and rows, each line indented by two spaces and ended by a line feed; no blanks at a line's end.
    std::string text() const;

  private:
    std::string line(const std::vector<std::string>& row) const;

    std::vector<std::string> heads_;
    std::vector<std::vector<std::string>> rows_;
    std::vector<size_t> widths_;
    size_t leftFrom_;
};

/// A page as the command line prints it: headings bold, tables as above, gaps as empty lines.
std::string textOf(const Page& page);

/// Columns that a UTF-8 text takes up: none for marks that stand on the letter before them, two for the wide
/// letters of East Asian writing (Unicode Standard Annex 11), one for all others.
size_t columnsWide(const std::string& text);

}  // namespace underfoot::command
