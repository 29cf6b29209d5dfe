#include "share/pdf.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <utility>

#include "share/hatch.h"
#include "share/svg.h"

namespace underfoot {
namespace {

constexpr double pointsPerMillimetre = 72 / 25.4;

/// Widths of the printable characters from the space on, thousandths of the em: Helvetica and Helvetica-Bold
/// (Adobe, Core 14 AFM files).
constexpr std::array<int, 95> plainWidths{
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333,  278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667,  611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278,  556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500,  500, 334, 260, 334, 584};
constexpr std::array<int, 95> boldWidths{
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667,
    611, 778, 722, 278, 556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556,
    278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584};

std::string pdfNumber(double value) {
    std::string out = fmt::format("{:.3f}", value);
    out.erase(out.find_last_not_of('0') + 1);
    if (out.back() == '.') out.pop_back();
    return out == "-0" ? "0" : out;
}
std::string pdfPair(glm::dvec2 p) {
    return pdfNumber(p.x) + ' ' + pdfNumber(p.y);
}

std::string pathOf(std::span<const glm::dvec2> points, bool closed) {
    std::string out;
    for (size_t i = 0; i < points.size(); ++i) out += pdfPair(points[i]) + (i == 0 ? " m " : " l ");
    return closed ? out + "h " : out;
}

/// Four cubic arcs; they lie within 0.03 % of the radius.
std::string circlePath(glm::dvec2 c, double r) {
    const double k = r * 4 / 3 * (std::sqrt(2.0) - 1);
    std::string out = pdfPair({c.x + r, c.y}) + " m ";
    glm::dvec2 out_{1, 0}, next{0, 1};
    for (int i = 0; i < 4; ++i) {
        const glm::dvec2 from = c + r * out_, to = c + r * next;
        out += pdfPair(from + k * next) + ' ' + pdfPair(to + k * out_) + ' ' + pdfPair(to) + " c ";
        const glm::dvec2 after = -out_;
        out_ = next, next = after;
    }
    return out + "h ";
}

/// The next letter's code point; `at` moves past it.
unsigned codePoint(std::string_view text, size_t& at) {
    const auto byte = [&](size_t i) {
        return i < text.size() ? static_cast<unsigned>(static_cast<unsigned char>(text[i])) : 0U;
    };
    const unsigned first = byte(at++);
    if (first < 0x80) return first;
    const int more = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : 1;
    unsigned code = first & (0x3FU >> more);
    for (int i = 0; i < more; ++i) code = (code << 6U) | (byte(at++) & 0x3FU);
    return code;
}

/// In Windows code page 1252, which PDF calls WinAnsiEncoding. Prime, double prime, fraction slash and thin
/// space stand as their plain neighbours.
std::string westernText(std::string_view text) {
    constexpr std::array<std::pair<unsigned, unsigned char>, 13> others{{{0x20AC, 0x80},
                                                                         {0x2018, 0x91},
                                                                         {0x2019, 0x92},
                                                                         {0x201C, 0x93},
                                                                         {0x201D, 0x94},
                                                                         {0x2022, 0x95},
                                                                         {0x2013, 0x96},
                                                                         {0x2014, 0x97},
                                                                         {0x2032, '\''},
                                                                         {0x2033, '"'},
                                                                         {0x2044, '/'},
                                                                         {0x2009, ' '},
                                                                         {0x2026, 0x85}}};
    std::string out;
    for (size_t at = 0; at < text.size();) {
        const unsigned code = codePoint(text, at);
        unsigned char letter = '?';
        if ((code >= 0x20 && code < 0x7F) || (code >= 0xA0 && code < 0x100))
            letter = static_cast<unsigned char>(code);
        for (const auto& [from, to] : others)
            if (code == from) letter = to;
        out += static_cast<char>(letter);
    }
    return out;
}

/// A string of a content stream or of the file's own words.
std::string literal(std::string_view western) {
    std::string out = "(";
    for (const char c : western) {
        if (c == '(' || c == ')' || c == '\\') out += '\\';
        out += c;
    }
    return out + ')';
}

double emsOf(const std::string& western, bool strong) {
    int sum = 0;
    for (const char c : western) {
        const auto at = static_cast<unsigned char>(c);
        sum += at >= 0x20 && at < 0x7F ? (strong ? boldWidths : plainWidths)[at - 0x20] : 556;
    }
    return sum / 1000.0;
}

/// Text of one font on a line.
struct TextPiece {
    const char* font;
    std::string western;
    double ems;
    double size = 0, raise = 0;
};

/// Arrows are in the font Symbol alone.
std::vector<TextPiece> piecesOf(const std::string& text, bool strong) {
    std::vector<TextPiece> pieces;
    for (size_t at = 0; at < text.size();) {
        const size_t arrow = std::min({text.find("\u2190", at), text.find("\u2192", at), text.size()});
        if (arrow > at) {
            const std::string western = westernText(text.substr(at, arrow - at));
            pieces.push_back({strong ? "FB" : "FP", western, emsOf(western, strong)});
        }
        if (arrow == text.size()) break;
        const bool right = text.compare(arrow, 3, "\u2192") == 0;
        pieces.push_back({"FS", right ? "\xAE" : "\xAC", 0.987});
        at = arrow + 3;
    }
    return pieces;
}

std::string streamObject(const std::string& dictionary, const std::string& content) {
    return fmt::format("<< {}/Length {} >>\nstream\n{}\nendstream", dictionary, content.size(), content);
}

}  // namespace

std::unique_ptr<PageCanvas> openPage(PageFormat format, double width, double height, const std::string& title,
                                     const std::string& description, Sheet sheet) {
    if (format == PageFormat::Pdf)
        return std::make_unique<PdfCanvas>(width, height, title, description, sheet);
    return std::make_unique<SvgCanvas>(width, height, title, description);
}

PdfCanvas::PdfCanvas(double width, double height, std::string title, std::string description, Sheet sheet)
    : width_(width), height_(height), title_(std::move(title)), description_(std::move(description)) {
    assert(width > 0 && height > 0);
    if (sheet == Sheet::None) return;
    const glm::dvec2 standing = sheet == Sheet::A4 ? glm::dvec2{210, 297} : glm::dvec2{215.9, 279.4};
    const bool tall = width <= standing.x && height <= standing.y && height > width;
    if (!tall && (width > standing.y || height > standing.x)) return;
    width_ = tall ? standing.x : standing.y, height_ = tall ? standing.y : standing.x;
    corner_ = {(width_ - width) / 2, (height_ - height) / 2};
}

void PdfCanvas::nextPage() {
    assert(depth_ == 0);
    pages_.emplace_back();
}

std::string PdfCanvas::paint(const Colour& colour, bool strokes) {
    const size_t fresh = opacities_.size();
    const size_t state = opacities_.try_emplace(pdfNumber(colour.opacity), fresh).first->second;
    return fmt::format("/O{} gs {} {} {} {} ", state, pdfNumber(colour.red), pdfNumber(colour.green),
                       pdfNumber(colour.blue), strokes ? "RG" : "rg");
}

std::string PdfCanvas::strokeState(const Stroke& stroke) {
    std::string out = paint(stroke.colour, true) + pdfNumber(stroke.width) + " w 1 j ";
    out += stroke.roundEnds ? "1 J [" : "0 J [";
    for (const double dash : stroke.dashes) out += pdfNumber(dash) + ' ';
    return out + "] 0 d ";
}

void PdfCanvas::line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) {
    const std::array<glm::dvec2, 2> both{from, to};
    polyline(both, stroke);
}

void PdfCanvas::polyline(std::span<const glm::dvec2> points, const Stroke& stroke) {
    if (points.size() < 2) return;
    pages_.back() += strokeState(stroke) + pathOf(points, false) + "S\n";
}

std::string PdfCanvas::patternFor(const Fill& fill) {
    const HatchTile& tile = hatchTile(fill.hatch);
    if (tile.empty()) return {};
    const Colour& colour = fill.hatchColour;
    const auto [found, isNew] = patternOf_.try_emplace(
        fill.hatch + pdfNumber(colour.red) + ' ' + pdfNumber(colour.green) + ' ' + pdfNumber(colour.blue),
        patterns_.size());
    if (isNew) {
        const std::string ink =
            pdfNumber(colour.red) + ' ' + pdfNumber(colour.green) + ' ' + pdfNumber(colour.blue);
        std::string content = fmt::format("{} RG {} rg 1 j ", ink, ink);
        for (const HatchStroke& stroke : tile.strokes)
            content += pdfNumber(stroke.width) + " w " + pathOf(stroke.points, stroke.closed) +
                       (stroke.filled ? "B " : "S ");
        for (const HatchDot& dot : tile.dots) content += circlePath(dot.at, dot.radius) + "f ";
        const double k = pointsPerMillimetre;
        patterns_.push_back(streamObject(
            fmt::format("/Type /Pattern /PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 {0} {1}] "
                        "/XStep {0} /YStep {1} /Matrix [{2:.6f} 0 0 -{2:.6f} {3} {4}] /Resources << >> ",
                        pdfNumber(tile.width), pdfNumber(tile.height), k, pdfNumber(corner_.x * k),
                        pdfNumber((height_ - corner_.y) * k)),
            content));
    }
    return fmt::format("/Pattern cs /H{} scn ", found->second);
}

/// The hatch is a second shape over the first; the outline comes last.
void PdfCanvas::shape(const std::string& path, const Fill& fill, const Stroke* stroke) {
    std::string& page = pages_.back();
    if (fill.colour.opacity > 0) page += paint(fill.colour, false) + path + "f\n";
    const std::string hatch = patternFor(fill);
    if (!hatch.empty()) page += paint({0, 0, 0, fill.hatchColour.opacity}, false) + hatch + path + "f\n";
    if (stroke != nullptr) page += strokeState(*stroke) + path + "S\n";
}

void PdfCanvas::polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) {
    if (corners.size() >= 3) shape(pathOf(corners, true), fill, stroke);
}

void PdfCanvas::circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) {
    shape(circlePath(centre, radius), fill, stroke);
}

void PdfCanvas::text(glm::dvec2 at, std::string_view words, const TextStyle& style) {
    std::vector<TextPiece> pieces;
    double natural = 0;
    for (const TextRun& run : textRuns(words)) {
        const bool small = run.kind == TextRun::Kind::Numerator || run.kind == TextRun::Kind::Denominator;
        const double size = style.size * (small ? fractionSize : 1);
        const double raise = run.kind == TextRun::Kind::Numerator ? fractionRaise * style.size : 0;
        for (TextPiece& piece : piecesOf(run.text, style.strong)) {
            piece.size = size, piece.raise = raise;
            natural += piece.ems * size;
            pieces.push_back(std::move(piece));
        }
    }
    if (natural <= 0) return;
    const double wide = textWidth(words, style.size, style.strong), stretch = wide / natural;
    const double back = style.anchor == Anchor::Start ? 0 : style.anchor == Anchor::Middle ? wide / 2 : wide;
    const double c = std::cos(style.turn), s = std::sin(style.turn);
    std::string out = "BT " + paint(style.colour, false) + pdfNumber(100 * stretch) + " Tz ";
    // The page counts downward, letters stand upward.
    out += fmt::format("{:.6f} {:.6f} {:.6f} {:.6f} {} Tm ", c, s, s, -c,
                       pdfPair({at.x - back * c, at.y - back * s}));
    for (const TextPiece& piece : pieces)
        out += fmt::format("/{} {} Tf {} Ts {} Tj ", piece.font, pdfNumber(piece.size),
                           pdfNumber(piece.raise), literal(piece.western));
    pages_.back() += out + "ET\n";
}

std::string PdfCanvas::file() const {
    assert(depth_ == 0);
    const double k = pointsPerMillimetre;
    std::vector<std::string> objects{
        "<< /Type /Catalog /Pages 2 0 R >>",
        "",  // the pages, whose numbers come last
        fmt::format("<< /Title {} /Subject {} /Producer (Underfoot) >>", literal(westernText(title_)),
                    literal(westernText(description_))),
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica-Bold /Encoding /WinAnsiEncoding >>",
        "<< /Type /Font /Subtype /Type1 /BaseFont /Symbol >>"};
    std::string hatches, states;
    for (size_t i = 0; i < patterns_.size(); ++i) {
        objects.push_back(patterns_[i]);
        hatches += fmt::format("/H{} {} 0 R ", i, objects.size());
    }
    for (const auto& [opacity, i] : opacities_)
        states += fmt::format("/O{} << /ca {} /CA {} >> ", i, opacity, opacity);
    const std::string resources =
        fmt::format("<< /Font << /FP 4 0 R /FB 5 0 R /FS 6 0 R >> /Pattern << {}>> /ExtGState << {}>> >>",
                    hatches, states);
    std::string kids;
    for (const std::string& page : pages_) {
        objects.push_back(
            streamObject("", fmt::format("{0:.6f} 0 0 -{0:.6f} {1} {2} cm\n", k, pdfNumber(corner_.x * k),
                                         pdfNumber((height_ - corner_.y) * k)) +
                                 page));
        objects.push_back(fmt::format(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {} {}] /Contents {} 0 R /Resources {} >>",
            pdfNumber(width_ * k), pdfNumber(height_ * k), objects.size(), resources));
        kids += fmt::format("{} 0 R ", objects.size());
    }
    objects[1] = fmt::format("<< /Type /Pages /Kids [{}] /Count {} >>", kids, pages_.size());

    std::string out = "%PDF-1.4\n%\xE2\xE3\xCF\xD3\n", table;
    for (size_t i = 0; i < objects.size(); ++i) {
        table += fmt::format("{:010} 00000 n \n", out.size());
        out += fmt::format("{} 0 obj\n{}\nendobj\n", i + 1, objects[i]);
    }
    const size_t tableAt = out.size();
    out += fmt::format("xref\n0 {}\n0000000000 65535 f \n{}", objects.size() + 1, table);
    return out + fmt::format("trailer\n<< /Size {} /Root 1 0 R /Info 3 0 R >>\nstartxref\n{}\n%%EOF\n",
                             objects.size() + 1, tableAt);
}

}  // namespace underfoot
