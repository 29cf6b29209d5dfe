// CGAL 5.5 as it is meant to be used: exact predicates where topology hangs on them, plain doubles where only
// numbers are asked for, spatial sorting wherever many things are inserted or looked up.

#include <CGAL/AABB_face_graph_triangle_primitive.h>
#include <CGAL/AABB_halfedge_graph_segment_primitive.h>
#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/Constrained_Delaunay_triangulation_2.h>
#include <CGAL/Delaunay_triangulation_2.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/corefinement.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/orient_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_slicer.h>
#include <CGAL/Simple_cartesian.h>
#include <CGAL/Spatial_sort_traits_adapter_2.h>
#include <CGAL/Surface_mesh.h>
#include <CGAL/Triangulation_vertex_base_with_info_2.h>
#include <CGAL/property_map.h>
#include <CGAL/spatial_sort.h>

#include <algorithm>
#include <iterator>
#include <limits>

#include "peers.h"

namespace peers {
namespace {

using Exact = CGAL::Exact_predicates_inexact_constructions_kernel;
using Plain = CGAL::Simple_cartesian<double>;
namespace pmp = CGAL::Polygon_mesh_processing;

template <class Kernel>
using SurfaceMesh = CGAL::Surface_mesh<typename Kernel::Point_3>;

template <class Kernel>
SurfaceMesh<Kernel> surfaceMesh(const Mesh& mesh) {
    std::vector<typename Kernel::Point_3> points;
    points.reserve(mesh.points.size());
    for (const Point3& p : mesh.points) points.emplace_back(p[0], p[1], p[2]);
    std::vector<std::vector<std::size_t>> faces;
    faces.reserve(mesh.triangles.size());
    for (const auto& t : mesh.triangles) faces.push_back({t[0], t[1], t[2]});
    SurfaceMesh<Kernel> made;
    // Corners that parts of a solid share are doubled here: a mesh of half-edges has to be a manifold.
    pmp::orient_polygon_soup(points, faces);
    pmp::polygon_soup_to_polygon_mesh(points, faces, made);
    return made;
}

class CgalSlicer final : public Slicer {
  public:
    explicit CgalSlicer(std::span<const Mesh> meshes) {
        for (const Mesh& mesh : meshes) {
            auto& layer = layers_.emplace_back(std::make_unique<Layer>(mesh));
            layer->tree.build();
        }
    }
    size_t cut(const UprightPlane& plane) override {
        const double dx = plane.b[0] - plane.a[0], dy = plane.b[1] - plane.a[1];
        const Exact::Plane_3 at(Exact::Point_3(plane.a[0], plane.a[1], 0), Exact::Vector_3(-dy, dx, 0));
        size_t points = 0;
        for (const auto& layer : layers_) {
            std::vector<std::vector<Exact::Point_3>> lines;
            layer->slicer(at, std::back_inserter(lines));
            for (const auto& line : lines) points += line.size();
        }
        return points;
    }

  private:
    using Surface = SurfaceMesh<Exact>;
    using Primitive = CGAL::AABB_halfedge_graph_segment_primitive<Surface>;
    using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Exact, Primitive>>;
    struct Layer {
        explicit Layer(const Mesh& mesh)
            : surface(surfaceMesh<Exact>(mesh)),
              tree(edges(surface).first, edges(surface).second, surface),
              slicer(surface, tree) {}
        Surface surface;
        Tree tree;
        CGAL::Polygon_mesh_slicer<Surface, Exact> slicer;
    };
    std::vector<std::unique_ptr<Layer>> layers_;
};

class CgalMeasurer final : public Measurer {
  public:
    explicit CgalMeasurer(std::span<const Mesh> meshes) {
        for (const Mesh& mesh : meshes) surfaces_.push_back(surfaceMesh<Plain>(mesh));
    }
    double volume() override {
        double sum = 0;
        for (const auto& surface : surfaces_) sum += pmp::volume(surface);
        return sum;
    }

  private:
    std::vector<SurfaceMesh<Plain>> surfaces_;
};

class CgalRays final : public Prober {
  public:
    explicit CgalRays(std::span<const Mesh> meshes) {
        for (const Mesh& mesh : meshes) layers_.push_back(std::make_unique<Layer>(mesh));
    }
    void thickness(std::span<const Point2> points, std::vector<double>& thickness) override {
        thickness.clear();
        for (const Point2& p : points) {
            const Plain::Ray_3 ray(Plain::Point_3(p[0], p[1], 100), Plain::Vector_3(0, 0, -1));
            for (const auto& layer : layers_) thickness.push_back(layer->along(ray, p, met_));
        }
    }

  private:
    using Surface = SurfaceMesh<Plain>;
    using Primitive = CGAL::AABB_face_graph_triangle_primitive<Surface>;
    using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Plain, Primitive>>;
    struct Layer {
        explicit Layer(const Mesh& mesh)
            : surface(surfaceMesh<Plain>(mesh)), tree(faces(surface).first, faces(surface).second, surface) {
            tree.build();
        }
        double along(const Plain::Ray_3& ray, const Point2& p, std::vector<Tree::Primitive_id>& met) const {
            met.clear();
            tree.all_intersected_primitives(ray, std::back_inserter(met));
            double low = std::numeric_limits<double>::infinity(), high = -low;
            for (const auto face : met) {
                const double z = heightOn(face, p);
                if (!(z == z)) continue;  // an upright face
                low = std::min(low, z);
                high = std::max(high, z);
            }
            return high > low ? high - low : 0;
        }
        double heightOn(Surface::Face_index face, const Point2& p) const {
            const auto side = surface.halfedge(face);
            const auto& a = surface.point(surface.source(side));
            const auto& b = surface.point(surface.target(side));
            const auto& c = surface.point(surface.target(surface.next(side)));
            const double whole = (b.x() - a.x()) * (c.y() - a.y()) - (c.x() - a.x()) * (b.y() - a.y());
            const double px = p[0] - a.x(), py = p[1] - a.y();
            const double v = (px * (c.y() - a.y()) - (c.x() - a.x()) * py) / whole;
            const double w = ((b.x() - a.x()) * py - px * (b.y() - a.y())) / whole;
            return a.z() + v * (b.z() - a.z()) + w * (c.z() - a.z());
        }
        Surface surface;
        Tree tree;
    };
    std::vector<std::unique_ptr<Layer>> layers_;
    std::vector<Tree::Primitive_id> met_;
};

using SortTraits =
    CGAL::Spatial_sort_traits_adapter_2<Exact, CGAL::Pointer_property_map<Exact::Point_2>::type>;

std::vector<std::size_t> curveOrder(std::vector<Exact::Point_2>& points) {
    std::vector<std::size_t> order(points.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    CGAL::spatial_sort(order.begin(), order.end(), SortTraits(CGAL::make_property_map(points)));
    return order;
}

std::vector<Exact::Point_2> exactPoints(std::span<const Point2> points) {
    std::vector<Exact::Point_2> made;
    made.reserve(points.size());
    for (const Point2& p : points) made.emplace_back(p[0], p[1]);
    return made;
}

class CgalLocate final : public Prober {
  public:
    CgalLocate(std::span<const Point2> vertices, std::vector<double> heights, size_t interfaces, bool sorts)
        : heights_(std::move(heights)), interfaces_(interfaces), sorts_(sorts) {
        std::vector<std::pair<Exact::Point_2, size_t>> points;
        points.reserve(vertices.size());
        for (size_t i = 0; i < vertices.size(); ++i)
            points.emplace_back(Exact::Point_2(vertices[i][0], vertices[i][1]), i);
        triangulation_.insert(points.begin(), points.end());
    }
    void thickness(std::span<const Point2> points, std::vector<double>& thickness) override {
        const size_t layers = interfaces_ - 1;
        thickness.assign(points.size() * layers, 0);
        Faces::Face_handle face;
        if (!sorts_) {
            for (size_t i = 0; i < points.size(); ++i)
                face = read({points[i][0], points[i][1]}, face, &thickness[i * layers]);
            return;
        }
        std::vector<Exact::Point_2> queries = exactPoints(points);
        for (const size_t i : curveOrder(queries)) face = read(queries[i], face, &thickness[i * layers]);
    }

  private:
    using Base = CGAL::Triangulation_vertex_base_with_info_2<size_t, Exact>;
    using Faces = CGAL::Delaunay_triangulation_2<Exact, CGAL::Triangulation_data_structure_2<Base>>;

    Faces::Face_handle read(const Exact::Point_2& p, Faces::Face_handle from, double* row) const {
        const Faces::Face_handle face = triangulation_.locate(p, from);
        if (triangulation_.is_infinite(face)) return face;
        const auto &a = face->vertex(0)->point(), &b = face->vertex(1)->point(),
                   &c = face->vertex(2)->point();
        const double whole = (b.x() - a.x()) * (c.y() - a.y()) - (c.x() - a.x()) * (b.y() - a.y());
        const double px = p.x() - a.x(), py = p.y() - a.y();
        const double v = (px * (c.y() - a.y()) - (c.x() - a.x()) * py) / whole;
        const double w = ((b.x() - a.x()) * py - px * (b.y() - a.y())) / whole;
        const double* h0 = &heights_[face->vertex(0)->info() * interfaces_];
        const double* h1 = &heights_[face->vertex(1)->info() * interfaces_];
        const double* h2 = &heights_[face->vertex(2)->info() * interfaces_];
        double above = h0[0] * (1 - v - w) + h1[0] * v + h2[0] * w;
        for (size_t k = 1; k < interfaces_; ++k) {
            const double below = h0[k] * (1 - v - w) + h1[k] * v + h2[k] * w;
            row[k - 1] = above - below;
            above = below;
        }
        return face;
    }

    std::vector<double> heights_;
    size_t interfaces_;
    bool sorts_;
    Faces triangulation_;
};

class CgalBoolean final : public Boolean {
  public:
    CgalBoolean(const Mesh& a, const Mesh& b) : a_(surfaceMesh<Exact>(a)), b_(surfaceMesh<Exact>(b)) {}
    void prepare() override {
        workA_ = a_;
        workB_ = b_;
    }
    double intersection() override {
        SurfaceMesh<Exact> common;
        if (!pmp::corefine_and_compute_intersection(workA_, workB_, common)) return 0;
        return pmp::volume(common);
    }

  private:
    SurfaceMesh<Exact> a_, b_, workA_, workB_;
};

}  // namespace

size_t cgalTriangulate(std::span<const Point2> points) {
    CGAL::Constrained_Delaunay_triangulation_2<Exact> made;
    const std::vector<Exact::Point_2> exact = exactPoints(points);
    made.insert(exact.begin(), exact.end());  // a range is sorted along a curve first
    return made.number_of_faces();
}

std::unique_ptr<Slicer> cgalSlicer(std::span<const Mesh> meshes) {
    return std::make_unique<CgalSlicer>(meshes);
}
std::unique_ptr<Measurer> cgalMeasurer(std::span<const Mesh> meshes) {
    return std::make_unique<CgalMeasurer>(meshes);
}
std::unique_ptr<Prober> cgalRays(std::span<const Mesh> meshes) {
    return std::make_unique<CgalRays>(meshes);
}
std::unique_ptr<Prober> cgalLocate(std::span<const Point2> vertices, std::vector<double> heights,
                                   size_t interfaces, bool sorts) {
    return std::make_unique<CgalLocate>(vertices, std::move(heights), interfaces, sorts);
}
std::vector<Point2> cgalSorted(std::span<const Point2> points) {
    std::vector<Exact::Point_2> exact = exactPoints(points);
    std::vector<Point2> sorted;
    sorted.reserve(points.size());
    for (const size_t i : curveOrder(exact)) sorted.push_back(points[i]);
    return sorted;
}
std::unique_ptr<Boolean> cgalBoolean(const Mesh& a, const Mesh& b) {
    return std::make_unique<CgalBoolean>(a, b);
}

}  // namespace peers
