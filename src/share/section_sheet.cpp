#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "share/page_canvas.h"
#include "share/section_drawing.h"
#include "share/section_plan.h"
#include "study/section.h"

namespace underfoot {
namespace {

// Everything on the sheet that is not the section itself, in millimetres.
constexpr double margin = 12;
constexpr double header = 21;
constexpr double soilBand = 9;  // of native soil under the lowest formation
constexpr double labelGap = 9;  // between the drawing and the column of names
constexpr double labelColumn = 62;
constexpr double labelStep = 9.2;
constexpr double leaderRise = 1.0;  // of a leader above the base line of its name
constexpr double rowStep = 4.6;     // of words above the surface
constexpr double rowStart = 5.2;    // of the lowest row's base line above the highest place
constexpr double axisDrop = 7;      // of the axis under the drawing
constexpr double axisRoom = 16;     // the axis with its words
constexpr double barRoom = 13;      // the scale bar
constexpr double titleSize = 5, nameSize = 3.4, textSize = 2.7, headingSize = 3.0;
constexpr double greatestWidth = 190;

double mmPerMetre(double scale) {
    return 1000 / scale;
}

double chosenScale(double wanted, double length) {
    if (wanted > 0) return wanted;
    for (const double scale : {10.0, 20.0, 25.0, 50.0, 100.0, 200.0})
        if (length * mmPerMetre(scale) <= greatestWidth) return scale;
    return 500;
}

double chosenExaggeration(double wanted, double depth, double perMetre) {
    if (wanted > 0) return wanted;
    double times = 1;
    while (times < 5 && depth * perMetre * times < 38) ++times;
    return times;
}

std::string scaleSentence(double scale, double times) {
    std::string out = fmt::format("Scale 1:{:g} at full size.", scale);
    if (times != 1)
        out += fmt::format(" Heights are drawn {:g} times larger, 1:{:g}.", times,
                           std::round(scale / times * 100) / 100);
    return out;
}

std::string defaultName(const Section& section, const Model& model) {
    if (!section.station) return "Section";
    return "Section at station " + formatStation(*section.station, model.plan.show);
}

/// Where leaders should end: near the right end of what is inside the outlines.
double preferredDistance(const SectionExtent& extent, double perMetre) {
    const double inside = extent.insideTo - extent.insideFrom;
    return std::max(extent.insideFrom + 0.5 * inside,
                    extent.insideTo - std::max(0.08 * inside, 10 / perMetre));
}

std::vector<SectionLabel> labelsOf(const Section& section, const Model& model, const SectionSheet& sheet,
                                   bool existingGround) {
    const double perMetre = sheet.frame.perMetre;
    return sectionLabels(section, model, sheet.extent, preferredDistance(sheet.extent, perMetre),
                         soilBand / (perMetre * sheet.exaggeration), existingGround);
}

/// Height of the highest thing that is drawn: fixed things may stand above the surface.
double highestDrawn(const Section& section, const SectionSheet& sheet) {
    double highest = sheet.extent.highest;
    for (const ThingCut& cut : section.things)
        if (cut.to > sheet.extent.from && cut.from < sheet.extent.to)
            highest = std::max(highest, std::min(std::max(cut.topFrom, cut.topTo), sheet.frame.ceiling));
    return highest;
}

/// Level of the first name below the highest place, mm: the names are centred on what they name but do not
/// hang below the drawing.
double firstLabel(const std::vector<SectionLabel>& labels, const SectionSheet& sheet) {
    if (labels.empty()) return 0;
    const double mmPerHeight = sheet.frame.perMetre * sheet.exaggeration,
                 count = static_cast<double>(labels.size());
    double middle = 0;
    for (const SectionLabel& label : labels)
        middle += (sheet.extent.highest - label.height) * mmPerHeight / count;
    const double room = labelStep * (count - 1),
                 drawn = (sheet.extent.highest - sheet.frame.floor) * mmPerHeight;
    return std::min(middle - room / 2, drawn - room - 1) + 1;
}

class SheetDrawing {
  public:
    SheetDrawing(const Section& section, const Model& model, const Catalogue& catalogue,
                 const SectionSheet& sheet, const SectionSheetOptions& options, Canvas& canvas)
        : section_(section),
          model_(model),
          catalogue_(catalogue),
          sheet_(sheet),
          style_(options.style),
          options_(options),
          canvas_(canvas) {
        fine_ = {style_.paper.ink, 0.18, {}, false};
    }

    void draw() {
        if (options_.paperColour) page();
        group("Heading", &SheetDrawing::heading);
        canvas_.beginGroup("Section");
        drawSectionBody(section_, model_, catalogue_, sheet_.frame, style_, canvas_);
        canvas_.endGroup();
        group("Names", &SheetDrawing::labels);
        group("Marks", &SheetDrawing::marks);
        group("Axis", &SheetDrawing::axis);
        group("Scale bar", &SheetDrawing::scaleBar);
    }

  private:
    void group(const char* name, void (SheetDrawing::*content)()) {
        canvas_.beginGroup(name);
        (this->*content)();
        canvas_.endGroup();
    }

    TextStyle words(double size, const Colour& colour, Anchor anchor = Anchor::Start,
                    bool strong = false) const {
        return {size, colour, anchor, strong, 0};
    }
    const Paper& paper() const { return style_.paper; }
    glm::dvec2 place(double d, double z) const { return sheet_.frame.place(d, z); }
    double bottom() const { return place(sheet_.extent.from, sheet_.frame.floor).y; }
    double left() const { return place(sheet_.extent.from, 0).x; }
    double right() const { return place(sheet_.extent.to, 0).x; }

    void page() {
        const glm::dvec2 corners[] = {
            {0, 0}, {sheet_.width, 0}, {sheet_.width, sheet_.height}, {0, sheet_.height}};
        canvas_.polygon(corners, {paper().paper, "", {}}, nullptr);
    }

    void heading() {
        canvas_.text({margin, margin + 4}, sheet_.title, words(titleSize, paper().ink, Anchor::Start, true));
        canvas_.text({margin, margin + 10}, sheet_.name, words(nameSize, paper().ink));
        canvas_.text({margin, margin + 15}, sheet_.scaleWords, words(textSize, paper().quiet));
    }

    void marks() {
        const double base = place(0, highestDrawn(section_, sheet_)).y - rowStart;
        for (const SectionMark& mark :
             sectionMarks(section_, model_, sheet_.extent, sheet_.frame.perMetre, textSize)) {
            const double y = base - rowStep * mark.row;
            const Colour colour = mark.attention ? paper().attention : paper().ink;
            const Stroke stroke{colour, 0.18, {}, false};
            const glm::dvec2 at = place(mark.distance, mark.height);
            if (mark.kind == SectionMark::Kind::Level) {
                const glm::dvec2 sign[] = {at, at + glm::dvec2{-0.95, -1.6}, at + glm::dvec2{0.95, -1.6}};
                canvas_.polygon(sign, {paper().ink, "", {}}, nullptr);
                canvas_.line(at + glm::dvec2{0, -1.6}, {at.x, y - 1.9}, fine_);
            } else if (mark.kind == SectionMark::Kind::Thing) {
                const glm::dvec2 top = place(mark.distance, std::min(mark.height, sheet_.frame.ceiling));
                canvas_.line(top, {top.x, y - 1.9}, fine_);
            } else if (mark.kind != SectionMark::Kind::Slope) {
                thicknessMark(mark, y, stroke);
            }
            const double x = mark.anchor == Anchor::Start ? mark.left
                             : mark.anchor == Anchor::End ? mark.right
                                                          : (mark.left + mark.right) / 2;
            clearBehind({left() + mark.left, y - 0.8 * textSize}, {left() + mark.right, y + 0.3 * textSize});
            canvas_.text({left() + x, y}, mark.words, words(textSize, colour, mark.anchor));
        }
    }

    /// Where a leader passes behind words it gives way to them.
    void clearBehind(glm::dvec2 low, glm::dvec2 high) {
        const glm::dvec2 box[] = {low, {high.x, low.y}, high, {low.x, high.y}};
        canvas_.polygon(box, {options_.paperColour ? paper().paper : Colour{1, 1, 1}, "", {}}, nullptr);
    }

    /// An upright dimension through the layer, carried on to its words. A halo of paper keeps it off the
    /// hatch.
    void thicknessMark(const SectionMark& mark, double y, const Stroke& stroke) {
        const glm::dvec2 top = place(mark.distance, mark.top), low = place(mark.distance, mark.bottom);
        Stroke halo = stroke;
        halo.colour = paper().paper;
        halo.width = 0.75;
        canvas_.line(low, {low.x, std::min(top.y, place(mark.distance, mark.height).y)}, halo);
        canvas_.line(low, {low.x, y - 1.9}, stroke);
        Stroke end = stroke;
        end.width = 0.3;
        dimensionMark(canvas_, top, {0, -1}, end, 1.8);
        dimensionMark(canvas_, low, {0, -1}, end, 1.8);
    }

    void labels() {
        std::vector<SectionLabel> all = labelsOf(section_, model_, sheet_, style_.existingGround);
        if (all.empty()) return;
        const double column = right() + labelGap;
        const double first =
            quietest(all, place(0, sheet_.extent.highest).y + firstLabel(all, sheet_), column);
        untangle(all, first);
        for (size_t i = 0; i < all.size(); ++i)
            label(all[i], {column, first + labelStep * static_cast<double>(i)});
    }

    /// The start of the column, a little up or down from the one given, where leaders pass behind the fewest
    /// words.
    double quietest(const std::vector<SectionLabel>& all, double first, double column) const {
        const double base = place(0, highestDrawn(section_, sheet_)).y - rowStart;
        const std::vector<SectionMark> words =
            sectionMarks(section_, model_, sheet_.extent, sheet_.frame.perMetre, textSize);
        double best = first;
        int fewest = std::numeric_limits<int>::max();
        for (const double shift : {0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0, 4.0, -4.0}) {
            if (first + shift < margin + header - 3) continue;
            int met = 0;
            for (size_t i = 0; i < all.size(); ++i)
                for (const SectionMark& mark : words)
                    met += meets(all[i], first + shift + labelStep * static_cast<double>(i) - leaderRise,
                                 column, mark, base)
                               ? 1
                               : 0;
            if (met < fewest) fewest = met, best = first + shift;
        }
        return best;
    }

    bool meets(const SectionLabel& label, double level, double column, const SectionMark& mark,
               double base) const {
        const glm::dvec2 dot = place(label.distance, label.height);
        const double y = base - rowStep * mark.row, top = y - 0.8 * textSize - 0.3,
                     low = y + 0.3 * textSize + 0.3;
        const double leftEnd = left() + mark.left - 0.5, rightEnd = left() + mark.right + 0.5;
        const double elbow = dot.x + std::abs(level - dot.y);
        if (level > top && level < low && rightEnd > elbow && leftEnd < column) return true;
        // The oblique part: where it runs while it passes the words' height.
        const double a = std::clamp(top, std::min(level, dot.y), std::max(level, dot.y)),
                     b = std::clamp(low, std::min(level, dot.y), std::max(level, dot.y));
        if (b - a <= 0) return false;
        const double xa = dot.x + std::abs(a - dot.y), xb = dot.x + std::abs(b - dot.y);
        return std::max(xa, xb) > leftEnd && std::min(xa, xb) < rightEnd;
    }

    /// Leaders rise or sink at 45 degrees and then run level; neighbours whose leaders would cross change
    /// places.
    void untangle(std::vector<SectionLabel>& all, double first) const {
        for (size_t round = 0; round < all.size(); ++round)
            for (size_t i = 0; i + 1 < all.size(); ++i) {
                const double upper = first + labelStep * static_cast<double>(i), lower = upper + labelStep;
                const glm::dvec2 a = place(all[i].distance, all[i].height),
                                 b = place(all[i + 1].distance, all[i + 1].height);
                const bool bothUp = a.y > lower && b.y > lower && a.x + a.y > b.x + b.y + 1e-6;
                const bool bothDown = a.y < upper && b.y < upper && b.x - b.y > a.x - a.y + 1e-6;
                if (bothUp || bothDown) std::swap(all[i], all[i + 1]);
            }
    }

    void label(const SectionLabel& label, glm::dvec2 at) {
        const Colour colour = paper().ink;
        const Stroke stroke{colour, 0.18, {}, true};
        const glm::dvec2 dot = place(label.distance, label.height);
        const double level = at.y - leaderRise, run = std::abs(level - dot.y);
        const glm::dvec2 elbow{dot.x + std::min(run, std::max(0.0, at.x - 2 - dot.x)), level};
        const glm::dvec2 path[] = {dot, elbow, {at.x - 1.4, level}};
        Stroke halo = stroke;
        halo.colour = paper().paper;
        halo.colour.opacity = 0.75;
        halo.width = 0.6;
        canvas_.polyline(path, halo);
        canvas_.polyline(path, stroke);
        const Stroke rim{paper().paper, 0.2, {}, false};
        canvas_.circle(dot, 0.65, {colour, "", {}}, &rim);
        canvas_.text(at, label.heading, words(headingSize, colour, Anchor::Start, true));
        if (!label.detail.empty())
            canvas_.text({at.x, at.y + 3.9}, label.detail, words(textSize, paper().quiet));
    }

    void axis() {
        const SectionAxis axis = sectionAxis(section_, model_, sheet_.extent, sheet_.frame.perMetre);
        const double y = bottom() + axisDrop;
        canvas_.line({left(), y}, {right(), y}, fine_);
        Stroke mark = fine_;
        mark.width = 0.3;
        for (const AxisMark& m : axis.marks) {
            const double x = place(m.distance, 0).x;
            dimensionMark(canvas_, {x, y}, {1, 0}, mark);
            canvas_.text({x, y + 4.2}, m.words, words(textSize, paper().ink, Anchor::Middle));
        }
        canvas_.text({left(), y + 8.6}, axis.words, words(textSize, paper().quiet));
    }

    /// So that a print made at another size can be measured all the same.
    void scaleBar() {
        const LengthFormat& format = model_.plan.show;
        const double step = roundStep(8 / sheet_.frame.perMetre, format);
        const double x = left(), y = bottom() + axisRoom + 5, width = step * sheet_.frame.perMetre;
        for (int i = 0; i < 4; ++i) {
            const double from = x + i * width;
            const glm::dvec2 box[] = {{from, y}, {from + width, y}, {from + width, y + 1.3}, {from, y + 1.3}};
            canvas_.polygon(box, {i % 2 == 0 ? paper().ink : paper().paper, "", {}}, &fine_);
        }
        for (const int i : {0, 2, 4})
            canvas_.text({x + i * width, y + 4.6}, roundLength(i * step, format),
                         words(textSize, paper().ink, Anchor::Middle));
    }

    const Section& section_;
    const Model& model_;
    const Catalogue& catalogue_;
    const SectionSheet& sheet_;
    const SectionStyle& style_;
    const SectionSheetOptions& options_;
    Canvas& canvas_;
    Stroke fine_;
};

}  // namespace

SectionSheet layOutSection(const Section& section, const Model& model, const SectionSheetOptions& options) {
    SectionSheet sheet;
    sheet.title = !options.title.empty()      ? options.title
                  : !model.plan.title.empty() ? model.plan.title
                                              : "Patio";
    sheet.name = options.name.empty() ? defaultName(section, model) : options.name;
    sheet.extent = sectionExtent(model, section);
    const SectionExtent& extent = sheet.extent;
    sheet.scale = chosenScale(options.scale, extent.to - extent.from);
    SectionFrame& frame = sheet.frame;
    frame.perMetre = mmPerMetre(sheet.scale);
    sheet.exaggeration = frame.exaggeration =
        chosenExaggeration(options.exaggeration, extent.depth, frame.perMetre);
    sheet.scaleWords = scaleSentence(sheet.scale, sheet.exaggeration);
    frame.from = extent.from, frame.to = extent.to;
    const double mmPerHeight = frame.perMetre * frame.exaggeration;
    frame.floor = extent.lowestFormation - soilBand / mmPerHeight;
    frame.ceiling = extent.highest + 8 / mmPerHeight;

    int rows = 0;
    for (const SectionMark& mark : sectionMarks(section, model, extent, frame.perMetre, textSize))
        rows = std::max(rows, mark.row + 1);
    const std::vector<SectionLabel> labels = labelsOf(section, model, sheet, options.style.existingGround);
    const double first = firstLabel(labels, sheet), room = labelStep * static_cast<double>(labels.size());
    const double above = (highestDrawn(section, sheet) - extent.highest) * mmPerHeight;
    const double top = margin + header + std::max(above + rowStart + rowStep * rows, 3 - first);
    frame.distance = extent.from, frame.height = extent.highest;
    frame.origin = {margin + 4, top};
    const double drawn = (extent.highest - frame.floor) * mmPerHeight;
    sheet.width = 2 * margin + 4 + (extent.to - extent.from) * frame.perMetre + labelGap + labelColumn;
    sheet.height = std::max(top + drawn + axisRoom + barRoom, top + first + room) + margin;
    return sheet;
}

void drawSectionSheet(const Section& section, const Model& model, const Catalogue& catalogue,
                      const SectionSheet& sheet, const SectionSheetOptions& options, Canvas& canvas) {
    SheetDrawing(section, model, catalogue, sheet, options, canvas).draw();
}

namespace {

Result<std::string> drawnOn(PageFormat format, const Section& section, const Model& model,
                            const Catalogue& catalogue, const SectionSheetOptions& options) {
    if (section.intervals.empty())
        return tl::unexpected(Diagnostic{{model.plan.file, 0, 0},
                                         "The section meets no part of the plan.",
                                         "Move it so that it crosses an area or the shots."});
    const SectionSheet sheet = layOutSection(section, model, options);
    const auto canvas = openPage(format, sheet.width, sheet.height, sheet.title + ", " + sheet.name,
                                 sheet.scaleWords, sheetOf(model.plan));
    drawSectionSheet(section, model, catalogue, sheet, options, *canvas);
    return canvas->file();
}

}  // namespace

Result<std::string> sectionSvg(const Section& section, const Model& model, const Catalogue& catalogue,
                               const SectionSheetOptions& options) {
    return drawnOn(PageFormat::Svg, section, model, catalogue, options);
}

Result<std::string> sectionPdf(const Section& section, const Model& model, const Catalogue& catalogue,
                               const SectionSheetOptions& options) {
    SectionSheetOptions white = options;
    white.paperColour = false;
    return drawnOn(PageFormat::Pdf, section, model, catalogue, white);
}

}  // namespace underfoot
