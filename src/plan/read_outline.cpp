#include "plan/read_outline.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <fmt/format.h>
#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "plan/self_crossing.h"

namespace underfoot {
namespace {

/// Corners nearer than this are one.
constexpr double samePlace = 1e-6;
/// No patio has more; and the search for crossings may take time that grows as the square of it.
constexpr size_t greatestCorners = 10000;
/// An arc that rises less than this part of its chord is no arc.
constexpr double flattestArc = 1e-6;

bool same(glm::dvec2 a, glm::dvec2 b) {
    return glm::distance(a, b) <= samePlace;
}

void reverse(Ring& ring) {
    std::vector<OutlineEdge> edges;
    for (size_t i = ring.edges.size(); i-- > 0;) {
        OutlineEdge edge = ring.edges[i];
        edge.to = i > 0 ? ring.edges[i - 1].to : ring.start;
        edges.push_back(edge);
    }
    ring.edges = std::move(edges);
}

std::optional<OutlineEdge> readEdge(Reading& reading, const Value& item, const std::string& what) {
    OutlineEdge edge;
    edge.place = reading.place(item);
    if (!item.find("through") && !item.find("to")) {
        const auto corner = readPoint(reading, item, fmt::format("A corner of {}", what));
        if (!corner) return std::nullopt;
        edge.to = *corner;
        return edge;
    }
    const Fields fields(reading, item, fmt::format("an arc of {}", what), {"through", "to"});
    constexpr const char* remedy = "Write { through = [x, y], to = [x, y] }.";
    const Value* through = fields.need("through", remedy);
    const Value* to = fields.need("to", remedy);
    if (!through || !to) return std::nullopt;
    edge.through = readPoint(reading, *through, fields.name("through"));
    const auto end = readPoint(reading, *to, fields.name("to"));
    if (!edge.through || !end) return std::nullopt;
    edge.to = *end;
    return edge;
}

/// How far the point that an arc passes through stands off the chord, as part of the chord.
double rise(glm::dvec2 from, const OutlineEdge& edge) {
    const glm::dvec2 chord = edge.to - from, way = *edge.through - from;
    const double length = glm::length(chord);
    return std::fabs(chord.x * way.y - chord.y * way.x) / (length * length);
}

bool checkEdge(Reading& reading, glm::dvec2 from, const OutlineEdge& edge, const std::string& what) {
    if (same(from, edge.to)) {
        reading.report(
            edge.place,
            fmt::format("A corner of {} stands on the one before it, at {}.", what, pointText(reading, from)),
            edge.through ? "Write a full circle as circle = { centre = …, diameter = … }, or as two arcs."
                         : "Delete one of the two.");
        return false;
    }
    if (edge.through && rise(from, edge) < flattestArc) {
        reading.report(
            edge.place,
            fmt::format("The point that an arc of {} passes through lies on the straight line of its ends.",
                        what),
            "Move it off the line, or write the corner alone for a straight edge.");
        return false;
    }
    return true;
}

bool checkEdges(Reading& reading, const Ring& ring, const std::string& what) {
    bool sound = true;
    glm::dvec2 at = ring.start;
    for (const OutlineEdge& edge : ring.edges) {
        sound = checkEdge(reading, at, edge, what) && sound;
        at = edge.to;
    }
    return sound;
}

bool checkSize(Reading& reading, const Value& at, const std::vector<glm::dvec2>& corners,
               const std::string& what) {
    glm::dvec2 low = corners.front(), high = corners.front();
    for (const glm::dvec2 p : corners) {
        low = glm::min(low, p);
        high = glm::max(high, p);
    }
    const double across = std::max(high.x - low.x, high.y - low.y);
    if (across <= bounds::greatestSite) return true;
    reading.report(at,
                   fmt::format("The outline of {} is {} across; more than 1 km is not read.", what,
                               formatLength(across, reading.show)),
                   "Check the unit of the plan and of the corners.");
    return false;
}

bool checkCrossing(Reading& reading, const Value& at, const Ring& ring, const Chords& chords,
                   const std::string& what) {
    const auto crossing = selfCrossing(chords.corners);
    if (!crossing) return true;
    const int one = chords.edgeOf[crossing->first], two = chords.edgeOf[crossing->second];
    const SourcePlace& place = ring.edges[static_cast<size_t>(two)].place;
    const std::string which = one == two
                                  ? fmt::format("edge {}", one + 1)
                                  : fmt::format("edges {} and {} (lines {} and {})", one + 1, two + 1,
                                                ring.edges[static_cast<size_t>(one)].place.line, place.line);
    reading.report(place.line > 0 ? place : reading.place(at),
                   fmt::format("The outline of {} crosses or touches itself at {}: {}.", what,
                               pointText(reading, crossing->at), which),
                   "Check the order of the corners and their numbers.");
    return false;
}

std::optional<ReadRing> finished(Reading& reading, const Value& at, Ring ring, const std::string& what) {
    if (!checkEdges(reading, ring, what)) return std::nullopt;
    const Chords chords = toChords(ring, checkSagitta);
    if (chords.corners.size() > greatestCorners) {
        reading.report(at,
                       fmt::format("The outline of {} has {} corners and chords; at most {} are read.", what,
                                   chords.corners.size(), greatestCorners),
                       "Leave out corners, or write curves as arcs.");
        return std::nullopt;
    }
    if (!checkSize(reading, at, chords.corners, what)) return std::nullopt;
    if (!checkCrossing(reading, at, ring, chords, what)) return std::nullopt;
    const double area = signedArea(chords.corners);
    if (std::fabs(area) < samePlace) {
        reading.report(at, fmt::format("The outline of {} encloses nothing.", what), "Check its corners.");
        return std::nullopt;
    }
    ReadRing read{std::move(ring), area < 0};
    if (read.reversed) reverse(read.ring);
    return read;
}

OutlineEdge straight(glm::dvec2 to, const SourcePlace& place) {
    return {to, std::nullopt, place};
}

std::optional<ReadRing> readRectangle(Reading& reading, const Value& value, const std::string& what) {
    const Fields fields(reading, value, fmt::format("the rectangle of {}", what), {"corner", "size", "turn"});
    const auto corner = fields.needPoint("corner", "Write corner = [x, y].");
    const auto size = fields.needPair("size", "Write size = [length, width].", bounds::siteLength);
    const double turn = fields.angle("turn", 0);
    if (!corner || !size) return std::nullopt;
    const glm::dvec2 along{std::cos(turn), std::sin(turn)};
    const glm::dvec2 u = along * size->x, v = glm::dvec2{-along.y, along.x} * size->y;
    const SourcePlace place = fields.place();
    Ring ring{*corner,
              {straight(*corner + u, place), straight(*corner + u + v, place), straight(*corner + v, place),
               straight(*corner, place)}};
    return finished(reading, value, std::move(ring), what);
}

std::optional<ReadRing> readCircle(Reading& reading, const Value& value, const std::string& what) {
    const Fields fields(reading, value, fmt::format("the circle of {}", what), {"centre", "diameter"});
    const auto centre = fields.needPoint("centre", "Write centre = [x, y].");
    const auto diameter = fields.needLength("diameter", "Write diameter = \"4 ft\".", bounds::siteLength);
    if (!centre || !diameter) return std::nullopt;
    const double r = *diameter / 2;
    const glm::dvec2 right = *centre + glm::dvec2{r, 0}, left = *centre - glm::dvec2{r, 0};
    Ring ring{right,
              {{left, *centre + glm::dvec2{0, r}, fields.place()},
               {right, *centre - glm::dvec2{0, r}, fields.place()}}};
    return finished(reading, value, std::move(ring), what);
}

std::optional<int> readSides(const Fields& fields) {
    const Value* value = fields.need("sides", "Write sides = 6.");
    if (!value) return std::nullopt;
    const auto* number = value->as<double>();
    if (number && *number >= 3 && *number <= 360 && *number == std::floor(*number))
        return static_cast<int>(*number);
    fields.reading().report(*value, fields.name("sides") + " must be a whole number from 3 to 360.",
                            "Write sides = 6.");
    return std::nullopt;
}

std::optional<ReadRing> readPolygon(Reading& reading, const Value& value, const std::string& what) {
    const Fields fields(reading, value, fmt::format("the polygon of {}", what),
                        {"centre", "sides", "across_flats", "turn"});
    const auto centre = fields.needPoint("centre", "Write centre = [x, y].");
    const auto sides = readSides(fields);
    const auto flats =
        fields.needLength("across_flats", "Write across_flats = \"6 ft\".", bounds::siteLength);
    const double turn = fields.angle("turn", 0);
    if (!centre || !sides || !flats) return std::nullopt;
    // A flat lies half the width across flats from the centre; the first one faces -y, turned by `turn`.
    const double half = std::numbers::pi / *sides;
    const double radius = *flats / 2 / std::cos(half);
    const auto corner = [&](int i) {
        const double angle = turn - std::numbers::pi / 2 + half * (2 * i - 1);
        return *centre + radius * glm::dvec2{std::cos(angle), std::sin(angle)};
    };
    Ring ring{corner(0), {}};
    for (int i = 1; i < *sides; ++i) ring.edges.push_back(straight(corner(i), fields.place()));
    ring.edges.push_back(straight(ring.start, fields.place()));
    return finished(reading, value, std::move(ring), what);
}

}  // namespace

std::optional<ReadRing> readOutline(Reading& reading, const Value& value, const std::string& what) {
    const Value::List* items = readList(reading, value, fmt::format("The outline of {}", what));
    if (!items) return std::nullopt;
    std::vector<OutlineEdge> points;
    bool sound = true;
    for (const Value& item : *items) {
        auto edge = readEdge(reading, item, what);
        sound = sound && edge.has_value();
        if (edge) points.push_back(std::move(*edge));
    }
    if (!sound) return std::nullopt;
    if (!points.empty() && points.front().through) {
        reading.report(points.front().place, fmt::format("The outline of {} starts with an arc.", what),
                       "Start it with a corner: [x, y].");
        return std::nullopt;
    }
    const bool arcs =
        std::any_of(points.begin(), points.end(), [](const OutlineEdge& e) { return e.through.has_value(); });
    const bool closed = points.size() > 1 && same(points.front().to, points.back().to);
    const size_t corners = points.size() - (closed ? 1 : 0);
    if (corners < (arcs ? 2u : 3u)) {
        reading.report(value, fmt::format("The outline of {} has fewer than three corners.", what),
                       "Write at least three, or two with an arc between them.");
        return std::nullopt;
    }
    Ring ring;
    ring.start = points.front().to;
    // Edges are told by the corner that they start at, which is where a reader would look for them.
    ring.edges.assign(points.begin() + 1, points.end());
    if (closed)
        ring.edges.back().to = ring.start;
    else
        ring.edges.push_back(straight(ring.start, points.back().place));
    return finished(reading, value, std::move(ring), what);
}

std::optional<ReadRing> readShape(const Fields& fields) {
    Reading& reading = fields.reading();
    if (!fields.isTable()) return std::nullopt;
    constexpr const char* remedy = "Give it one of outline, rectangle, circle and polygon.";
    const Value* chosen = nullptr;
    std::string_view which;
    int count = 0;
    for (const std::string_view key : {"outline", "rectangle", "circle", "polygon"}) {
        const Value* value = fields.find(key);
        if (!value) continue;
        ++count;
        chosen = value;
        which = key;
    }
    if (count != 1) {
        reading.report(fields.value(),
                       fmt::format("{} has {} outline.", fields.owner(), count == 0 ? "no" : "more than one"),
                       remedy);
        return std::nullopt;
    }
    if (which == "rectangle") return readRectangle(reading, *chosen, fields.owner());
    if (which == "circle") return readCircle(reading, *chosen, fields.owner());
    if (which == "polygon") return readPolygon(reading, *chosen, fields.owner());
    return readOutline(reading, *chosen, fields.owner());
}

std::vector<int> readEdgeNumbers(const Fields& fields, std::string_view key,
                                 const std::optional<ReadRing>& ring) {
    Reading& reading = fields.reading();
    std::vector<int> edges;
    for (const Value& item : fields.list(key)) {
        const auto* number = item.as<double>();
        const double most = ring ? static_cast<double>(ring->ring.edges.size()) : 1e6;
        if (!number || *number != std::floor(*number)) {
            reading.report(item,
                           fmt::format("{} must be whole numbers, not {}.", fields.name(key),
                                       number ? fmt::format("{}", *number) : item.kind()),
                           "Count the outline's edges from 1 in the order written.");
        } else if (*number < 1 || *number > most) {
            reading.report(item,
                           fmt::format("{} names edge {}, and the outline has {} edges.", fields.name(key),
                                       *number, ring ? ring->ring.edges.size() : 0),
                           "Count the outline's edges from 1 in the order written.");
        } else if (ring) {
            const int edge = ring->edgeAsWritten(static_cast<int>(*number) - 1);
            if (std::find(edges.begin(), edges.end(), edge) == edges.end()) edges.push_back(edge);
        }
    }
    return edges;
}

}  // namespace underfoot
