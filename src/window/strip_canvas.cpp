#include "window/strip_canvas.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "share/hatch.h"
#include "window/palette.h"

namespace underfoot {

namespace {

constexpr double thinnest = 1;       // pixels: a thinner line is drawn this wide and paler
constexpr double piecePixels = 2.5;  // hatch strokes are clipped in pieces of this length

Colour paler(const Colour& colour, double width) {
    return faded(colour, std::clamp(width / thinnest, 0.35, 1.0));
}

/// Draws the parts of a line that lie inside a shape.
void clippedLine(Pen& pen, const Slabs& shape, const Box& within, glm::dvec2 a, glm::dvec2 b,
                 const Colour& colour, double thick) {
    const int pieces = std::max(1, static_cast<int>(std::ceil(glm::length(b - a) / pen.units(piecePixels))));
    const glm::dvec2 step = (b - a) / static_cast<double>(pieces);
    int start = -1;
    for (int i = 0; i <= pieces; ++i) {
        const glm::dvec2 middle = a + step * (i + 0.5);
        const bool inside = i < pieces && within.holds(middle) && shape.holds(middle);
        if (inside && start < 0) start = i;
        if (inside || start < 0) continue;
        pen.line(a + step * static_cast<double>(start), a + step * static_cast<double>(i), colour, thick);
        start = -1;
    }
}

void drawTile(Pen& pen, const Slabs& shape, const Box& within, const HatchTile& tile, glm::dvec2 corner,
              double mm, const Colour& colour) {
    const auto at = [&](glm::dvec2 p) { return corner + p * mm; };
    for (const HatchStroke& stroke : tile.strokes) {
        const double thick = stroke.width * StripCanvas::pixelsPerMillimetre;
        const Colour ink = paler(colour, thick);
        const size_t count = stroke.points.size();
        for (size_t i = 0; i + (stroke.closed ? 0 : 1) < count; ++i)
            clippedLine(pen, shape, within, at(stroke.points[i]), at(stroke.points[(i + 1) % count]), ink,
                        std::max(thick, thinnest));
    }
    for (const HatchDot& dot : tile.dots) {
        const glm::dvec2 centre = at(dot.at);
        const double radius = std::max(0.55, dot.radius * StripCanvas::pixelsPerMillimetre);
        if (within.holds(centre) && shape.holds(centre)) pen.disc(centre, radius, colour);
    }
}

}  // namespace

void drawHatch(Pen& pen, const Slabs& shape, const Box& within, std::string_view hatch, const Colour& colour,
               glm::dvec2 anchor) {
    const HatchTile& tile = hatchTile(hatch);
    if (tile.empty() || shape.pieces().empty()) return;
    const double mm = pen.units(StripCanvas::pixelsPerMillimetre);
    const glm::dvec2 step{tile.width * mm, tile.height * mm};
    const glm::dvec2 low = glm::max(shape.low(), within.low), high = glm::min(shape.high(), within.high);
    const glm::dvec2 first = anchor + glm::floor((low - anchor) / step) * step;
    const glm::dvec2 tiles = glm::max(glm::ceil((high - first) / step), glm::dvec2(0));
    for (int j = 0; j < static_cast<int>(tiles.y); ++j)
        for (int i = 0; i < static_cast<int>(tiles.x); ++i)
            drawTile(pen, shape, within, tile, first + step * glm::dvec2(i, j), mm, colour);
}

glm::dvec2 StripCanvas::place(glm::dvec2 paper) const {
    const double x = paper.x * millimetre();
    return {mirrored_ ? box_.high.x - x : box_.low.x + x, box_.low.y + paper.y * millimetre()};
}

std::vector<glm::dvec2> StripCanvas::places(std::span<const glm::dvec2> points) const {
    std::vector<glm::dvec2> out;
    for (const glm::dvec2& p : points) out.push_back(place(p));
    return out;
}

void StripCanvas::strokeAlong(const std::vector<glm::dvec2>& points, const Stroke& stroke, bool closed) {
    if (points.size() < 2) return;
    const double thick = stroke.width * pixelsPerMillimetre;
    const Colour colour = paler(stroke.colour, thick);
    if (stroke.dashes.size() < 2) return pen_.polyline(points, colour, std::max(thick, thinnest), closed);
    const double on = stroke.dashes[0] * millimetre(), period = on + stroke.dashes[1] * millimetre();
    double gone = 0;
    for (size_t i = 1; i < points.size(); ++i) {
        const glm::dvec2 a = points[i - 1], b = points[i];
        const double length = glm::length(b - a);
        if (length <= 0) continue;
        const double first = -std::fmod(gone, period);
        for (int k = 0; first + k * period < length; ++k) {
            const double start = first + k * period;
            const double from = std::max(start, 0.0), to = std::min(start + on, length);
            if (to > from)
                pen_.line(a + (b - a) * (from / length), a + (b - a) * (to / length), colour,
                          std::max(thick, thinnest));
        }
        gone += length;
    }
}

void StripCanvas::line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) {
    strokeAlong({place(from), place(to)}, stroke, false);
}

void StripCanvas::polyline(std::span<const glm::dvec2> points, const Stroke& stroke) {
    strokeAlong(places(points), stroke, false);
}

void StripCanvas::polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) {
    const std::vector<glm::dvec2> ring = places(corners);
    const Slabs shape(ring);
    pen_.fill(shape, fill.colour);
    if (!fill.hatch.empty()) drawHatch(pen_, shape, box_, fill.hatch, fill.hatchColour, box_.low);
    if (stroke != nullptr) strokeAlong(ring, *stroke, true);
}

void StripCanvas::circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) {
    pen_.disc(place(centre), radius * pixelsPerMillimetre, fill.colour);
    if (stroke == nullptr) return;
    pen_.ring(place(centre), radius * pixelsPerMillimetre, stroke->colour,
              std::max(stroke->width * pixelsPerMillimetre, thinnest));
}

void StripCanvas::text(glm::dvec2 at, std::string_view words, const TextStyle& style) {
    const glm::dvec2 base = place(at) - glm::dvec2{0, 0.36 * style.size * millimetre()};
    Anchor anchor = style.anchor;
    if (mirrored_ && anchor != Anchor::Middle) anchor = anchor == Anchor::Start ? Anchor::End : Anchor::Start;
    pen_.text(base, words, style.strong ? TypeSize::LabelStrong : TypeSize::Label, style.colour, anchor);
}

}  // namespace underfoot
