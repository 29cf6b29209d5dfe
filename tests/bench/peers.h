#pragma once
// What one would otherwise use, behind plain data: general geometry libraries on closed meshes. Built for
// speed (-O3, no asserts); none of it is part of the program.

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace peers {

using Point2 = std::array<double, 2>;
using Point3 = std::array<double, 3>;

struct Mesh {
    std::vector<Point3> points;
    std::vector<std::array<uint32_t, 3>> triangles;
};

/// An upright plane through two places in plan.
struct UprightPlane {
    Point2 a, b;
};

// Triangulations return the number of triangles.
size_t cgalTriangulate(std::span<const Point2> points);
size_t geosTriangulate(std::span<const Point2> points);

/// Nodes lines on a grid of `step` and finds all faces; returns their number.
size_t geosFaces(std::span<const std::pair<Point2, Point2>> lines, double step);

/// Cuts closed meshes by a plane; returns the number of points on the cuts.
class Slicer {
  public:
    virtual ~Slicer() = default;
    virtual size_t cut(const UprightPlane& plane) = 0;
};
std::unique_ptr<Slicer> cgalSlicer(std::span<const Mesh> meshes);
std::unique_ptr<Slicer> vtkSlicer(std::span<const Mesh> meshes);

/// The sum of the volumes of closed meshes.
class Measurer {
  public:
    virtual ~Measurer() = default;
    virtual double volume() = 0;
};
std::unique_ptr<Measurer> cgalMeasurer(std::span<const Mesh> meshes);
std::unique_ptr<Measurer> vtkMeasurer(std::span<const Mesh> meshes);

/// Thickness of every mesh at points in plan, point by point into `thickness`; 0 where a mesh is not met.
class Prober {
  public:
    virtual ~Prober() = default;
    virtual void thickness(std::span<const Point2> points, std::vector<double>& thickness) = 0;
};
/// By upright rays against a tree of triangles for each mesh.
std::unique_ptr<Prober> cgalRays(std::span<const Mesh> meshes);
/// By looking up the triangle of a plan triangulation, and the heights of `interfaces` surfaces at its
/// corners (heights[vertex * interfaces + k]). With `sorts`, points are first brought into a good order.
std::unique_ptr<Prober> cgalLocate(std::span<const Point2> vertices, std::vector<double> heights,
                                   size_t interfaces, bool sorts);

/// A copy of the points in the order of a space-filling curve.
std::vector<Point2> cgalSorted(std::span<const Point2> points);

/// What two closed meshes have in common, by corefinement; built anew each time. Returns its volume, or 0 on
/// failure.
class Boolean {
  public:
    virtual ~Boolean() = default;
    virtual void prepare() = 0;  ///< copies both meshes, which the work spoils
    virtual double intersection() = 0;
};
std::unique_ptr<Boolean> cgalBoolean(const Mesh& a, const Mesh& b);

/// Vertices one after the other: position, then normal.
struct Shape {
    std::string name;
    std::span<const float> vertices;
    std::span<const uint32_t> indices;
};
/// Writers of .glb files; false on failure.
bool tinygltfWrite(std::span<const Shape> shapes, const std::string& file);
class SceneWriter {
  public:
    virtual ~SceneWriter() = default;
    virtual bool write(const std::string& file) = 0;
};
std::unique_ptr<SceneWriter> assimpWriter(std::span<const Shape> shapes);

}  // namespace peers
