#include "window/page_layout.h"

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>

namespace underfoot {

namespace {

bool isDetail(const PageTable& table, size_t column) {
    return std::find(table.detail.begin(), table.detail.end(), column) != table.detail.end();
}

bool holdsWords(const PageTable& table, size_t column) {
    return std::any_of(table.rows.begin(), table.rows.end(),
                       [column](const PageRow& row) { return !row.cells[column].empty(); });
}

bool standsLeft(const PageTable& table, size_t column) {
    return column == 0 || column >= table.leftFrom;
}

double needed(const std::vector<size_t>& shown, const std::vector<double>& wide, double gap) {
    double all = shown.empty() ? 0 : gap * static_cast<double>(shown.size() - 1);
    for (const size_t column : shown) all += wide[column];
    return all;
}

/// The last column shown for which `which` holds goes; false where there is none.
template <class Which>
bool dropLast(std::vector<size_t>& shown, Which which) {
    for (size_t i = shown.size(); i-- > 1;)
        if (which(shown[i])) {
            shown.erase(shown.begin() + static_cast<std::ptrdiff_t>(i));
            return true;
        }
    return false;
}

/// Narrows columns of words as far as needed, each down to its `shortest`.
void shorten(const PageTable& table, const std::vector<size_t>& shown, std::vector<double>& wide, double gap,
             const std::vector<double>& shortest, double room) {
    for (size_t i = shown.size(); i-- > 0;) {
        const size_t column = shown[i];
        const double over = needed(shown, wide, gap) - room;
        if (over <= 0) return;
        if (standsLeft(table, column))
            wide[column] = std::max(std::min(shortest[column], wide[column]), wide[column] - over);
    }
}

std::vector<double> widthsOf(const PageTable& table, const Pen& pen) {
    std::vector<double> wide;
    for (const std::string& head : table.heads) wide.push_back(pen.width(head, TypeSize::Label));
    for (const PageRow& row : table.rows)
        for (size_t c = row.sub ? 1 : 0; c < wide.size(); ++c)
            wide[c] = std::max(wide[c], pen.width(row.cells[c], TypeSize::Label));
    return wide;
}

/// Of each column: the width at which one of its cells still stands whole, or `least`.
std::vector<double> shortestOf(const PageTable& table, const Pen& pen, double least) {
    std::vector<double> shortest(table.heads.size(), 1e9);
    for (const PageRow& row : table.rows)
        for (size_t c = 1; c < shortest.size(); ++c)
            if (!row.cells[c].empty())
                shortest[c] = std::min(shortest[c], pen.width(row.cells[c], TypeSize::Label));
    for (double& one : shortest) one = one < 1e9 ? std::max(one, least) : least;
    return shortest;
}

}  // namespace

std::vector<PageColumn> columnsThatFit(const PageTable& table, std::vector<double> wide, double gap,
                                       const std::vector<double>& shortest, double room) {
    std::vector<size_t> shown;
    for (size_t column = 0; column < table.heads.size(); ++column)
        if (column == 0 || holdsWords(table, column)) shown.push_back(column);
    const auto fits = [&] {
        std::vector<double> narrow = wide;
        shorten(table, shown, narrow, gap, shortest, room);
        return needed(shown, narrow, gap) <= room;
    };
    const auto detail = [&](size_t column) { return isDetail(table, column); };
    while (needed(shown, wide, gap) > room && dropLast(shown, detail)) {
    }
    while (!fits() && dropLast(shown, [](size_t) { return true; })) {
    }
    shorten(table, shown, wide, gap, shortest, room);
    const double spare = std::max(0.0, room - needed(shown, wide, gap));
    const double more =
        shown.size() < 2 ? 0 : std::min(1.6 * gap, spare / static_cast<double>(shown.size() - 1));
    std::vector<PageColumn> columns;
    double x = 0;
    for (const size_t column : shown) {
        columns.push_back({column, x, x + wide[column], standsLeft(table, column)});
        x += wide[column] + gap + more;
    }
    return columns;
}

const std::vector<PartLayout>& PageLayout::of(const Page& page, size_t number, Pen& pen, double width) {
    const double scale = pen.units(1);
    if (number_ == number && width_ == width && scale_ == scale && parts_.size() == page.parts().size())
        return parts_;
    number_ = number;
    width_ = width;
    scale_ = scale;
    parts_.clear();
    for (const PagePart& part : page.parts()) {
        PartLayout layout;
        if (part.kind == PagePart::Kind::Table)
            layout.columns = columnsThatFit(part.table, widthsOf(part.table, pen), pen.units(12),
                                            shortestOf(part.table, pen, pen.units(64)), width);
        parts_.push_back(std::move(layout));
    }
    return parts_;
}

}  // namespace underfoot
