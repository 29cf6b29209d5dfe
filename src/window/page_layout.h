#pragma once
// Where the tables of a page stand, found once for a page and a width. Private to this folder.

#include <vector>

#include "share/page.h"
#include "window/pen.h"

namespace underfoot {

/// A column that is shown; its words stand at `left` or end at `right`.
struct PageColumn {
    size_t index = 0;
    double left = 0, right = 0;  ///< from the page's left side, window pixels
    bool toLeft = false;
};

/// One part of the page. Of a table: which columns have room. Of words: how high they are.
struct PartLayout {
    std::vector<PageColumn> columns;
    double height = 0;
};

class PageLayout {
  public:
    /// Found anew only where the page, the width or the type has changed. `number` tells pages apart.
    const std::vector<PartLayout>& of(const Page& page, size_t number, Pen& pen, double width);

  private:
    std::vector<PartLayout> parts_;
    size_t number_ = 0;
    double width_ = 0, scale_ = 0;
};

/// Columns of a table that have room, from `wide`, the width that each wants (the first always has).
/// Columns of empty cells have none. Detail columns go first, from the right, then the others, from the
/// right; columns of words are shortened down to their `shortest` before: shorter, none of their cells
/// would stand whole.
std::vector<PageColumn> columnsThatFit(const PageTable& table, std::vector<double> wide, double gap,
                                       const std::vector<double>& shortest, double room);

}  // namespace underfoot
