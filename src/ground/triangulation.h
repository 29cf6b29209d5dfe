#pragma once
// Constrained Delaunay triangulation on the exact grid, built point by point. Serves two masters: the
// triangulated shots (points only) and the overlay of all plan lines (constraints that carry tags).

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/grid.h"

namespace underfoot {

/// Which region boundaries run along an edge, as a set that is combined modulo two: a boundary that runs
/// along an edge twice is not there. Sets are interned in a TagPool; 0 is the empty set.
using TagSet = uint32_t;

class TagPool {
  public:
    TagPool();
    TagSet single(int tag);  ///< {tag}
    TagSet symmetricDifference(TagSet a, TagSet b);
    const std::vector<int>& tags(TagSet set) const;  ///< sorted

  private:
    TagSet intern(std::vector<int> set);

    std::vector<std::vector<int>> sets_;
    std::map<std::vector<int>, TagSet> index_;
    std::map<std::pair<TagSet, TagSet>, TagSet> differences_;
};

/// Corner i of a triangle is v[i]; neighbour[i] and edge i lie opposite corner i, that is between v[i+1] and
/// v[i+2]. Corners turn left. neighbour -1: none.
struct Triangle {
    std::array<int, 3> v{-1, -1, -1};
    std::array<int, 3> neighbour{-1, -1, -1};
    std::array<TagSet, 3> tags{0, 0, 0};
    std::array<bool, 3> constrained{false, false, false};
};

enum class Where { Inside, OnEdge, OnVertex, Outside };

struct Location {
    Where where = Where::Outside;
    int triangle = -1;  ///< a triangle that holds the point; when Outside the hull: a hull triangle the walk
                        ///< left through, or -1 if there is none
    int index = 0;  ///< OnEdge: edge, OnVertex: corner of `triangle`; Outside: the edge that was left through
};

class Triangulation {
  public:
    /// Delaunay triangulation of points (fast path: sorted along a space-filling curve, inserted by walking).
    /// Equal grid points become one vertex. `vertexOf[i]` tells which vertex point i became, when asked for;
    /// vertices and triangles are numbered along the curve, not in the order of the points. Points lie within
    /// gridReach (asserted). Fewer than three points, or all in line: no triangles (vertices are still
    /// there).
    static Triangulation ofPoints(std::span<const glm::dvec2> points, std::vector<int>* vertexOf = nullptr);

    /// An empty box to insert into: the rectangle's two triangles. Points and lines inserted later must lie
    /// inside it.
    static Triangulation ofBox(glm::dvec2 low, glm::dvec2 high);

    /// Makes room for so many points more.
    void reserve(size_t points);

    /// Inserts a point (snapped to the grid), splitting the triangle or edge it falls on, keeping the
    /// constrained Delaunay property. A point within tolerance::samePlanPoint of a vertex is that vertex;
    /// within tolerance::onPlanLine of a constrained edge it splits that edge, whose halves keep tags and
    /// constraint. Requires a location inside the hull (asserted). Returns the vertex.
    int insertPoint(glm::dvec2 point);

    /// Makes the straight line between two vertices a chain of constrained edges. Where it crosses another
    /// constrained edge both are split at the crossing (snapped to the grid, merged with a vertex within
    /// tolerance); where it runs along existing edges or through vertices it uses them. Every edge of the
    /// chain gets `tags` combined modulo two with what it had. Terminates for every input.
    void insertConstraint(int a, int b, TagSet tags = 0);

    /// insertPoint at both ends, then insertConstraint. A line shorter than the tolerance does nothing.
    /// For a closed ring insert the corners first and lay constraints between those vertices: the place of a
    /// corner may be closest to another vertex by the time it is asked for again, and the ring would not
    /// close.
    void insertLine(glm::dvec2 a, glm::dvec2 b, TagSet tags = 0);

    /// Walks from triangle `hint` (any valid index, or -1) to where the point lies. Exact for grid points.
    Location locate(glm::dvec2 point, int hint = -1) const;

    const std::vector<glm::dvec2>& vertices() const { return vertices_; }
    /// All triangles, none dead; indices stay valid until the next insertion.
    const std::vector<Triangle>& triangles() const { return triangles_; }
    TagPool& tagPool() { return tagPool_; }
    const TagPool& tagPool() const { return tagPool_; }

    /// Hull corners counter-clockwise, starting anywhere but the same for the same input. Corners in line are
    /// kept. Empty when there are no triangles.
    std::vector<int> hull() const;

    /// Every invariant: neighbours mutual, corners turn left, tags equal on both sides, unconstrained edges
    /// locally Delaunay, the hull convex and filled exactly once. For tests and debug builds; returns the
    /// first fault as a sentence.
    std::optional<std::string> fault() const;

  private:
    struct Segment {
        int a, b;
        TagSet tags;
    };
    struct Side {
        int neighbour, back;  // back: the edge's index over there
        TagSet tags;
        bool constrained;
    };
    struct Edge {
        int triangle, index;
    };
    struct Near {
        int vertex = -1;                               // the closest within tolerance, or -1
        std::vector<std::pair<int, int>> constrained;  // constrained edges within tolerance, closest first
    };
    struct Chain;

    // Changes that keep the neighbours mutual; triangulation_edit.cpp.
    int addVertex(GridPoint at);
    Side side(Edge edge) const;
    void setSide(Edge edge, const Side& side);
    void setInner(Edge edge, int neighbour, TagSet tags = 0, bool constrained = false);
    int mirror(Edge edge) const;
    void setTags(Edge edge, TagSet tags, bool constrained);
    void splitTriangle(int triangle, int vertex);
    void splitEdge(Edge edge, int vertex);
    bool canSplitAt(Edge edge, GridPoint at) const;
    void flip(Edge edge);
    bool wantsFlip(Edge edge) const;
    void legalise();
    void legaliseRound();

    // Finding; triangulation_find.cpp.
    Location locateGrid(GridPoint at, int hint) const;
    Location locateByLookingEverywhere(GridPoint at) const;
    int cornerOf(int triangle, int vertex) const;
    bool isClear(GridPoint at, int triangle) const;
    /// Valid until the next call.
    const Near& nearTo(GridPoint at, int triangle);
    bool shortens(int a, int b, int vertex) const;
    bool liesOn(int a, int b, int vertex) const;

    // Lines; triangulation_lines.cpp.
    int insertGrid(GridPoint at, const Location& place, const Near& near);
    template <class Visit>
    void aroundVertex(int vertex, Visit visit) const;
    std::optional<Edge> edgeBetween(int a, int b) const;
    TagSet release(Edge edge);
    void releaseThrough(int a, int b, int vertex);
    void settlePending();
    void settle(const Segment& segment);
    void settleOnEdge(const Segment& segment, Edge edge);
    void settleAcross(const Segment& segment, Edge first);
    void replaceCrossed(const Segment& segment, Edge first);
    void settleCrossing(const Segment& segment, Edge crossed);
    void routeThrough(const Segment& segment, int vertex);
    int crossingVertex(const Segment& segment, Edge crossed);
    Edge fillBeside(const Chain& chain);

    std::optional<std::string> edgeFault(Edge edge) const;
    std::optional<std::string> hullFault() const;

    std::vector<glm::dvec2> vertices_;
    std::vector<GridPoint> grid_;
    std::vector<int> triangleOf_;  // one triangle at each vertex, -1 where there is none
    std::vector<Triangle> triangles_;
    TagPool tagPool_;
    std::vector<Segment> pending_;  // lines still to be laid
    std::vector<Edge> suspect_;     // edges that may not be locally Delaunay any more
    std::vector<int> slots_;        // triangles free for reuse while a line is laid
    Near near_;                     // what was last found, and while it is looked for: edges in reach, and
    std::vector<std::tuple<double, int, int>> nearEdges_;
    std::vector<int> nearTriangles_;  // the triangles to look at
    int last_ = 0;                    // where the last change was
};

}  // namespace underfoot
