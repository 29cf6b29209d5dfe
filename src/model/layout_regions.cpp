#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <memory>
#include <utility>
#include <vector>

#include <geos_c.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "measure/cross.h"
#include "model/layout.h"
#include "model/layout_polygons.h"
#include "plan/plan.h"

namespace underfoot {

namespace {

using layout::direction;
using layout::distance;
using layout::dot;
using layout::Polygon;

constexpr double mitreLimit = 5.0;
/// Cosine of a turn this near to 1 is a straight run: its two offset corners are one.
constexpr double straightCosine = 1.0 - 1e-12;

bool lexicographicallyLess(glm::dvec2 a, glm::dvec2 b) {
    return a.x != b.x ? a.x < b.x : a.y < b.y;
}

// ---------------------------------------------------------------- the library's handles

struct GeometryDeleter {
    GEOSContextHandle_t context = nullptr;
    void operator()(GEOSGeometry* g) const { GEOSGeom_destroy_r(context, g); }
};
using Geometry = std::unique_ptr<GEOSGeometry, GeometryDeleter>;

class Geos {
  public:
    Geos() : context_(GEOS_init_r()) { assert(context_); }
    ~Geos() { GEOS_finish_r(context_); }
    Geos(const Geos&) = delete;
    Geos& operator=(const Geos&) = delete;

    GEOSContextHandle_t get() const { return context_; }
    Geometry own(GEOSGeometry* g) const { return Geometry(g, GeometryDeleter{context_}); }

    Geometry ring(const Polygon& corners) const;
    Geometry polygon(const Region& region) const;
    Geometry collection(int type, std::vector<Geometry> parts) const;
    /// One valid area geometry; regions that overlap each other or themselves are mended.
    Geometry regions(const Regions& regions) const;
    Geometry uniteAll(std::vector<Geometry> parts) const;
    Regions read(const GEOSGeometry* geometry) const;

  private:
    Polygon readRing(const GEOSGeometry* ring, bool left) const;
    void readInto(const GEOSGeometry* geometry, Regions& out) const;
    GEOSContextHandle_t context_;
};

Geometry Geos::ring(const Polygon& corners) const {
    std::vector<double> flat;
    flat.reserve(2 * corners.size() + 2);
    for (const glm::dvec2& c : corners) flat.insert(flat.end(), {c.x, c.y});
    flat.insert(flat.end(), {corners.front().x, corners.front().y});
    GEOSCoordSequence* sequence =
        GEOSCoordSeq_copyFromBuffer_r(context_, flat.data(), static_cast<unsigned>(corners.size() + 1), 0, 0);
    return own(GEOSGeom_createLinearRing_r(context_, sequence));
}

Geometry Geos::polygon(const Region& region) const {
    Geometry shell = ring(region.outer);
    std::vector<GEOSGeometry*> holes;
    for (const Polygon& hole : region.holes)
        if (hole.size() >= 3) holes.push_back(ring(hole).release());
    return own(GEOSGeom_createPolygon_r(context_, shell.release(), holes.data(),
                                        static_cast<unsigned>(holes.size())));
}

Geometry Geos::collection(int type, std::vector<Geometry> parts) const {
    std::vector<GEOSGeometry*> raw;
    raw.reserve(parts.size());
    for (Geometry& part : parts) raw.push_back(part.release());
    return own(GEOSGeom_createCollection_r(context_, type, raw.data(), static_cast<unsigned>(raw.size())));
}

Geometry Geos::uniteAll(std::vector<Geometry> parts) const {
    const Geometry all = collection(GEOS_GEOMETRYCOLLECTION, std::move(parts));
    return own(GEOSUnaryUnion_r(context_, all.get()));
}

Geometry Geos::regions(const Regions& regions) const {
    std::vector<Geometry> parts;
    for (const Region& region : regions)
        if (region.outer.size() >= 3) parts.push_back(polygon(region));
    Geometry whole = collection(GEOS_MULTIPOLYGON, std::move(parts));
    if (GEOSisValid_r(context_, whole.get()) == 1) return whole;
    GEOSMakeValidParams* params = GEOSMakeValidParams_create_r(context_);
    GEOSMakeValidParams_setMethod_r(context_, params, GEOS_MAKE_VALID_STRUCTURE);
    std::vector<Geometry> mended;
    for (int i = 0; i < GEOSGetNumGeometries_r(context_, whole.get()); ++i) {
        const GEOSGeometry* part = GEOSGetGeometryN_r(context_, whole.get(), i);
        mended.push_back(own(GEOSMakeValidWithParams_r(context_, part, params)));
    }
    GEOSMakeValidParams_destroy_r(context_, params);
    std::erase_if(mended, [](const Geometry& g) { return !g; });
    return uniteAll(std::move(mended));
}

Polygon Geos::readRing(const GEOSGeometry* ring, bool left) const {
    const GEOSCoordSequence* sequence = GEOSGeom_getCoordSeq_r(context_, ring);
    unsigned size = 0;
    GEOSCoordSeq_getSize_r(context_, sequence, &size);
    std::vector<double> flat(2 * static_cast<size_t>(size));
    GEOSCoordSeq_copyToBuffer_r(context_, sequence, flat.data(), 0, 0);
    Polygon out;
    for (size_t i = 0; i + 1 < size; ++i) {
        const glm::dvec2 p{flat[2 * i], flat[2 * i + 1]};
        if (out.empty() || out.back() != p) out.push_back(p);
    }
    if (left != (layout::ringArea(out) > 0)) std::reverse(out.begin(), out.end());
    std::rotate(out.begin(), std::min_element(out.begin(), out.end(), lexicographicallyLess), out.end());
    return out;
}

/// Thinner than the distance at which a point lies on a line: rounding, not a place.
bool isSliver(const Polygon& ring) {
    return ring.size() < 3 ||
           2.0 * std::abs(layout::ringArea(ring)) < tolerance::onPlanLine * layout::ringLength(ring);
}

void Geos::readInto(const GEOSGeometry* geometry, Regions& out) const {
    const int type = GEOSGeomTypeId_r(context_, geometry);
    if (type == GEOS_POLYGON) {
        if (GEOSisEmpty_r(context_, geometry)) return;
        Region region{readRing(GEOSGetExteriorRing_r(context_, geometry), true), {}};
        if (isSliver(region.outer)) return;
        for (int i = 0; i < GEOSGetNumInteriorRings_r(context_, geometry); ++i) {
            Polygon hole = readRing(GEOSGetInteriorRingN_r(context_, geometry, i), false);
            if (!isSliver(hole)) region.holes.push_back(std::move(hole));
        }
        std::sort(region.holes.begin(), region.holes.end(), [](const Polygon& a, const Polygon& b) {
            return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(),
                                                lexicographicallyLess);
        });
        out.push_back(std::move(region));
    } else if (type == GEOS_MULTIPOLYGON || type == GEOS_GEOMETRYCOLLECTION) {
        for (int i = 0; i < GEOSGetNumGeometries_r(context_, geometry); ++i)
            readInto(GEOSGetGeometryN_r(context_, geometry, i), out);
    }
}

Regions Geos::read(const GEOSGeometry* geometry) const {
    Regions out;
    if (!geometry) return out;
    readInto(geometry, out);
    std::sort(out.begin(), out.end(), [](const Region& a, const Region& b) {
        return std::lexicographical_compare(a.outer.begin(), a.outer.end(), b.outer.begin(), b.outer.end(),
                                            lexicographicallyLess);
    });
    return out;
}

// ---------------------------------------------------------------- making near lines the same lines

template <class Use>
void forEachRing(Regions& regions, Use use) {
    for (Region& region : regions) {
        use(region.outer);
        for (Polygon& hole : region.holes) use(hole);
    }
}

Polygon allCorners(const Regions& regions) {
    Polygon out;
    for (const Region& region : regions) {
        out.insert(out.end(), region.outer.begin(), region.outer.end());
        for (const Polygon& hole : region.holes) out.insert(out.end(), hole.begin(), hole.end());
    }
    std::sort(out.begin(), out.end(), lexicographicallyLess);
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

/// Corners (sorted) with x within reach of [lowX, highX].
std::pair<size_t, size_t> nearRange(const Polygon& sorted, double lowX, double highX) {
    const auto before = [](glm::dvec2 p, double x) { return p.x < x; };
    const auto first = std::lower_bound(sorted.begin(), sorted.end(), lowX, before);
    const auto last = std::lower_bound(first, sorted.end(), std::nextafter(highX, 1e300), before);
    return {static_cast<size_t>(first - sorted.begin()), static_cast<size_t>(last - sorted.begin())};
}

void snapCorners(Regions& regions, const Polygon& targets) {
    const double reach = tolerance::samePlanPoint;
    forEachRing(regions, [&](Polygon& ring) {
        for (glm::dvec2& corner : ring) {
            const auto [first, last] = nearRange(targets, corner.x - reach, corner.x + reach);
            double best = reach;
            glm::dvec2 nearest = corner;
            for (size_t i = first; i < last; ++i) {
                const double d = distance(targets[i], corner);
                if (d < best || d == 0) best = d, nearest = targets[i];
            }
            corner = nearest;
        }
        ring.erase(std::unique(ring.begin(), ring.end()), ring.end());
        while (ring.size() > 1 && ring.front() == ring.back()) ring.pop_back();
    });
    for (Region& region : regions) std::erase_if(region.holes, [](const Polygon& r) { return r.size() < 3; });
    std::erase_if(regions, [](const Region& r) { return r.outer.size() < 3; });
}

/// Corners of the other side that lie on the edge a-b, in order from a.
Polygon cornersOnEdge(glm::dvec2 a, glm::dvec2 b, const Polygon& sorted) {
    const double reach = tolerance::onPlanLine;
    const auto [first, last] = nearRange(sorted, std::min(a.x, b.x) - reach, std::max(a.x, b.x) + reach);
    const double length = distance(a, b);
    const glm::dvec2 along = direction(a, b);
    std::vector<std::pair<double, glm::dvec2>> found;
    for (size_t i = first; i < last; ++i) {
        const glm::dvec2 p = sorted[i];
        if (p == a || p == b) continue;
        const double t = dot(p - a, along);
        if (t <= reach || t >= length - reach || std::abs(cross(along, p - a)) > reach) continue;
        found.emplace_back(t, p);
    }
    std::sort(found.begin(), found.end(), [](const auto& l, const auto& r) { return l.first < r.first; });
    Polygon out;
    for (const auto& [t, p] : found) out.push_back(p);
    return out;
}

void insertCorners(Regions& regions, const Polygon& others) {
    forEachRing(regions, [&](Polygon& ring) {
        Polygon out;
        for (size_t i = 0; i < ring.size(); ++i) {
            out.push_back(ring[i]);
            const Polygon on = cornersOnEdge(ring[i], ring[(i + 1) % ring.size()], others);
            out.insert(out.end(), on.begin(), on.end());
        }
        ring = std::move(out);
    });
}

/// Where the two sets run along each other within tolerance they get the same corners, so that the overlay
/// meets equal edges and leaves no slivers. Corners of `a` never move.
void matchUp(Regions& a, Regions& b) {
    snapCorners(b, allCorners(a));
    insertCorners(b, allCorners(a));
    insertCorners(a, allCorners(b));
}

/// The regions as an overlay gives them back.
Regions tidied(const Regions& regions) {
    const Geos geos;
    return geos.read(geos.regions(regions).get());
}

using BinaryOperation = GEOSGeometry* (*)(GEOSContextHandle_t, const GEOSGeometry*, const GEOSGeometry*);

Regions overlay(Regions a, Regions b, BinaryOperation operation) {
    matchUp(a, b);
    const Geos geos;
    const Geometry ga = geos.regions(a);
    const Geometry gb = geos.regions(b);
    const Geometry result = geos.own(operation(geos.get(), ga.get(), gb.get()));
    assert(result && "the polygon library could not overlay two regions");
    return geos.read(result.get());
}

// ---------------------------------------------------------------- offsets

/// Corner i of a ring with the region on its left: directions and outward normals of the edges before and
/// after.
struct Corner {
    glm::dvec2 at, before, after;
    glm::dvec2 normalBefore() const { return -layout::leftOf(before); }
    glm::dvec2 normalAfter() const { return -layout::leftOf(after); }
    double cosine() const { return dot(before, after); }
    double turn() const { return cross(before, after); }
};

Corner cornerOf(const Polygon& ring, size_t i) {
    const size_t n = ring.size();
    const glm::dvec2 previous = ring[(i + n - 1) % n], next = ring[(i + 1) % n];
    return {ring[i], direction(previous, ring[i]), direction(ring[i], next)};
}

bool isStraight(const Corner& corner) {
    return corner.cosine() > straightCosine;
}
/// The offset edges part at this corner, and something must fill the gap.
bool opensGap(const Corner& corner, double d) {
    return corner.turn() * d > 0 || corner.cosine() < -0.999999;
}

glm::dvec2 mitre(const Corner& corner, double d) {
    return corner.at + (corner.normalBefore() + corner.normalAfter()) * (d / (1.0 + corner.cosine()));
}

bool isMitred(const Corner& corner, CornerStyle style) {
    if (isStraight(corner)) return true;
    const double ratio = std::sqrt(2.0 / std::max(1.0 + corner.cosine(), 1e-300));
    return style == CornerStyle::Square && ratio <= mitreLimit;
}

/// The corners that fill the gap: one when mitred, the two ends when cut off, a chorded arc when round.
Polygon gapCorners(const Corner& corner, double d, CornerStyle style) {
    if (isMitred(corner, style)) return {mitre(corner, d)};
    const glm::dvec2 from = corner.normalBefore(), to = corner.normalAfter();
    Polygon out{corner.at + from * d};
    if (style == CornerStyle::Round) {
        const double turn = std::atan2(cross(from, to), dot(from, to));
        const double sagitta = std::min(tolerance::arcSagitta / std::abs(d), 1.0);
        const int chords =
            std::max(1, static_cast<int>(std::ceil(std::abs(turn) / (2 * std::acos(1 - sagitta)))));
        for (int k = 1; k < chords; ++k) {
            const double angle = turn * k / chords;
            const double c = std::cos(angle), s = std::sin(angle);
            out.push_back(corner.at + glm::dvec2{c * from.x - s * from.y, s * from.x + c * from.y} * d);
        }
    }
    out.push_back(corner.at + to * d);
    return out;
}

/// The plain offset of a ring; empty when an edge would turn round, which only the union of strips gets
/// right.
Polygon offsetRing(const Polygon& ring, double d, CornerStyle style) {
    Polygon out;
    std::vector<size_t> firstOf;
    for (size_t i = 0; i < ring.size(); ++i) {
        const Corner corner = cornerOf(ring, i);
        // Moved to the inside of a tip the two edges cross.
        if (corner.turn() * d <= 0 && corner.cosine() < -0.9) return {};
        firstOf.push_back(out.size());
        const Polygon gap = opensGap(corner, d) ? gapCorners(corner, d, style) : Polygon{mitre(corner, d)};
        out.insert(out.end(), gap.begin(), gap.end());
    }
    firstOf.push_back(out.size());
    for (size_t i = 0; i < ring.size(); ++i) {
        const size_t next = (i + 1) % ring.size();
        const glm::dvec2 from = out[firstOf[i + 1] - 1];
        const glm::dvec2 to = out[firstOf[next]];
        if (dot(to - from, direction(ring[i], ring[next])) <= 0) return {};
    }
    return out;
}

/// All rings offset plainly, where that is right.
bool offsetPlainly(const Geos& geos, const Regions& regions, double d, CornerStyle style, Regions& out) {
    std::vector<Geometry> parts;
    for (const Region& region : regions) {
        Region moved{offsetRing(region.outer, d, style), {}};
        if (moved.outer.empty()) return false;
        for (const Polygon& hole : region.holes) {
            moved.holes.push_back(offsetRing(hole, d, style));
            if (moved.holes.back().empty()) return false;
        }
        parts.push_back(geos.polygon(moved));
        if (GEOSisValid_r(geos.get(), parts.back().get()) != 1) return false;
    }
    const Geometry whole = parts.size() == 1 ? std::move(parts.front()) : geos.uniteAll(std::move(parts));
    out = geos.read(whole.get());
    return true;
}

void addPatch(const Geos& geos, Polygon patch, std::vector<Geometry>& out) {
    if (std::abs(layout::ringArea(patch)) > 0) out.push_back(geos.polygon({std::move(patch), {}}));
}

/// A strip beside each edge and a fan at each corner where strips part: together, all that lies within `d` on
/// the outside (d > 0) or inside (d < 0) of the ring, with the corners' style.
void addStrips(const Geos& geos, const Polygon& ring, double d, CornerStyle style,
               std::vector<Geometry>& out) {
    const size_t n = ring.size();
    std::vector<glm::dvec2> starts(n), ends(n);
    for (size_t i = 0; i < n; ++i) {
        const Corner corner = cornerOf(ring, i);
        ends[(i + n - 1) % n] = corner.at + corner.normalBefore() * d;
        starts[i] = corner.at + corner.normalAfter() * d;
        if (!opensGap(corner, d) && !isStraight(corner)) continue;
        const Polygon gap = gapCorners(corner, d, style);
        ends[(i + n - 1) % n] = gap.front();
        starts[i] = gap.back();
        Polygon fan{corner.at};
        fan.insert(fan.end(), gap.begin(), gap.end());
        if (gap.size() > 1) addPatch(geos, std::move(fan), out);
    }
    for (size_t i = 0; i < n; ++i) addPatch(geos, {ring[i], ring[(i + 1) % n], ends[i], starts[i]}, out);
}

Regions offsetByStrips(const Geos& geos, const Regions& regions, double d, CornerStyle style) {
    std::vector<Geometry> strips;
    for (const Region& region : regions) {
        addStrips(geos, region.outer, d, style, strips);
        for (const Polygon& hole : region.holes) addStrips(geos, hole, d, style, strips);
    }
    const Geometry whole = geos.regions(regions);
    const Geometry border = geos.uniteAll(std::move(strips));
    const Geometry result = geos.own(d > 0 ? GEOSUnion_r(geos.get(), whole.get(), border.get())
                                           : GEOSDifference_r(geos.get(), whole.get(), border.get()));
    assert(result && "the polygon library could not offset a region");
    return geos.read(result.get());
}

/// The sine of half a degree: an outline that bends no more at the end of a wall goes straight on there.
constexpr double straightOnAtWall = 0.0087;

/// How far past its end a wall's line shields, so that the corner which the growth makes there is taken too.
/// Nothing at corners that turn right: there the line runs on inside the area. Nothing either where the
/// outline goes straight on: it makes no corner, and rounding must not decide.
double shieldBeyond(glm::dvec2 along, glm::dvec2 next, double d) {
    const double turn = cross(along, next), cosine = dot(along, next);
    if (turn <= 0 || (cosine > 0 && turn <= straightOnAtWall)) return 0;
    const double tip = d * turn / std::max(1.0 + cosine, 1e-9);
    const double crossing = cosine > 0 ? d / turn : d;
    return std::min(std::max(tip, crossing), mitreLimit * d);
}

Regions wallShields(const Area& area, double d, glm::dvec2 origin) {
    const Chords chords = layout::localChords(area.outline, origin);
    const size_t n = chords.corners.size();
    Regions out;
    for (size_t i = 0; i < n; ++i) {
        const auto& walls = area.againstWall;
        if (std::find(walls.begin(), walls.end(), chords.edgeOf[i]) == walls.end()) continue;
        const Corner first = cornerOf(chords.corners, i), second = cornerOf(chords.corners, (i + 1) % n);
        const glm::dvec2 along = first.after, outward = first.normalAfter() * d;
        const glm::dvec2 a = first.at - along * shieldBeyond(first.before, along, d);
        const glm::dvec2 b = second.at + along * shieldBeyond(along, second.after, d);
        out = unite(out, {{{a, a + outward, b + outward, b}, {}}});
    }
    return out;
}

}  // namespace

Region regionOf(const Ring& ring, glm::dvec2 origin) {
    return {layout::localChords(ring, origin).corners, {}};
}

Regions areaRegions(const Area& area, const std::vector<const Area*>& cuts, glm::dvec2 origin) {
    Regions taken;
    for (const Ring& opening : area.openings) taken = unite(taken, {regionOf(opening, origin)});
    for (const Area* cut : cuts) taken = unite(taken, {regionOf(cut->outline, origin)});
    return subtract({regionOf(area.outline, origin)}, taken);
}

Regions grow(const Regions& regions, double d, CornerStyle corners) {
    if (d == 0 || regions.empty()) return regions;
    const Geos geos;
    Regions out;
    if (offsetPlainly(geos, regions, d, corners, out)) return out;
    return offsetByStrips(geos, regions, d, corners);
}

Regions growBesideWalls(const Regions& regions, double d, CornerStyle corners, const Area& area,
                        glm::dvec2 origin) {
    const Regions grown = grow(regions, d, corners);
    if (d <= 0 || area.againstWall.empty()) return grown;
    return subtract(grown, subtract(wallShields(area, d, origin), regions));
}

Regions unite(const Regions& a, const Regions& b) {
    if (a.empty() || b.empty()) return tidied(a.empty() ? b : a);
    return overlay(a, b, GEOSUnion_r);
}

Regions subtract(const Regions& a, const Regions& b) {
    if (b.empty()) return tidied(a);
    return overlay(a, b, GEOSDifference_r);
}

double regionArea(const Regions& regions) {
    double sum = 0;
    for (const Region& region : regions) {
        sum += layout::ringArea(region.outer);
        for (const Polygon& hole : region.holes) sum += layout::ringArea(hole);
    }
    return sum;
}

bool regionsOverlap(const Regions& a, const Regions& b, double& overlapArea, glm::dvec2& where) {
    const Regions both = overlay(a, b, GEOSIntersection_r);
    overlapArea = regionArea(both);
    if (both.empty()) return false;
    const Geos geos;
    const auto smaller = [](const Region& l, const Region& r) { return regionArea({l}) < regionArea({r}); };
    const Geometry largest = geos.polygon(*std::max_element(both.begin(), both.end(), smaller));
    const Geometry inside = geos.own(GEOSPointOnSurface_r(geos.get(), largest.get()));
    GEOSGeomGetX_r(geos.get(), inside.get(), &where.x);
    GEOSGeomGetY_r(geos.get(), inside.get(), &where.y);
    return true;
}

namespace layout {

Regions uniteAll(const std::vector<Polygon>& polygons) {
    if (polygons.empty()) return {};
    const Geos geos;
    std::vector<Geometry> parts;
    parts.reserve(polygons.size());
    for (const Polygon& polygon : polygons) parts.push_back(geos.regions({{polygon, {}}}));
    return geos.read(geos.uniteAll(std::move(parts)).get());
}

struct Clipper::Impl {
    Geos geos;
    Geometry regions;
};

Clipper::Clipper(const Regions& regions) : impl_(std::make_unique<Impl>()) {
    impl_->regions = impl_->geos.regions(regions);
}
Clipper::~Clipper() = default;

Regions Clipper::clip(const Polygon& polygon) const {
    const Geometry shape = impl_->geos.polygon({polygon, {}});
    const Geometry both =
        impl_->geos.own(GEOSIntersection_r(impl_->geos.get(), impl_->regions.get(), shape.get()));
    return impl_->geos.read(both.get());
}

}  // namespace layout
}  // namespace underfoot
