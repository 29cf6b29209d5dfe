#include "study/end_areas.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "measure/cross.h"
#include "measure/length.h"
#include "plan/plan.h"
#include "study/section.h"

namespace underfoot {

namespace {

constexpr double mostIntervals = 10000;

CutFill operator+(const CutFill& a, const CutFill& b) {
    return {a.cut + b.cut, a.fill + b.fill};
}
CutFill operator*(double factor, const CutFill& a) {
    return {factor * a.cut, factor * a.fill};
}

/// Depth of cut and fill at the corners of a cell.
std::array<CutFill, 3> depthsOn(const Model& model, const Cell& cell) {
    std::array<CutFill, 3> depths{};
    const Column& column = model.columnOf(cell);
    if (column.area < 0) return depths;
    const int soil = static_cast<int>(column.entries.size()) - 1;
    for (int i = 0; i < 3; ++i) {
        CutFill& depth = depths[static_cast<size_t>(i)];
        depth.cut = std::max(0.0, model.factsAt(cell, i).stripped - model.height(cell, i, soil));
        for (int e = 0; e < soil; ++e) {
            const LayerId layer = column.entries[static_cast<size_t>(e)].layer;
            if (model.layers[static_cast<size_t>(layer)].role == Role::Fill)
                depth.fill += model.thickness(cell, i, e);
        }
    }
    return depths;
}

/// What is straight over a cell, at a point in it (one a hair outside is taken to the cell).
CutFill atPoint(const Model& model, const Cell& cell, const std::array<CutFill, 3>& corners, glm::dvec2 p) {
    std::array<double, 3> share{};
    double sum = 0;
    for (int i = 0; i < 3; ++i) {
        const glm::dvec2 a = model.at(cell, (i + 1) % 3), b = model.at(cell, (i + 2) % 3);
        share[static_cast<size_t>(i)] = std::max(0.0, cross(b - a, p - a));
        sum += share[static_cast<size_t>(i)];
    }
    CutFill depth;
    for (size_t i = 0; i < 3; ++i) depth = depth + (share[i] / sum) * corners[i];
    return depth;
}

CutFill faceOf(const Model& model, const Section& section) {
    CutFill face;
    for (const SectionInterval& interval : section.intervals) {
        const Cell& cell = model.cells[static_cast<size_t>(interval.cell)];
        if (model.columnOf(cell).area < 0) continue;
        const auto depths = depthsOn(model, cell);
        const CutFill ends = atPoint(model, cell, depths, section.at(interval.from)) +
                             atPoint(model, cell, depths, section.at(interval.to));
        face = face + 0.5 * (interval.to - interval.from) * ends;
    }
    return face;
}

/// Faces just before and just after stations. A section along an edge belongs to the cell on its left, so
/// that the two differ by the way the line runs.
class Faces {
  public:
    explicit Faces(const Model& model) : model_(model), cutter_(model) {
        low_ = std::numeric_limits<double>::infinity(), high_ = -low_;
        const glm::dvec2 low = model.site.low, high = model.site.high;
        for (const glm::dvec2 corner : {low, high, glm::dvec2{low.x, high.y}, glm::dvec2{high.x, low.y}}) {
            low_ = std::min(low_, model.stationOffset(corner).y);
            high_ = std::max(high_, model.stationOffset(corner).y);
        }
    }

    CutFill at(double station, bool after) const {
        const Baseline& baseline = model_.plan.baseline;
        std::vector<glm::dvec2> line{model_.toLocal(baseline.at(station, low_)),
                                     model_.toLocal(baseline.at(station, high_))};
        const glm::dvec2 onward = baseline.at(station + 1, low_) - baseline.at(station, low_);
        const bool leftIsAfter = cross(line[1] - line[0], onward) > 0;
        if (leftIsAfter != after) std::swap(line[0], line[1]);
        return faceOf(model_, cutter_.cut(line));
    }

  private:
    const Model& model_;
    Cutter cutter_;
    double low_ = 0, high_ = 0;
};

struct StationRange {
    double least = std::numeric_limits<double>::infinity();
    double greatest = -std::numeric_limits<double>::infinity();
};

StationRange earthworkRange(const Model& model) {
    StationRange range;
    for (const Cell& cell : model.cells) {
        if (model.columnOf(cell).area < 0) continue;
        for (int i = 0; i < 3; ++i) {
            const double station = model.stationOffset(model.at(cell, i)).x;
            range.least = std::min(range.least, station);
            range.greatest = std::max(range.greatest, station);
        }
    }
    return range;
}

/// A corner of a piece of a cell.
struct PiecePoint {
    double station = 0, offset = 0;
    CutFill depth;
};
using Piece = std::vector<PiecePoint>;

/// The part of a piece on one side of a station.
Piece clipped(const Piece& piece, double station, bool after) {
    Piece kept;
    for (size_t i = 0; i < piece.size(); ++i) {
        const PiecePoint &a = piece[i], &b = piece[(i + 1) % piece.size()];
        const double da = after ? a.station - station : station - a.station;
        const double db = after ? b.station - station : station - b.station;
        if (da >= 0) kept.push_back(a);
        if ((da > 0 && db < 0) || (da < 0 && db > 0)) {
            const double t = da / (da - db);
            kept.push_back({station, a.offset + t * (b.offset - a.offset), (1 - t) * a.depth + t * b.depth});
        }
    }
    return kept;
}

CutFill volumeOf(const Piece& piece) {
    CutFill sum;
    for (size_t i = 1; i + 1 < piece.size(); ++i) {
        const PiecePoint &a = piece[0], &b = piece[i], &c = piece[i + 1];
        const double twice = std::abs((b.station - a.station) * (c.offset - a.offset) -
                                      (c.station - a.station) * (b.offset - a.offset));
        sum = sum + (twice / 6) * (a.depth + b.depth + c.depth);
    }
    return sum;
}

/// Adds what a cell holds to the intervals that it reaches into.
void addCell(const Model& model, const Cell& cell, std::vector<EndInterval>& intervals) {
    const auto depths = depthsOn(model, cell);
    if (std::all_of(depths.begin(), depths.end(), [](const CutFill& d) { return d.cut == 0 && d.fill == 0; }))
        return;
    Piece whole;
    for (int i = 0; i < 3; ++i) {
        const glm::dvec2 so = model.stationOffset(model.at(cell, i));
        whole.push_back({so.x, so.y, depths[static_cast<size_t>(i)]});
    }
    const auto [least, greatest] = std::minmax({whole[0].station, whole[1].station, whole[2].station});
    auto interval = std::upper_bound(intervals.begin(), intervals.end(), least,
                                     [](double s, const EndInterval& one) { return s < one.to; });
    for (; interval != intervals.end() && interval->from < greatest; ++interval)
        interval->exact =
            interval->exact + volumeOf(clipped(clipped(whole, interval->from, true), interval->to, false));
}

void findSimpson(const Model& model, double interval, EndAreas& areas) {
    const size_t count = areas.intervals.size();
    const EndInterval& last = areas.intervals.back();
    const auto& show = model.plan.show;
    if (std::abs(last.to - last.from - interval) > tolerance::samePlanPoint) {
        areas.noSimpson = fmt::format(
            "Simpson's rule wants stations an even distance apart: the last interval, "
            "to {}, is shorter.",
            formatStation(last.to, show, StationFor::Set));
        return;
    }
    if (count % 2 != 0) {
        areas.noSimpson = fmt::format(
            "Simpson's rule takes intervals in pairs, and there {} {}: it gives no "
            "volume here. Choose an interval that fits an even number of times.",
            count == 1 ? "is" : "are", count);
        return;
    }
    CutFill sum;
    for (size_t i = 0; i < count; i += 2) {
        const CutFill middle = 0.5 * (areas.stations[i + 1].before + areas.stations[i + 1].after);
        sum = sum + (interval / 3) * (areas.stations[i].after + 4 * middle + areas.stations[i + 2].before);
    }
    areas.bySimpson = sum;
}

/// A difference of volumes as it is told: "12.3 ft³ too much cut".
std::string differs(double by, const char* what, const LengthFormat& show) {
    const std::string none = formatVolume(0, show);
    const std::string amount = formatVolume(std::abs(by), show);
    if (amount == none) return fmt::format("the {} as it is", what);
    return fmt::format("{} too {} {}", amount, by > 0 ? "much" : "little", what);
}

bool isNothing(const CutFill& by, const LengthFormat& show) {
    const std::string none = formatVolume(0, show);
    return formatVolume(std::abs(by.cut), show) == none && formatVolume(std::abs(by.fill), show) == none;
}

std::string explained(const Model& model, const EndAreas& areas) {
    const LengthFormat& show = model.plan.show;
    const CutFill off = areas.byEndAreas + (-1.0) * areas.exact,
                  left = areas.byPrismoid + (-1.0) * areas.exact;
    if (isNothing(off, show)) return "End areas give the exact volumes here.";
    std::string text = fmt::format("End areas give {} and {}. ", differs(off.cut, "cut", show),
                                   differs(off.fill, "fill", show));
    text +=
        "Between two stations the depth changes and the width with it, so that the mean of two faces is "
        "not the mean face: on a dig with side slopes S it is too much by L S (h1 - h2)² / 6. ";
    text += "With the face in the middle of each interval (the prismoidal rule) ";
    if (isNothing(left, show)) return text + "the volumes are exact.";
    return text + fmt::format(
                      "there is {} and {}; that rest is where surfaces bend or areas begin between "
                      "stations: closer stations make it smaller.",
                      differs(left.cut, "cut", show), differs(left.fill, "fill", show));
}

void cutStations(const Model& model, const std::vector<double>& at, EndAreas& areas) {
    const Faces faces(model);
    for (size_t i = 0; i < at.size(); ++i) {
        EndArea one{at[i], {}, {}};
        if (i > 0) one.before = faces.at(at[i], false);
        if (i + 1 < at.size()) one.after = faces.at(at[i], true);
        areas.stations.push_back(one);
    }
    for (size_t i = 0; i + 1 < at.size(); ++i) {
        EndInterval one{at[i], at[i + 1], {}, {}, {}, {}};
        const double length = one.to - one.from, middle = 0.5 * (one.from + one.to);
        one.middle = 0.5 * (faces.at(middle, false) + faces.at(middle, true));
        const CutFill ends = areas.stations[i].after + areas.stations[i + 1].before;
        one.byEndAreas = (length / 2) * ends;
        one.byPrismoid = (length / 6) * (ends + 4 * one.middle);
        areas.intervals.push_back(one);
    }
}

}  // namespace

tl::expected<EndAreas, std::string> endAreas(const Model& model, double interval, std::optional<double> first,
                                             std::optional<double> last) {
    if (!(interval > 0))
        return tl::unexpected(std::string("An interval between stations is a length above 0."));
    const StationRange range = earthworkRange(model);
    if (!(range.least < range.greatest))
        return tl::unexpected(std::string("Nothing is built here: there is no earthwork to measure."));
    const double from = first.value_or(range.least), to = last.value_or(range.greatest);
    if (!(from < to))
        return tl::unexpected(fmt::format("The last station, {}, does not lie past the first, {}.",
                                          formatStation(to, model.plan.show),
                                          formatStation(from, model.plan.show)));
    if ((to - from) / interval > mostIntervals)
        return tl::unexpected(
            fmt::format("Stations {} apart are more than {:.0f} intervals: take them farther apart.",
                        formatLength(interval, model.plan.show), mostIntervals));
    std::vector<double> at;
    // A last station that rounding moved past the end is the end.
    for (int i = 0; from + i * interval < to - tolerance::samePlanPoint; ++i)
        at.push_back(from + i * interval);
    at.push_back(to);
    EndAreas areas;
    cutStations(model, at, areas);
    for (const Cell& cell : model.cells) addCell(model, cell, areas.intervals);
    for (const EndInterval& one : areas.intervals) {
        areas.byEndAreas = areas.byEndAreas + one.byEndAreas;
        areas.byPrismoid = areas.byPrismoid + one.byPrismoid;
        areas.exact = areas.exact + one.exact;
    }
    findSimpson(model, interval, areas);
    areas.difference = explained(model, areas);
    return areas;
}

}  // namespace underfoot
