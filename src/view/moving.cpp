#include "view/moving.h"

#include <algorithm>
#include <atomic>
#include <cassert>
#include <limits>
#include <thread>

#include <glm/geometric.hpp>
#include <glm/vec3.hpp>

#include "model/locate.h"
#include "plan/plan.h"

namespace underfoot {

namespace {

/// Runs of changed vertices nearer to each other than this are sent as one.
constexpr size_t leastGap = 512;
constexpr size_t verticesOfPart = size_t{3} * 2048;  // of a mesh, for one thread at a time
constexpr size_t mostThreads = 6;

size_t at(int index) {
    return static_cast<size_t>(index);
}

std::vector<std::pair<int, int>> entriesOf(const Model& model, LayerId layer) {
    std::vector<std::pair<int, int>> out;
    for (const Column& column : model.columns) {
        std::pair<int, int> range{-1, -1};
        for (size_t k = 0; k < column.entries.size(); ++k) {
            if (column.entries[k].layer != layer) continue;
            if (range.first < 0) range.first = static_cast<int>(k);
            range.second = static_cast<int>(k) + 1;
        }
        out.push_back(range);
    }
    return out;
}

}  // namespace

MovedPosts::MovedPosts(const Model& model, std::span<const int> moved) : flags(model.posts.size(), 0) {
    for (int post : moved) flags[at(post)] = 1;
}

MovingMesh::MovingMesh(const Model& model, const Solid& solid, Vertices vertices,
                       const std::vector<uint32_t>& from, double lowered)
    : vertices_(std::move(vertices)), entries_(entriesOf(model, solid.layer)), lowered_(lowered) {
    assert(3 * from.size() == vertices_.size());
    holds_.reserve(vertices_.size());
    for (uint32_t triangle : from)
        for (size_t corner = 0; corner < 3; ++corner)
            holds_.push_back(holdOf(model, solid, triangle, corner));
}

/// The cell's own interface where the point lies on one of the layer's; a point of a wall that another cell
/// brought in hangs on that cell's.
MovingMesh::Hold MovingMesh::holdOf(const Model& model, const Solid& solid, size_t triangle,
                                    size_t corner) const {
    const Cell& cell = model.cells[at(solid.cellOf[triangle])];
    const int point = solid.triangles[triangle][corner];
    const glm::dvec2 place(model.points[at(point)]);
    size_t own = 0;
    while (own < 2 && model.vertices[at(cell.vertex[own])] != place) ++own;
    const int mine = cell.post[own];
    const auto [top, bottom] = entries_[at(model.posts[at(mine)].column)];
    Hold hold;
    hold.post = hold.own = static_cast<uint32_t>(mine);
    const auto hang = [&](int post, int k) {
        hold.post = static_cast<uint32_t>(post);
        hold.height = static_cast<uint32_t>(model.posts[at(post)].first + k);
        return hold;
    };
    if (solid.faces[triangle] == Face::Top) {
        hold.down = static_cast<uint32_t>(bottom - top);
        return hang(mine, top);
    }
    if (solid.faces[triangle] == Face::Bottom) return hang(mine, bottom);
    for (int k = std::max(top, 0); k <= bottom; ++k)
        if (model.pointOf[at(model.posts[at(mine)].first + k)] == point) return hang(mine, k);
    const int vertex = model.posts[at(mine)].vertex;
    int first = mine;
    while (first > 0 && model.posts[at(first - 1)].vertex == vertex) --first;
    for (int post = first; at(post) < model.posts.size() && model.posts[at(post)].vertex == vertex; ++post) {
        const size_t interfaces = model.columns[at(model.posts[at(post)].column)].entries.size() + 1;
        for (int k = 0; at(k) < interfaces; ++k)
            if (model.pointOf[at(model.posts[at(post)].first + k)] == point) return hang(post, k);
    }
    assert(false && "every point is some stack's");
    return hold;
}

void MovingMesh::setTriangle(const Model& model, size_t first, Change& change) {
    std::array<glm::dvec3, 3> p;
    for (size_t i = 0; i < 3; ++i) {
        Vertex& v = vertices_[first + i];
        const Hold& hold = holds_[first + i];
        const double z = model.heights[hold.height];
        const double surface = model.heights[at(model.posts[hold.own].first)];
        p[i] = {v.x, v.y, z};
        v.z = static_cast<float>(z - lowered_);
        v.depth = static_cast<float>(surface - z);
        if (hold.down > 0) v.thickness = static_cast<float>(z - model.heights[hold.height + hold.down]);
        change.lowest = std::min(change.lowest, z - lowered_);
        change.highest = std::max(change.highest, z);
    }
    const glm::dvec3 n = glm::cross(p[1] - p[0], p[2] - p[0]);
    const double length = glm::length(n);
    if (length <= 0) return;
    setNormal(vertices_[first], n / length);
    for (size_t i = 1; i < 3; ++i) {
        vertices_[first + i].nx = vertices_[first].nx;
        vertices_[first + i].ny = vertices_[first].ny;
        vertices_[first + i].nz = vertices_[first].nz;
    }
}

MovingMesh::Change MovingMesh::follow(const Model& model, const MovedPosts& moved, size_t first,
                                      size_t last) {
    Change change;
    change.lowest = std::numeric_limits<double>::infinity();
    change.highest = -change.lowest;
    for (; first < last; first += 3) {
        bool any = false;
        for (size_t i = first; i < first + 3; ++i)
            any = any || moved.has(holds_[i].post) || moved.has(holds_[i].own);
        if (!any) continue;
        setTriangle(model, first, change);
        if (!change.runs.empty() && first - change.runs.back().second < leastGap)
            change.runs.back().second = first + 3;
        else
            change.runs.emplace_back(first, first + 3);
    }
    return change;
}

std::vector<std::vector<MovingMesh::Change>> followAll(std::span<MovingMesh* const> meshes,
                                                       const Model& model, const MovedPosts& moved) {
    struct Part {
        size_t mesh, first, last, number;
    };
    std::vector<Part> parts;
    std::vector<std::vector<MovingMesh::Change>> changes(meshes.size());
    for (size_t m = 0; m < meshes.size(); ++m) {
        const size_t count = meshes[m]->vertices().size();
        for (size_t first = 0; first < count; first += verticesOfPart)
            parts.push_back({m, first, std::min(first + verticesOfPart, count), first / verticesOfPart});
        changes[m].resize((count + verticesOfPart - 1) / verticesOfPart);
    }
    std::atomic<size_t> next{0};
    const auto work = [&] {
        for (size_t i = next++; i < parts.size(); i = next++)
            changes[parts[i].mesh][parts[i].number] =
                meshes[parts[i].mesh]->follow(model, moved, parts[i].first, parts[i].last);
    };
    const size_t most = std::clamp<size_t>(std::thread::hardware_concurrency(), 1, mostThreads);
    std::vector<std::jthread> helping;
    for (size_t i = 1; i < std::min(most, parts.size() / 2); ++i) helping.emplace_back(work);
    work();
    helping.clear();
    return changes;
}

// ---------------------------------------------------------------- units and edging

Riders::Riders(const Model& model) {
    standOf_.assign(model.cells.size(), -1);
    if (model.units.empty() && model.edging.empty()) return;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        const Cell& cell = model.cells[c];
        const Column& column = model.columnOf(cell);
        if (column.area < 0 || column.beyond) continue;
        Stand stand;
        stand.cell = static_cast<int>(c);
        for (size_t k = column.entries.size(); k-- > 0;)
            if (model.layers[at(column.entries[k].layer)].role == Role::Units)
                stand.entry = static_cast<int>(k);
        for (int corner = 0; corner < 3; ++corner) {
            stand.top[at(corner)] = model.height(cell, corner, stand.entry);
            stand.finish[at(corner)] = model.factsAt(cell, corner).designFinish;
        }
        standOf_[c] = static_cast<int>(stands_.size());
        stands_.push_back(stand);
    }
}

int Riders::ofEdging(const Model& model, size_t piece) {
    return static_cast<int>(model.units.size() + piece);
}
int Riders::ofSpike(const Model& model, size_t spike) {
    return static_cast<int>(model.units.size() + model.edging.size() + spike);
}

/// The stand under a place, or the nearest of its area where none is there.
int Riders::standNear(const Model& model, glm::dvec2 place, int area, int& hint) const {
    hint = locateCell(model, place, hint);
    const int under = hint < 0 ? -1 : standOf_[at(hint)];
    if (under >= 0 && model.columnOf(model.cells[at(hint)]).area == area) return under;
    int best = -1;
    double least = std::numeric_limits<double>::infinity();
    for (size_t i = 0; i < stands_.size(); ++i) {
        const Cell& cell = model.cells[at(stands_[i].cell)];
        if (model.columnOf(cell).area != area) continue;
        const glm::dvec2 d = (model.at(cell, 0) + model.at(cell, 1) + model.at(cell, 2)) / 3.0 - place;
        if (glm::dot(d, d) >= least) continue;
        least = glm::dot(d, d);
        best = static_cast<int>(i);
    }
    return best;
}

const std::vector<int>& Riders::seat(const Model& model) {
    planeOf_.clear();
    int hint = -1;
    const auto add = [&](glm::dvec2 place, int area, int plane) {
        const int stand = standNear(model, place, area, hint);
        planeOf_.push_back(stand < 0 ? -1 : 2 * stand + plane);
    };
    for (const UnitPiece& unit : model.units) {
        glm::dvec2 middle{0, 0};
        for (int i = 0; i < unit.corners; ++i)
            middle += model.unitCorners[at(unit.firstCorner + i)] / static_cast<double>(unit.corners);
        add(middle, unit.area, 0);
    }
    for (const EdgingPiece& piece : model.edging)
        add((piece.corner[0] + piece.corner[1] + piece.corner[2] + piece.corner[3]) * 0.25, piece.area, 1);
    for (const Spike& spike : model.spikes) add(spike.at, spike.area, 1);
    return planeOf_;
}

namespace {

/// The plane that has these heights over a cell's corners; level nothing where they are no numbers.
glm::vec4 planeOver(const Model& model, const Cell& cell, const std::array<double, 3>& z) {
    const glm::dvec2 p = model.at(cell, 0), a = model.at(cell, 1) - p, b = model.at(cell, 2) - p;
    const double twice = a.x * b.y - a.y * b.x, u = z[1] - z[0], v = z[2] - z[0];
    if (!(twice != 0) || !(z[0] + z[1] + z[2] < 1e30)) return {0, 0, 0, 0};
    const glm::dvec2 g{(u * b.y - v * a.y) / twice, (a.x * v - b.x * u) / twice};
    return glm::vec4(g.x, g.y, z[0] - glm::dot(g, p), 0);
}

}  // namespace

void Riders::follow(const Model& model) {
    planes_.clear();
    for (const Stand& stand : stands_) {
        const Cell& cell = model.cells[at(stand.cell)];
        std::array<double, 3> top{}, finish{};
        for (int i = 0; i < 3; ++i) {
            top[at(i)] = model.height(cell, i, stand.entry) - stand.top[at(i)];
            finish[at(i)] = model.factsAt(cell, i).designFinish - stand.finish[at(i)];
        }
        planes_.push_back(planeOver(model, cell, top));
        planes_.push_back(planeOver(model, cell, finish));
    }
}

double Riders::rise(int rider, glm::dvec2 place) const {
    const int plane = at(rider) < planeOf_.size() ? planeOf_[at(rider)] : -1;
    if (plane < 0) return 0;
    const glm::dvec4 p(planes_[at(plane)]);
    return p.z + p.x * place.x + p.y * place.y;
}

void Riders::move(const Model& model, Section& section) const {
    const auto lift = [&](auto& piece, int rider) {
        const double from = rise(rider, section.at(piece.from)), to = rise(rider, section.at(piece.to));
        piece.topFrom += from;
        piece.bottomFrom += from;
        piece.topTo += to;
        piece.bottomTo += to;
    };
    for (UnitCut& unit : section.units) lift(unit, unit.unit);
    for (ThingCut& thing : section.things)
        if (thing.kind == ThingCut::Kind::Edging) lift(thing, ofEdging(model, at(thing.index)));
}

}  // namespace underfoot
