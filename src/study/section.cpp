#include "study/section.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <utility>

#include <glm/vec3.hpp>

#include "ground/grid.h"
#include "ground/surface.h"
#include "ground/tolerance.h"
#include "plan/plan.h"
#include "study/prefetch.h"
#include "study/spans.h"
#include "study/walk.h"

namespace underfoot {

namespace {

// A crossing shorter than this is below what the grid can tell from a corner.
constexpr double shortestCrossing = 2 * gridStep;
constexpr double sameStation = 1e-9;
constexpr double greatestRow = 10000;  // sections

// What a section asks of the model beside its cells; made once for many sections, or as far as one section
// needs.
struct Aids {
    const UnitBuckets* buckets = nullptr;
    Rim rim;
    int hint = -1;
};

// A leg and where it stands on the section's line.
struct Placed {
    Leg leg;
    double start = 0;
    double end = 0;  // start + length, as lineAt has it
    double at(double along) const { return along >= leg.length ? end : start + along; }
};

// ---------------------------------------------------------------- intervals

class IntervalWriter {
  public:
    IntervalWriter(const Model& model, const Placed& placed, Section& section)
        : model_(model), placed_(placed), section_(section), heights_(section.heights.size()) {}

    // For all that add() is about to be given.
    void makeRoom(const std::vector<CellCrossing>& crossings) {
        size_t more = 0;
        for (const CellCrossing& crossing : crossings)
            more +=
                2 * static_cast<size_t>(model_.interfaces(model_.cells[static_cast<size_t>(crossing.cell)]));
        section_.heights.resize(heights_ + more);
        // At least twice what there was, so that a line of very many legs stays cheap.
        auto& intervals = section_.intervals;
        if (const size_t wanted = intervals.size() + crossings.size(); wanted > intervals.capacity())
            intervals.reserve(std::max(wanted, 2 * intervals.capacity()));
    }

    void add(const CellCrossing& crossing) {
        const double length = placed_.leg.length;
        double from = std::max(0.0, crossing.in.at), to = std::min(length, crossing.out.at);
        if (length - to <= shortestCrossing) to = length;
        if (to <= from) return;
        const bool follows = from - covered_ <= shortestCrossing;
        if (!follows) endRun();
        if (to - from <= shortestCrossing) {
            if (!follows) written_ = from;
            covered_ = std::max(covered_, to);
            return;
        }
        if (follows) from = written_;
        write(crossing, from, to);
        covered_ = written_ = to;
    }

    void finish() {
        endRun();
        section_.heights.resize(heights_);
    }

  private:
    // What was left out last is given to the interval before it.
    void endRun() {
        if (last_ >= 0 && covered_ > written_)
            section_.intervals[static_cast<size_t>(last_)].to = placed_.at(covered_);
        last_ = -1;
    }

    void write(const CellCrossing& crossing, double from, double to) {
        const Cell& cell = model_.cells[static_cast<size_t>(crossing.cell)];
        SectionInterval interval;
        interval.from = placed_.at(from);
        interval.to = placed_.at(to);
        interval.cell = crossing.cell;
        interval.column = cell.column;
        interval.first = static_cast<int>(heights_);
        const double run = crossing.out.at - crossing.in.at;
        const double first = std::clamp((from - crossing.in.at) / run, 0.0, 1.0);
        const double second = std::clamp((to - crossing.in.at) / run, 0.0, 1.0);
        const size_t n = static_cast<size_t>(model_.interfaces(cell));
        double* written = section_.heights.data() + heights_;
        heights_ += 2 * n;
        const double *inA = model_.stack(cell, crossing.in.from), *inB = model_.stack(cell, crossing.in.to);
        const double *outA = model_.stack(cell, crossing.out.from),
                     *outB = model_.stack(cell, crossing.out.to);
        if (first == 0 && second == 1 && goesOn(crossing, cell)) {
            // Both cells stand on the same posts at the edge between them: the heights there are known.
            const double* before = written - 2 * n;
            const double ratio = crossing.out.ratio;
            if (ratio == 1.0) outA = outB;  // between() by itself, without asking for each
            for (size_t k = 0; k < n; ++k) {
                const double low = outA[k], rise = outB[k] - low;
                written[2 * k] = before[2 * k + 1];
                written[2 * k + 1] = low + rise * ratio;
            }
        } else {
            for (size_t k = 0; k < n; ++k) {
                const double in = between(inA[k], inB[k], crossing.in.ratio);
                const double out = between(outA[k], outB[k], crossing.out.ratio);
                written[2 * k] = between(in, out, first);
                written[2 * k + 1] = between(in, out, second);
            }
        }
        lastCell_ = second == 1 ? crossing.cell : -1;
        last_ = static_cast<int>(section_.intervals.size());
        section_.intervals.push_back(interval);
    }

    /// Whether the last interval ended in the cell before this one, with no step between them.
    bool goesOn(const CellCrossing& crossing, const Cell& cell) const {
        const int edge = 3 - crossing.in.from - crossing.in.to;
        return last_ >= 0 && lastCell_ >= 0 && !(cell.seams >> edge & 1) &&
               cell.neighbour[static_cast<size_t>(edge)] == lastCell_;
    }

    static double between(double a, double b, double ratio) { return ratio == 1.0 ? b : a + (b - a) * ratio; }
    const Model& model_;
    const Placed& placed_;
    Section& section_;
    size_t heights_;      // of the section so far
    double covered_ = 0;  // along the leg: up to here every crossing is dealt with
    double written_ = 0;  // up to here intervals are written; lags by what was too short to write
    int last_ = -1;
    int lastCell_ = -1;  // of the last interval, when it reaches to where the line leaves the cell
};

void addIntervals(const Model& model, const Placed& placed, const std::vector<CellCrossing>& crossings,
                  Section& section) {
    IntervalWriter writer(model, placed, section);
    writer.makeRoom(crossings);
    for (const CellCrossing& crossing : crossings) writer.add(crossing);
    writer.finish();
}

// ---------------------------------------------------------------- along edges off the grid

// The grid takes corners of an edge a little off it, so that a line drawn along the edge runs now on this
// side of it and now on that: such a leg is moved to its left, clear of them all.
constexpr double besideEdge = 100 * gridStep;
constexpr double clearOfEdge = 2 * besideEdge;
constexpr double shortestBeside = 1e-3;  // what is shorter shows nowhere

bool liesAlong(const Model& model, const Leg& leg, const Cell& cell, int edge) {
    if (cell.neighbour[static_cast<size_t>(edge)] < 0) return false;
    const glm::dvec2 a = model.at(cell, (edge + 1) % 3), b = model.at(cell, (edge + 2) % 3);
    const double far = besideEdge * leg.length;
    const Leg::Standing ofA = leg.standing(a), ofB = leg.standing(b);
    if (std::abs(ofA.area) > far || std::abs(ofB.area) > far || (ofA.side == 0 && ofB.side == 0))
        return false;
    const auto [from, to] = std::minmax({leg.along(a), leg.along(b)});
    return std::min(to, leg.length) - std::max(from, 0.0) >= shortestBeside;
}

bool liesAlong(const Model& model, const Leg& leg, const CellCrossing& crossing) {
    // An edge on the line is come to at one of its corners.
    constexpr double corner = besideEdge / shortestBeside;
    const auto atCorner = [](double ratio) { return ratio < corner || ratio > 1 - corner; };
    if (!atCorner(crossing.in.ratio) && !atCorner(crossing.out.ratio)) return false;
    const Cell& cell = model.cells[static_cast<size_t>(crossing.cell)];
    return liesAlong(model, leg, cell, 0) || liesAlong(model, leg, cell, 1) || liesAlong(model, leg, cell, 2);
}

// The cells that a leg crosses, once it is clear of what it lies along.
std::vector<CellCrossing> crossingsOf(const Model& model, Leg& leg, Aids& aids) {
    std::vector<CellCrossing> crossings = cellsAlong(model, leg, aids.hint, aids.rim);
    if (std::none_of(crossings.begin(), crossings.end(),
                     [&](const CellCrossing& one) { return liesAlong(model, leg, one); }))
        return crossings;
    const glm::dvec2 aside = clearOfEdge * glm::dvec2{-leg.direction.y, leg.direction.x};
    leg = Leg(leg.from + aside, leg.to + aside);
    return cellsAlong(model, leg, aids.hint, aids.rim);
}

// ---------------------------------------------------------------- units, pipes, things

std::vector<UnitBuckets::Candidate> unitsNear(const Model& model, const Leg& leg,
                                              const UnitBuckets* buckets) {
    std::vector<UnitBuckets::Candidate> found;
    if (buckets) {
        buckets->around(leg, found);
        return found;
    }
    for (size_t u = 0; u < model.units.size(); ++u) {
        const UnitPiece& unit = model.units[u];
        found.push_back({static_cast<int>(u),
                         {model.unitCorners.data() + unit.firstCorner, static_cast<size_t>(unit.corners)}});
    }
    return found;
}

void addUnits(const Model& model, const Placed& placed, const Aids& aids, Section& section) {
    const Leg& leg = placed.leg;
    const size_t first = section.units.size();
    std::vector<std::pair<double, double>> spans;
    const std::vector<UnitBuckets::Candidate> candidates = unitsNear(model, leg, aids.buckets);
    constexpr size_t ahead = 8;
    for (size_t i = 0; i < candidates.size(); ++i) {
        if (i + ahead < candidates.size()) {
            wantedSoon(candidates[i + ahead].corners.data());
            wantedSoon(&model.units[static_cast<size_t>(candidates[i + ahead].unit)].top);
        }
        const UnitBuckets::Candidate& candidate = candidates[i];
        spansInside(candidate.corners, leg, spans);
        for (const auto& [from, to] : spans) {
            const UnitPiece& unit = model.units[static_cast<size_t>(candidate.unit)];
            const double topFrom = unit.top.height(leg.from + leg.direction * from);
            const double topTo = unit.top.height(leg.from + leg.direction * to);
            section.units.push_back({candidate.unit, placed.at(from), placed.at(to), topFrom, topTo,
                                     topFrom - unit.thickness, topTo - unit.thickness});
        }
    }
    std::sort(section.units.begin() + static_cast<std::ptrdiff_t>(first), section.units.end(),
              [](const UnitCut& a, const UnitCut& b) {
                  return a.from != b.from ? a.from < b.from : a.unit < b.unit;
              });
}

// Half of a round pipe's chord through its middle, in the direction whose cosine with the axis is given.
double halfChord(double radius, double cosine) {
    return radius / std::sqrt(std::max(1e-12, 1 - cosine * cosine));
}

void addPipeLength(const Placed& placed, const glm::dvec3& a, const glm::dvec3& b, double radius,
                   bool lastLeg, int run, Section& section) {
    const glm::dvec2 pa{a.x, a.y}, pb{b.x, b.y};
    const Leg::Standing sa = placed.leg.standing(pa), sb = placed.leg.standing(pb);
    if (sa.left() == sb.left()) return;
    double ratio = 0;
    const double along = placed.leg.crossingAt(pa, sa, pb, sb, ratio);
    if (along < 0 || along > placed.leg.length || (along == placed.leg.length && !lastLeg)) return;
    const glm::dvec3 axis = b - a;
    const double length = std::sqrt(axis.x * axis.x + axis.y * axis.y + axis.z * axis.z);
    const double lineCosine = (axis.x * placed.leg.direction.x + axis.y * placed.leg.direction.y) / length;
    PipeCut cut;
    cut.run = run;
    cut.at = placed.at(along);
    cut.centre = a.z + (b.z - a.z) * ratio;
    cut.radius = halfChord(radius, axis.z / length);
    cut.halfWidth = std::min(halfChord(radius, lineCosine), length);
    section.pipes.push_back(cut);
}

void addPipes(const Model& model, const Placed& placed, bool lastLeg, Section& section) {
    const size_t first = section.pipes.size();
    for (size_t r = 0; r < model.plan.buriedRuns.size(); ++r) {
        const BuriedRun& run = model.plan.buriedRuns[r];
        const double radius = run.diameter / 2;
        for (size_t i = 1; i < run.points.size(); ++i) {
            const glm::dvec2 a = model.toLocal(run.points[i - 1].at), b = model.toLocal(run.points[i].at);
            addPipeLength(placed, {a.x, a.y, run.points[i - 1].invert + radius},
                          {b.x, b.y, run.points[i].invert + radius}, radius, lastLeg, static_cast<int>(r),
                          section);
        }
    }
    std::stable_sort(section.pipes.begin() + static_cast<std::ptrdiff_t>(first), section.pipes.end(),
                     [](const PipeCut& a, const PipeCut& b) { return a.at < b.at; });
}

void addThings(const Model& model, const Placed& placed, Section& section) {
    const size_t first = section.things.size();
    std::vector<std::pair<double, double>> spans;
    for (size_t e = 0; e < model.edging.size(); ++e) {
        const EdgingPiece& piece = model.edging[e];
        spansInside(piece.corner, placed.leg, spans);
        for (const auto& [from, to] : spans) {
            const double topFrom = piece.top.height(placed.leg.from + placed.leg.direction * from);
            const double topTo = piece.top.height(placed.leg.from + placed.leg.direction * to);
            section.things.push_back({ThingCut::Kind::Edging, static_cast<int>(e), placed.at(from),
                                      placed.at(to), topFrom, topTo, topFrom - piece.height,
                                      topTo - piece.height});
        }
    }
    for (size_t f = 0; f < model.plan.fixedThings.size(); ++f) {
        const FixedThing& thing = model.plan.fixedThings[f];
        std::vector<glm::dvec2> corners = toChords(thing.outline, tolerance::arcSagitta).corners;
        for (glm::dvec2& corner : corners) corner = model.toLocal(corner);
        spansInside(corners, placed.leg, spans);
        for (const auto& [from, to] : spans) {
            section.things.push_back({ThingCut::Kind::Fixed, static_cast<int>(f), placed.at(from),
                                      placed.at(to), thing.top, thing.top, thing.bottom, thing.bottom});
        }
    }
    std::stable_sort(section.things.begin() + static_cast<std::ptrdiff_t>(first), section.things.end(),
                     [](const ThingCut& a, const ThingCut& b) { return a.from < b.from; });
}

// ---------------------------------------------------------------- the line

bool inReach(glm::dvec2 p) {
    return std::abs(p.x) < gridReach && std::abs(p.y) < gridReach;
}
bool finite(glm::dvec2 p) {
    return std::isfinite(p.x) && std::isfinite(p.y);
}

// Exact tests reach as far as the grid does: of a longer leg the part near the model is taken.
std::optional<Placed> placeLeg(const Model& model, glm::dvec2 a, glm::dvec2 b, double start, double end) {
    if (inReach(a) && inReach(b)) {
        if (toGrid(a) == toGrid(b)) return std::nullopt;
        return Placed{Leg(a, b), start, end};
    }
    const double length = std::hypot(b.x - a.x, b.y - a.y);
    const glm::dvec2 direction = (b - a) / length;
    const glm::dvec2 middle = 0.5 * (model.site.low + model.site.high);
    const glm::dvec2 size = model.site.high - model.site.low;
    const double reach = std::hypot(size.x, size.y) + 1;
    const double foot = (middle.x - a.x) * direction.x + (middle.y - a.y) * direction.y;
    const double from = std::clamp(foot - reach, 0.0, length), to = std::clamp(foot + reach, 0.0, length);
    const glm::dvec2 first = a + direction * from, last = a + direction * to;
    if (!inReach(first) || !inReach(last) || toGrid(first) == toGrid(last)) return std::nullopt;
    return Placed{Leg(first, last), start + from, to == length ? end : start + to};
}

std::optional<double> singleStation(const Model& model, const std::vector<glm::dvec2>& line) {
    const double station = model.stationOffset(line.front()).x;
    for (const glm::dvec2 p : line) {
        if (std::abs(model.stationOffset(p).x - station) > sameStation) return std::nullopt;
    }
    return station;
}

void placeLine(const Model& model, const std::vector<glm::dvec2>& line, Section& section) {
    for (const glm::dvec2 p : line) section.line.push_back(inReach(p) ? snap(p) : p);
    for (size_t i = 0; i < section.line.size(); ++i) {
        if (i > 0) {
            const glm::dvec2 step = section.line[i] - section.line[i - 1];
            section.length += std::hypot(step.x, step.y);
        }
        section.lineAt.push_back(section.length);
    }
    if (section.length > 0) section.station = singleStation(model, section.line);
}

Section cutWith(const Model& model, const std::vector<glm::dvec2>& line, Aids aids) {
    Section section;
    if (line.size() < 2 || !std::all_of(line.begin(), line.end(), finite)) return section;
    placeLine(model, line, section);
    size_t lastLeg = section.line.size() - 1;
    while (lastLeg > 1 && section.lineAt[lastLeg - 1] == section.length) --lastLeg;
    for (size_t i = 1; i < section.line.size(); ++i) {
        auto placed =
            placeLeg(model, section.line[i - 1], section.line[i], section.lineAt[i - 1], section.lineAt[i]);
        if (!placed) continue;
        addIntervals(model, *placed, crossingsOf(model, placed->leg, aids), section);
        addUnits(model, *placed, aids, section);
        addPipes(model, *placed, i == lastLeg, section);
        addThings(model, *placed, section);
    }
    return section;
}

// From where a station's line enters the model's box to where it leaves it. A line that misses the box keeps
// the range of offsets that the box has.
std::vector<glm::dvec2> lineAtStation(const Model& model, double station) {
    const glm::dvec2 low = model.site.low, high = model.site.high;
    double least = std::numeric_limits<double>::infinity(), greatest = -least;
    for (const glm::dvec2 corner : {low, high, glm::dvec2{low.x, high.y}, glm::dvec2{high.x, low.y}}) {
        const double offset = model.stationOffset(corner).y;
        least = std::min(least, offset);
        greatest = std::max(greatest, offset);
    }
    const glm::dvec2 from = model.toLocal(model.plan.baseline.at(station, least));
    const glm::dvec2 to = model.toLocal(model.plan.baseline.at(station, greatest));
    if (!finite(from) || !finite(to)) return {};
    const auto placed = placeLeg(model, from, to, 0, 0);
    if (!placed) return {from, to};
    const auto reach = insideBox(placed->leg, low, high);
    if (!reach || reach->to <= reach->from) return {from, to};
    const Leg& leg = placed->leg;
    return {leg.from + leg.direction * reach->from,
            reach->to == leg.length ? leg.to : leg.from + leg.direction * reach->to};
}

Section cutAtStationWith(const Model& model, double station, Aids aids) {
    Section section = cutWith(model, lineAtStation(model, station), std::move(aids));
    if (section.length > 0) section.station = station;
    return section;
}

}  // namespace

struct Cutter::Prepared {
    const Model& model;
    UnitBuckets buckets;
    std::vector<RimEdge> rim;

    explicit Prepared(const Model& m) : model(m), buckets(m), rim(rimEdges(m)) {}
    Aids aids() const { return {&buckets, Rim(rim), -1}; }
};

Cutter::Cutter(const Model& model) : prepared_(std::make_unique<Prepared>(model)) {}
Cutter::Cutter(Cutter&&) noexcept = default;
Cutter& Cutter::operator=(Cutter&&) noexcept = default;
Cutter::~Cutter() = default;
Section Cutter::cut(const std::vector<glm::dvec2>& line) const {
    return cutWith(prepared_->model, line, prepared_->aids());
}
Section Cutter::cutAtStation(double station) const {
    return cutAtStationWith(prepared_->model, station, prepared_->aids());
}

Section cut(const Model& model, const std::vector<glm::dvec2>& line) {
    return cutWith(model, line, {});
}
Section cutAtStation(const Model& model, double station) {
    return cutAtStationWith(model, station, {});
}

std::vector<Section> cutRow(const Model& model, double firstStation, double lastStation, double interval) {
    std::vector<Section> row;
    if (!std::isfinite(firstStation) || !std::isfinite(lastStation)) return row;
    const Cutter cutter(model);
    const double fitting = interval > 0 ? (lastStation - firstStation) / interval : 0.0;
    const double steps = std::clamp(fitting, -1.0, greatestRow - 1.0);
    // The last station belongs to the row when the steps reach it but for rounding.
    const auto count = static_cast<int>(std::floor(steps + 1e-9));
    for (int i = 0; i <= count; ++i) row.push_back(cutter.cutAtStation(firstStation + i * interval));
    return row;
}

glm::dvec2 Section::at(double distance) const {
    if (line.empty()) return {0, 0};
    if (distance <= 0) return line.front();
    if (distance >= length) return line.back();
    const auto after = std::upper_bound(lineAt.begin(), lineAt.end(), distance);
    const auto i = static_cast<size_t>(after - lineAt.begin());
    return line[i - 1] + (line[i] - line[i - 1]) * ((distance - lineAt[i - 1]) / (lineAt[i] - lineAt[i - 1]));
}

}  // namespace underfoot
