// GEOS 3.11 through its C interface: Delaunay triangulation, and union on a grid with polygonizing.

#include <geos_c.h>

#include <cstdlib>

#include "peers.h"

namespace peers {
namespace {

class Context {
  public:
    Context() : handle_(GEOS_init_r()) {}
    Context(const Context&) = delete;
    Context& operator=(const Context&) = delete;
    ~Context() { GEOS_finish_r(handle_); }
    operator GEOSContextHandle_t() const { return handle_; }

  private:
    GEOSContextHandle_t handle_;
};

GEOSGeometry* orDie(GEOSGeometry* made) {
    if (!made) std::abort();
    return made;
}

}  // namespace

size_t geosTriangulate(std::span<const Point2> points) {
    const Context context;
    GEOSCoordSequence* places = GEOSCoordSeq_create_r(context, static_cast<unsigned>(points.size()), 2);
    for (size_t i = 0; i < points.size(); ++i)
        GEOSCoordSeq_setXY_r(context, places, static_cast<unsigned>(i), points[i][0], points[i][1]);
    GEOSGeometry* line = orDie(GEOSGeom_createLineString_r(context, places));
    GEOSGeometry* made = orDie(GEOSDelaunayTriangulation_r(context, line, 0, 0));
    const int faces = GEOSGetNumGeometries_r(context, made);
    GEOSGeom_destroy_r(context, made);
    GEOSGeom_destroy_r(context, line);
    return static_cast<size_t>(faces);
}

size_t geosFaces(std::span<const std::pair<Point2, Point2>> lines, double step) {
    const Context context;
    std::vector<GEOSGeometry*> parts;
    parts.reserve(lines.size());
    for (const auto& [a, b] : lines) {
        GEOSCoordSequence* ends = GEOSCoordSeq_create_r(context, 2, 2);
        GEOSCoordSeq_setXY_r(context, ends, 0, a[0], a[1]);
        GEOSCoordSeq_setXY_r(context, ends, 1, b[0], b[1]);
        parts.push_back(orDie(GEOSGeom_createLineString_r(context, ends)));
    }
    GEOSGeometry* all = orDie(GEOSGeom_createCollection_r(context, GEOS_MULTILINESTRING, parts.data(),
                                                          static_cast<unsigned>(parts.size())));
    GEOSGeometry* noded = orDie(GEOSUnaryUnionPrec_r(context, all, step));
    GEOSGeometry* made = orDie(GEOSPolygonize_r(context, &noded, 1));
    const int faces = GEOSGetNumGeometries_r(context, made);
    GEOSGeom_destroy_r(context, made);
    GEOSGeom_destroy_r(context, noded);
    GEOSGeom_destroy_r(context, all);
    return static_cast<size_t>(faces);
}

}  // namespace peers
