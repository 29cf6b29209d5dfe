#include "share/pdf.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <map>
#include <memory>
#include <numbers>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <cairo-pdf.h>
#include <pango/pangocairo.h>
#include <glm/vec2.hpp>

#include "share/drawing.h"
#include "share/hatch.h"
#include "share/page_canvas.h"
#include "share/svg.h"

namespace underfoot {
namespace {

constexpr double pointsPerMillimetre = 72 / 25.4;
/// Text is laid out this much larger than it is drawn, so that no rounding of places is seen.
constexpr double textScale = 100;
constexpr const char* families = "Inter, Helvetica, Arial, sans-serif";

struct Destroy {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* cairo) const { cairo_destroy(cairo); }
    void operator()(cairo_pattern_t* pattern) const { cairo_pattern_destroy(pattern); }
    void operator()(PangoLayout* layout) const { g_object_unref(layout); }
    void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
};
template <class Thing>
using Held = std::unique_ptr<Thing, Destroy>;

cairo_status_t appendBytes(void* to, const unsigned char* bytes, unsigned count) {
    static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(bytes), count);
    return CAIRO_STATUS_SUCCESS;
}

void trace(cairo_t* cairo, std::span<const glm::dvec2> points, bool closed) {
    for (const glm::dvec2& p : points) cairo_line_to(cairo, p.x, p.y);
    if (closed) cairo_close_path(cairo);
}
void traceCircle(cairo_t* cairo, glm::dvec2 centre, double radius) {
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, centre.x, centre.y, radius, 0, 2 * std::numbers::pi);
    cairo_close_path(cairo);
}

void setColour(cairo_t* cairo, const Colour& colour) {
    cairo_set_source_rgba(cairo, colour.red, colour.green, colour.blue, colour.opacity);
}

Held<cairo_pattern_t> tiled(const HatchTile& tile, const Colour& colour) {
    const cairo_rectangle_t extent{0, 0, tile.width, tile.height};
    const Held<cairo_surface_t> surface(cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &extent));
    const Held<cairo_t> cairo(cairo_create(surface.get()));
    setColour(cairo.get(), colour);
    cairo_set_line_join(cairo.get(), CAIRO_LINE_JOIN_ROUND);
    for (const HatchStroke& stroke : tile.strokes) {
        trace(cairo.get(), stroke.points, stroke.closed);
        if (stroke.filled) cairo_fill_preserve(cairo.get());
        cairo_set_line_width(cairo.get(), stroke.width);
        cairo_stroke(cairo.get());
    }
    for (const HatchDot& dot : tile.dots) traceCircle(cairo.get(), dot.at, dot.radius);
    cairo_fill(cairo.get());
    Held<cairo_pattern_t> pattern(cairo_pattern_create_for_surface(surface.get()));
    cairo_pattern_set_extend(pattern.get(), CAIRO_EXTEND_REPEAT);
    return pattern;
}

/// Where a drawing lies on the page that it gets.
struct Place {
    glm::dvec2 page;
    glm::dvec2 corner{0, 0};
};
Place placeOn(Sheet sheet, glm::dvec2 size) {
    if (sheet == Sheet::None) return {size};
    const glm::dvec2 standing = *sheetSize(sheet);
    const bool tall = size.x <= standing.x && size.y <= standing.y && size.y > size.x;
    if (!tall && (size.x > standing.y || size.y > standing.x)) return {size};
    const glm::dvec2 page = tall ? standing : glm::dvec2{standing.y, standing.x};
    return {page, (page - size) * 0.5};
}

/// Text of one size on a line, laid out.
struct SetPiece {
    Held<PangoLayout> layout;
    double width = 0, raise = 0;  ///< of the page's millimetres
};

}  // namespace

class PdfCanvas::Paper {
  public:
    Paper(glm::dvec2 size, Sheet sheet, const std::string& title, const std::string& description)
        : place_(placeOn(sheet, size)),
          surface_(cairo_pdf_surface_create_for_stream(appendBytes, &bytes_,
                                                       place_.page.x * pointsPerMillimetre,
                                                       place_.page.y * pointsPerMillimetre)),
          cairo_(cairo_create(surface_.get())) {
        cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
        cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_SUBJECT, description.c_str());
        cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATOR, "Underfoot");
        cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, nullptr);
        begin();
    }

    cairo_t* cairo() const { return cairo_.get(); }

    void nextPage() {
        cairo_show_page(cairo());
        cairo_identity_matrix(cairo());
        begin();
    }

    std::string file() {
        if (surface_) {
            cairo_show_page(cairo());
            cairo_.reset();
            cairo_surface_finish(surface_.get());
            surface_.reset();
        }
        return bytes_;
    }

    void strokePath(const Stroke& stroke) {
        setColour(cairo(), stroke.colour);
        cairo_set_line_width(cairo(), stroke.width);
        cairo_set_line_join(cairo(), CAIRO_LINE_JOIN_ROUND);
        cairo_set_line_cap(cairo(), stroke.roundEnds ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
        cairo_set_dash(cairo(), stroke.dashes.data(), static_cast<int>(stroke.dashes.size()), 0);
        cairo_stroke(cairo());
    }

    /// The hatch is a second shape over the first; the outline comes last.
    void paintPath(const Fill& fill, const Stroke* stroke) {
        if (fill.colour.opacity > 0) {
            setColour(cairo(), fill.colour);
            cairo_fill_preserve(cairo());
        }
        if (cairo_pattern_t* hatch = patternFor(fill)) {
            cairo_set_source(cairo(), hatch);
            cairo_fill_preserve(cairo());
        }
        if (stroke != nullptr) strokePath(*stroke);
        cairo_new_path(cairo());
    }

    SetPiece set(const std::string& text, double size, bool strong) const {
        SetPiece piece{Held<PangoLayout>(pango_cairo_create_layout(cairo()))};
        const Held<PangoFontDescription> font(pango_font_description_new());
        pango_font_description_set_family_static(font.get(), families);
        pango_font_description_set_weight(font.get(), strong ? PANGO_WEIGHT_SEMIBOLD : PANGO_WEIGHT_NORMAL);
        pango_font_description_set_absolute_size(font.get(), size * textScale * PANGO_SCALE);
        pango_layout_set_font_description(piece.layout.get(), font.get());
        pango_layout_set_single_paragraph_mode(piece.layout.get(), true);
        pango_layout_set_text(piece.layout.get(), text.data(), static_cast<int>(text.size()));
        int width = 0;
        pango_layout_get_size(piece.layout.get(), &width, nullptr);
        piece.width = width / (PANGO_SCALE * textScale);
        return piece;
    }

    /// From a place on the base line on, stretched.
    void put(const std::vector<SetPiece>& pieces, double stretch) {
        double along = 0;
        for (const SetPiece& piece : pieces) {
            cairo_save(cairo());
            cairo_translate(cairo(), along * stretch, -piece.raise);
            cairo_scale(cairo(), stretch / textScale, 1 / textScale);
            cairo_move_to(cairo(), 0, 0);
            pango_cairo_show_layout_line(cairo(), pango_layout_get_line_readonly(piece.layout.get(), 0));
            cairo_restore(cairo());
            along += piece.width;
        }
        cairo_new_path(cairo());
    }

  private:
    void begin() {
        cairo_scale(cairo(), pointsPerMillimetre, pointsPerMillimetre);
        cairo_translate(cairo(), place_.corner.x, place_.corner.y);
    }

    cairo_pattern_t* patternFor(const Fill& fill) {
        const HatchTile& tile = hatchTile(fill.hatch);
        if (tile.empty()) return nullptr;
        const Colour& c = fill.hatchColour;
        auto& held = patterns_[{fill.hatch, {c.red, c.green, c.blue, c.opacity}}];
        if (!held) held = tiled(tile, c);
        return held.get();
    }

    Place place_;
    std::string bytes_;
    Held<cairo_surface_t> surface_;
    Held<cairo_t> cairo_;
    std::map<std::pair<std::string, std::vector<double>>, Held<cairo_pattern_t>> patterns_;
};

std::unique_ptr<PageCanvas> openPage(PageFormat format, double width, double height, const std::string& title,
                                     const std::string& description, Sheet sheet) {
    if (format == PageFormat::Pdf)
        return std::make_unique<PdfCanvas>(width, height, title, description, sheet);
    return std::make_unique<SvgCanvas>(width, height, title, description);
}

PdfCanvas::PdfCanvas(double width, double height, const std::string& title, const std::string& description,
                     Sheet sheet)
    : paper_(std::make_unique<Paper>(glm::dvec2{width, height}, sheet, title, description)) {
    assert(width > 0 && height > 0);
}
PdfCanvas::~PdfCanvas() = default;

void PdfCanvas::nextPage() {
    assert(depth_ == 0);
    paper_->nextPage();
}

void PdfCanvas::line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) {
    const std::array<glm::dvec2, 2> both{from, to};
    polyline(both, stroke);
}

void PdfCanvas::polyline(std::span<const glm::dvec2> points, const Stroke& stroke) {
    if (points.size() < 2) return;
    trace(paper_->cairo(), points, false);
    paper_->strokePath(stroke);
}

void PdfCanvas::polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) {
    if (corners.size() < 3) return;
    trace(paper_->cairo(), corners, true);
    paper_->paintPath(fill, stroke);
}

void PdfCanvas::circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) {
    traceCircle(paper_->cairo(), centre, radius);
    paper_->paintPath(fill, stroke);
}

void PdfCanvas::text(glm::dvec2 at, std::string_view words, const TextStyle& style) {
    std::vector<SetPiece> pieces;
    double natural = 0;
    for (const TextRun& run : textRuns(words)) {
        const bool small = run.kind == TextRun::Kind::Numerator || run.kind == TextRun::Kind::Denominator;
        pieces.push_back(paper_->set(run.text, style.size * (small ? fractionSize : 1), style.strong));
        if (run.kind == TextRun::Kind::Numerator) pieces.back().raise = fractionRaise * style.size;
        natural += pieces.back().width;
    }
    if (natural <= 0) return;
    const double stretch = std::min(1.0, textWidth(words, style.size, style.strong) / natural);
    const double wide = natural * stretch;
    const double back = style.anchor == Anchor::Start ? 0 : style.anchor == Anchor::Middle ? wide / 2 : wide;
    cairo_t* cairo = paper_->cairo();
    cairo_save(cairo);
    cairo_translate(cairo, at.x, at.y);
    cairo_rotate(cairo, style.turn);
    cairo_translate(cairo, -back, 0);
    setColour(cairo, style.colour);
    paper_->put(pieces, stretch);
    cairo_restore(cairo);
}

std::string PdfCanvas::file() const {
    assert(depth_ == 0);
    return paper_->file();
}

}  // namespace underfoot
