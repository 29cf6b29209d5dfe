#include "ground/triangulated_surface.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <unordered_set>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/clip.h"
#include "ground/grid.h"
#include "ground/surface.h"
#include "ground/triangulation.h"
#include "ground/triangulation_index.h"
#include "measure/side_by_side.h"

namespace underfoot {
namespace {

using triangulation_index::at;
using triangulation_index::next;
using triangulation_index::previous;

using Lines = std::vector<BreakLine>;

double dot(glm::dvec2 a, glm::dvec2 b) {
    return a.x * b.x + a.y * b.y;
}

// A net over the vertices of a triangulation.
class NetMaker {
  public:
    NetMaker(const std::vector<glm::dvec2>& vertices, const std::vector<int>& hull) {
        net.places = vertices;
        net.lines.reserve(3 * vertices.size());
        for (const int corner : hull) others_.try_emplace(keyOf(at(vertices, corner)), corner);
    }

    // The part of an edge in the box.
    void add(int from, int to, glm::dvec2 low, glm::dvec2 high) {
        const glm::dvec2 a = at(net.places, from), b = at(net.places, to);
        const auto line = clippedToBox(a, b, low, high);
        if (!line) return;
        net.lines.push_back(
            {line->first == a ? from : placeOf(line->first), line->second == b ? to : placeOf(line->second)});
    }

    void add(glm::dvec2 a, glm::dvec2 b) {
        const int from = placeOf(a);
        net.lines.push_back({from, placeOf(b)});
    }

    LineNet net;

  private:
    static std::pair<int64_t, int64_t> keyOf(glm::dvec2 p) {
        const GridPoint point = toGrid(p);
        return {point.x, point.y};
    }

    int placeOf(glm::dvec2 p) {
        const auto [found, fresh] = others_.try_emplace(keyOf(p), static_cast<int>(net.places.size()));
        if (fresh) net.places.push_back(p);
        return found->second;
    }

    std::map<std::pair<int64_t, int64_t>, int> others_;  // places that are no vertex, and the hull's corners
};

// The triangulation of shots; as many surfaces share it as go through the same places.
struct ShotMesh {
    explicit ShotMesh(std::span<const glm::dvec3> points) {
        std::vector<glm::dvec2> plan(points.size());
        std::transform(points.begin(), points.end(), plan.begin(),
                       [](const glm::dvec3& p) { return glm::dvec2(p); });
        mesh = Triangulation::ofPoints(plan, &vertexOf);
        hull = mesh.hull();
        hullPlace.assign(mesh.vertices().size(), -1);
        for (int i = 0; i < static_cast<int>(hull.size()); i++) at(hullPlace, at(hull, i)) = i;
    }

    Triangulation mesh;
    std::vector<int> vertexOf;  // by point
    std::vector<int> hull;
    std::vector<int> hullPlace;  // by vertex: its place in hull, -1 for others
};

class TriangulatedSurface final : public Surface {
  public:
    TriangulatedSurface(std::shared_ptr<const ShotMesh> shots, std::vector<double> heights, Beyond beyond)
        : shots_(std::move(shots)), heights_(std::move(heights)), beyond_(beyond) {
        if (beyond_ == Beyond::Plane) fit();
    }

    bool breaksAs(const TriangulatedSurface& other) const {
        return shots_ == other.shots_ && beyond_ == other.beyond_;
    }

    PlaneHeight pieceAt(glm::dvec2 p, int& hint) const override {
        const Location place = find(p, hint);
        const auto& v = at(mesh_.triangles(), place.triangle).v;
        if (place.where != Where::Outside) return planeThrough(corner(v[0]), corner(v[1]), corner(v[2]));
        if (beyond_ == Beyond::Plane) return fit_;
        return pieceBeside(p, at(hullPlace_, at(v, next(place.index))));
    }

    double heightAt(glm::dvec2 p, int& hint) const override {
        const Location place = find(p, hint);
        const auto& v = at(mesh_.triangles(), place.triangle).v;
        if (place.where == Where::OnVertex) return height(at(v, place.index));
        if (place.where != Where::Outside)
            return planeThrough(corner(v[0]), corner(v[1]), corner(v[2])).height(p);
        if (beyond_ == Beyond::Plane) return fit_.height(p);
        return pieceBeside(p, at(hullPlace_, at(v, next(place.index)))).height(p);
    }

    std::optional<Influence> influenceAt(glm::dvec2 p, int& hint) const override {
        const Location place = find(p, hint);
        const auto& v = at(mesh_.triangles(), place.triangle).v;
        if (place.where == Where::OnVertex) return Influence{{at(v, place.index), 0, 0}, {1, 0, 0}};
        if (place.where != Where::Outside) return inTriangle(p, v);
        if (beyond_ == Beyond::Plane) return std::nullopt;
        return besideHull(p, at(hullPlace_, at(v, next(place.index))));
    }

    double mixed(const Influence& influence) const override {
        double sum = 0;
        for (size_t i = 0; i < 3; ++i)
            if (influence.share[i] != 0) sum += influence.share[i] * height(influence.corner[i]);
        return sum;
    }

    bool setHeight(size_t point, double height) override {
        if (point >= vertexOf_.size()) return false;
        const int vertex = vertexOf_[point];
        // Points at one place: the first counts.
        if (std::find(vertexOf_.begin(), vertexOf_.begin() + static_cast<std::ptrdiff_t>(point), vertex) !=
            vertexOf_.begin() + static_cast<std::ptrdiff_t>(point))
            return false;
        at(heights_, vertex) = height;
        if (beyond_ == Beyond::Plane) fit();
        return true;
    }

    bool mixes() const override { return true; }

    bool steps() const override { return beyond_ == Beyond::Plane; }

    Lines breakLines(glm::dvec2 low, glm::dvec2 high) const override {
        Lines lines;
        for (int t = 0; t < static_cast<int>(mesh_.triangles().size()); t++)
            eachEdgeOf(t, [&](int from, int to) {
                if (const auto line = clippedToBox(plan(from), plan(to), low, high)) lines.push_back(*line);
            });
        if (beyond_ == Beyond::Nearest) addSpokes(lines, low, high);
        return lines;
    }

    LineNet breakNet(glm::dvec2 low, glm::dvec2 high) const override {
        NetMaker made(mesh_.vertices(), hull_);
        for (int t = 0; t < static_cast<int>(mesh_.triangles().size()); t++)
            eachEdgeOf(t, [&](int from, int to) { made.add(from, to, low, high); });
        Lines spokes;
        if (beyond_ == Beyond::Nearest) addSpokes(spokes, low, high);
        for (const auto& [a, b] : spokes) made.add(a, b);
        return std::move(made.net);
    }

    std::vector<double> breaksBetween(glm::dvec2 a, glm::dvec2 b) const override {
        const Location start = mesh_.locate(a, -1);
        if (auto walked = walkedBreaks(a, b, start)) return *std::move(walked);
        const auto [low, high] = boxRound(a, b);
        return breaksOf(
            start.where == Where::Outside ? breakLines(low, high) : linesNear(start.triangle, low, high), a,
            b);
    }

    bool known(glm::dvec2 p, int& hint) const override { return find(p, hint).where != Where::Outside; }

  private:
    glm::dvec2 plan(int vertex) const { return at(mesh_.vertices(), vertex); }
    double height(int vertex) const { return at(heights_, vertex); }
    glm::dvec3 corner(int vertex) const { return {plan(vertex).x, plan(vertex).y, at(heights_, vertex)}; }

    // Every edge belongs to the last of its triangles.
    template <class Each>
    void eachEdgeOf(int t, const Each& each) const {
        const Triangle& triangle = at(mesh_.triangles(), t);
        for (int i = 0; i < 3; i++)
            if (at(triangle.neighbour, i) <= t) each(at(triangle.v, next(i)), at(triangle.v, previous(i)));
    }

    // breakLines, for a box that meets triangle `start`: spreads over the edges that lie in it.
    Lines linesNear(int start, glm::dvec2 low, glm::dvec2 high) const {
        Lines lines;
        std::unordered_set<int> seen{start};
        std::vector<int> open{start};
        while (!open.empty()) {
            const int t = open.back();
            open.pop_back();
            eachEdgeOf(t, [&](int from, int to) {
                if (const auto line = clippedToBox(plan(from), plan(to), low, high)) lines.push_back(*line);
            });
            const Triangle& triangle = at(mesh_.triangles(), t);
            for (int i = 0; i < 3; i++) {
                const int beside = at(triangle.neighbour, i);
                if (beside < 0 || !clippedToBox(plan(at(triangle.v, next(i))),
                                                plan(at(triangle.v, previous(i))), low, high))
                    continue;
                if (seen.insert(beside).second) open.push_back(beside);
            }
        }
        if (beyond_ == Beyond::Nearest) addSpokes(lines, low, high);
        return lines;
    }

    // By walking from triangle to triangle; nothing where an end lies past the hull, or the way leads through
    // a corner or along an edge.
    std::optional<std::vector<double>> walkedBreaks(glm::dvec2 a, glm::dvec2 b, const Location& start) const {
        const Location end = mesh_.locate(b, start.triangle);
        if (start.where != Where::Inside || end.where != Where::Inside) return std::nullopt;
        const GridPoint from = toGrid(a), to = toGrid(b);
        std::vector<double> breaks;
        int t = start.triangle, came = -1;
        while (t != end.triangle) {
            const Triangle& triangle = at(mesh_.triangles(), t);
            const int edge = edgeLeftBy(triangle, from, to, came);
            if (edge < 0) return std::nullopt;
            const glm::dvec2 c = plan(at(triangle.v, next(edge))), d = plan(at(triangle.v, previous(edge)));
            const glm::dvec2 way = b - a, along = d - c, off = c - a;
            breaks.push_back((off.x * along.y - off.y * along.x) / (way.x * along.y - way.y * along.x));
            came = t;
            t = at(triangle.neighbour, edge);
            if (t < 0) return std::nullopt;
        }
        return breaks;
    }

    // The edge that the way from -> to leaves a triangle through, other than towards `came`; -1 when it goes
    // through a corner.
    int edgeLeftBy(const Triangle& triangle, GridPoint from, GridPoint to, int came) const {
        std::array<int, 3> side{};
        for (size_t i = 0; i < 3; ++i) {
            side[i] = orientation(from, to, toGrid(plan(triangle.v[i])));
            if (side[i] == 0) return -1;
        }
        for (int e = 0; e < 3; ++e) {
            if (came >= 0 && at(triangle.neighbour, e) == came) continue;
            // Corners turn left: it leaves where the first end lies to its right, the second to its left.
            if (at(side, next(e)) < 0 && at(side, previous(e)) > 0) return e;
        }
        return -1;
    }

    void fit() {
        std::vector<glm::dvec3> corners;
        corners.reserve(heights_.size());
        for (int v = 0; v < static_cast<int>(heights_.size()); ++v) corners.push_back(corner(v));
        fit_ = planeFit(corners);
    }

    Influence inTriangle(glm::dvec2 p, const std::array<int, 3>& v) const {
        const glm::dvec2 a = plan(v[0]), ab = plan(v[1]) - a, ac = plan(v[2]) - a, ap = p - a;
        const double whole = ab.x * ac.y - ab.y * ac.x;
        const double b = (ap.x * ac.y - ap.y * ac.x) / whole, c = (ab.x * ap.y - ab.y * ap.x) / whole;
        return {v, {1 - b - c, b, c}};
    }

    Influence besideHull(glm::dvec2 p, int from) const {
        const auto [place, onEdge] = placeBeside(p, from);
        if (!onEdge) return {{hullVertex(place), 0, 0}, {1, 0, 0}};
        const glm::dvec2 edge = hullEdge(place);
        const double along = dot(p - hullCorner(place), edge) / dot(edge, edge);
        return {{hullVertex(place), hullVertex(place + 1), 0}, {1 - along, along, 0}};
    }

    // Hull corners go round: place -1 is the last one.
    int hullVertex(int place) const {
        const int count = static_cast<int>(hull_.size());
        return at(hull_, (place + count) % count);
    }
    glm::dvec2 hullCorner(int place) const { return plan(hullVertex(place)); }
    glm::dvec2 hullEdge(int place) const { return hullCorner(place + 1) - hullCorner(place); }

    Location find(glm::dvec2 p, int& hint) const {
        if (hint >= static_cast<int>(mesh_.triangles().size())) hint = -1;
        const Location place = mesh_.locate(p, hint);
        hint = place.triangle;
        return place;
    }

    PlaneHeight pieceBeside(glm::dvec2 p, int from) const {
        const auto [place, onEdge] = placeBeside(p, from);
        return onEdge ? strip(place) : wedge(place);
    }

    // The strip (true) or wedge that holds p, which sees the hull edge from corner `place`. The distance to
    // the hull falls steadily towards the nearest point, so the way along the hull never turns back.
    std::pair<int, bool> placeBeside(glm::dvec2 p, int place) const {
        const auto along = [&](int k) { return dot(p - hullCorner(k), hullEdge(k)); };
        const auto whole = [&](int k) { return dot(hullEdge(k), hullEdge(k)); };
        const int count = static_cast<int>(hull_.size());
        int steps = 0;
        while (along(place) < 0 && steps++ < count) {
            const int before = (place + count - 1) % count;
            if (along(before) >= whole(before)) return {place, false};
            place = before;
        }
        while (along(place) > whole(place) && steps++ < 2 * count) {
            const int after = (place + 1) % count;
            if (along(after) <= 0) return {after, false};
            place = after;
        }
        return {place, true};
    }

    PlaneHeight wedge(int place) const { return {hullCorner(place), height(hullVertex(place)), {0, 0}}; }

    PlaneHeight strip(int place) const {
        const glm::dvec2 edge = hullEdge(place);
        const double from = height(hullVertex(place)), to = height(hullVertex(place + 1));
        return {hullCorner(place), from, edge * ((to - from) / dot(edge, edge))};
    }

    // The lines between strips and wedges: from each hull corner square to its edges, outwards.
    void addSpokes(Lines& lines, glm::dvec2 low, glm::dvec2 high) const {
        const double reach = std::hypot(high.x - low.x, high.y - low.y);
        for (int k = 0; k < static_cast<int>(hull_.size()); k++) {
            const glm::dvec2 before = hullEdge(k - 1), after = hullEdge(k);
            const glm::dvec2 from = hullCorner(k);
            const double far = reach + std::hypot(from.x - low.x, from.y - low.y);
            const auto add = [&](glm::dvec2 edge) {
                const double length = std::hypot(edge.x, edge.y);
                const glm::dvec2 to = from + glm::dvec2(edge.y, -edge.x) * (far / length);
                if (const auto line = clippedToBox(from, to, low, high)) lines.push_back(*line);
            };
            add(after);
            if (before.x * after.y != before.y * after.x) add(before);
        }
    }

    std::shared_ptr<const ShotMesh> shots_;
    const Triangulation& mesh_ = shots_->mesh;
    const std::vector<int>& vertexOf_ = shots_->vertexOf;
    const std::vector<int>& hull_ = shots_->hull;
    const std::vector<int>& hullPlace_ = shots_->hullPlace;
    std::vector<double> heights_;  // by vertex
    PlaneHeight fit_;
    Beyond beyond_;
};

bool samePlaces(const std::vector<glm::dvec3>& a, const std::vector<glm::dvec3>& b) {
    return a.size() == b.size() &&
           std::equal(a.begin(), a.end(), b.begin(),
                      [](const auto& p, const auto& q) { return p.x == q.x && p.y == q.y; });
}

std::shared_ptr<const ShotMesh> meshOf(std::span<const glm::dvec3> points) {
    if (!std::all_of(points.begin(), points.end(), isOnGrid)) return nullptr;
    auto shots = std::make_shared<ShotMesh>(points);
    return shots->mesh.triangles().empty() ? nullptr : shots;
}

std::unique_ptr<Surface> surfaceOf(std::span<const glm::dvec3> points,
                                   const std::shared_ptr<const ShotMesh>& shots, Beyond beyond) {
    if (!shots || !std::all_of(points.begin(), points.end(), isOnGrid)) return nullptr;
    std::vector<double> heights(shots->mesh.vertices().size());
    for (size_t i = points.size(); i-- > 0;) at(heights, shots->vertexOf[i]) = points[i].z;
    return std::make_unique<TriangulatedSurface>(shots, std::move(heights), beyond);
}

}  // namespace

std::unique_ptr<Surface> triangulatedSurface(std::span<const glm::dvec3> points, Beyond beyond, glm::dvec2,
                                             glm::dvec2) {
    return surfaceOf(points, meshOf(points), beyond);
}

std::vector<std::unique_ptr<Surface>> triangulatedSurfaces(std::span<const ShotPoints> sets) {
    constexpr size_t worthAThread = 5000;
    std::vector<size_t> first(sets.size()), alone;  // of those at the same places
    bool many = false;
    for (size_t i = 0; i < sets.size(); ++i) {
        first[i] = i;
        for (const size_t j : alone)
            if (samePlaces(sets[i].points, sets[j].points)) first[i] = j;
        if (first[i] == i) alone.push_back(i);
        many = many || sets[i].points.size() > worthAThread;
    }
    std::vector<std::shared_ptr<const ShotMesh>> meshes(sets.size());
    const auto triangulate = [&](size_t k) { meshes[alone[k]] = meshOf(sets[alone[k]].points); };
    if (many)
        sideBySide(alone.size(), triangulate);
    else
        for (size_t k = 0; k < alone.size(); ++k) triangulate(k);
    std::vector<std::unique_ptr<Surface>> surfaces;
    for (size_t i = 0; i < sets.size(); ++i)
        surfaces.push_back(surfaceOf(sets[i].points, meshes[first[i]], sets[i].beyond));
    return surfaces;
}

bool breakAlike(const Surface& a, const Surface& b) {
    const auto* one = dynamic_cast<const TriangulatedSurface*>(&a);
    const auto* other = dynamic_cast<const TriangulatedSurface*>(&b);
    return one && other && one->breaksAs(*other);
}

}  // namespace underfoot
