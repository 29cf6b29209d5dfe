// The same cut through several designs on one sheet.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <memory>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "measure/words.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/compare_tables.h"
#include "share/drawing.h"
#include "share/page_canvas.h"
#include "share/pdf.h"
#include "share/section_drawing.h"
#include "share/section_plan.h"
#include "study/section.h"

namespace underfoot {
namespace {

constexpr double margin = 12, header = 20, heightAxis = 20, panelTitle = 9, panelGap = 5;
constexpr double greatestWidth = 190, soilBand = 6, axisRoom = 14, legendStep = 6;
constexpr double titleSize = 5, nameSize = 3.4, textSize = 2.7;
constexpr std::array<double, 9> usualScales{5, 10, 20, 25, 50, 100, 200, 500, 1000};
constexpr double wantedBuildUp = 22;  // mm on paper that the deepest build-up is to be high
constexpr int greatestExaggeration = 5;

struct Shared {
    double from = 0, to = 0, highest = 0, lowest = 0;
    double depth = 0;
};

class CompareSheet {
  public:
    CompareSheet(std::span<const CutDesign> designs, std::string title, std::string name, double scale)
        : designs_(designs), title_(std::move(title)), name_(std::move(name)) {
        gather();
        chooseScale(scale);
        for (const CutDesign& design : designs_) noteLayers(*design.model, *design.section);
    }

    std::string draw(PageFormat format) {
        if (format == PageFormat::Pdf) return print(sheetOf(designs_.front().model->plan));
        const Extent all = extent(designs_.size());
        const auto sheet = openPage(format, all.width, all.height, title_ + ", " + name_, scaleWords());
        canvas_ = sheet.get();
        const glm::dvec2 corners[] = {{0, 0}, {all.width, 0}, {all.width, all.height}, {0, all.height}};
        canvas_->polygon(corners, {paper_.paper, "", {}}, nullptr);
        page(designs_, all, name_ + " through each design");
        return sheet->file();
    }

  private:
    void gather() {
        constexpr double none = std::numeric_limits<double>::infinity();
        shared_ = {none, -none, -none, none, 0};
        for (const CutDesign& design : designs_) {
            if (design.section->intervals.empty()) continue;
            const SectionExtent extent = sectionExtent(*design.model, *design.section);
            shared_.from = std::min(shared_.from, extent.from);
            shared_.to = std::max(shared_.to, extent.to);
            shared_.highest = std::max(shared_.highest, extent.highest);
            shared_.lowest = std::min(shared_.lowest, extent.lowestFormation);
            shared_.depth = std::max(shared_.depth, extent.depth);
        }
    }
    void chooseScale(double wanted) {
        scale_ = wanted;
        for (size_t i = 0; wanted <= 0 && i < usualScales.size(); ++i) {
            scale_ = usualScales[i];
            if ((shared_.to - shared_.from) * 1000 / scale_ <= greatestWidth) break;
        }
        perMetre_ = 1000 / scale_;
        while (exaggeration_ < greatestExaggeration &&
               shared_.depth * perMetre_ * exaggeration_ < wantedBuildUp)
            ++exaggeration_;
    }

    struct Extent {
        double width, height;
        double panel;  ///< height of one design's drawing
    };
    Extent extent(size_t designs) const {
        const double panel = (shared_.highest - shared_.lowest) * perMetre_ * exaggeration_ + soilBand + 3;
        const double drawn = (shared_.to - shared_.from) * perMetre_;
        const double width = std::max(2 * margin + heightAxis + drawn, 150.0);
        const double legend = std::ceil(static_cast<double>(layers_.size() + 2) / perRow(width)) * legendStep;
        const double panels = (panelTitle + panel + panelGap) * static_cast<double>(designs);
        return {width, 2 * margin + header + panels + axisRoom + legend, panel};
    }

    /// On paper of its own: as many designs as a page holds.
    std::string print(Sheet paper) {
        const size_t most = perPage(*sheetSize(paper)), pages = (designs_.size() + most - 1) / most,
                     each = (designs_.size() + pages - 1) / pages;
        const Extent all = extent(each);
        PdfCanvas sheets(all.width, all.height, title_ + ", " + name_, scaleWords(), paper);
        canvas_ = &sheets;
        for (size_t p = 0; p < pages; ++p) {
            if (p > 0) sheets.nextPage();
            const size_t first = p * each;
            const std::string number = pages > 1 ? fmt::format(", page {} of {}", p + 1, pages) : "";
            page(designs_.subspan(first, std::min(each, designs_.size() - first)), all,
                 name_ + " through each design" + number);
        }
        canvas_ = nullptr;  // it ends here
        return sheets.file();
    }
    /// How many designs one sheet holds; heights are drawn less tall where all of them then stand on it. All,
    /// on a larger page, where not even one does.
    size_t perPage(glm::dvec2 sheet) {
        const auto fit = [&](size_t designs) {
            const Extent all = extent(designs);
            return std::max(all.width, all.height) <= std::max(sheet.x, sheet.y) &&
                   std::min(all.width, all.height) <= std::min(sheet.x, sheet.y);
        };
        const int wanted = exaggeration_;
        while (exaggeration_ > 1 && !fit(designs_.size())) --exaggeration_;
        if (fit(designs_.size())) return designs_.size();
        exaggeration_ = wanted;
        size_t most = designs_.size();
        while (most > 1 && !fit(most)) --most;
        return fit(most) ? most : designs_.size();
    }

    std::string scaleWords() const {
        const std::string scale = fmt::format("Scale 1:{:g} along the cut.", scale_);
        return exaggeration_ == 1 ? scale
                                  : fmt::format("{} Heights drawn {} times larger.", scale, exaggeration_);
    }
    void noteLayers(const Model& model, const Section& section) {
        for (const Extremes& one : extremes(model, section)) {
            const ModelLayer& layer = model.layers[static_cast<size_t>(one.layer)];
            if (known_.insert(layer.name).second) layers_.push_back({layer.name, &model, layer});
        }
    }

    TextStyle words(double size, const Colour& colour, Anchor anchor = Anchor::Start,
                    bool strong = false) const {
        TextStyle style;
        style.size = size;
        style.colour = colour;
        style.anchor = anchor;
        style.strong = strong;
        return style;
    }

    void page(std::span<const CutDesign> designs, const Extent& all, const std::string& said) {
        canvas_->text({margin, margin + 5}, title_, words(titleSize, paper_.ink, Anchor::Start, true));
        canvas_->text({margin, margin + 11}, said, words(nameSize, paper_.ink));
        canvas_->text({margin, margin + 15.5}, scaleWords(), words(textSize, paper_.quiet));
        double y = margin + header;
        for (const CutDesign& design : designs) {
            drawPanel(design, y, all.panel);
            y += panelTitle + all.panel + panelGap;
        }
        drawAxis(y - panelGap + 3);
        drawLegend(y + axisRoom, all.width);
    }

    void drawPanel(const CutDesign& design, double top, double high) {
        canvas_->beginGroup(design.name);
        const double left = margin + heightAxis;
        canvas_->text({left, top + 4}, design.name, words(nameSize, paper_.ink, Anchor::Start, true));
        canvas_->text({left + textWidth(design.name, nameSize, true) + 4, top + 4}, design.words,
                      words(textSize, paper_.quiet));
        SectionFrame frame;
        frame.origin = {left, top + panelTitle};
        frame.distance = shared_.from;
        frame.height = shared_.highest;
        frame.perMetre = perMetre_;
        frame.exaggeration = exaggeration_;
        frame.floor = shared_.lowest - soilBand / (perMetre_ * exaggeration_);
        frame.ceiling = shared_.highest + 2 / (perMetre_ * exaggeration_);
        if (!design.section->intervals.empty()) {
            frame.from = std::max(shared_.from, design.section->intervals.front().from);
            frame.to = std::min(shared_.to, design.section->intervals.back().to);
            drawSectionBody(*design.section, *design.model, loadCatalogue(design.model->plan), frame, {},
                            *canvas_);
        } else {
            canvas_->text({left, top + panelTitle + high / 2}, "The cut meets no part of this design.",
                          words(textSize, paper_.quiet));
        }
        if (&design != &designs_.front()) drawFirstFinish(frame);
        drawHeights(frame);
        canvas_->endGroup();
    }

    /// The first design's finish, to see the others against.
    void drawFirstFinish(const SectionFrame& frame) {
        const Section& section = *designs_.front().section;
        std::vector<glm::dvec2> line;
        const auto put = [&] {
            if (line.size() > 1) canvas_->polyline(line, firstFinish_);
            line.clear();
        };
        for (const SectionInterval& interval : section.intervals) {
            const Column& column = designs_.front().model->columns[static_cast<size_t>(interval.column)];
            if (column.area < 0 || column.beyond) {
                put();
                continue;
            }
            const size_t top = static_cast<size_t>(interval.first);
            line.push_back(frame.place(interval.from, section.heights[top]));
            line.push_back(frame.place(interval.to, section.heights[top + 1]));
        }
        put();
    }

    /// The same heights beside every panel.
    void drawHeights(const SectionFrame& frame) {
        const LengthFormat& show = designs_[0].model->plan.show;
        const double step = roundStep(6 / (perMetre_ * exaggeration_), show);
        const double x = frame.origin.x - 3;
        const Stroke fine{paper_.quiet, 0.18, {}, false};
        const double low = frame.floor, high = shared_.highest;
        canvas_->line({x, frame.place(0, high).y}, {x, frame.place(0, low).y}, fine);
        const auto last = static_cast<long>(std::floor(high / step + 1e-9));
        for (auto i = static_cast<long>(std::ceil(low / step - 1e-9)); i <= last; ++i) {
            const double z = static_cast<double>(i) * step;
            const double y = frame.place(0, z).y;
            canvas_->line({x - 1.2, y}, {x, y}, fine);
            canvas_->text({x - 2, y + 0.9}, formatLength(z, show),
                          words(textSize, paper_.quiet, Anchor::End));
        }
    }

    void drawAxis(double y) {
        for (const CutDesign& design : designs_) {
            if (design.section->intervals.empty()) continue;
            SectionExtent extent = sectionExtent(*design.model, *design.section);
            extent.from = shared_.from, extent.to = shared_.to;
            const SectionAxis axis = sectionAxis(*design.section, *design.model, extent, perMetre_);
            const double left = margin + heightAxis;
            const Stroke fine{paper_.ink, 0.18, {}, false};
            const auto at = [&](double distance) { return left + (distance - shared_.from) * perMetre_; };
            canvas_->line({left, y}, {at(shared_.to), y}, fine);
            for (const AxisMark& mark : axis.marks) {
                canvas_->line({at(mark.distance), y - 1}, {at(mark.distance), y + 1}, fine);
                canvas_->text({at(mark.distance), y + 4.4}, mark.words,
                              words(textSize, paper_.ink, Anchor::Middle));
            }
            canvas_->text({left, y + 8.8}, axis.words, words(textSize, paper_.quiet));
            return;
        }
    }

    static double perRow(double width) { return std::max(1.0, std::floor((width - 2 * margin) / 42)); }
    void drawLegend(double y, double width) {
        const double each = (width - 2 * margin) / perRow(width);
        const Stroke fine{paper_.ink, 0.18, {}, false};
        for (size_t i = 0; i < layers_.size(); ++i) {
            const glm::dvec2 at = legendPlace(i, y, each, width);
            const Material& material = catalogue_.material(layers_[i].layer.material, layers_[i].layer.role);
            const Colour own{material.colour[0], material.colour[1], material.colour[2]};
            const SectionStyle style;
            const Colour face = mixed(own, {1, 1, 1}, style.faceBrightening);
            const bool dark = contrastRatio(face, paper_.paper) > contrastRatio(face, paper_.ink);
            const Colour mark = dark ? mixed(face, paper_.paper, 0.34) : mixed(face, paper_.ink, 0.55);
            const glm::dvec2 box[] = {at, {at.x + 6, at.y}, {at.x + 6, at.y + 3.6}, {at.x, at.y + 3.6}};
            canvas_->polygon(box, {face, material.hatch, mark}, &fine);
            canvas_->text({at.x + 8, at.y + 2.9}, capitalised(layers_[i].name), words(textSize, paper_.ink));
        }
        drawLineWords(legendPlace(layers_.size(), y, each, width), {paper_.ink, 0.25, {1.6, 0.9}, false},
                      "Existing ground");
        if (designs_.size() > 1)
            drawLineWords(legendPlace(layers_.size() + 1, y, each, width), firstFinish_,
                          "Finish " + designs_.front().name);
    }
    void drawLineWords(glm::dvec2 at, const Stroke& stroke, const std::string& said) {
        canvas_->line({at.x, at.y + 1.8}, {at.x + 6, at.y + 1.8}, stroke);
        canvas_->text({at.x + 8, at.y + 2.9}, said, words(textSize, paper_.ink));
    }

    static glm::dvec2 legendPlace(size_t i, double y, double each, double width) {
        const double column = std::fmod(static_cast<double>(i), perRow(width));
        const double row = std::floor(static_cast<double>(i) / perRow(width));
        return {margin + column * each, y + row * legendStep};
    }

    struct Shown {
        std::string name;
        const Model* model = nullptr;
        ModelLayer layer;
    };
    std::span<const CutDesign> designs_;
    std::string title_, name_;
    Shared shared_;
    double scale_ = 20, perMetre_ = 50;
    int exaggeration_ = 1;
    std::set<std::string> known_;
    std::vector<Shown> layers_;
    Paper paper_;
    Stroke firstFinish_{paper_.attention, 0.3, {2.2, 1.1}, false};
    Catalogue catalogue_ = loadCatalogue();
    Canvas* canvas_ = nullptr;
};

}  // namespace

namespace {

Result<std::string> drawnOn(PageFormat format, std::span<const CutDesign> designs, const std::string& title,
                            const std::string& name, double scale) {
    const bool any = std::any_of(designs.begin(), designs.end(),
                                 [](const CutDesign& design) { return !design.section->intervals.empty(); });
    if (!any)
        return tl::unexpected(Diagnostic{{},
                                         "The section meets no part of any design.",
                                         "Move it so that it crosses an area or the shots."});
    return CompareSheet(designs, title, name, scale).draw(format);
}

}  // namespace

Result<std::string> compareSvg(std::span<const CutDesign> designs, const std::string& title,
                               const std::string& name, double scale) {
    return drawnOn(PageFormat::Svg, designs, title, name, scale);
}

Result<std::string> comparePdf(std::span<const CutDesign> designs, const std::string& title,
                               const std::string& name, double scale) {
    return drawnOn(PageFormat::Pdf, designs, title, name, scale);
}

}  // namespace underfoot
