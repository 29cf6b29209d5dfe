#include "study/water.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <numeric>
#include <tuple>
#include <utility>

#include <glm/vec3.hpp>

#include "ground/tolerance.h"
#include "measure/cross.h"
#include "plan/plan.h"
#include "study/index.h"
#include "study/order.h"

namespace underfoot {

namespace {

constexpr double smallestPiece = 1e-4;  // m²; a smaller piece has no slope that water minds

constexpr double sameArea = 1e-6;  // m²: pieces and catchments that rounding alone tells apart

constexpr double smallestDrained = 1e-6;  // m²; less comes of rounding where a fall runs along an edge

int areaOf(const Model& model, const WaterFace& face) {
    return face.cell < 0 ? -1 : model.columnOf(model.cells[index(face.cell)]).area;
}

class FallRules {
  public:
    explicit FallRules(const Catalogue& catalogue)
        : least_(catalogue.findLimit("slope.least")),
          within_(catalogue.findLimit("slope.least.within")),
          cross_(catalogue.findLimit("slope.greatest.cross")),
          running_(catalogue.findLimit("slope.greatest.running")) {}

    std::vector<FallVerdict> of(const FlatPiece& piece) const {
        std::vector<FallVerdict> all;
        const bool nearHouse = within_ && piece.leastOffset < within_->value - tolerance::lengthCompare;
        if (piece.away < -tolerance::slopeCompare)
            all.push_back(FallVerdict::TowardHouse);
        else if (least_ && (nearHouse ? piece.away : piece.slope) < least_->value - tolerance::slopeCompare)
            all.push_back(FallVerdict::Under);
        if (running_ && piece.slope > running_->value + tolerance::slopeCompare)
            all.push_back(FallVerdict::OverRunning);
        else if (cross_ && piece.slope > cross_->value + tolerance::slopeCompare)
            all.push_back(FallVerdict::OverCross);
        return all;
    }

  private:
    const Limit* least_;
    const Limit* within_;
    const Limit* cross_;
    const Limit* running_;
};

bool liesOn(const WaterSurface& surface, const WaterFace& face, const glm::dvec3& at, glm::dvec2 gradient) {
    return std::all_of(face.node.begin(), face.node.end(), [&](int node) {
        const glm::dvec2 away = surface.at(node) - glm::dvec2{at.x, at.y};
        const double height = at.z + gradient.x * away.x + gradient.y * away.y;
        return std::abs(height - surface.z(node)) <= tolerance::lengthCompare;
    });
}

glm::dvec2 middleOf(const WaterSurface& surface, const WaterFace& face) {
    return (surface.at(face.node[0]) + surface.at(face.node[1]) + surface.at(face.node[2])) / 3.0;
}

bool holds(const WaterSurface& surface, const WaterFace& face, glm::dvec2 p) {
    for (size_t i = 0; i < 3; ++i) {
        const glm::dvec2 a = surface.at(face.node[i]), b = surface.at(face.node[(i + 1) % 3]);
        if (cross(b - a, p - a) < 0) return false;
    }
    return true;
}

/// The centre of their area where it lies on them, else the middle of the face whose middle is nearest to it.
glm::dvec2 middleOf(const WaterSurface& surface, std::vector<int> faces) {
    std::sort(faces.begin(), faces.end());
    glm::dvec2 moment{0, 0};
    double area = 0;
    for (const int f : faces) {
        const WaterFace& face = surface.faces[index(f)];
        moment += middleOf(surface, face) * face.planArea;
        area += face.planArea;
    }
    const glm::dvec2 centre =
        area > 0 ? moment / area : middleOf(surface, surface.faces[index(faces.front())]);
    glm::dvec2 nearest{0, 0};
    double least = std::numeric_limits<double>::infinity();
    for (const int f : faces) {
        const WaterFace& face = surface.faces[index(f)];
        if (holds(surface, face, centre)) return centre;
        const glm::dvec2 middle = middleOf(surface, face);
        const double away = std::hypot(middle.x - centre.x, middle.y - centre.y);
        if (away < least - tolerance::samePlanPoint) least = away, nearest = middle;
    }
    return nearest;
}

FlatPiece pieceFrom(const Model& model, const WaterSurface& surface, int seed, std::vector<uint8_t>& taken) {
    const WaterFace& first = surface.faces[index(seed)];
    const glm::dvec3 at = surface.nodes[index(first.node[0])];
    const Baseline& baseline = model.plan.baseline;
    const glm::dvec2 out = baseline.at(0, 1) - baseline.at(0, 0);
    FlatPiece piece;
    piece.area = areaOf(model, first);
    piece.slope = std::hypot(first.gradient.x, first.gradient.y);
    if (piece.slope > 0) piece.down = -first.gradient / piece.slope;
    piece.away = -(first.gradient.x * out.x + first.gradient.y * out.y);
    piece.leastOffset = std::numeric_limits<double>::infinity();
    std::vector<int> open{seed}, faces;
    taken[index(seed)] = 1;
    while (!open.empty()) {
        const WaterFace& face = surface.faces[index(open.back())];
        faces.push_back(open.back());
        open.pop_back();
        piece.planArea += face.planArea;
        for (const int node : face.node)
            piece.leastOffset =
                std::min(piece.leastOffset, std::abs(model.stationOffset(surface.at(node)).y));
        for (const int other : face.beside) {
            if (other < 0 || taken[index(other)] != 0) continue;
            const WaterFace& beside = surface.faces[index(other)];
            if (areaOf(model, beside) != piece.area || !liesOn(surface, beside, at, first.gradient)) continue;
            taken[index(other)] = 1;
            open.push_back(other);
        }
    }
    piece.middle = middleOf(surface, std::move(faces));
    return piece;
}

}  // namespace

std::vector<FlatPiece> flatPieces(const Model& model, const Catalogue& catalogue,
                                  const WaterSurface& surface) {
    const FallRules rules(catalogue);
    std::vector<int> seeds(surface.faces.size());
    std::iota(seeds.begin(), seeds.end(), 0);
    std::stable_sort(seeds.begin(), seeds.end(), [&](int a, int b) {
        return surface.faces[index(a)].planArea > surface.faces[index(b)].planArea;
    });
    std::vector<uint8_t> taken(surface.faces.size(), 0);
    std::vector<FlatPiece> pieces;
    for (const int seed : seeds) {
        if (taken[index(seed)] != 0) continue;
        FlatPiece piece = pieceFrom(model, surface, seed, taken);
        if (piece.planArea < smallestPiece) continue;
        piece.verdicts = rules.of(piece);
        pieces.push_back(std::move(piece));
    }
    const auto place = [](const FlatPiece& piece) {
        return std::tuple{piece.area, std::lround(piece.middle.x / tolerance::samePlanPoint),
                          std::lround(piece.middle.y / tolerance::samePlanPoint)};
    };
    sortGreatestFirst(
        pieces, sameArea, [](const FlatPiece& piece) { return piece.planArea; },
        [&](const FlatPiece& a, const FlatPiece& b) { return place(a) < place(b); });
    return pieces;
}

const Limit* pondLimit(const Catalogue& catalogue, WaterOn which) {
    switch (which) {
        case WaterOn::DesignedFinish:
        case WaterOn::Finish:
            return catalogue.findLimit("pond.greatest");
        case WaterOn::Formation:
            return catalogue.findLimit("formation.pond.greatest");
        case WaterOn::Ground:
            break;
    }
    return nullptr;
}

// ---------------------------------------------------------------- where it leaves

namespace {

/// The sides of one area's rings, to find which of them a place of the rim lies on.
struct RingSides {
    struct Side {
        glm::dvec2 a, b;
        int opening, edge, order;
    };
    std::vector<Side> sides;

    RingSides(const Model& model, const Area& area) {
        add(model, area.outline, -1);
        for (size_t i = 0; i < area.openings.size(); ++i) add(model, area.openings[i], static_cast<int>(i));
    }
    void add(const Model& model, const Ring& ring, int opening) {
        const Chords chords = toChords(ring, tolerance::arcSagitta);
        for (size_t i = 0; i < chords.corners.size(); ++i)
            sides.push_back({model.toLocal(chords.corners[i]),
                             model.toLocal(chords.corners[(i + 1) % chords.corners.size()]), opening,
                             chords.edgeOf[i], static_cast<int>(i)});
    }
    /// 0 at the side's begin, 1 at its end; less or more where the rim runs on past them.
    static double along(const Side& side, glm::dvec2 p) {
        const glm::dvec2 d = side.b - side.a;
        const double square = d.x * d.x + d.y * d.y;
        return square > 0 ? ((p.x - side.a.x) * d.x + (p.y - side.a.y) * d.y) / square : 0.0;
    }
    const Side& nearest(glm::dvec2 p) const {
        const Side* best = &sides.front();
        double least = std::numeric_limits<double>::infinity();
        for (const Side& side : sides) {
            const glm::dvec2 off = p - (side.a + (side.b - side.a) * std::clamp(along(side, p), 0.0, 1.0));
            const double square = off.x * off.x + off.y * off.y;
            if (square < least) least = square, best = &side;
        }
        return *best;
    }
};

struct Gathered {
    DrainedEdge edge;
    double least = std::numeric_limits<double>::infinity();
    double greatest = -std::numeric_limits<double>::infinity();
};

std::vector<DrainedEdge> drainedEdges(const Model& model, const WaterSurface& surface,
                                      const std::vector<WaterOutlet>& all) {
    std::map<int, RingSides> rings;
    std::map<std::tuple<WaterEndKind, int, int, int>, Gathered> found;
    for (const WaterOutlet& one : all) {
        if (one.end.kind != WaterEndKind::Leaves && one.end.kind != WaterEndKind::House) continue;
        const WaterFace& face = surface.faces[index(one.end.index / 3)];
        const glm::dvec2 p = surface.at(face.node[index((one.end.index + 1) % 3)]),
                         q = surface.at(face.node[index((one.end.index % 3 + 2) % 3)]);
        const int area = areaOf(model, face);
        RingSides::Side side{p, q, -1, -1, 0};
        if (area >= 0)
            side = rings.try_emplace(area, model, model.plan.areas[index(area)])
                       .first->second.nearest((p + q) / 2.0);
        if (side.opening >= 0) side.edge = -1;  // one opening, whatever edges it has
        Gathered& sum = found[{one.end.kind, area, side.opening, side.edge}];
        sum.edge.kind = one.end.kind;
        sum.edge.area = area, sum.edge.opening = side.opening, sum.edge.edge = side.edge;
        sum.edge.length += std::hypot(q.x - p.x, q.y - p.y);
        sum.edge.catchment += one.catchment;
        for (const glm::dvec2 end : {p, q}) {
            const double at = side.order + RingSides::along(side, end);
            if (at < sum.least) sum.least = at, sum.edge.from = end;
            if (at > sum.greatest) sum.greatest = at, sum.edge.to = end;
        }
    }
    std::vector<DrainedEdge> edges;
    for (const auto& [key, sum] : found)
        if (sum.edge.catchment > smallestDrained) edges.push_back(sum.edge);
    sortGreatestFirst(edges, sameArea, [](const DrainedEdge& edge) { return edge.catchment; });
    return edges;
}

// Numbers the ponds anew, the deepest first.
void sortPonds(WaterReport& report) {
    std::vector<int> order(report.ponds.size());
    std::iota(order.begin(), order.end(), 0);
    const auto deepest = [&](int i) {
        const glm::dvec2 at = report.ponds[index(i)].deepest;
        return std::pair{std::lround(at.x / tolerance::samePlanPoint),
                         std::lround(at.y / tolerance::samePlanPoint)};
    };
    sortGreatestFirst(
        order, tolerance::lengthCompare, [&](int i) { return report.ponds[index(i)].depth; },
        [&](int a, int b) { return deepest(a) < deepest(b); });
    std::vector<int> place(report.ponds.size());
    std::vector<Pond> sorted;
    for (size_t i = 0; i < order.size(); ++i) {
        place[index(order[i])] = static_cast<int>(i);
        sorted.push_back(report.ponds[index(order[i])]);
    }
    report.ponds = std::move(sorted);
    const auto renumber = [&](WaterEnd& end) {
        if (end.kind == WaterEndKind::Pond) end.index = place[index(end.index)];
    };
    for (Pond& pond : report.ponds) renumber(pond.overflow);
    if (report.path) renumber(report.path->end);
}

}  // namespace

WaterReport waterReport(const Model& model, const Catalogue& catalogue, WaterOn which,
                        const std::vector<glm::dvec2>& inlets, std::optional<glm::dvec2> from) {
    WaterSurface surface = waterSurface(model, which);
    WaterReport report;
    report.on = which;
    report.planArea = surface.area();
    report.pieces = flatPieces(model, catalogue, surface);
    if (which != WaterOn::Finish && which != WaterOn::DesignedFinish)  // the rules are those of a finish
        for (FlatPiece& piece : report.pieces) piece.verdicts.clear();
    for (const glm::dvec2 at : inlets) addInlet(surface, at);
    report.inlets = surface.inlets;
    report.inletCatchments.assign(surface.inlets.size(), 0);
    WaterFlow flow(surface);
    const std::vector<WaterOutlet> all = flow.catchments();
    for (const WaterOutlet& one : all)
        if (one.end.kind == WaterEndKind::Inlet) report.inletCatchments[index(one.end.index)] = one.catchment;
    report.ponds = flow.ponds();
    if (from) report.path = flow.path(*from);
    sortPonds(report);
    report.edges = drainedEdges(model, surface, all);
    return report;
}

}  // namespace underfoot
