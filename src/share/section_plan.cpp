#include "share/section_plan.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "measure/length.h"
#include "measure/slope.h"
#include "measure/words.h"
#include "plan/plan.h"
#include "share/layer_facts.h"

namespace underfoot {
namespace {

bool isInside(const Column& column) {
    return column.area >= 0 && !column.beyond;
}

const SectionInterval* intervalAt(const Section& section, double distance) {
    for (const SectionInterval& interval : section.intervals)
        if (distance >= interval.from && distance <= interval.to && interval.to > interval.from)
            return &interval;
    return nullptr;
}

double interpolated(double a, double b, const SectionInterval& interval, double distance) {
    return a + (b - a) * (distance - interval.from) / (interval.to - interval.from);
}

/// Distances worth looking at: the middle of every interval in the extent.
std::vector<double> middles(const Section& section, const SectionExtent& extent) {
    std::vector<double> out;
    for (const SectionInterval& interval : section.intervals) {
        const double from = std::max(interval.from, extent.from), to = std::min(interval.to, extent.to);
        if (to > from) out.push_back((from + to) / 2);
    }
    return out;
}

std::string thicknessWords(double least, double greatest, const LengthFormat& format) {
    const std::string a = formatThickness(least, format), b = formatThickness(greatest, format);
    return a == b ? a : fmt::format("{} to {}", a, b);
}

struct Place {
    double distance, height, off;
};

/// The layer's place nearest to the preferred distance.
void consider(std::map<LayerId, Place>& best, const Model& model, const Section& section, double distance,
              double preferred) {
    const double off = std::abs(distance - preferred);
    for (const LayerAt& at : stackAt(model, section, distance)) {
        if (at.layer == model.nativeSoil) continue;
        const bool sheet = model.layers[static_cast<size_t>(at.layer)].role == Role::Geotextile;
        if (!sheet && at.thickness() < 1e-3) continue;
        // Of several lifts at one place the middle of the uppermost counts.
        const auto [found, isNew] =
            best.try_emplace(at.layer, Place{distance, (at.top + at.bottom) / 2, off});
        if (!isNew && off < found->second.off) found->second = {distance, (at.top + at.bottom) / 2, off};
    }
}

double upperLeftOrder(const SectionLabel& label) {
    return -label.height;
}

/// Least and greatest thickness inside the extent of the sheet come from the study; words for one layer.
std::string detailOf(const Model& model, const std::vector<Extremes>& all, LayerId layer,
                     const LayerFacts& facts) {
    const LengthFormat& format = model.plan.show;
    for (const Extremes& e : all) {
        if (e.layer != layer) continue;
        std::string out = thicknessWords(e.least, e.greatest, format);
        if (facts.takesUp && facts.wantedLeast && facts.wantedGreatest)
            out += fmt::format(" (wanted {})",
                               thicknessWords(*facts.wantedLeast, *facts.wantedGreatest, format));
        return out;
    }
    return {};
}

void addPipes(std::vector<SectionLabel>& labels, const Section& section, const Model& model,
              const SectionExtent& extent) {
    for (const PipeCut& cut : section.pipes) {
        if (cut.at < extent.from || cut.at > extent.to) continue;
        const BuriedRun& run = model.plan.buriedRuns[static_cast<size_t>(cut.run)];
        labels.push_back({-1, cut.at, cut.centre, capitalised(run.name.empty() ? "pipe" : run.name),
                          formatThickness(2 * cut.radius, model.plan.show)});
    }
}

/// Straight runs of finish inside the outlines: start and end, joined while the slope stays the same.
struct FinishRun {
    double from, to, zFrom, zTo;
    double slope() const { return (zTo - zFrom) / (to - from); }
};
std::vector<FinishRun> finishRuns(const Section& section, const Model& model) {
    std::vector<FinishRun> runs;
    for (const SectionInterval& interval : section.intervals) {
        if (!isInside(model.columns[static_cast<size_t>(interval.column)]) ||
            interval.to - interval.from < 1e-6)
            continue;
        const auto at = static_cast<size_t>(interval.first);
        const FinishRun next{interval.from, interval.to, section.heights[at], section.heights[at + 1]};
        const bool joins = !runs.empty() && std::abs(runs.back().to - next.from) < 1e-6 &&
                           std::abs(runs.back().zTo - next.zFrom) < 1e-5;
        if (joins &&
            std::abs(runs.back().zTo + runs.back().slope() * (next.to - next.from) - next.zTo) < 1e-4) {
            runs.back().to = next.to;
            runs.back().zTo = next.zTo;
        } else {
            runs.push_back(next);
        }
    }
    return runs;
}

/// Puts words into the lowest row where neither they nor the leader below them meet others. Words with a
/// leader stand to its right, else to its left.
class Rows {
  public:
    explicit Rows(double width) : width_(width) {}

    void place(SectionMark& mark, double at, double length, bool leader) {
        for (int row = 0;; ++row) {
            if (static_cast<size_t>(row) == taken_.size()) taken_.emplace_back();
            const bool open = !leader || isOpenBelow(row, at);
            for (const Anchor anchor :
                 leader ? std::vector{Anchor::Start, Anchor::End} : std::vector{Anchor::Middle}) {
                mark.left = anchor == Anchor::Start ? at + 0.9
                            : anchor == Anchor::End ? at - 0.9 - length
                                                    : at - length / 2;
                mark.right = mark.left + length;
                const bool outside = mark.left < -margin || mark.right > width_ + margin;
                if (!isFree(row, mark.left, mark.right) || ((outside || !open) && row < mostRows)) continue;
                mark.anchor = anchor;
                mark.row = row;
                take(row, mark.left, mark.right);
                for (int under = 0; leader && under < row; ++under) take(under, at - 0.3, at + 0.3);
                return;
            }
        }
    }

  private:
    static constexpr double margin = 8;
    static constexpr int mostRows = 6;

    bool isOpenBelow(int row, double at) const {
        for (int under = 0; under < row; ++under)
            for (const auto& [a, b] : taken_[static_cast<size_t>(under)])
                if (at < b + 0.4 && at > a - 0.4 && b - a > 1) return false;
        return true;
    }
    bool isFree(int row, double left, double right) const {
        for (const auto& [a, b] : taken_[static_cast<size_t>(row)])
            if (left < b + (b - a > 1 ? 1.5 : 0.4) && right > a - (b - a > 1 ? 1.5 : 0.4)) return false;
        return true;
    }
    void take(int row, double left, double right) {
        taken_[static_cast<size_t>(row)].emplace_back(left, right);
    }

    double width_;
    std::vector<std::vector<std::pair<double, double>>> taken_;
};

void addExtremes(std::vector<SectionMark>& marks, const Section& section, const Model& model,
                 const SectionExtent& extent, const std::vector<LayerFacts>& facts) {
    size_t takers = 0;
    const std::vector<Extremes> all = extremes(model, section);
    const auto isShown = [&](const Extremes& e) {
        const LayerFacts& f = facts[static_cast<size_t>(e.layer)];
        return f.takesUp && model.layers[static_cast<size_t>(e.layer)].role != Role::Fill &&
               e.greatest - e.least > 5e-4;
    };
    for (const Extremes& e : all) takers += isShown(e) ? 1U : 0U;
    for (const Extremes& e : all) {
        if (!isShown(e)) continue;
        const LayerFacts& f = facts[static_cast<size_t>(e.layer)];
        for (const bool least : {true, false}) {
            const double at = least ? e.leastAt : e.greatestAt, value = least ? e.least : e.greatest;
            if (at < extent.from || at > extent.to) continue;
            SectionMark mark;
            mark.kind = least ? SectionMark::Kind::Least : SectionMark::Kind::Greatest;
            mark.distance = at;
            double low = std::numeric_limits<double>::infinity(), high = -low;
            for (const LayerAt& here : stackAt(model, section, at))
                if (here.layer == e.layer) low = std::min(low, here.bottom), high = std::max(high, here.top);
            if (high < low) continue;
            mark.top = high, mark.bottom = low, mark.height = (low + high) / 2;
            const std::string name = takers > 1 ? layerHeading(model, e.layer) + " " : "";
            mark.words = fmt::format("{}{} {}", name, least ? "least" : "greatest",
                                     formatThickness(value, model.plan.show));
            if (takers <= 1) mark.words[0] = least ? 'L' : 'G';
            mark.attention = (f.wantedLeast && value < *f.wantedLeast - tolerance::lengthCompare) ||
                             (f.wantedGreatest && value > *f.wantedGreatest + tolerance::lengthCompare);
            marks.push_back(mark);
        }
    }
}

void addLevels(std::vector<SectionMark>& marks, const Model& model, const std::vector<FinishRun>& runs) {
    if (runs.empty()) return;
    const auto level = [&](double distance, double height) {
        SectionMark mark;
        mark.kind = SectionMark::Kind::Level;
        mark.distance = distance, mark.height = height;
        mark.words = formatLength(height, model.plan.show);
        marks.push_back(mark);
    };
    level(runs.front().from, runs.front().zFrom);
    level(runs.back().to, runs.back().zTo);
}

/// Names of fixed things, over each.
void addThings(std::vector<SectionMark>& marks, const Section& section, const Model& model,
               const SectionExtent& extent) {
    for (const ThingCut& cut : section.things) {
        if (cut.kind != ThingCut::Kind::Fixed || cut.to < extent.from || cut.from > extent.to) continue;
        const FixedThing& thing = model.plan.fixedThings[static_cast<size_t>(cut.index)];
        if (thing.name.empty()) continue;
        SectionMark mark;
        mark.kind = SectionMark::Kind::Thing;
        mark.distance = (std::max(cut.from, extent.from) + std::min(cut.to, extent.to)) / 2;
        mark.height = (cut.topFrom + cut.topTo) / 2;
        mark.words = capitalised(thing.name);
        marks.push_back(mark);
    }
}

void addSlopes(std::vector<SectionMark>& marks, const Model& model, const std::vector<FinishRun>& runs,
               double perMetre) {
    for (const FinishRun& run : runs) {
        if ((run.to - run.from) * perMetre < 34 || std::abs(run.slope()) < 1e-5) continue;
        SectionMark mark;
        mark.kind = SectionMark::Kind::Slope;
        mark.distance = (run.from + run.to) / 2, mark.height = (run.zFrom + run.zTo) / 2;
        const std::string words = formatSlope(std::abs(run.slope()), model.plan.show);
        mark.words = run.slope() < 0 ? words + " \u2192" : "\u2190 " + words;
        marks.push_back(mark);
    }
}

}  // namespace

std::string layerHeading(const Model& model, LayerId layer) {
    return capitalised(model.layers[static_cast<size_t>(layer)].name);
}

bool groundAndSurface(const Section& section, const Model& model, double distance, double& ground,
                      double& surface) {
    const SectionInterval* interval = intervalAt(section, distance);
    if (interval == nullptr) return false;
    const Cell& cell = model.cells[static_cast<size_t>(interval->cell)];
    const glm::dvec2 p = section.at(distance), a = model.at(cell, 0), b = model.at(cell, 1),
                     c = model.at(cell, 2);
    const double whole = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    const double wb = ((p.x - a.x) * (c.y - a.y) - (p.y - a.y) * (c.x - a.x)) / whole;
    const double wc = ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / whole;
    ground = model.factsAt(cell, 0).ground * (1 - wb - wc) + model.factsAt(cell, 1).ground * wb +
             model.factsAt(cell, 2).ground * wc;
    const auto at = static_cast<size_t>(interval->first);
    surface = interpolated(section.heights[at], section.heights[at + 1], *interval, distance);
    return true;
}

std::vector<SectionLabel> sectionLabels(const Section& section, const Model& model,
                                        const SectionExtent& extent, double preferred, double soilShown,
                                        bool existingGround) {
    std::map<LayerId, Place> best;
    std::vector<double> tries = middles(section, extent);
    tries.push_back(preferred);
    for (const double distance : tries) consider(best, model, section, distance, preferred);

    const std::vector<Extremes> all = extremes(model, section);
    const std::vector<LayerFacts> facts = layerFacts(model);
    std::vector<SectionLabel> out;
    out.reserve(best.size() + 2);
    for (const auto& [layer, place] : best)
        out.push_back({layer, place.distance, place.height, layerHeading(model, layer),
                       detailOf(model, all, layer, facts[static_cast<size_t>(layer)])});
    if (model.nativeSoil >= 0) {
        const std::vector<LayerAt> stack = stackAt(model, section, preferred);
        if (!stack.empty())
            out.push_back({model.nativeSoil, preferred, stack.back().top - soilShown / 2,
                           layerHeading(model, model.nativeSoil), ""});
    }
    if (existingGround) {
        double widest = 0.01;  // where it shows best
        SectionLabel label;
        for (const double distance : tries) {
            double ground = 0, surface = 0;
            if (!groundAndSurface(section, model, distance, ground, surface)) continue;
            const double off = std::abs(ground - surface);
            if (off <= widest) continue;
            widest = off;
            label = {-1, distance, ground, "Existing ground",
                     model.plan.ground.assumed() ? "assumed level" : "as shot"};
        }
        if (!label.heading.empty()) out.push_back(label);
    }
    addPipes(out, section, model, extent);
    std::stable_sort(out.begin(), out.end(), [](const SectionLabel& a, const SectionLabel& b) {
        return upperLeftOrder(a) < upperLeftOrder(b);
    });
    return out;
}

std::vector<SectionMark> sectionMarks(const Section& section, const Model& model, const SectionExtent& extent,
                                      double perMetre, double size) {
    std::vector<SectionMark> marks;
    addExtremes(marks, section, model, extent, layerFacts(model));
    const std::vector<FinishRun> runs = finishRuns(section, model);
    addThings(marks, section, model, extent);
    addLevels(marks, model, runs);
    addSlopes(marks, model, runs, perMetre);
    Rows rows((extent.to - extent.from) * perMetre);
    for (SectionMark& mark : marks)
        rows.place(mark, (mark.distance - extent.from) * perMetre, textWidth(mark.words, size),
                   mark.kind != SectionMark::Kind::Slope);
    return marks;
}

double roundStep(double least, const LengthFormat& format) {
    const double unit = format.style == LengthStyle::Metres ? 1.0 : metresPerFoot;
    double power = std::pow(10.0, std::floor(std::log10(least / unit)));
    if (format.style != LengthStyle::Metres) power = std::max(power, 1.0);
    for (;; power *= 10)
        for (const double part : {1.0, 2.0, 5.0})
            if (part * power * unit >= least - 1e-9) return part * power * unit;
}

std::string roundLength(double metres, const LengthFormat& format) {
    const double value =
        std::round(metres / (format.style == LengthStyle::Metres ? 1 : metresPerFoot) * 1000) / 1000 + 0.0;
    if (value == 0) return "0";
    return fmt::format("{:g}{}", value,
                       format.style == LengthStyle::Metres       ? " m"
                       : format.style == LengthStyle::FeetInches ? "'"
                                                                 : " ft");
}

SectionAxis sectionAxis(const Section& section, const Model& model, const SectionExtent& extent,
                        double perMetre) {
    SectionAxis axis;
    const glm::dvec2 first = model.stationOffset(section.at(extent.from)),
                     last = model.stationOffset(section.at(extent.to));
    const bool straight = section.line.size() == 2;
    const bool across = straight && std::abs(first.x - last.x) < 1e-6,
               along = straight && std::abs(first.y - last.y) < 1e-6;
    const LengthFormat& format = model.plan.show;
    double from = extent.from, to = extent.to;
    if (across) from = first.y, to = last.y;
    if (along) from = first.x, to = last.x;
    axis.words = across ? "Offset from the baseline" : along ? "Station" : "Distance along the section";
    const double step = roundStep(14 / perMetre, format);
    const double low = std::min(from, to), high = std::max(from, to);
    for (double n = std::ceil(low / step - 1e-9); n * step <= high + 1e-9; ++n) {
        const double value = n * step + 0.0, part = (value - from) / (to - from);
        axis.marks.push_back({extent.from + part * (extent.to - extent.from),
                              along ? formatStation(value, format) : roundLength(value, format)});
    }
    return axis;
}

}  // namespace underfoot
