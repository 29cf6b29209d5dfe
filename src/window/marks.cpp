// What the rows of the open page speak of, drawn over the model and on the little plan.

#include "window/marks.h"

#include <algorithm>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "share/drawing.h"
#include "share/page.h"
#include "study/section.h"
#include "study/thickness.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "window/free_places.h"
#include "window/layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/questions.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double piece = 0.5;  // metres between the points of a line that follows the surface

/// The height, as pictured, that a mark has at a place.
std::optional<double> heightAt(const WindowState& state, const Look& look, const PageMark& mark,
                               glm::dvec2 place, int& hint) {
    const std::vector<LayerAt> stack = stackAtPoint(*state.model, place, &hint);
    if (stack.empty()) return {};
    for (const LayerAt& at : stack)
        if (mark.layer >= 0 && at.layer == mark.layer && at.lift == mark.lift && look.shows(at.layer))
            return at.bottom + layerRise(*state.model, look, at.layer);
    for (const LayerAt& at : stack)
        if (look.shows(at.layer) && at.top > at.bottom)
            return at.top + layerRise(*state.model, look, at.layer);
    return stack.back().top;
}

std::vector<glm::dvec3> raised(const WindowState& state, const Look& look, const PageMark& mark,
                               const std::vector<glm::dvec2>& line, bool closed) {
    std::vector<glm::dvec3> out;
    int hint = -1;
    double last = state.model->site.floor;
    const auto add = [&](glm::dvec2 p) {
        last = heightAt(state, look, mark, p, hint).value_or(last);
        out.emplace_back(p, last);
    };
    for (size_t i = 0; i < line.size(); ++i) {
        add(line[i]);
        if (i + 1 == line.size() && !closed) break;
        const glm::dvec2 next = line[(i + 1) % line.size()];
        const int pieces = static_cast<int>(std::clamp(glm::length(next - line[i]) / piece, 1.0, 40.0));
        for (int k = 1; k < pieces; ++k) add(line[i] + (next - line[i]) * (k / static_cast<double>(pieces)));
    }
    return out;
}

MarkShape shapeOf(const WindowState& state, const Look& look, const PageMark& mark, PageSpot spot) {
    MarkShape shape;
    shape.spot = spot;
    shape.label = mark.label;
    shape.always = mark.always;
    shape.arrow = mark.arrow;
    for (const auto& line : mark.lines) shape.lines.push_back(raised(state, look, mark, line, false));
    for (const auto& ring : mark.rings) shape.rings.push_back(raised(state, look, mark, ring, true));
    int hint = -1;
    for (const glm::dvec2& p : mark.points) {
        const double height = heightAt(state, look, mark, p, hint).value_or(state.model->site.floor);
        shape.points.emplace_back(p, mark.high.value_or(height));
        shape.feet.emplace_back(p, mark.low.value_or(height));
    }
    shape.stick = mark.low && mark.high;
    return shape;
}

/// Pixels of what is there of a line, run by run.
std::vector<std::vector<glm::dvec2>> seen(const WindowState& state, const Camera& camera,
                                          const std::vector<glm::dvec3>& line, bool closed) {
    std::vector<std::vector<glm::dvec2>> runs(1);
    const size_t count = line.size() + (closed && !line.empty() ? 1 : 0);
    for (size_t i = 0; i < count; ++i) {
        const glm::dvec3& p = line[i % line.size()];
        const auto pixel = takenAway(state, glm::dvec2(p))
                               ? std::nullopt
                               : camera.project(p, state.frame.width, state.frame.height);
        if (pixel)
            runs.back().push_back(*pixel);
        else if (!runs.back().empty())
            runs.emplace_back();
    }
    return runs;
}

struct MarkInk {
    Colour colour;
    Colour paper;
    double thick = 1.6;
    bool strong = false;
};

void drawHead(Pen& pen, const std::vector<glm::dvec2>& line, const MarkInk& ink) {
    if (line.size() < 2) return;
    const glm::dvec2 d = line.back() - line[line.size() - 2];
    const double far = glm::length(d);
    if (far < 1e-6) return;
    const glm::dvec2 along = d / far, across{-along.y, along.x};
    const double size = pen.units(ink.strong ? 9 : 7);
    pen.triangle(line.back() + along * size * 0.4, line.back() - along * size * 0.6 + across * size * 0.45,
                 line.back() - along * size * 0.6 - across * size * 0.45, ink.colour);
}

void drawPoint(Pen& pen, glm::dvec2 at, const MarkInk& ink) {
    pen.disc(at, ink.strong ? 5.5 : 4, ink.paper);
    pen.disc(at, ink.strong ? 4 : 2.8, ink.colour);
}

/// A stake: a post with its string mark.
void drawStick(Pen& pen, glm::dvec2 foot, glm::dvec2 top, const MarkInk& ink) {
    pen.line(foot, top, ink.paper, ink.strong ? 5 : 4);
    pen.line(foot, top, ink.colour, ink.strong ? 2.6 : 1.8);
    const double half = pen.units(ink.strong ? 5 : 4);
    pen.line({top.x - half, top.y}, {top.x + half, top.y}, ink.colour, ink.strong ? 2.2 : 1.6);
}

void drawShape(Pen& pen, const WindowState& state, const Camera& camera, const MarkShape& shape,
               const MarkInk& ink) {
    const auto draw = [&](const std::vector<glm::dvec3>& line, bool closed) {
        const auto runs = seen(state, camera, line, closed);
        for (const auto& pixels : runs) pen.polyline(pixels, faded(ink.paper, 0.85), ink.thick + 2);
        for (const auto& pixels : runs) pen.polyline(pixels, ink.colour, ink.thick);
        if (!closed && shape.arrow) drawHead(pen, runs.back(), ink);
    };
    for (const auto& ring : shape.rings) draw(ring, true);
    for (const auto& line : shape.lines) draw(line, false);
    for (size_t i = 0; i < shape.points.size(); ++i) {
        const auto top = camera.project(shape.points[i], state.frame.width, state.frame.height),
                   foot = camera.project(shape.feet[i], state.frame.width, state.frame.height);
        if (!top || !foot || takenAway(state, glm::dvec2(shape.points[i]))) continue;
        if (shape.stick)
            drawStick(pen, *foot, *top, ink);
        else
            drawPoint(pen, *top, ink);
    }
}

bool isStrong(const Answer& answer, const MarkShape& shape) {
    return shape.spot == answer.chosen || shape.spot == answer.pointed;
}

std::optional<glm::dvec3> labelPlace(const MarkShape& shape) {
    if (!shape.points.empty()) return shape.points.front();
    if (!shape.lines.empty() && !shape.lines.front().empty())
        return shape.arrow ? shape.lines.front().front()
                           : shape.lines.front()[shape.lines.front().size() / 2];
    if (!shape.rings.empty() && !shape.rings.front().empty()) return shape.rings.front().front();
    return {};
}

bool labelPixel(const WindowState& state, const Camera& camera, const MarkShape& shape, glm::dvec2& at) {
    if (shape.label.empty()) return false;
    const auto place = labelPlace(shape);
    if (!place || takenAway(state, glm::dvec2(*place))) return false;
    const auto pixel = camera.project(*place, state.frame.width, state.frame.height);
    if (pixel) at = *pixel;
    return pixel.has_value();
}

/// A label's shape, its place in the picture, and the box of the shape there.
struct MarkLabel {
    const MarkShape* shape = nullptr;
    glm::dvec2 at{0, 0};
    Box round;
    bool strong = false;
};

/// Lets words stand beside the shape's lines. The box of what is seen of them, round its label's place.
Box addLines(const WindowState& state, const Camera& camera, const MarkShape& shape, glm::dvec2 about,
             FreePlaces& places) {
    Box box{about, about};
    const auto add = [&](const std::vector<glm::dvec3>& line, bool closed) {
        for (const auto& run : seen(state, camera, line, closed))
            for (size_t i = 0; i < run.size(); ++i) {
                box.low = glm::min(box.low, run[i]), box.high = glm::max(box.high, run[i]);
                if (i > 0) places.addLine(run[i - 1], run[i]);
            }
    };
    for (const auto& ring : shape.rings) add(ring, true);
    for (const auto& line : shape.lines) add(line, false);
    return box;
}

/// Over a place, then right of, left of and under it, then the same round all of its shape, if that is small.
std::vector<Box> boxesFor(const Pen& pen, glm::dvec2 words, glm::dvec2 at, const Box& shape) {
    const double up = pen.units(11), near = pen.units(6), far = pen.units(120), gap = pen.units(4);
    std::vector<Box> boxes{
        {{at.x - words.x / 2, at.y - up - words.y / 2}, {at.x + words.x / 2, at.y - up + words.y / 2}}};
    for (const Box& round : {Box{at - near, at + near}, shape}) {
        if (round.width() > far || round.height() > far) continue;
        for (const Box& box : boxesRound(round, at, words, gap)) boxes.push_back(box);
    }
    return boxes;
}

}  // namespace

bool takenAway(const WindowState& state, glm::dvec2 p) {
    const CutState& cut = state.cut;
    if (!cut.shown || cut.line.size() != 2) return false;
    const glm::dvec2 along = cut.line[1] - cut.line[0], d = p - cut.line[0];
    const double left = along.x * d.y - along.y * d.x;
    return cut.removeLeft ? left > 1e-9 : left < -1e-9;
}

const std::vector<MarkShape>& MarkShapes::of(const WindowState& state, const Look& look) {
    const Answer& answer = state.answer;
    const size_t number = answer.told ? answer.told->number : 0;
    if (model_ == state.model && number_ == number && lift_ == look.liftApart && hidden_ == look.hidden)
        return shapes_;
    model_ = state.model;
    number_ = number;
    lift_ = look.liftApart;
    hidden_ = look.hidden;
    shapes_.clear();
    if (!answer.told) return shapes_;
    const std::vector<PagePart>& parts = answer.told->page.parts();
    for (size_t p = 0; p < parts.size(); ++p) {
        const int part = static_cast<int>(p);
        if (!parts[p].mark.empty()) shapes_.push_back(shapeOf(state, look, parts[p].mark, {part, -1}));
        for (size_t r = 0; r < parts[p].table.rows.size(); ++r) {
            const PageMark& mark = parts[p].table.rows[r].mark;
            if (!mark.empty()) shapes_.push_back(shapeOf(state, look, mark, {part, static_cast<int>(r)}));
        }
    }
    return shapes_;
}

void drawMarks(Desk& desk, const WindowState& state, const Look& look, const Camera& camera) {
    const Answer& answer = state.answer;
    if (answer.open == Question::None || !answer.told) return;
    Pen& pen = desk.under;
    const std::vector<MarkShape>& shapes = desk.marks.of(state, look);
    const auto strong = [&](const MarkShape& shape) { return isStrong(answer, shape); };
    const MarkInk plain{faded(desk.colours.ink, answer.old ? 0.4 : 1), desk.colours.paper, 1.5, false};
    const MarkInk bold{desk.colours.attention, desk.colours.paper, 2.4, true};
    for (const MarkShape& shape : shapes)
        if (shape.always && !strong(shape)) drawShape(pen, state, camera, shape, plain);
    for (const MarkShape& shape : shapes)
        if (strong(shape)) drawShape(pen, state, camera, shape, bold);
}

void drawMarkLabels(Desk& desk, const WindowState& state, const Look& look, const Camera& camera,
                    std::vector<Box> taken) {
    const Answer& answer = state.answer;
    if (answer.open == Question::None || !answer.told) return;
    FreePlaces places(std::move(taken));
    std::vector<MarkLabel> labels;
    for (const MarkShape& shape : desk.marks.of(state, look)) {
        const bool strong = isStrong(answer, shape);
        if (!shape.always && !strong) continue;
        glm::dvec2 at{0, 0};
        const bool shown = labelPixel(state, camera, shape, at);
        const Box round = addLines(state, camera, shape, at, places);
        if (shown) labels.push_back({&shape, at, round, strong});
    }
    std::stable_partition(labels.begin(), labels.end(), [](const MarkLabel& label) { return label.strong; });
    const double opacity = answer.old ? 0.4 : 1;
    for (const MarkLabel& label : labels) {
        const TypeSize face = label.strong ? TypeSize::LabelStrong : TypeSize::Label;
        const glm::dvec2 words{desk.under.width(label.shape->label, face) + 4, desk.under.units(14)};
        std::vector<Box> boxes = boxesFor(desk.under, words, label.at, label.round);
        std::erase_if(boxes, [&](const Box& box) { return coveredByParts(state.frame, box); });
        const auto box = places.take(boxes);
        if (!box) continue;
        desk.under.textOver(box->middle(), label.shape->label, face,
                            label.strong ? desk.colours.attention : faded(desk.colours.ink, opacity),
                            desk.colours.paper, Anchor::Middle);
    }
}

void drawMarksOnPlan(Desk& desk, const WindowState& state) {
    const Answer& answer = state.answer;
    if (answer.open == Question::None || !answer.told) return;
    const auto draw = [&](const PageMark& mark, const Colour& colour, double thick) {
        const auto screen = [&](const std::vector<glm::dvec2>& line) {
            std::vector<glm::dvec2> out;
            out.reserve(line.size());
            for (const glm::dvec2& p : line) out.push_back(state.planMap.toScreen(p));
            return out;
        };
        for (const auto& ring : mark.rings) desk.pen.polyline(screen(ring), colour, thick, true);
        for (const auto& line : mark.lines) desk.pen.polyline(screen(line), colour, thick);
        for (const glm::dvec2& p : mark.points)
            desk.pen.disc(state.planMap.toScreen(p), thick > 1.5 ? 3.2 : 1.8, colour);
    };
    const std::vector<PagePart>& parts = answer.told->page.parts();
    for (const PagePart& part : parts) {
        if (part.mark.always) draw(part.mark, faded(desk.colours.ink, 0.75), 1.2);
        for (const PageRow& row : part.table.rows)
            if (row.mark.always) draw(row.mark, faded(desk.colours.ink, 0.75), 1.2);
    }
    for (const PageSpot spot : {answer.chosen, answer.pointed})
        if (const PageMark* mark = markAt(answer, spot)) draw(*mark, desk.colours.attention, 2);
}

}  // namespace underfoot
