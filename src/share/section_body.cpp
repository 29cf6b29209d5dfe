#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "share/section_drawing.h"
#include "study/section.h"

namespace underfoot {
namespace {

bool isInside(const Column& column) {
    return column.area >= 0 && !column.beyond;
}

/// Heights of interface k at both ends of an interval.
glm::dvec2 interfaceOf(const Section& section, const SectionInterval& interval, int k) {
    const auto at = static_cast<size_t>(interval.first + 2 * k);
    return {section.heights[at], section.heights[at + 1]};
}

const Column& columnOf(const Model& model, const SectionInterval& interval) {
    return model.columns[static_cast<size_t>(interval.column)];
}

/// Existing ground at a distance, read in the interval's cell (flat there).
double groundAt(const Model& model, const Section& section, const SectionInterval& interval,
                double distance) {
    const Cell& cell = model.cells[static_cast<size_t>(interval.cell)];
    const glm::dvec2 p = section.at(distance), a = model.at(cell, 0), b = model.at(cell, 1),
                     c = model.at(cell, 2);
    const double whole = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    const double wb = ((p.x - a.x) * (c.y - a.y) - (p.y - a.y) * (c.x - a.x)) / whole;
    const double wc = ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / whole;
    const auto ground = [&](int corner) { return model.factsAt(cell, corner).ground; };
    return ground(0) * (1 - wb - wc) + ground(1) * wb + ground(2) * wc;
}

/// A polyline (distance, height) cut to a range of distances. The distances do not fall.
std::vector<glm::dvec2> clipped(const std::vector<glm::dvec2>& line, double from, double to) {
    std::vector<glm::dvec2> out;
    const auto between = [](const glm::dvec2& a, const glm::dvec2& b, double d) {
        return glm::dvec2{d, a.y + (b.y - a.y) * (d - a.x) / (b.x - a.x)};
    };
    for (size_t i = 0; i < line.size(); ++i) {
        if (i > 0)
            for (const double bound : {from, to})
                if (line[i - 1].x < bound && bound < line[i].x)
                    out.push_back(between(line[i - 1], line[i], bound));
        if (line[i].x >= from && line[i].x <= to) out.push_back(line[i]);
    }
    return out;
}

class Body {
  public:
    Body(const Section& section, const Model& model, const Catalogue& catalogue, const SectionFrame& frame,
         const SectionStyle& style, Canvas& canvas)
        : section_(section),
          model_(model),
          catalogue_(catalogue),
          frame_(frame),
          style_(style),
          canvas_(canvas) {
        thin_ = {style.paper.ink, 0.15, {}, false};
        middle_ = {style.paper.ink, 0.25, {}, false};
        bold_ = {style.paper.ink, 0.4, {}, false};
    }

    void draw() {
        group("Layers", [this] { layers(); });
        group("Units", [this] { units(); });
        group("Sheets", [this] { sheets(); });
        group("Edging and fixed things", [this] { things(); });
        group("Pipes", [this] { pipes(); });
        if (style_.existingGround) group("Existing ground", [this] { existingGround(); });
        group("Surface", [this] { surface(); });
    }

  private:
    void group(const char* name, const std::function<void()>& content) {
        canvas_.beginGroup(name);
        content();
        canvas_.endGroup();
    }

    const Material& materialOf(LayerId layer) const {
        const ModelLayer& l = model_.layers[static_cast<size_t>(layer)];
        return catalogue_.material(l.material, l.role);
    }
    Role roleOf(LayerId layer) const { return model_.layers[static_cast<size_t>(layer)].role; }

    Fill fillOf(const Material& material) const {
        const Colour own{material.colour[0], material.colour[1], material.colour[2]};
        const Colour face = mixed(own, {1, 1, 1}, style_.faceBrightening);
        // The hatch must read on its face in black and white too: ink on light faces, paper on dark ones.
        const bool dark = contrastRatio(face, style_.paper.paper) > contrastRatio(face, style_.paper.ink);
        const Colour mark =
            dark ? mixed(face, style_.paper.paper, 0.34) : mixed(face, style_.paper.ink, 0.55);
        return {face, material.hatch, mark};
    }

    std::vector<glm::dvec2> onPaper(const std::vector<glm::dvec2>& line) const {
        std::vector<glm::dvec2> out;
        out.reserve(line.size());
        for (const glm::dvec2& p : line) out.push_back(frame_.place(p.x, p.y));
        return out;
    }

    void layers() {
        for (const LayerRun& run : layerRuns(model_, section_)) {
            std::vector<glm::dvec2> top = clipped(run.top, frame_.from, frame_.to),
                                    bottom = clipped(run.bottom, frame_.from, frame_.to);
            if (top.size() < 2 || bottom.size() < 2) continue;
            Fill fill = fillOf(materialOf(run.layer));
            if (roleOf(run.layer) == Role::Units && style_.unitJoints && !section_.units.empty())
                fill = {fillOf(catalogue_.material("", Role::Bedding)).colour, "", {}};
            const bool soil = run.layer == model_.nativeSoil;
            if (soil) bottom = {{top.front().x, frame_.floor}, {top.back().x, frame_.floor}};
            std::vector<glm::dvec2> ring = onPaper(top);
            const std::vector<glm::dvec2> under = onPaper(bottom);
            ring.insert(ring.end(), under.rbegin(), under.rend());
            canvas_.polygon(ring, fill, soil ? nullptr : &thin_);
            if (soil) canvas_.polyline(onPaper(top), middle_);
        }
        if (style_.liftLines) lifts();
    }

    void lifts() {
        const Stroke stroke{mixed(style_.paper.ink, {1, 1, 1}, 0.2), 0.13, {1.6, 0.8}, false};
        for (const LayerRun& run : layerRuns(model_, section_, true))
            if (run.lift > 0) canvas_.polyline(onPaper(clipped(run.bottom, frame_.from, frame_.to)), stroke);
    }

    /// A face whose upper and lower side are straight, cut to the frame.
    void quadrilateral(double from, double to, glm::dvec2 top, glm::dvec2 bottom, const Fill& fill,
                       const Stroke* stroke) {
        const double low = std::max(from, frame_.from), high = std::min(to, frame_.to);
        if (high <= low || to <= from) return;
        const auto at = [&](glm::dvec2 ends, double d) {
            return ends.x + (ends.y - ends.x) * (d - from) / (to - from);
        };
        const auto limited = [&](double z) { return std::clamp(z, frame_.floor, frame_.ceiling); };
        const glm::dvec2 corners[] = {
            frame_.place(low, limited(at(bottom, low))), frame_.place(high, limited(at(bottom, high))),
            frame_.place(high, limited(at(top, high))), frame_.place(low, limited(at(top, low)))};
        canvas_.polygon(corners, fill, stroke);
    }

    void units() {
        if (!style_.unitJoints) return;
        for (const UnitCut& cut : section_.units) {
            const UnitPiece& unit = model_.units[static_cast<size_t>(cut.unit)];
            const bool wide = (cut.to - cut.from) * frame_.perMetre > 0.8;
            quadrilateral(cut.from, cut.to, {cut.topFrom, cut.topTo}, {cut.bottomFrom, cut.bottomTo},
                          fillOf(materialOf(unit.layer)), wide ? &thin_ : nullptr);
        }
    }

    /// Layers too thin for a face are one bold line.
    void sheets() {
        for (const LayerRun& run : layerRuns(model_, section_)) {
            if (roleOf(run.layer) != Role::Geotextile) continue;
            const Stroke stroke{fillOf(materialOf(run.layer)).colour, 0.7, {}, false};
            canvas_.polyline(onPaper(clipped(run.top, frame_.from, frame_.to)), stroke);
        }
    }

    void things() {
        for (const ThingCut& cut : section_.things) {
            const bool edging = cut.kind == ThingCut::Kind::Edging;
            const Material& material = edging ? catalogue_.material("edging", Role::Slab)
                                              : catalogue_.material("concrete", Role::Slab);
            quadrilateral(cut.from, cut.to, {cut.topFrom, cut.topTo}, {cut.bottomFrom, cut.bottomTo},
                          fillOf(material), &middle_);
        }
    }

    void pipes() {
        for (const PipeCut& cut : section_.pipes) {
            if (cut.at < frame_.from || cut.at > frame_.to) continue;
            const auto ellipse = [&](double part) {
                std::vector<glm::dvec2> ring;
                for (int i = 0; i < 48; ++i) {
                    const double angle = 2 * std::numbers::pi * i / 48;
                    ring.push_back(frame_.place(cut.at + part * cut.halfWidth * std::cos(angle),
                                                cut.centre + part * cut.radius * std::sin(angle)));
                }
                return ring;
            };
            canvas_.polygon(ellipse(1), {style_.paper.paper, "", {}}, &middle_);
            canvas_.polygon(ellipse(0.86), {style_.paper.paper, "", {}}, &thin_);
        }
    }

    /// A line through one height of each interval, broken where the intervals are.
    template <class Height>
    void alongIntervals(Height heightAt, const Stroke& stroke) {
        std::vector<glm::dvec2> line;
        double end = -std::numeric_limits<double>::infinity();
        const auto flush = [&] {
            canvas_.polyline(onPaper(clipped(line, frame_.from, frame_.to)), stroke);
            line.clear();
        };
        for (const SectionInterval& interval : section_.intervals) {
            if (interval.from > end + 1e-6) flush();
            const glm::dvec2 heights = heightAt(interval);
            const glm::dvec2 from{interval.from, heights.x};
            if (line.empty() || line.back() != from) line.push_back(from);
            line.emplace_back(interval.to, heights.y);
            end = interval.to;
        }
        flush();
    }

    void surface() {
        alongIntervals([&](const SectionInterval& i) { return interfaceOf(section_, i, 0); }, bold_);
    }

    /// Dashed, on a halo of paper so that it reads on dark and light layers alike.
    void existingGround() {
        const auto ground = [&](const SectionInterval& i) {
            return glm::dvec2{groundAt(model_, section_, i, i.from), groundAt(model_, section_, i, i.to)};
        };
        Colour halo = style_.paper.paper;
        halo.opacity = 0.7;
        alongIntervals(ground, {halo, 0.8, {}, false});
        alongIntervals(ground, {style_.paper.ink, 0.3, {2.4, 1.2}, false});
    }

    const Section& section_;
    const Model& model_;
    const Catalogue& catalogue_;
    const SectionFrame& frame_;
    const SectionStyle& style_;
    Canvas& canvas_;
    Stroke thin_, middle_, bold_;
};

}  // namespace

SectionExtent sectionExtent(const Model& model, const Section& section, double margin) {
    SectionExtent out;
    if (section.intervals.empty()) return out;
    constexpr double none = std::numeric_limits<double>::infinity();
    double first = none, last = -none, insideFirst = none, insideLast = -none;
    for (const SectionInterval& interval : section.intervals) {
        const Column& column = columnOf(model, interval);
        if (column.area < 0) continue;
        first = std::min(first, interval.from), last = std::max(last, interval.to);
        if (!isInside(column)) continue;
        insideFirst = std::min(insideFirst, interval.from), insideLast = std::max(insideLast, interval.to);
    }
    const double begin = section.intervals.front().from, end = section.intervals.back().to;
    out.from = first < last ? std::max(begin, first - margin) : begin;
    out.to = first < last ? std::min(end, last + margin) : end;
    out.insideFrom = insideFirst < insideLast ? insideFirst : out.from;
    out.insideTo = insideFirst < insideLast ? insideLast : out.to;
    out.highest = -none, out.lowestFormation = none;
    for (const SectionInterval& interval : section.intervals) {
        if (interval.to < out.from || interval.from > out.to) continue;
        const Column& column = columnOf(model, interval);
        const glm::dvec2 top = interfaceOf(section, interval, 0);
        const glm::dvec2 soil = interfaceOf(section, interval, static_cast<int>(column.entries.size()) - 1);
        out.highest = std::max({out.highest, top.x, top.y, groundAt(model, section, interval, interval.from),
                                groundAt(model, section, interval, interval.to)});
        out.lowestFormation = std::min({out.lowestFormation, soil.x, soil.y});
        if (isInside(column)) out.depth = std::max({out.depth, top.x - soil.x, top.y - soil.y});
    }
    return out;
}

void drawSectionBody(const Section& section, const Model& model, const Catalogue& catalogue,
                     const SectionFrame& frame, const SectionStyle& style, Canvas& canvas) {
    Body(section, model, catalogue, frame, style, canvas).draw();
}

}  // namespace underfoot
