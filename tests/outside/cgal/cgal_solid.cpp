#include "outside/cgal/cgal_solid.h"

#include <CGAL/AABB_face_graph_triangle_primitive.h>
#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/connected_components.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/orientation.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Polygon_mesh_slicer.h>
#include <CGAL/Surface_mesh.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <utility>
#include <vector>

#include <glm/geometric.hpp>

namespace underfoot::outside {

namespace {

namespace pmp = CGAL::Polygon_mesh_processing;
using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Point = Kernel::Point_3;
using Mesh = CGAL::Surface_mesh<Point>;
using Primitive = CGAL::AABB_face_graph_triangle_primitive<Mesh>;
using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Kernel, Primitive>>;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
// Corners of a cut nearer to each other along it than this stand above each other: the sides of a wall come
// out of the slicer a few last digits from upright.
constexpr double upright = 1e-10;

// One side of a triangle on an edge that runs from its lower-numbered point to its higher.
struct SideAt {
    size_t triangle = 0;
    size_t corner = 0;  // the side runs from this corner to the next
    bool forward = true;
    double angle = 0;  // of the triangle round the edge, turning left seen from the edge's end
};

class Manifold {
  public:
    Manifold(const Model& model, const Solid& solid) : model_(model), solid_(solid) {
        same_.resize(3 * solid.triangles.size());
        std::iota(same_.begin(), same_.end(), size_t{0});
        std::map<std::pair<int, int>, std::vector<SideAt>> edges;
        for (size_t t = 0; t < solid.triangles.size(); ++t) {
            for (size_t c = 0; c < 3; ++c) {
                const int a = solid.triangles[t][c], b = solid.triangles[t][(c + 1) % 3];
                edges[std::minmax(a, b)].push_back({t, c, a < b, 0});
            }
        }
        for (auto& [ends, sides] : edges) join(ends, sides);
        for (auto& [ends, sides] : edges)
            if (sides.size() > 2) part(sides);
    }

    Mesh mesh(size_t& refused) {
        Mesh made;
        for (size_t t = 0; t < solid_.triangles.size(); ++t) {
            const auto outline = outlineOf(t, made);
            for (size_t i = 2; i < outline.size(); ++i) {
                if (made.add_face(outline[0], outline[i - 1], outline[i]) == Mesh::null_face()) ++refused;
            }
        }
        return made;
    }

  private:
    const glm::dvec3& point(size_t t, size_t c) const {
        return model_.points[static_cast<size_t>(solid_.triangles[t][c % 3])];
    }

    size_t find(size_t corner) {
        while (same_[corner] != corner) corner = same_[corner] = same_[same_[corner]];
        return corner;
    }
    static size_t begin(const SideAt& s) { return 3 * s.triangle + s.corner; }
    static size_t end(const SideAt& s) { return 3 * s.triangle + (s.corner + 1) % 3; }

    // A triangle whose side runs forward has the material on its right turning round the edge: the next one
    // found going that way closes it. Pairs stand one after the other then.
    void join(std::pair<int, int> ends, std::vector<SideAt>& sides) {
        if (sides.size() > 2) turn(ends, sides);
        if (sides.front().forward) std::rotate(sides.begin(), sides.end() - 1, sides.end());
        for (size_t i = 0; i + 1 < sides.size(); i += 2) {
            const SideAt &before = sides[i], &after = sides[i + 1];
            if (before.forward || !after.forward) return;  // an open edge, or one wound wrongly
            same_[find(begin(before))] = find(end(after));
            same_[find(end(before))] = find(begin(after));
        }
    }

    void turn(std::pair<int, int> ends, std::vector<SideAt>& sides) const {
        const glm::dvec3 &from = model_.points[static_cast<size_t>(ends.first)],
                         along = glm::normalize(model_.points[static_cast<size_t>(ends.second)] - from);
        const glm::dvec3 other = std::abs(along.z) < 0.9 ? glm::dvec3(0, 0, 1) : glm::dvec3(1, 0, 0);
        const glm::dvec3 x = glm::normalize(glm::cross(other, along)), y = glm::cross(along, x);
        for (SideAt& side : sides) {
            const glm::dvec3 to = point(side.triangle, side.corner + 2) - from;
            side.angle = std::atan2(glm::dot(to, y), glm::dot(to, x));
        }
        std::sort(sides.begin(), sides.end(),
                  [](const SideAt& a, const SideAt& b) { return a.angle < b.angle; });
    }

    // Where a part touches itself along one edge only, its pairs of triangles have both ends in common. No
    // mesh has two edges between two vertices: each pair gets a vertex of its own half way.
    void part(const std::vector<SideAt>& sides) {
        std::map<std::pair<size_t, size_t>, size_t> pairs;
        for (size_t i = 1; i < sides.size(); i += 2) ++pairs[{find(begin(sides[i])), find(end(sides[i]))}];
        for (size_t i = 1; i < sides.size(); i += 2) {
            if (pairs[{find(begin(sides[i])), find(end(sides[i]))}] == 1) continue;
            const size_t middle = same_.size() + begin(sides[i]);
            middles_[begin(sides[i])] = middles_[begin(sides[i - 1])] = middle;
        }
    }

    Mesh::Vertex_index vertex(size_t number, const glm::dvec3& at, Mesh& made) {
        const auto [found, fresh] = vertexOf_.try_emplace(number);
        if (fresh) found->second = made.add_vertex(Point(at.x, at.y, at.z));
        return found->second;
    }

    // Starts half way along a side where one is parted, so that a fan from there has no flat triangle.
    std::vector<Mesh::Vertex_index> outlineOf(size_t t, Mesh& made) {
        std::vector<Mesh::Vertex_index> outline;
        size_t first = 0;
        for (size_t c = 0; c < 3; ++c) {
            outline.push_back(vertex(find(3 * t + c), point(t, c), made));
            const auto middle = middles_.find(3 * t + c);
            if (middle == middles_.end()) continue;
            first = outline.size();
            outline.push_back(vertex(middle->second, 0.5 * (point(t, c) + point(t, c + 1)), made));
        }
        std::rotate(outline.begin(), outline.begin() + static_cast<std::ptrdiff_t>(first), outline.end());
        return outline;
    }

    const Model& model_;
    const Solid& solid_;
    std::vector<size_t> same_;          // corners of triangles that are one vertex
    std::map<size_t, size_t> middles_;  // side (as its first corner) -> vertex half way
    std::map<size_t, Mesh::Vertex_index> vertexOf_;
};

std::array<Point, 3> cornersOf(const Mesh& mesh, Mesh::Face_index face) {
    std::array<Point, 3> corners;
    size_t i = 0;
    for (const auto v : CGAL::vertices_around_face(mesh.halfedge(face), mesh)) corners[i++] = mesh.point(v);
    return corners;
}

// Moves the corners that two triangles share to the front of both, in the same order.
size_t shareFirst(std::array<Point, 3>& a, std::array<Point, 3>& b) {
    size_t shared = 0;
    for (size_t i = 0; i < 3; ++i) {
        for (size_t j = shared; j < 3; ++j) {
            if (a[i] != b[j]) continue;
            std::swap(a[i], a[shared]);
            std::swap(b[j], b[shared]);
            ++shared;
            break;
        }
    }
    return shared;
}

bool reallyCross(std::array<Point, 3> a, std::array<Point, 3> b) {
    const size_t shared = shareFirst(a, b);
    if (shared == 0 || shared == 3) return true;
    if (shared == 2) {
        return CGAL::coplanar(a[0], a[1], a[2], b[2]) &&
               CGAL::coplanar_orientation(a[0], a[1], a[2], b[2]) == CGAL::POSITIVE;
    }
    const Kernel::Triangle_3 first(a[0], a[1], a[2]), second(b[0], b[1], b[2]);
    return CGAL::do_intersect(first, Kernel::Segment_3(b[1], b[2])) ||
           CGAL::do_intersect(second, Kernel::Segment_3(a[1], a[2]));
}

// ---------------------------------------------------------------- area of a cut

// A side of a cut face in the plane of the cut: u along it, z up; u grows.
struct CutSide {
    double u0 = 0, z0 = 0, u1 = 0, z1 = 0;
    double zAt(double u) const { return z0 + (z1 - z0) * (u - u0) / (u1 - u0); }
};

// Between two neighbouring ends of sides no side starts, stops or crosses another: there every second gap,
// counted from below, is material, whichever way round the outlines run and however they nest.
double insideArea(const std::vector<CutSide>& sides) {
    std::vector<double> ends;
    for (const CutSide& s : sides) ends.insert(ends.end(), {s.u0, s.u1});
    std::sort(ends.begin(), ends.end());
    double area = 0;
    std::vector<double> heights;
    for (size_t e = 1; e < ends.size(); ++e) {
        if (ends[e] - ends[e - 1] < upright) continue;
        const double middle = 0.5 * (ends[e - 1] + ends[e]);
        heights.clear();
        for (const CutSide& s : sides)
            if (s.u0 < middle && middle < s.u1) heights.push_back(s.zAt(middle));
        if (heights.size() % 2 != 0) return nan;
        std::sort(heights.begin(), heights.end());
        for (size_t i = 1; i < heights.size(); i += 2)
            area += (heights[i] - heights[i - 1]) * (ends[e] - ends[e - 1]);
    }
    return area;
}

}  // namespace

struct CgalSolid::Parts {
    size_t refused = 0;
    Mesh mesh;
    Tree tree;
    std::optional<CGAL::Polygon_mesh_slicer<Mesh, Kernel>> slicer;

    Parts(const Model& model, const Solid& solid)
        : mesh(Manifold(model, solid).mesh(refused)),
          tree(CGAL::faces(mesh).first, CGAL::faces(mesh).second, mesh) {}
};

CgalSolid::CgalSolid(const Model& model, const Solid& solid)
    : parts_(std::make_unique<Parts>(model, solid)) {}
CgalSolid::CgalSolid(CgalSolid&&) noexcept = default;
CgalSolid::~CgalSolid() = default;

std::optional<std::string> CgalSolid::fault() const {
    if (parts_->refused > 0) return "CGAL takes it for no manifold";
    if (!CGAL::is_valid_polygon_mesh(parts_->mesh)) return "CGAL finds its half-edges wrong";
    if (!CGAL::is_closed(parts_->mesh)) return "it is open";
    // Each part alone: CGAL looks for parts within each other by a corner, which where parts touch is in
    // both. Layers have no hollows, so no part of them faces inward.
    std::vector<Mesh> parts;
    pmp::split_connected_components(parts_->mesh, parts);
    for (const Mesh& part : parts) {
        if (!pmp::does_bound_a_volume(part)) return "a part bounds no volume";
        if (!pmp::is_outward_oriented(part)) return "a part is inside out";
    }
    return {};
}

size_t CgalSolid::crossings() const {
    std::vector<std::pair<Mesh::Face_index, Mesh::Face_index>> pairs;
    pmp::self_intersections(parts_->mesh, std::back_inserter(pairs));
    return static_cast<size_t>(std::count_if(pairs.begin(), pairs.end(), [&](const auto& pair) {
        return reallyCross(cornersOf(parts_->mesh, pair.first), cornersOf(parts_->mesh, pair.second));
    }));
}

double CgalSolid::volume() const {
    return pmp::volume(parts_->mesh);
}

double CgalSolid::cutArea(glm::dvec2 a, glm::dvec2 b) {
    const glm::dvec2 along = glm::normalize(b - a);
    const Kernel::Plane_3 plane(Point(a.x, a.y, 0), Kernel::Vector_3(along.y, -along.x, 0));
    std::vector<std::vector<Point>> outlines;
    if (!parts_->slicer) parts_->slicer.emplace(parts_->mesh);
    (*parts_->slicer)(plane, std::back_inserter(outlines));
    std::vector<CutSide> sides;
    for (const auto& outline : outlines) {
        if (outline.front() != outline.back()) return nan;
        for (size_t i = 1; i < outline.size(); ++i) {
            const auto u = [&](const Point& p) { return glm::dot(glm::dvec2(p.x(), p.y()) - a, along); };
            CutSide side{u(outline[i - 1]), outline[i - 1].z(), u(outline[i]), outline[i].z()};
            if (side.u0 > side.u1) side = {side.u1, side.z1, side.u0, side.z0};
            if (side.u0 < side.u1) sides.push_back(side);
        }
    }
    return insideArea(sides);
}

std::optional<double> CgalSolid::thickness(glm::dvec2 point) const {
    const CGAL::Bbox_3 box = parts_->tree.empty() ? CGAL::Bbox_3() : parts_->tree.bbox();
    const Kernel::Segment_3 plumb(Point(point.x, point.y, box.zmin() - 1),
                                  Point(point.x, point.y, box.zmax() + 1));
    std::vector<Tree::Intersection_and_primitive_id<Kernel::Segment_3>::Type> hits;
    parts_->tree.all_intersections(plumb, std::back_inserter(hits));
    std::vector<double> heights;
    for (const auto& hit : hits) {
        const auto* at = boost::get<Point>(&hit.first);
        if (at == nullptr) return {};
        heights.push_back(at->z());
    }
    if (heights.size() % 2 != 0) return {};
    std::sort(heights.begin(), heights.end());
    double inside = 0;
    for (size_t i = 1; i < heights.size(); i += 2) inside += heights[i] - heights[i - 1];
    return inside;
}

}  // namespace underfoot::outside
