#include "view/mesh.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>
#include <utility>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "ground/surface.h"
#include "model/solid.h"
#include "view/moving.h"

namespace underfoot {

/// Spreads the numbers of neighbours evenly over a byte.
uint8_t variationOf(uint32_t n) {
    n = (n ^ 61u) ^ (n >> 16);
    n *= 9u;
    n ^= n >> 4;
    n *= 0x27d4eb2du;
    return static_cast<uint8_t>((n ^ (n >> 15)) & 255u);
}

void setNormal(Vertex& v, const glm::dvec3& n) {
    const auto rounded = [](double part) {
        return static_cast<int8_t>(static_cast<int>(part * 127 + (part < 0 ? -0.5 : 0.5)));
    };
    v.nx = rounded(n.x);
    v.ny = rounded(n.y);
    v.nz = rounded(n.z);
}

namespace {

constexpr double nothing = 1e-7;
constexpr double pastBlock = 0.2;  // metres

size_t at(int index) {
    return static_cast<size_t>(index);
}

void setPlace(Vertex& v, const glm::dvec3& p) {
    v.x = static_cast<float>(p.x);
    v.y = static_cast<float>(p.y);
    v.z = static_cast<float>(p.z);
}

glm::dvec3 faceNormal(const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c) {
    const glm::dvec3 n = glm::cross(b - a, c - a);
    const double length = glm::length(n);
    return length > 0 ? n / length : glm::dvec3{0, 0, 1};
}

bool untouched(const Column& column) {
    return column.entries.size() == 1 && column.area < 0;
}

/// Height of the surface, and thickness of one layer, as planes over a cell.
class CellFacts {
  public:
    CellFacts(const Model& model, int cell, LayerId layer) {
        const Cell& c = model.cells[at(cell)];
        const Column& column = model.columnOf(c);
        sod_ = untouched(column);
        const glm::dvec2 p0 = model.at(c, 0), p1 = model.at(c, 1), p2 = model.at(c, 2);
        from_ = p0;
        e1_ = p1 - p0;
        e2_ = p2 - p0;
        const double twice = e1_.x * e2_.y - e1_.y * e2_.x;
        perTwice_ = twice != 0 ? 1 / twice : 0;
        for (int corner = 0; corner < 3; ++corner) {
            surface_[at(corner)] = model.height(c, corner, 0);
            for (size_t k = 0; k < column.entries.size(); ++k)
                if (column.entries[k].layer == layer)
                    thick_[at(corner)] += model.thickness(c, corner, static_cast<int>(k));
        }
    }
    double surface(glm::dvec2 p) const { return plane(surface_, p); }
    double thickness(glm::dvec2 p) const { return plane(thick_, p); }
    bool sod() const { return sod_; }

  private:
    double plane(const std::array<double, 3>& values, glm::dvec2 p) const {
        const glm::dvec2 d = p - from_;
        const double u = (d.x * e2_.y - d.y * e2_.x) * perTwice_, v = (e1_.x * d.y - e1_.y * d.x) * perTwice_;
        return values[0] + u * (values[1] - values[0]) + v * (values[2] - values[0]);
    }
    std::array<double, 3> surface_{}, thick_{};
    glm::dvec2 from_, e1_, e2_;
    double perTwice_ = 0;  ///< 0 for a cell without area: flat
    bool sod_ = false;
};

FaceKind kindOf(Face face) {
    if (face == Face::Top) return FaceKind::Top;
    return face == Face::Bottom ? FaceKind::Bottom : FaceKind::Side;
}

void addTriangle(Vertices& out, const Model& model, const Solid& solid, size_t t, const CellFacts& facts) {
    std::array<glm::dvec3, 3> p;
    for (size_t i = 0; i < 3; ++i) p[i] = model.points[at(solid.triangles[t][i])];
    Vertex v;
    setNormal(v, faceNormal(p[0], p[1], p[2]));
    v.kind = static_cast<uint8_t>(kindOf(solid.faces[t]));
    v.sod = facts.sod() ? 1 : 0;
    for (const glm::dvec3& corner : p) {
        setPlace(v, corner);
        v.depth = static_cast<float>(facts.surface(corner) - corner.z);
        v.thickness = solid.faces[t] == Face::Top ? static_cast<float>(facts.thickness(corner)) : 0.0F;
        out.push_back(v);
    }
}

/// Those triangles of a layer's solid that `keep(area, face)` takes, and which they are.
template <class Keep>
Vertices meshWhere(const Model& model, const Solid& solid, Keep keep, std::vector<uint32_t>* from) {
    Vertices out;
    out.reserve(3 * solid.triangles.size());
    std::optional<CellFacts> facts;
    int factsOf = -1;
    for (size_t t = 0; t < solid.triangles.size(); ++t) {
        const int cell = solid.cellOf[t];
        if (!keep(model.columnOf(model.cells[at(cell)]).area, solid.faces[t])) continue;
        if (cell != factsOf) facts.emplace(model, cell, solid.layer);
        factsOf = cell;
        addTriangle(out, model, solid, t, *facts);
        if (from) from->push_back(static_cast<uint32_t>(t));
    }
    return out;
}

bool holds(const std::vector<bool>& laid, int area) {
    return area >= 0 && laid[at(area)];
}

Vertex numbered(int number, int rider) {
    Vertex v;
    v.thickness = static_cast<float>(rider);
    v.variation = variationOf(static_cast<uint32_t>(number));
    v.course = static_cast<uint8_t>(number & 255);
    v.depth = 0.05F;
    return v;
}

glm::dvec3 topCorner(const Model& model, const UnitPiece& unit, int corner) {
    const glm::dvec2 p = model.unitCorners[at(unit.firstCorner + corner)];
    return {p, unit.top.height(p)};
}

void addPrism(Vertices& out, const Prism& prism, int number, int rider) {
    Vertex v = numbered(number, rider);
    for (size_t t = 0; t < prism.triangles.size(); ++t) {
        std::array<glm::dvec3, 3> p;
        for (size_t i = 0; i < 3; ++i) p[i] = prism.points[at(prism.triangles[t][i])];
        setNormal(v, faceNormal(p[0], p[1], p[2]));
        v.kind = static_cast<uint8_t>(kindOf(prism.faces[t]));
        for (const glm::dvec3& corner : p) {
            setPlace(v, corner);
            out.push_back(v);
        }
    }
}

// ---------------------------------------------------------------- faces of a cut

/// An upright quadrilateral along the section, its corners given at two distances.
struct Quad {
    double from = 0, to = 0;
    double topFrom = 0, topTo = 0, bottomFrom = 0, bottomTo = 0;
    double surfaceFrom = 0, surfaceTo = 0;
};

glm::dvec3 leftNormal(const Section& section, double distance) {
    size_t leg = 1;
    while (leg + 1 < section.lineAt.size() && section.lineAt[leg] <= distance) ++leg;
    const glm::dvec2 along = glm::normalize(section.line[leg] - section.line[leg - 1]);
    return {-along.y, along.x, 0};
}

void addQuad(Vertices& out, const Section& section, const Quad& q, Vertex v) {
    setNormal(v, leftNormal(section, 0.5 * (q.from + q.to)));
    v.kind = static_cast<uint8_t>(FaceKind::Cap);
    const glm::dvec2 a = section.at(q.from), b = section.at(q.to);
    const auto corner = [&](glm::dvec2 p, double z, double surface) {
        Vertex made = v;
        setPlace(made, {p, z});
        made.depth = static_cast<float>(surface - z);
        return made;
    };
    const Vertex topA = corner(a, q.topFrom, q.surfaceFrom), topB = corner(b, q.topTo, q.surfaceTo);
    const Vertex lowA = corner(a, q.bottomFrom, q.surfaceFrom), lowB = corner(b, q.bottomTo, q.surfaceTo);
    out.insert(out.end(), {topA, lowA, lowB, topA, lowB, topB});
}

void embolden(Quad& q) {
    const double missing = std::max(0.0, boldMembrane - (q.topFrom - q.bottomFrom));
    q.topFrom += missing / 2;
    q.topTo += missing / 2;
    q.bottomFrom -= missing / 2;
    q.bottomTo -= missing / 2;
}

void addInterval(CapMeshes& caps, const Model& model, const Section& section, const SectionInterval& interval,
                 LayerId only, const Laid& laid) {
    const Column& column = model.columns[at(interval.column)];
    const auto height = [&](size_t k, size_t end) {
        return section.heights[at(interval.first) + 2 * k + end];
    };
    for (size_t k = 0; k < column.entries.size(); ++k) {
        const ColumnEntry& entry = column.entries[k];
        if (only >= 0 && entry.layer != only) continue;
        Quad q{interval.from,    interval.to,      height(k, 0), height(k, 1),
               height(k + 1, 0), height(k + 1, 1), height(0, 0), height(0, 1)};
        if (std::max(q.topFrom - q.bottomFrom, q.topTo - q.bottomTo) < nothing) continue;
        const Role role = model.layers[at(entry.layer)].role;
        if (role == Role::Geotextile) embolden(q);
        if (holds(laid[at(entry.layer)], column.area)) {
            q.topFrom = std::max(q.topFrom - jointBelowTop, q.bottomFrom);
            q.topTo = std::max(q.topTo - jointBelowTop, q.bottomTo);
        }
        Vertex v;
        v.sod = untouched(column) ? 1 : 0;
        v.course = static_cast<uint8_t>(entry.lift & 255);
        addQuad(caps.layers[at(entry.layer)], section, q, v);
    }
}

void addUnitCut(CapMeshes& caps, const Model& model, const Section& section, const UnitCut& cutUnit) {
    Vertex v;
    v.variation = variationOf(static_cast<uint32_t>(cutUnit.unit));
    v.course = static_cast<uint8_t>(cutUnit.unit & 255);
    const Quad q{cutUnit.from,       cutUnit.to,       cutUnit.topFrom, cutUnit.topTo,
                 cutUnit.bottomFrom, cutUnit.bottomTo, cutUnit.topFrom, cutUnit.topTo};
    addQuad(caps.units[at(model.units[at(cutUnit.unit)].layer)], section, q, v);
}

void addThingCut(CapMeshes& caps, const Model& model, const Section& section, const ThingCut& thing) {
    const Quad q{thing.from,       thing.to,       thing.topFrom, thing.topTo,
                 thing.bottomFrom, thing.bottomTo, thing.topFrom, thing.topTo};
    Vertices& out =
        thing.kind == ThingCut::Kind::Edging
            ? caps.edging
            : caps.fixedThings[at(static_cast<int>(model.plan.fixedThings[at(thing.index)].kind))];
    addQuad(out, section, q, Vertex{});
}

/// The ring of the wall, then the hollow (variation 255) inside it.
void addPipeCut(Vertices& out, const Section& section, const PipeCut& pipe) {
    constexpr int sides = 32;
    constexpr double hollow = 0.86;
    const auto place = [&](double part, double scale) {
        const double angle = 2 * std::numbers::pi * part / sides;
        const glm::dvec2 p = section.at(pipe.at + scale * pipe.halfWidth * std::cos(angle));
        return glm::dvec3{p, pipe.centre + scale * pipe.radius * std::sin(angle)};
    };
    Vertex v;
    v.kind = static_cast<uint8_t>(FaceKind::Cap);
    v.depth = 1;
    setNormal(v, leftNormal(section, pipe.at));
    const auto triangle = [&](const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c) {
        for (const glm::dvec3& p : {a, b, c}) {
            setPlace(v, p);
            out.push_back(v);
        }
    };
    const glm::dvec3 middle{section.at(pipe.at), pipe.centre};
    for (int i = 0; i < sides; ++i) {
        v.variation = 0;
        triangle(place(i, 1), place(i + 1, 1), place(i, hollow));
        triangle(place(i + 1, 1), place(i + 1, hollow), place(i, hollow));
        v.variation = 255;
        triangle(place(i, hollow), place(i + 1, hollow), middle);
    }
}

}  // namespace

Laid laidOut(const Model& model) {
    Laid laid(model.layers.size(), std::vector<bool>(model.plan.areas.size(), false));
    for (const UnitPiece& unit : model.units)
        if (unit.area >= 0) laid[at(unit.layer)][at(unit.area)] = true;
    return laid;
}

LayerMeshes layerMeshes(const Model& model, LayerId layer) {
    return layerMeshes(model, layerSolid(model, layer), laidOut(model), nullptr);
}

LayerMeshes layerMeshes(const Model& model, const Solid& solid, const Laid& where, LayerTriangles* from) {
    const std::vector<bool>& laid = where[at(solid.layer)];
    LayerMeshes out;
    out.solid = meshWhere(
        model, solid, [&](int area, Face) { return !holds(laid, area); }, from ? &from->solid : nullptr);
    if (std::find(laid.begin(), laid.end(), true) == laid.end()) return out;
    out.joints = meshWhere(
        model, solid, [&](int area, Face face) { return holds(laid, area) && face == Face::Top; },
        from ? &from->joints : nullptr);
    for (Vertex& v : out.joints) v.z -= static_cast<float>(jointBelowTop);
    out.rim = meshWhere(
        model, solid, [&](int area, Face face) { return holds(laid, area) && face != Face::Top; },
        from ? &from->rim : nullptr);
    return out;
}

Vertices wholeLayerMesh(const Model& model, LayerId layer) {
    return meshWhere(
        model, layerSolid(model, layer), [](int, Face) { return true; }, nullptr);
}

namespace {

std::vector<int> unitsOf(const Model& model, LayerId layer) {
    std::vector<int> units;
    for (size_t i = 0; i < model.units.size(); ++i)
        if (model.units[i].layer == layer) units.push_back(static_cast<int>(i));
    return units;
}

bool turnsLeftThroughout(const glm::dvec2* corner) {
    for (size_t i = 0; i < 4; ++i) {
        const glm::dvec2 a = corner[(i + 1) % 4] - corner[i], b = corner[(i + 2) % 4] - corner[(i + 1) % 4];
        if (a.x * b.y - a.y * b.x <= 0) return false;
    }
    return true;
}

/// Corners of the triangles of a unit's top, by the number of the unit's corner.
void addTopTriangles(std::vector<uint32_t>& out, const Model& model, const UnitPiece& unit, uint32_t first) {
    if (unit.corners == 4 && turnsLeftThroughout(&model.unitCorners[at(unit.firstCorner)])) {
        for (uint32_t i : {0U, 1U, 2U, 0U, 2U, 3U}) out.push_back(first + i);
        return;
    }
    UnitPiece plain = unit;
    plain.chamfer = 0;
    const Prism prism = unitPrism(model, plain);
    const auto nearestCorner = [&](const glm::dvec3& p) {
        int best = 0;
        double least = 1e300;
        for (int i = 0; i < unit.corners; ++i) {
            const glm::dvec2 d = model.unitCorners[at(unit.firstCorner + i)] - glm::dvec2(p);
            if (glm::dot(d, d) < least) {
                least = glm::dot(d, d);
                best = i;
            }
        }
        return static_cast<uint32_t>(best);
    };
    for (size_t t = 0; t < prism.triangles.size(); ++t)
        if (prism.faces[t] == Face::Top)
            for (int point : prism.triangles[t])
                out.push_back(first + nearestCorner(prism.points[at(point)]));
}

}  // namespace

Vertices unitMesh(const Model& model, LayerId layer) {
    return unitMesh(model, unitsOf(model, layer));
}

Vertices unitMesh(const Model& model, const std::vector<int>& units) {
    // Chamfered, n corners take 2 n triangles at the sides, 2 n round the top and n - 2 for each cap.
    size_t triangles = 0;
    for (int i : units) triangles += at(6 * model.units[at(i)].corners - 4);
    Vertices out;
    out.reserve(3 * triangles);
    for (int i : units) addPrism(out, unitPrism(model, model.units[at(i)]), i, i);
    return out;
}

namespace {

/// Shares out a prism's vertices: one to a point, and one more where a face finds none of its corners free to
/// tell its normal by.
class PrismSharer {
  public:
    PrismSharer(SharedTriangles& out, const Prism& prism, Vertex like)
        : out_(out), prism_(prism), like_(like) {
        const auto first = static_cast<uint32_t>(out_.vertices.size());
        for (const glm::dvec3& point : prism.points) {
            setPlace(like_, point);
            out_.vertices.push_back(like_);
        }
        at_.resize(prism.points.size());
        for (size_t i = 0; i < at_.size(); ++i) at_[i].push_back(first + static_cast<uint32_t>(i));
        told_.assign(prism.points.size(), false);
        first_ = first;
    }

    void add(size_t triangle) {
        std::array<size_t, 3> corner{};
        for (size_t i = 0; i < 3; ++i) corner[i] = at(prism_.triangles[triangle][i]);
        Vertex facing;
        setNormal(facing,
                  faceNormal(prism_.points[corner[0]], prism_.points[corner[1]], prism_.points[corner[2]]));
        facing.kind = static_cast<uint8_t>(kindOf(prism_.faces[triangle]));
        const auto [last, vertex] = teller(corner, facing);
        out_.corners.push_back(at_[corner[(last + 1) % 3]].front());
        out_.corners.push_back(at_[corner[(last + 2) % 3]].front());
        out_.corners.push_back(vertex);
    }

  private:
    /// Which corner tells of the triangle, and its vertex.
    std::pair<size_t, uint32_t> teller(const std::array<size_t, 3>& corner, const Vertex& facing) {
        const auto same = [&](const Vertex& v) {
            return v.nx == facing.nx && v.ny == facing.ny && v.nz == facing.nz && v.kind == facing.kind;
        };
        for (size_t i = 0; i < 3; ++i)
            for (uint32_t vertex : at_[corner[i]])
                if (told_[vertex - first_] && same(out_.vertices[vertex])) return {i, vertex};
        for (size_t i = 0; i < 3; ++i)
            if (const uint32_t vertex = at_[corner[i]].front(); !told_[vertex - first_])
                return {i, tell(vertex, facing)};
        out_.vertices.push_back(out_.vertices[at_[corner[0]].front()]);
        told_.push_back(false);
        at_[corner[0]].push_back(static_cast<uint32_t>(out_.vertices.size() - 1));
        return {0, tell(at_[corner[0]].back(), facing)};
    }
    uint32_t tell(uint32_t vertex, const Vertex& facing) {
        Vertex& v = out_.vertices[vertex];
        v.nx = facing.nx;
        v.ny = facing.ny;
        v.nz = facing.nz;
        v.kind = facing.kind;
        told_[vertex - first_] = true;
        return vertex;
    }

    SharedTriangles& out_;
    const Prism& prism_;
    Vertex like_;
    uint32_t first_ = 0;
    std::vector<std::vector<uint32_t>> at_;  ///< by point
    std::vector<bool> told_;                 ///< by vertex from first_ on
};

}  // namespace

SharedTriangles unitPrisms(const Model& model, const std::vector<int>& units) {
    SharedTriangles out;
    out.vertices.reserve(16 * units.size());
    out.corners.reserve(60 * units.size());
    for (int i : units) {
        const Prism prism = unitPrism(model, model.units[at(i)]);
        PrismSharer sharer(out, prism, numbered(i, i));
        for (size_t t = 0; t < prism.triangles.size(); ++t) sharer.add(t);
    }
    return out;
}

SharedTriangles unitTops(const Model& model, const std::vector<int>& units) {
    SharedTriangles out;
    out.vertices.reserve(4 * units.size());
    out.corners.reserve(6 * units.size());
    for (int i : units) {
        const UnitPiece& unit = model.units[at(i)];
        Vertex v = numbered(i, i);
        setNormal(v, glm::normalize(glm::dvec3{-unit.top.gradient, 1}));
        addTopTriangles(out.corners, model, unit, static_cast<uint32_t>(out.vertices.size()));
        for (int corner = 0; corner < unit.corners; ++corner) {
            setPlace(v, topCorner(model, unit, corner));
            out.vertices.push_back(v);
        }
    }
    return out;
}

std::vector<UnitTile> unitTiles(const Model& model, LayerId layer, size_t most) {
    const std::vector<int> units = unitsOf(model, layer);
    double area = 0;
    for (int i : units) area += model.units[at(i)].planArea;
    if (units.empty() || area <= 0) return {};
    const double side = std::sqrt(area * static_cast<double>(most) / static_cast<double>(units.size()));
    std::map<std::pair<int, int>, UnitTile> tiles;
    for (int i : units) {
        const UnitPiece& unit = model.units[at(i)];
        const glm::dvec2 place = (model.unitCorners[at(unit.firstCorner)] - model.site.low) / side;
        UnitTile& tile =
            tiles[{static_cast<int>(std::floor(place.x)), static_cast<int>(std::floor(place.y))}];
        tile.layer = layer;
        tile.units.push_back(i);
        tile.thickness = std::max(tile.thickness, unit.thickness);
        for (int corner = 0; corner < unit.corners; ++corner) {
            const glm::dvec3 p = topCorner(model, unit, corner);
            tile.box.add(p);
            tile.box.add(p - glm::dvec3{0, 0, unit.thickness});
        }
    }
    std::vector<UnitTile> out;
    out.reserve(tiles.size());
    for (auto& [place, tile] : tiles) out.push_back(std::move(tile));
    return out;
}

Vertices edgingMesh(const Model& model) {
    Vertices out;
    for (size_t i = 0; i < model.edging.size(); ++i)
        addPrism(out, edgingPrism(model.edging[i]), 0, Riders::ofEdging(model, i));
    for (size_t i = 0; i < model.spikes.size(); ++i)
        addPrism(out, spikePrism(model.spikes[i]), 0, Riders::ofSpike(model, i));
    return out;
}

Vertices pipeMesh(const Model& model) {
    Vertices out;
    for (const BuriedRun& run : model.plan.buriedRuns) addPrism(out, pipePrism(model, run), 0, 0);
    return out;
}

Vertices fixedThingMesh(const Model& model, FixedKind kind) {
    Vertices out;
    for (const FixedThing& thing : model.plan.fixedThings)
        if (thing.kind == kind) addPrism(out, fixedPrism(model, thing), 0, 0);
    // A wall that goes on past the block ends with it, but for a little, so that one behind it keeps a
    // thickness.
    const glm::dvec2 low = model.site.low - pastBlock, high = model.site.high + pastBlock;
    for (Vertex& v : out) {
        v.x = static_cast<float>(std::clamp(static_cast<double>(v.x), low.x, high.x));
        v.y = static_cast<float>(std::clamp(static_cast<double>(v.y), low.y, high.y));
        v.z = std::max(v.z, static_cast<float>(model.site.floor));
    }
    return out;
}

CapMeshes capMeshes(const Model& model, const Section& section, LayerId only) {
    return capMeshes(model, section, laidOut(model), only);
}

CapMeshes capMeshes(const Model& model, const Section& section, const Laid& laid, LayerId only) {
    CapMeshes caps;
    caps.layers.resize(model.layers.size());
    caps.units.resize(model.layers.size());
    caps.fixedThings.resize(3);
    for (const SectionInterval& interval : section.intervals)
        addInterval(caps, model, section, interval, only, laid);
    for (const UnitCut& unit : section.units)
        if (only < 0 || model.units[at(unit.unit)].layer == only) addUnitCut(caps, model, section, unit);
    if (only >= 0) return caps;
    for (const ThingCut& thing : section.things) addThingCut(caps, model, section, thing);
    for (const PipeCut& pipe : section.pipes) addPipeCut(caps.pipes, section, pipe);
    return caps;
}

}  // namespace underfoot
