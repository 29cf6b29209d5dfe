// Stakes on paper, in letters to be read at arm's length: one line a stake.

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "share/pdf.h"
#include "share/stakes_tables.h"
#include "share/svg.h"
#include "study/stakes.h"

namespace underfoot {

namespace {

constexpr double margin = 12;
// Millimetres: as large as the lines let be, but never so small that a sheet at arm's length can't be read.
constexpr double largest = 7.5, smallest = 4.5;
constexpr double headSize = 3.6;
// Of the letters' size: from line to line, and between columns.
constexpr double lineStep = 1.75, columnGap = 0.9;

struct Column {
    std::string head;
    Anchor anchor = Anchor::End;
    bool strong = false;
    std::vector<std::string> cells;
};

class Sheets {
  public:
    Sheets(const Model& model, const std::vector<Stake>& set)
        : model_(model),
          metric_(model.plan.show.style == LengthStyle::Metres),
          width_(metric_ ? 297 : 279.4),
          height_(metric_ ? 210 : 215.9) {
        fill(set);
        fit();
        const double room = height_ - 2 * margin - 4.5 * headSize;
        perPage_ = std::max<size_t>(1, static_cast<size_t>(room / (lineStep * size_)));
        count_ = set.size();
    }

    std::vector<std::string> files() const {
        std::vector<std::string> out;
        for (size_t page = 0; page < pages(); ++page) {
            SvgCanvas canvas(width_, height_, title(), description);
            draw(canvas, page);
            out.push_back(canvas.file());
        }
        return out;
    }
    std::string pdf() const {
        PdfCanvas canvas(width_, height_, title(), description);
        for (size_t page = 0; page < pages(); ++page) {
            if (page > 0) canvas.nextPage();
            draw(canvas, page);
        }
        return canvas.file();
    }

  private:
    void fill(const std::vector<Stake>& set) {
        const LengthFormat& show = model_.plan.show;
        columns_ = {{"No.", Anchor::Start, true, {}},
                    {"station", Anchor::End, false, {}},
                    {"offset", Anchor::End, false, {}},
                    {"cut/fill", Anchor::End, true, {}},
                    {"string", Anchor::End, false, {}}};
        const std::vector<LayerId> layers = layersBelow(set);
        for (const LayerId layer : layers)
            columns_.push_back(
                {"to " + model_.layers[static_cast<size_t>(layer)].name, Anchor::End, false, {}});
        columns_.push_back({"to formation", Anchor::End, true, {}});
        columns_.push_back({"stake", Anchor::Start, false, {}});
        for (size_t i = 0; i < set.size(); ++i) {
            const Stake& stake = set[i];
            std::vector<std::string> row{fmt::format("{}", i + 1),
                                         formatStation(stake.station, show, StationFor::Set),
                                         formatLength(stake.offset, show), cutOrFill(stake.cut(), show),
                                         formatLength(stake.string, show)};
            for (const LayerId layer : layers) row.push_back(downTo(stake, layer, show));
            row.insert(row.end(), {formatThickness(stake.down(), show), stake.name});
            for (size_t k = 0; k < row.size(); ++k) columns_[k].cells.push_back(row[k]);
        }
        above_ = set.empty() ? 0 : set[0].string - set[0].finish;
    }

    void fit() {
        const auto tooWide = [&] { return tableWidth() > width_ - 2 * margin; };
        while (size_ > smallest && tooWide()) size_ -= 0.25;
        for (size_t most = 40; most >= 12 && tooWide(); most -= 2)
            for (std::string& name : columns_.back().cells) name = shortened(name, most);
        while (size_ > 1 && tooWide()) size_ -= 0.25;
    }
    /// The first bytes of a name, no letter of it cut.
    static std::string shortened(const std::string& name, size_t most) {
        if (name.size() <= most) return name;
        size_t end = most - 3;
        while (end > 0 && (static_cast<unsigned char>(name[end]) & 0xC0) == 0x80) --end;
        return name.substr(0, end) + "\u2026";
    }

    double widthOf(const Column& column) const {
        double most = textWidth(column.head, headSize, false);
        for (const std::string& cell : column.cells)
            most = std::max(most, textWidth(cell, size_, column.strong));
        return most;
    }
    double tableWidth() const {
        double sum = columnGap * size_ * static_cast<double>(columns_.size() - 1);
        for (const Column& column : columns_) sum += widthOf(column);
        return sum;
    }

    static constexpr const char* description = "One line a stake";
    std::string title() const {
        return model_.plan.title.empty() ? "Stakes" : model_.plan.title + ": stakes";
    }
    size_t pages() const { return (count_ + perPage_ - 1) / perPage_; }

    void draw(Canvas& canvas, size_t page) const {
        double y = margin + headSize;
        text(canvas, {margin, y}, title(), headSize, true, paper_.ink);
        const char* unit = metric_ ? "metres" : "feet";
        std::string note = fmt::format(
            "Cut (C) and fill (F) in {}, from the ground to the formation. \"to\": down from the string, "
            "which is {}.",
            unit,
            above_ > 0 ? formatThickness(above_, model_.plan.show) + " above the finish"
                       : std::string("at the finish"));
        if (!model_.plan.datum.empty()) note = model_.plan.datum + ". " + note;
        if (pages() > 1) note += fmt::format(" Sheet {} of {}.", page + 1, pages());
        text(canvas, {margin, y += 1.5 * headSize}, note, headSize * 0.85, false, paper_.quiet);
        y += 1.7 * headSize;
        heads(canvas, y);
        const size_t from = page * perPage_, to = std::min(count_, from + perPage_);
        for (size_t i = from; i < to; ++i) line(canvas, i, y += lineStep * size_);
    }

    template <class Each>
    void eachColumn(const Each& each) const {
        double x = margin;
        for (const Column& column : columns_) {
            const double width = widthOf(column);
            each(column, column.anchor == Anchor::End ? x + width : x);
            x += width + columnGap * size_;
        }
    }
    void heads(Canvas& canvas, double y) const {
        eachColumn([&](const Column& column, double x) {
            text(canvas, {x, y}, column.head, headSize, false, paper_.quiet, column.anchor);
        });
    }
    void line(Canvas& canvas, size_t i, double y) const {
        const double under = y + 0.42 * size_;
        canvas.line({margin, under}, {width_ - margin, under}, {paper_.quiet, 0.15, {}, false});
        eachColumn([&](const Column& column, double x) {
            text(canvas, {x, y}, column.cells[i], size_, column.strong, paper_.ink, column.anchor);
        });
    }
    static void text(Canvas& canvas, glm::dvec2 at, const std::string& words, double size, bool strong,
                     const Colour& colour, Anchor anchor = Anchor::Start) {
        TextStyle style;
        style.size = size, style.strong = strong, style.colour = colour, style.anchor = anchor;
        canvas.text(at, words, style);
    }

    const Model& model_;
    bool metric_;
    double width_, height_;
    Paper paper_;
    std::vector<Column> columns_;
    double size_ = largest;
    double above_ = 0;  // of the strings over the finish
    size_t perPage_ = 1, count_ = 0;
};

}  // namespace

std::vector<std::string> stakesSheets(const Model& model, const std::vector<Stake>& set) {
    return Sheets(model, set).files();
}

std::string stakesPdf(const Model& model, const std::vector<Stake>& set) {
    return Sheets(model, set).pdf();
}

}  // namespace underfoot
