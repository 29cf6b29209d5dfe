#include "share/svg.h"

#include <cassert>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "share/hatch.h"

namespace underfoot {
namespace {

/// To a thousandth of a millimetre, without needless zeros.
std::string number(double value) {
    std::string out = fmt::format("{:.3f}", value);
    out.erase(out.find_last_not_of('0') + 1);
    if (out.back() == '.') out.pop_back();
    return out == "-0" ? "0" : out;
}

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t')
            out += c;  // other control characters have no place in XML
    }
    return out;
}

std::string webOf(const Colour& c) {
    const auto byte = [](double part) {
        return static_cast<int>(std::lround(std::fmin(std::fmax(part, 0), 1) * 255));
    };
    return fmt::format("#{:02X}{:02X}{:02X}", byte(c.red), byte(c.green), byte(c.blue));
}

std::string pointList(std::span<const glm::dvec2> points) {
    std::string out;
    for (const glm::dvec2& p : points) {
        if (!out.empty()) out += ' ';
        out += number(p.x) + ',' + number(p.y);
    }
    return out;
}

std::string paint(const char* what, const Colour& colour) {
    std::string out = fmt::format(" {}=\"{}\"", what, webOf(colour));
    if (colour.opacity < 1) out += fmt::format(" {}-opacity=\"{}\"", what, number(colour.opacity));
    return out;
}

std::string strokeAttributes(const Stroke& stroke) {
    std::string out =
        paint("stroke", stroke.colour) + fmt::format(" stroke-width=\"{}\"", number(stroke.width));
    out += " stroke-linejoin=\"round\"";
    if (stroke.roundEnds) out += " stroke-linecap=\"round\"";
    if (stroke.dashes.empty()) return out;
    out += " stroke-dasharray=\"";
    for (size_t i = 0; i < stroke.dashes.size(); ++i) out += (i > 0 ? " " : "") + number(stroke.dashes[i]);
    return out + '"';
}

std::string tileContent(const HatchTile& tile, const Colour& colour) {
    std::string out;
    for (const HatchStroke& stroke : tile.strokes)
        out +=
            fmt::format("<{} points=\"{}\"{} stroke-width=\"{}\"{}/>", stroke.closed ? "polygon" : "polyline",
                        pointList(stroke.points), paint("stroke", colour), number(stroke.width),
                        stroke.filled ? paint("fill", colour) : " fill=\"none\"");
    for (const HatchDot& dot : tile.dots)
        out += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>", number(dot.at.x), number(dot.at.y),
                           number(dot.radius), paint("fill", colour));
    return out;
}

}  // namespace

SvgCanvas::SvgCanvas(double width, double height, std::string title, std::string description)
    : width_(width), height_(height), title_(std::move(title)), description_(std::move(description)) {
    assert(width > 0 && height > 0);
}

void SvgCanvas::beginGroup(std::string_view name) {
    body_ +=
        fmt::format("{}<g><title>{}</title>\n", std::string(static_cast<size_t>(depth_), ' '), escaped(name));
    ++depth_;
}

void SvgCanvas::endGroup() {
    assert(depth_ > 1);
    --depth_;
    body_ += std::string(static_cast<size_t>(depth_), ' ') + "</g>\n";
}

void SvgCanvas::line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) {
    body_ += fmt::format("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"{}/>\n", number(from.x),
                         number(from.y), number(to.x), number(to.y), strokeAttributes(stroke));
}

void SvgCanvas::polyline(std::span<const glm::dvec2> points, const Stroke& stroke) {
    if (points.size() < 2) return;
    body_ += fmt::format("<polyline points=\"{}\" fill=\"none\"{}/>\n", pointList(points),
                         strokeAttributes(stroke));
}

std::string SvgCanvas::patternFor(const Fill& fill) {
    const HatchTile& tile = hatchTile(fill.hatch);
    if (tile.empty()) return {};
    const auto [found, isNew] =
        patternIds_.try_emplace(fill.hatch + webOf(fill.hatchColour) + number(fill.hatchColour.opacity));
    if (isNew) {
        found->second = fmt::format("hatch{}", patternIds_.size());
        patterns_ += fmt::format(
            "  <pattern id=\"{}\" width=\"{}\" height=\"{}\" patternUnits=\"userSpaceOnUse\">{}</pattern>\n",
            found->second, number(tile.width), number(tile.height), tileContent(tile, fill.hatchColour));
    }
    return found->second;
}

/// `element` is the start of a tag. The hatch is a second shape over the first; the outline comes last.
void SvgCanvas::shape(const std::string& element, const Fill& fill, const Stroke* stroke) {
    const std::string pattern = patternFor(fill);
    const std::string outline = stroke == nullptr ? "" : strokeAttributes(*stroke);
    if (fill.colour.opacity > 0 || (pattern.empty() && stroke != nullptr)) {
        const std::string inside = fill.colour.opacity > 0 ? paint("fill", fill.colour) : " fill=\"none\"";
        body_ += element + inside + (pattern.empty() ? outline : "") + "/>\n";
    }
    if (!pattern.empty()) body_ += element + fmt::format(" fill=\"url(#{})\"", pattern) + outline + "/>\n";
}

void SvgCanvas::polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) {
    if (corners.size() < 3) return;
    shape(fmt::format("<polygon points=\"{}\"", pointList(corners)), fill, stroke);
}

void SvgCanvas::circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) {
    shape(fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"", number(centre.x), number(centre.y),
                      number(radius)),
          fill, stroke);
}

void SvgCanvas::text(glm::dvec2 at, std::string_view words, const TextStyle& style) {
    const char* anchor = style.anchor == Anchor::Start    ? "start"
                         : style.anchor == Anchor::Middle ? "middle"
                                                          : "end";
    std::string out = fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\"{}", number(at.x), number(at.y),
                                  number(style.size), paint("fill", style.colour));
    if (style.anchor != Anchor::Start) out += fmt::format(" text-anchor=\"{}\"", anchor);
    if (style.strong) out += " font-weight=\"500\"";
    if (style.turn != 0)
        out += fmt::format(" transform=\"rotate({} {} {})\"", number(style.turn * 180 / std::numbers::pi),
                           number(at.x), number(at.y));
    out += '>';
    double raised = 0;  // offsets of the base line add up from one span to the next
    for (const TextRun& run : textRuns(words)) {
        const bool small = run.kind == TextRun::Kind::Numerator || run.kind == TextRun::Kind::Denominator;
        const double raise = run.kind == TextRun::Kind::Numerator ? fractionRaise * style.size : 0;
        std::string attributes;
        if (raise != raised) attributes += fmt::format(" dy=\"{}\"", number(raised - raise));
        if (small) attributes += fmt::format(" font-size=\"{}\"", number(style.size * fractionSize));
        raised = raise;
        out += attributes.empty() ? escaped(run.text)
                                  : fmt::format("<tspan{}>{}</tspan>", attributes, escaped(run.text));
    }
    body_ += out + "</text>\n";
}

std::string SvgCanvas::file() const {
    assert(depth_ == 1);
    std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
    out += fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{0}mm\" height=\"{1}mm\" "
        "viewBox=\"0 0 {0} {1}\" "
        "font-family=\"Inter, 'Helvetica Neue', Arial, sans-serif\" style=\"font-variant-numeric: "
        "tabular-nums\" "
        "xml:space=\"preserve\">\n",
        number(width_), number(height_));
    out += fmt::format(" <title>{}</title>\n <desc>{}</desc>\n", escaped(title_), escaped(description_));
    if (!patterns_.empty()) out += " <defs>\n" + patterns_ + " </defs>\n";
    return out + body_ + "</svg>\n";
}

}  // namespace underfoot
