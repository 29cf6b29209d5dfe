#include "study/walk.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

#include <glm/common.hpp>

#include "ground/grid.h"
#include "ground/tolerance.h"

namespace underfoot {

namespace {

// Twice the area of a, b, p, and its sign; the sign is exact.
Leg::Standing standingTo(glm::dvec2 a, glm::dvec2 b, glm::dvec2 p) {
    const glm::dvec2 ab = b - a, ap = p - a;
    const double left = ab.x * ap.y, right = ab.y * ap.x;
    // Differences of grid coordinates are exact; what is left is the rounding of two products and their sum.
    const double doubt = 4.0 * std::numeric_limits<double>::epsilon() * (std::abs(left) + std::abs(right));
    const double area = left - right;
    if (area > doubt) return {1, area};
    if (area < -doubt) return {-1, area};
    const int side = orientation(toGrid(a), toGrid(b), toGrid(p));
    return {side, side == 0 ? 0.0 : area};
}

int turn(glm::dvec2 a, glm::dvec2 b, glm::dvec2 p) {
    return standingTo(a, b, p).side;
}

const Cell& cellOf(const Model& model, int index) {
    return model.cells[static_cast<size_t>(index)];
}
int next(int corner) {
    return corner == 2 ? 0 : corner + 1;
}

}  // namespace

Leg::Leg(glm::dvec2 start, glm::dvec2 end) : from(snap(start)), to(snap(end)) {
    length = std::hypot(to.x - from.x, to.y - from.y);
    assert(length > 0);
    direction = (to - from) / length;
}

Leg::Standing Leg::standing(glm::dvec2 p) const {
    return standingTo(from, to, p);
}

double Leg::along(glm::dvec2 p) const {
    return (p.x - from.x) * direction.x + (p.y - from.y) * direction.y;
}

double Leg::crossingAt(glm::dvec2 p, const Standing& ofP, glm::dvec2 q, const Standing& ofQ,
                       double& ratio) const {
    const double span = ofP.area - ofQ.area;
    ratio = span == 0 ? 0.0 : std::clamp(ofP.area / span, 0.0, 1.0);
    return along(ratio == 1.0 ? q : p + (q - p) * ratio);
}

std::vector<RimEdge> rimEdges(const Model& model) {
    std::vector<RimEdge> rim;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        for (int e = 0; e < 3; ++e) {
            if (model.cells[c].neighbour[static_cast<size_t>(e)] < 0) rim.push_back({static_cast<int>(c), e});
        }
    }
    return rim;
}

std::optional<LegRange> insideBox(const Leg& leg, glm::dvec2 low, glm::dvec2 high) {
    LegRange reach{0, leg.length};
    for (int axis = 0; axis < 2; ++axis) {
        const double start = leg.from[axis], speed = leg.direction[axis];
        if (leg.from[axis] == leg.to[axis]) {
            if (start < low[axis] || start > high[axis]) return std::nullopt;
            continue;
        }
        double enter = (low[axis] - start) / speed, leave = (high[axis] - start) / speed;
        if (enter > leave) std::swap(enter, leave);
        reach.from = std::max(reach.from, enter);
        reach.to = std::min(reach.to, leave);
    }
    if (reach.from > reach.to) return std::nullopt;
    return reach;
}

// ---------------------------------------------------------------- to a point

namespace {

// False for what is no number as well.
bool insideSite(const Model& model, glm::dvec2 p) {
    const glm::dvec2 low = model.site.low, high = model.site.high;
    return p.x >= low.x && p.y >= low.y && p.x <= high.x && p.y <= high.y;
}

bool holds(const Model& model, const Cell& cell, glm::dvec2 point) {
    const glm::dvec2 a = model.at(cell, 0), b = model.at(cell, 1), c = model.at(cell, 2);
    return turn(a, b, point) >= 0 && turn(b, c, point) >= 0 && turn(c, a, point) >= 0;
}

int scanForCell(const Model& model, glm::dvec2 point) {
    for (size_t c = 0; c < model.cells.size(); ++c) {
        const Cell& cell = model.cells[c];
        const glm::dvec2 p = model.at(cell, 0), q = model.at(cell, 1), r = model.at(cell, 2);
        if (point.x < std::min({p.x, q.x, r.x}) || point.x > std::max({p.x, q.x, r.x})) continue;
        if (holds(model, cell, point)) return static_cast<int>(c);
    }
    return -1;
}

// The nearest of a few cells spread over the list: a walk from there is short.
int nearbyCell(const Model& model, glm::dvec2 point) {
    const size_t count = model.cells.size();
    const auto samples = static_cast<size_t>(std::cbrt(static_cast<double>(count))) + 1;
    int best = 0;
    double bestDistance = std::numeric_limits<double>::infinity();
    for (size_t s = 0; s < samples; ++s) {
        const size_t c = s * count / samples;
        const glm::dvec2 away = model.at(model.cells[c], 0) - point;
        const double distance = away.x * away.x + away.y * away.y;
        if (distance < bestDistance) {
            bestDistance = distance;
            best = static_cast<int>(c);
        }
    }
    return best;
}

}  // namespace

namespace {

double twiceArea(glm::dvec2 a, glm::dvec2 b, glm::dvec2 p) {
    const glm::dvec2 ab = b - a, ap = p - a;
    return ab.x * ap.y - ab.y * ap.x;
}
double reach(glm::dvec2 side) {
    return std::abs(side.x) + std::abs(side.y);
}

}  // namespace

std::optional<PointInCell> clearCellAt(const Model& model, glm::dvec2 p, int hint) {
    const int count = static_cast<int>(model.cells.size());
    if (count == 0 || !insideSite(model, p)) return std::nullopt;
    int at = hint >= 0 && hint < count ? hint : nearbyCell(model, p);
    const size_t enough = 64 + 4 * static_cast<size_t>(std::sqrt(static_cast<double>(count)));
    for (size_t step = 0; step < enough; ++step) {
        const Cell& cell = cellOf(model, at);
        const glm::dvec2 a = model.at(cell, 0), b = model.at(cell, 1), c = model.at(cell, 2);
        const double ofA = twiceArea(b, c, p), ofB = twiceArea(c, a, p), ofC = twiceArea(a, b, p);
        // Clear of every edge by more than snapping and rounding can move the point. No branch before that is
        // known: which edge is nearest can't be foretold.
        const double doubt = 4 * gridStep * std::max({reach(b - c), reach(c - a), reach(a - b)});
        const double ofBC = std::min(ofB, ofC), least = std::min(ofA, ofBC);
        if (least > doubt) {
            const double whole = ofA + ofB + ofC;
            return PointInCell{at, {ofA / whole, ofB / whole, ofC / whole}};
        }
        if (!(least < -doubt)) return std::nullopt;
        const size_t across = ofA < ofBC ? 0 : ofB < ofC ? 1 : 2;
        at = cell.neighbour[across];
        if (at < 0) return std::nullopt;
    }
    return std::nullopt;
}

int someCellAt(const Model& model, glm::dvec2 place, int hint) {
    if (model.cells.empty()) return -1;
    if (!insideSite(model, place)) return -1;
    const glm::dvec2 point = snap(place);
    const int count = static_cast<int>(model.cells.size());
    int at = hint >= 0 && hint < count ? hint : nearbyCell(model, point);
    int came = -1;
    uint32_t dice = 1;
    // Triangles that are not Delaunay can lead a walk in a circle: which edge is tried first changes from
    // step to step, and past a number of steps that a straight way never needs all cells are looked at.
    const size_t enough = 64 + 16 * static_cast<size_t>(std::sqrt(static_cast<double>(count)));
    for (size_t step = 0; step < enough; ++step) {
        const Cell& cell = cellOf(model, at);
        dice = dice * 1664525U + 1013904223U;
        const int first = static_cast<int>((dice >> 16) % 3U);
        int onward = -2;
        for (int turnOf = 0; turnOf < 3 && onward == -2; ++turnOf) {
            const int e = (first + turnOf) % 3;
            const int neighbour = cell.neighbour[static_cast<size_t>(e)];
            if (neighbour == came && came >= 0) continue;
            if (turn(model.at(cell, next(e)), model.at(cell, next(next(e))), point) < 0) onward = neighbour;
        }
        if (onward == -2) {
            if (holds(model, cell, point)) return at;
            break;
        }
        if (onward < 0) break;
        came = at;
        at = onward;
    }
    return scanForCell(model, point);
}

std::vector<int> cellsTouching(const Model& model, glm::dvec2 place, int start, double slack) {
    const glm::dvec2 point = snap(place);
    std::vector<int> found{start};
    for (size_t i = 0; i < found.size(); ++i) {
        const Cell& cell = cellOf(model, found[i]);
        for (int e = 0; e < 3; ++e) {
            const int neighbour = cell.neighbour[static_cast<size_t>(e)];
            if (neighbour < 0 || std::find(found.begin(), found.end(), neighbour) != found.end()) continue;
            const glm::dvec2 a = model.at(cell, next(e)), b = model.at(cell, next(next(e)));
            const glm::dvec2 ab = b - a;
            const double run = ab.x * ab.x + ab.y * ab.y;
            const double ratio =
                std::clamp((ab.x * (point.x - a.x) + ab.y * (point.y - a.y)) / run, 0.0, 1.0);
            const glm::dvec2 away = point - (a + ab * ratio);
            const bool near = slack > 0 ? std::hypot(away.x, away.y) <= slack
                                        : holds(model, cellOf(model, neighbour), point);
            if (near) found.push_back(neighbour);
        }
    }
    return found;
}

namespace {

// Shares of the three corners at a point of a cell.
std::array<double, 3> shares(const Model& model, const Cell& cell, glm::dvec2 p) {
    const glm::dvec2 a = model.at(cell, 0), b = model.at(cell, 1), c = model.at(cell, 2);
    const double whole = twiceArea(a, b, c);
    const double ofB = std::clamp(twiceArea(p, c, a) / whole, 0.0, 1.0);
    const double ofC = std::clamp(twiceArea(p, a, b) / whole, 0.0, 1.0 - ofB);
    return {1.0 - ofB - ofC, ofB, ofC};
}

}  // namespace

std::optional<PointInCell> pointInCell(const Model& model, glm::dvec2 point, int hint) {
    if (const auto clear = clearCellAt(model, point, hint)) return clear;
    const int found = someCellAt(model, point, hint);
    if (found < 0) return std::nullopt;
    const std::vector<int> touching = cellsTouching(model, point, found, 0);
    const int cell = *std::min_element(touching.begin(), touching.end());
    return PointInCell{cell, shares(model, cellOf(model, cell), point)};
}

// ---------------------------------------------------------------- along a leg

namespace {

// Walks along a leg's whole line, both ways past its ends.
class LegWalk {
  public:
    LegWalk(const Model& model, const Leg& leg) : model_(model), leg_(leg) {}

    bool crosses(int cell) const {
        const auto s = standings(cell);
        return s[0].left() != s[1].left() || s[1].left() != s[2].left();
    }

    // From a crossed cell to the rim, or until the line is past `until`.
    void forward(int cell, double until, std::vector<CellCrossing>& found) const {
        Standings s = standings(cell);
        EdgeHit in = hit(cell, s, edgeWhere(s, true));
        for (size_t step = 0; step <= model_.cells.size(); ++step) {
            const Edge edge = edgeWhere(s, false);
            const EdgeHit out = hit(cell, s, edge);
            found.push_back({cell, in, out});
            if (out.at >= until) return;
            const int after = across(cell, edge);
            if (after < 0) return;
            in = {cornerAt(after, vertexAt(cell, out.from)), cornerAt(after, vertexAt(cell, out.to)),
                  out.ratio, out.at};
            s = standingsPast(cell, s, edge, after);
            cell = after;
        }
    }

    // The cell that the way to a crossed cell starts in: at the rim, or where the line is not past `until`
    // yet.
    int firstBackFrom(int cell, double until) const {
        Standings s = standings(cell);
        for (size_t step = 0; step <= model_.cells.size(); ++step) {
            const Edge edge = edgeWhere(s, true);
            if (hit(cell, s, edge).at <= until) return cell;
            const int before = across(cell, edge);
            if (before < 0) return cell;
            s = standingsPast(cell, s, edge, before);
            cell = before;
        }
        return cell;
    }

  private:
    using Standings = std::array<Leg::Standing, 3>;

    // An edge of a cell from corner `from` to the next, turning left.
    struct Edge {
        int from = -1;
        int to = -1;
    };

    // The edge that the line comes in by (from left to right of the line), or goes out by.
    static Edge edgeWhere(const Standings& s, bool in) {
        for (int i = 0; i < 3; ++i) {
            const int j = next(i);
            if (s[static_cast<size_t>(i)].left() == in && s[static_cast<size_t>(j)].left() != in)
                return {i, j};
        }
        assert(false && "a cell that the line does not cross");
        return {0, 1};
    }

    int across(int cell, Edge edge) const {
        return cellOf(model_, cell).neighbour[static_cast<size_t>(3 - edge.from - edge.to)];
    }
    int vertexAt(int cell, int corner) const {
        return cellOf(model_, cell).vertex[static_cast<size_t>(corner)];
    }
    int cornerAt(int cell, int vertex) const {
        const auto& v = cellOf(model_, cell).vertex;
        return v[0] == vertex ? 0 : v[1] == vertex ? 1 : 2;
    }

    Standings standings(int cell) const {
        const Cell& c = cellOf(model_, cell);
        return {leg_.standing(model_.at(c, 0)), leg_.standing(model_.at(c, 1)),
                leg_.standing(model_.at(c, 2))};
    }

    // Of the cell past an edge: two corners are known, one is new.
    Standings standingsPast(int cell, const Standings& s, Edge edge, int after) const {
        const int from = cornerAt(after, vertexAt(cell, edge.from)),
                  to = cornerAt(after, vertexAt(cell, edge.to));
        const int third = 3 - from - to;
        Standings result;
        result[static_cast<size_t>(from)] = s[static_cast<size_t>(edge.from)];
        result[static_cast<size_t>(to)] = s[static_cast<size_t>(edge.to)];
        result[static_cast<size_t>(third)] = leg_.standing(model_.at(cellOf(model_, after), third));
        return result;
    }

    // Both cells of an edge must get the same numbers: the edge is always taken from its lower vertex.
    EdgeHit hit(int cell, const Standings& s, Edge edge) const {
        const Cell& c = cellOf(model_, cell);
        int i = edge.from, j = edge.to;
        if (vertexAt(cell, i) > vertexAt(cell, j)) std::swap(i, j);
        EdgeHit found{i, j, 0, 0};
        found.at = leg_.crossingAt(model_.at(c, i), s[static_cast<size_t>(i)], model_.at(c, j),
                                   s[static_cast<size_t>(j)], found.ratio);
        return found;
    }

    const Model& model_;
    const Leg& leg_;
};

// The cell of a rim edge on the line with the model to its right.
std::optional<CellCrossing> alongRim(const Model& model, const Leg& leg, RimEdge edge) {
    const Cell& cell = cellOf(model, edge.cell);
    const int i = next(edge.edge), j = next(i);
    const glm::dvec2 a = model.at(cell, i), b = model.at(cell, j);
    if (leg.standing(a).side != 0 || leg.standing(b).side != 0) return std::nullopt;
    if (leg.along(b) >= leg.along(a)) return std::nullopt;
    return CellCrossing{edge.cell, {j, i, 0.0, leg.along(b)}, {i, j, 0.0, leg.along(a)}};
}

std::vector<CellCrossing> cellsFromRim(const Model& model, const Leg& leg, const std::vector<RimEdge>& rim) {
    const LegWalk walk(model, leg);
    std::vector<CellCrossing> found;
    for (const RimEdge& edge : rim) {
        const Cell& cell = cellOf(model, edge.cell);
        const int i = next(edge.edge), j = next(i);
        if (leg.standing(model.at(cell, i)).left() && !leg.standing(model.at(cell, j)).left()) {
            walk.forward(edge.cell, std::numeric_limits<double>::infinity(), found);
        } else if (const auto along = alongRim(model, leg, edge)) {
            found.push_back(*along);
        }
    }
    std::stable_sort(found.begin(), found.end(), [](const CellCrossing& a, const CellCrossing& b) {
        return a.in.at != b.in.at ? a.in.at < b.in.at : a.out.at < b.out.at;
    });
    return found;
}

// A cell that the leg's line crosses at the place where it enters the box; -1 when there is none at hand.
int cellToStartFrom(const Model& model, const Leg& leg, const LegRange& reach, int hint) {
    const glm::dvec2 entry = leg.from + leg.direction * reach.from;
    const glm::dvec2 inside =
        reach.from == 0 ? leg.from : snap(glm::clamp(entry, model.site.low, model.site.high));
    const int held = someCellAt(model, inside, hint);
    if (held < 0) return -1;
    const LegWalk walk(model, leg);
    for (const int cell : cellsTouching(model, inside, held, 4 * gridStep)) {
        if (walk.crosses(cell)) return cell;
    }
    return -1;
}

}  // namespace

std::vector<CellCrossing> cellsAlong(const Model& model, const Leg& leg, int& hint, Rim& rim) {
    std::vector<CellCrossing> found;
    const auto reach = insideBox(leg, model.site.low, model.site.high);
    if (!reach || model.cells.empty()) return found;
    if (const int start = cellToStartFrom(model, leg, *reach, hint); start >= 0) {
        const LegWalk walk(model, leg);
        found.reserve(2 * static_cast<size_t>(std::sqrt(static_cast<double>(model.cells.size()))));
        walk.forward(walk.firstBackFrom(start, reach->from), reach->to, found);
        hint = found.back().cell;
        const bool whole = found.front().in.at <= reach->from + tolerance::samePlanPoint &&
                           found.back().out.at >= reach->to - tolerance::samePlanPoint;
        if (whole) return found;
    }
    return cellsFromRim(model, leg, rim.of(model));
}

}  // namespace underfoot
