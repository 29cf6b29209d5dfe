// Where to stake: corners, edges, a grid, cuts.

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "ground/tolerance.h"
#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "study/section.h"
#include "study/stakes.h"

namespace underfoot {

namespace {

constexpr double mostStakes = 10000;

/// Places that rounding alone has moved onto or past an end.
constexpr double atEnd = tolerance::samePlanPoint;

std::string tooMany() {
    return fmt::format("That is more than {:.0f} stakes: take them farther apart.", mostStakes);
}
std::string noInterval() {
    return "Stakes are set a length above 0 apart.";
}

/// An outline as chords, edge by edge: the corners of each edge, its end included.
std::vector<std::vector<glm::dvec2>> edgesOf(const Ring& ring) {
    const Chords chords = toChords(ring, tolerance::arcSagitta);
    std::vector<std::vector<glm::dvec2>> edges(ring.edges.size());
    for (size_t i = 0; i < chords.corners.size(); ++i) {
        auto& edge = edges[static_cast<size_t>(chords.edgeOf[i])];
        edge.push_back(chords.corners[i]);
        const size_t next = (i + 1) % chords.corners.size();
        if (next == 0 || chords.edgeOf[next] != chords.edgeOf[i]) edge.push_back(chords.corners[next]);
    }
    return edges;
}

double lengthOf(const std::vector<glm::dvec2>& line) {
    double sum = 0;
    for (size_t i = 1; i < line.size(); ++i)
        sum += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
    return sum;
}

glm::dvec2 placeAlong(const std::vector<glm::dvec2>& line, double distance) {
    for (size_t i = 1; i < line.size(); ++i) {
        const glm::dvec2 way = line[i] - line[i - 1];
        const double length = std::hypot(way.x, way.y);
        if (distance <= length) return line[i - 1] + way * (distance / length);
        distance -= length;
    }
    return line.back();
}

/// Corners, and with an interval the places between them.
void addOutline(const Model& model, int area, double interval, std::vector<StakePoint>& points) {
    const Area& of = model.plan.areas[static_cast<size_t>(area)];
    const auto edges = edgesOf(of.outline);
    for (size_t e = 0; e < edges.size(); ++e) {
        points.push_back(
            {fmt::format("{}, corner {}", of.name, e + 1), model.toLocal(edges[e].front()), area});
        const double length = lengthOf(edges[e]);
        for (int i = 1; interval > 0 && i * interval < length - atEnd; ++i)
            points.push_back({fmt::format("{}, edge {} at {}", of.name, e + 1,
                                          formatLength(i * interval, model.plan.show)),
                              model.toLocal(placeAlong(edges[e], i * interval)), area});
    }
}

/// Box of all cells inside the outlines, in stations and offsets.
struct Reach {
    glm::dvec2 low{std::numeric_limits<double>::infinity()}, high{-std::numeric_limits<double>::infinity()};
};
Reach reachOf(const Model& model) {
    Reach reach;
    for (const Cell& cell : model.cells) {
        const Column& column = model.columnOf(cell);
        if (column.area < 0 || column.beyond) continue;
        for (int i = 0; i < 3; ++i) {
            const glm::dvec2 so = model.stationOffset(model.at(cell, i));
            reach.low = {std::min(reach.low.x, so.x), std::min(reach.low.y, so.y)};
            reach.high = {std::max(reach.high.x, so.x), std::max(reach.high.y, so.y)};
        }
    }
    return reach;
}

/// A stretch of a section inside one area.
struct Stretch {
    int area = -1;
    double from = 0, to = 0;
};
std::vector<Stretch> stretchesOf(const Model& model, const Section& section) {
    std::vector<Stretch> stretches;
    for (const SectionInterval& interval : section.intervals) {
        const Column& column = model.columns[static_cast<size_t>(interval.column)];
        if (column.area < 0 || column.beyond) continue;
        const bool onward = !stretches.empty() && stretches.back().area == column.area &&
                            stretches.back().to >= interval.from - atEnd;
        if (onward)
            stretches.back().to = interval.to;
        else
            stretches.push_back({column.area, interval.from, interval.to});
    }
    return stretches;
}

void addCut(const Model& model, const NamedCut& named, double interval, std::vector<StakePoint>& points) {
    std::vector<glm::dvec2> line;
    for (const glm::dvec2 p : named.along) line.push_back(model.toLocal(p));
    const Section section = cut(model, line);
    auto stretches = stretchesOf(model, section);
    if (stretches.empty()) {
        // Along an outline with the area to its right, where a section belongs to what lies to its left.
        std::reverse(line.begin(), line.end());
        const Section back = cut(model, line);
        stretches = stretchesOf(model, back);
        std::reverse(stretches.begin(), stretches.end());
        for (Stretch& one : stretches) one = {one.area, back.length - one.to, back.length - one.from};
    }
    if (stretches.empty()) return;
    const double start = stretches.front().from;
    const auto add = [&](double distance, int area) {
        points.push_back(
            {fmt::format("cut {} at {}", named.name, formatLength(distance - start, model.plan.show)),
             section.at(distance), area});
    };
    for (const Stretch& one : stretches) {
        add(one.from, one.area);
        for (double i = std::floor((one.from - start + atEnd) / interval) + 1;
             start + i * interval < one.to - atEnd; ++i)
            add(start + i * interval, one.area);
        add(one.to, one.area);
    }
}

}  // namespace

std::vector<StakePoint> cornerPoints(const Model& model) {
    std::vector<StakePoint> points;
    for (size_t a = 0; a < model.plan.areas.size(); ++a) addOutline(model, static_cast<int>(a), 0, points);
    return points;
}

Sentence<std::vector<StakePoint>> edgePoints(const Model& model, double interval) {
    if (!(interval > 0)) return tl::unexpected(noInterval());
    double length = 0;
    for (const Area& area : model.plan.areas)
        for (const auto& edge : edgesOf(area.outline)) length += lengthOf(edge);
    if (length / interval > mostStakes) return tl::unexpected(tooMany());
    std::vector<StakePoint> points;
    for (size_t a = 0; a < model.plan.areas.size(); ++a)
        addOutline(model, static_cast<int>(a), interval, points);
    return points;
}

Sentence<std::vector<StakePoint>> gridPoints(const Model& model, double interval) {
    if (!(interval > 0)) return tl::unexpected(noInterval());
    const Reach reach = reachOf(model);
    std::vector<StakePoint> points;
    if (!(reach.low.x < reach.high.x)) return points;
    if ((reach.high.x - reach.low.x) / interval * ((reach.high.y - reach.low.y) / interval) > mostStakes)
        return tl::unexpected(tooMany());
    const Baseline& baseline = model.plan.baseline;
    for (double s = std::ceil((reach.low.x - atEnd) / interval); s * interval <= reach.high.x + atEnd; ++s)
        for (double o = std::ceil((reach.low.y - atEnd) / interval); o * interval <= reach.high.y + atEnd;
             ++o)
            points.push_back({"grid", model.toLocal(baseline.at(s * interval, o * interval)), -1});
    return points;
}

Sentence<std::vector<StakePoint>> cutPoints(const Model& model, double interval, const std::string& name) {
    if (!(interval > 0)) return tl::unexpected(noInterval());
    double length = 0;
    std::vector<const NamedCut*> chosen;
    for (const NamedCut& named : model.plan.cuts) {
        if (!name.empty() && named.name != name) continue;
        chosen.push_back(&named);
        length += lengthOf(named.along);
    }
    if (chosen.empty())
        return tl::unexpected(name.empty() ? std::string("The plan names no cut.")
                                           : fmt::format("The plan has no cut \"{}\".", name));
    if (length / interval > mostStakes) return tl::unexpected(tooMany());
    std::vector<StakePoint> points;
    for (const NamedCut* named : chosen) addCut(model, *named, interval, points);
    return points;
}

}  // namespace underfoot
