#include "model/layout_borders.h"

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "model/layout_bed.h"
#include "model/layout_course.h"
#include "model/layout_polygons.h"
#include "model/model.h"

namespace underfoot::layout {

namespace {

/// Two strips of one course that share more than this run into each other. Square metres.
constexpr double sharedStrip = 1e-7;

struct Outline {
    std::vector<Polygon> edges;  ///< corners of each edge's sides, both ends included
};

Outline outlineOf(const Area& area, glm::dvec2 origin) {
    const Chords chords = localChords(area.outline, origin);
    Outline out;
    out.edges.resize(area.outline.edges.size());
    const size_t n = chords.corners.size();
    for (size_t i = 0; i < n; ++i) {
        Polygon& edge = out.edges[static_cast<size_t>(chords.edgeOf[i])];
        if (edge.empty()) edge.push_back(chords.corners[i]);
        edge.push_back(chords.corners[(i + 1) % n]);
    }
    return out;
}

std::vector<bool> chosenEdges(const std::vector<int>& edges, size_t count) {
    std::vector<bool> out(count, edges.empty());
    for (const int e : edges)
        if (e >= 0 && static_cast<size_t>(e) < count) out[static_cast<size_t>(e)] = true;
    return out;
}

std::vector<CourseEdge> courseEdges(const Outline& outline, const std::vector<bool>& chosen,
                                    const std::vector<double>& insets) {
    const size_t n = outline.edges.size();
    std::vector<CourseEdge> out(n);
    for (size_t i = 0; i < n; ++i) {
        out[i].corners = outline.edges[i];
        out[i].inset = insets[i];
    }
    for (size_t i = 0; i < n; ++i) {
        const size_t k = (i + 1) % n;
        const Polygon &a = outline.edges[i], &b = outline.edges[k];
        if (n < 2 || !chosen[i] || !chosen[k] || a.size() < 2 || b.size() < 2) continue;
        const glm::dvec2 before = direction(a[a.size() - 2], a.back()), after = direction(b[0], b[1]);
        out[i].end = out[k].start = mitreBetween(b.front(), before, insets[i], after, insets[k]);
    }
    return out;
}

/// What the strips laid before in the same course leave: edges that do not meet may still run into each
/// other.
Regions lessStrips(Regions regions, const std::vector<Regions>& laid, const Regions& strip) {
    for (const Regions& other : laid) {
        double area = 0;
        glm::dvec2 where;
        if (regionsOverlap(other, strip, area, where) && area > sharedStrip)
            regions = subtract(regions, other);
    }
    return regions;
}

struct Course {
    CourseMeasures measures;
    int size = 0;
    double wholeArea() const { return measures.along * measures.depth; }
};

void layUnits(const CourseShapes& shapes, const Course& course, const Bed& bed, UnitPlan& plan) {
    const double width = std::min(course.measures.along, course.measures.depth);
    for (const CourseUnit& shape : shapes.units)
        bed.lay({shape.outline, shape.whole, shape.convex, course.size, true, course.wholeArea(), width,
                 shape.inward, shape.frame, leastBeside(course.measures.joint)},
                plan);
}

Regions layCourse(const std::vector<CourseEdge>& edges, const std::vector<bool>& chosen, const Course& course,
                  const Regions& regions, UnitPlan& plan) {
    std::vector<Regions> laid;
    const double reach = std::max(course.measures.along, course.measures.depth);
    for (size_t i = 0; i < edges.size(); ++i) {
        if (!chosen[i] || edges[i].corners.size() < 2) continue;
        const CourseShapes shapes = courseAlong(edges[i], course.measures);
        Regions strip = uniteAll(shapes.strip);
        const Bed bed(lessStrips(regions, laid, strip), reach);
        layUnits(shapes, course, bed, plan);
        laid.push_back(std::move(strip));
    }
    Regions all;
    for (const Regions& strip : laid) all = unite(all, strip);
    return subtract(regions, all);
}

double areaLaid(const UnitPlan& plan) {
    double sum = 0;
    for (const UnitPiece& piece : plan.pieces) sum += piece.planArea;
    return sum;
}

Regions lessPieces(Regions regions, const UnitPlan& plan) {
    for (const UnitPiece& piece : plan.pieces) {
        const auto first = plan.corners.begin() + piece.firstCorner;
        regions = subtract(regions, {{{first, first + piece.corners}, {}}});
    }
    return regions;
}

/// Unit after unit, each into what those before it leave: slow, but right where a course is so deep for its
/// outline that it runs into itself.
Regions layCourseOneByOne(const std::vector<CourseEdge>& edges, const std::vector<bool>& chosen,
                          const Course& course, const Regions& regions, UnitPlan& plan) {
    Regions left = regions, strips;
    const double reach = std::max(course.measures.along, course.measures.depth);
    for (size_t i = 0; i < edges.size(); ++i) {
        if (!chosen[i] || edges[i].corners.size() < 2) continue;
        const CourseShapes shapes = courseAlong(edges[i], course.measures);
        for (const CourseUnit& unit : shapes.units) {
            UnitPlan one;
            layUnits({{unit}, {}}, course, Bed(left, reach), one);
            left = lessPieces(std::move(left), one);
            append(one, plan);
        }
        strips = unite(strips, uniteAll(shapes.strip));
    }
    return subtract(left, strips);
}

}  // namespace

Regions layBorders(const UnitLayout& layout, const Area& area, const Regions& regions, glm::dvec2 origin,
                   int firstSize, UnitPlan& plan) {
    const Outline outline = outlineOf(area, origin);
    std::vector<double> insets(outline.edges.size(), 0.0);
    Regions left = regions;
    for (size_t i = 0; i < layout.borders.size(); ++i) {
        const BorderCourse& border = layout.borders[i];
        if (!(border.size.length > 0 && border.size.width > 0)) continue;
        const double along = border.soldier ? border.size.width : border.size.length;
        const double depth = border.soldier ? border.size.length : border.size.width;
        const Course course{{along, depth, layout.joint}, firstSize + static_cast<int>(i)};
        const std::vector<bool> chosen = chosenEdges(border.edges, insets.size());
        const std::vector<CourseEdge> edges = courseEdges(outline, chosen, insets);
        UnitPlan laid;
        Regions rest = layCourse(edges, chosen, course, left, laid);
        if (areaLaid(laid) > regionArea(left) - regionArea(rest) + sharedStrip) {
            laid = {};
            rest = layCourseOneByOne(edges, chosen, course, left, laid);
        }
        left = std::move(rest);
        append(laid, plan);
        for (size_t e = 0; e < insets.size(); ++e)
            if (chosen[e]) insets[e] += depth + layout.joint;
    }
    return left;
}

}  // namespace underfoot::layout
