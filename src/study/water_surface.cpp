#include "study/water_surface.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <unordered_map>
#include <utility>

#include "ground/surface.h"
#include "ground/tolerance.h"
#include "measure/cross.h"
#include "plan/plan.h"
#include "study/finding_tools.h"
#include "study/index.h"

namespace underfoot {

namespace {

void measure(const WaterSurface& surface, WaterFace& face) {
    const glm::dvec3 &a = surface.nodes[index(face.node[0])], &b = surface.nodes[index(face.node[1])],
                     &c = surface.nodes[index(face.node[2])];
    face.planArea = 0.5 * cross({b.x - a.x, b.y - a.y}, {c.x - a.x, c.y - a.y});
    assert(face.planArea > 0);
    const auto [low, high] = std::minmax({a.z, b.z, c.z});
    face.level = high - low <= 10 * tolerance::heightRounding;
    face.gradient = face.level ? glm::dvec2{0, 0} : planeThrough(a, b, c).gradient;
}

// ---------------------------------------------------------------- from a model

bool carries(const Column& column, WaterOn which) {
    switch (which) {
        case WaterOn::DesignedFinish:
        case WaterOn::Finish:
            return insideArea(column);
        case WaterOn::Formation:
            return column.area >= 0;
        case WaterOn::Ground:
            return true;
    }
    return false;
}

double heightOn(const Model& model, const Cell& cell, int corner, WaterOn which) {
    switch (which) {
        case WaterOn::DesignedFinish:
            return model.factsAt(cell, corner).designFinish;
        case WaterOn::Finish:
            return model.height(cell, corner, 0);
        case WaterOn::Formation:
            return model.height(cell, corner, model.columnOf(cell).formation);
        case WaterOn::Ground:
            return model.factsAt(cell, corner).ground;
    }
    return 0;
}

bool carries(const Model& model, const Cell& cell, WaterOn which) {
    if (!carries(model.columnOf(cell), which)) return false;
    for (int c = 0; c < 3; ++c)
        if (!std::isfinite(heightOn(model, cell, c, which))) return false;
    return true;
}

/// Nodes over the vertices of a model: heights at one vertex that are the same are one node.
class Nodes {
  public:
    Nodes(const Model& model, WaterSurface& surface) : surface_(surface), first_(model.vertices.size(), -1) {}
    int of(int vertex, glm::dvec2 at, double height) {
        int* link = &first_[index(vertex)];
        while (*link >= 0) {
            if (std::abs(surface_.z(*link) - height) <= tolerance::sameHeight) return *link;
            link = &next_[index(*link)];
        }
        const int made = static_cast<int>(surface_.nodes.size());
        *link = made;
        next_.push_back(-1);
        surface_.nodes.emplace_back(at.x, at.y, height);
        surface_.placeOf.push_back(vertex);
        return made;
    }

  private:
    WaterSurface& surface_;
    std::vector<int> first_, next_;
};

double distanceToSide(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b) {
    const glm::dvec2 d = b - a;
    const double square = d.x * d.x + d.y * d.y;
    const double t =
        square > 0 ? std::clamp(((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square, 0.0, 1.0) : 0.0;
    return std::hypot(p.x - a.x - t * d.x, p.y - a.y - t * d.y);
}

/// What stands along the rim: the sides of a house or a wall.
struct Standing {
    std::vector<std::pair<glm::dvec2, glm::dvec2>> sides;
    double top = std::numeric_limits<double>::infinity();
    RimKind kind = RimKind::Wall;

    bool along(glm::dvec2 p, double height) const {
        if (top <= height + tolerance::lengthCompare) return false;
        return std::any_of(sides.begin(), sides.end(), [p](const auto& side) {
            return distanceToSide(p, side.first, side.second) <=
                   tolerance::arcSagitta + tolerance::onPlanLine;
        });
    }
};

Standing standingOf(const Model& model, const FixedThing& thing) {
    Standing one;
    one.top = thing.top;
    one.kind = thing.kind == FixedKind::House ? RimKind::House : RimKind::Wall;
    const std::vector<glm::dvec2> corners = toChords(thing.outline, tolerance::arcSagitta).corners;
    for (size_t i = 0; i < corners.size(); ++i)
        one.sides.emplace_back(model.toLocal(corners[i]), model.toLocal(corners[(i + 1) % corners.size()]));
    return one;
}

// Edges that the plan says stand against a wall: the house's where they run along the baseline.
void addWallEdges(const Model& model, const Area& area, std::vector<Standing>& all) {
    const Chords chords = toChords(area.outline, tolerance::arcSagitta);
    for (size_t i = 0; i < chords.corners.size(); ++i) {
        const auto& walls = area.againstWall;
        if (std::find(walls.begin(), walls.end(), chords.edgeOf[i]) == walls.end()) continue;
        const glm::dvec2 a = chords.corners[i], b = chords.corners[(i + 1) % chords.corners.size()];
        const Baseline& baseline = model.plan.baseline;
        Standing one;
        one.sides.emplace_back(model.toLocal(a), model.toLocal(b));
        if (std::max(std::abs(baseline.stationOffset(a).y), std::abs(baseline.stationOffset(b).y)) <=
            tolerance::arcSagitta)
            one.kind = RimKind::House;
        all.push_back(std::move(one));
    }
}

std::vector<Standing> standings(const Model& model) {
    std::vector<Standing> all;
    for (const FixedThing& thing : model.plan.fixedThings)
        if (thing.kind != FixedKind::Slab) all.push_back(standingOf(model, thing));
    for (const Area& area : model.plan.areas) addWallEdges(model, area, all);
    return all;
}

void markRim(WaterSurface& surface, const std::vector<Standing>& all) {
    for (WaterFace& face : surface.faces) {
        for (size_t e = 0; e < 3; ++e) {
            if (face.beside[e] >= 0) continue;
            const glm::dvec3 middle = (surface.nodes[index(face.node[(e + 1) % 3])] +
                                       surface.nodes[index(face.node[(e + 2) % 3])]) /
                                      2.0;
            for (const Standing& one : all) {
                if (face.rim[e] == RimKind::House || !one.along({middle.x, middle.y}, middle.z)) continue;
                face.rim[e] = one.kind;
            }
        }
    }
}

}  // namespace

double WaterSurface::area() const {
    double sum = 0;
    for (const WaterFace& face : faces) sum += face.planArea;
    return sum;
}

WaterSurface waterSurface(std::vector<glm::dvec3> nodes, const std::vector<std::array<int, 3>>& triangles) {
    WaterSurface surface;
    surface.nodes = std::move(nodes);
    for (size_t i = 0; i < surface.nodes.size(); ++i) surface.placeOf.push_back(static_cast<int>(i));
    std::unordered_map<uint64_t, int> open;  // directed edge -> 3 face + edge
    const auto key = [](int a, int b) {
        return static_cast<uint64_t>(a) << 32U | static_cast<uint64_t>(static_cast<uint32_t>(b));
    };
    for (const std::array<int, 3>& corners : triangles) {
        WaterFace face;
        face.node = corners;
        measure(surface, face);
        const int made = static_cast<int>(surface.faces.size());
        for (int e = 0; e < 3; ++e) {
            const int a = corners[index((e + 1) % 3)], b = corners[index((e + 2) % 3)];
            const auto other = open.find(key(b, a));
            if (other == open.end()) {
                open[key(a, b)] = 3 * made + e;
                continue;
            }
            face.beside[index(e)] = other->second / 3;
            surface.faces[index(other->second / 3)].beside[index(other->second % 3)] = made;
        }
        surface.faces.push_back(face);
    }
    return surface;
}

WaterSurface waterSurface(const Model& model, WaterOn which) {
    WaterSurface surface;
    Nodes nodes(model, surface);
    std::vector<int> faceOf(model.cells.size(), -1);
    for (size_t i = 0; i < model.cells.size(); ++i) {
        const Cell& cell = model.cells[i];
        if (!carries(model, cell, which)) continue;
        WaterFace face;
        face.cell = static_cast<int>(i);
        for (int c = 0; c < 3; ++c)
            face.node[index(c)] =
                nodes.of(cell.vertex[index(c)], model.at(cell, c), heightOn(model, cell, c, which));
        measure(surface, face);
        faceOf[i] = static_cast<int>(surface.faces.size());
        surface.faces.push_back(face);
    }
    for (WaterFace& face : surface.faces) {
        const Cell& cell = model.cells[index(face.cell)];
        for (size_t e = 0; e < 3; ++e)
            if (cell.neighbour[e] >= 0) face.beside[e] = faceOf[index(cell.neighbour[e])];
    }
    if (which != WaterOn::Ground) markRim(surface, standings(model));
    return surface;
}

namespace {

std::array<double, 3> sharesOf(const WaterSurface& surface, const WaterFace& face, glm::dvec2 p) {
    std::array<double, 3> share{};
    for (size_t c = 0; c < 3; ++c) {
        const glm::dvec2 a = surface.at(face.node[(c + 1) % 3]), b = surface.at(face.node[(c + 2) % 3]);
        share[c] = 0.5 * cross(b - a, p - a) / face.planArea;
    }
    return share;
}

}  // namespace

int faceAt(const WaterSurface& surface, glm::dvec2 at) {
    int best = -1;
    double inside = -1e-9;
    for (size_t f = 0; f < surface.faces.size(); ++f) {
        const std::array<double, 3> share = sharesOf(surface, surface.faces[f], at);
        const double least = std::min({share[0], share[1], share[2]});
        if (least <= inside) continue;
        inside = least;
        best = static_cast<int>(f);
    }
    return best;
}

bool addInlet(WaterSurface& surface, glm::dvec2 at) {
    const int f = faceAt(surface, at);
    if (f < 0) return false;
    const WaterFace old = surface.faces[index(f)];
    const glm::dvec3 middle = (surface.nodes[index(old.node[0])] + surface.nodes[index(old.node[1])] +
                               surface.nodes[index(old.node[2])]) /
                              3.0;
    std::array<double, 3> share = sharesOf(surface, old, at);
    if (std::min({share[0], share[1], share[2]}) * old.planArea < 1e-7) {
        const glm::dvec2 in = glm::dvec2{middle.x, middle.y} - at;
        at += in * std::min(1.0, 1e-5 / std::hypot(in.x, in.y));
        share = sharesOf(surface, old, at);
    }
    double height = 0;
    for (size_t c = 0; c < 3; ++c) height += share[c] * surface.z(old.node[c]);
    const int node = static_cast<int>(surface.nodes.size());
    surface.placeOf.push_back(*std::max_element(surface.placeOf.begin(), surface.placeOf.end()) + 1);
    surface.nodes.emplace_back(at.x, at.y, height);
    surface.inlets.push_back({at, node});
    const int count = static_cast<int>(surface.faces.size());
    const std::array<int, 3> made{f, count, count + 1};
    surface.faces.resize(surface.faces.size() + 2);
    for (size_t c = 0; c < 3; ++c) {  // the part that keeps the edge opposite corner c
        WaterFace part;
        part.cell = old.cell;
        part.node = {node, old.node[(c + 1) % 3], old.node[(c + 2) % 3]};
        part.beside = {old.beside[c], made[(c + 1) % 3], made[(c + 2) % 3]};
        part.rim[0] = old.rim[c];
        measure(surface, part);
        surface.faces[index(made[c])] = part;
        if (old.beside[c] < 0) continue;
        WaterFace& other = surface.faces[index(old.beside[c])];
        for (size_t e = 0; e < 3; ++e)
            if (other.beside[e] == f && surface.placeOf[index(other.node[(e + 1) % 3])] ==
                                            surface.placeOf[index(old.node[(c + 2) % 3])])
                other.beside[e] = made[c];
    }
    return true;
}

}  // namespace underfoot
