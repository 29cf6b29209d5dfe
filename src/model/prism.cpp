#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/surface.h"
#include "model/layout_polygons.h"
#include "model/model.h"
#include "model/solid.h"
#include "plan/plan.h"

namespace underfoot {

namespace {

using layout::Polygon;

constexpr int spikeSides = 12;
/// A bend sharper than this (cosine of the turn) is not mitred: the two lengths end square.
constexpr double sharpestMitre = -0.5;

int size(const Prism& prism) {
    return static_cast<int>(prism.points.size());
}

void addTriangle(Prism& prism, int a, int b, int c, Face face) {
    prism.triangles.push_back({a, b, c});
    prism.faces.push_back(face);
}

/// The band between two rings of n corners that turn left seen from above `upper`; it looks outward.
void addBand(Prism& prism, int lower, int upper, int n, Face face) {
    for (int i = 0; i < n; ++i) {
        const int k = (i + 1) % n;
        addTriangle(prism, lower + i, lower + k, upper + k, face);
        addTriangle(prism, lower + i, upper + k, upper + i, face);
    }
}

template <class Height>
int addRing(Prism& prism, const Polygon& ring, Height height) {
    const int first = size(prism);
    for (const glm::dvec2& p : ring) prism.points.emplace_back(p.x, p.y, height(p));
    return first;
}

void addCaps(Prism& prism, const Polygon& top, int topFirst, const Polygon& bottom, int bottomFirst) {
    for (const auto& t : layout::triangulate(top))
        addTriangle(prism, topFirst + t[0], topFirst + t[1], topFirst + t[2], Face::Top);
    for (const auto& t : layout::triangulate(bottom))
        addTriangle(prism, bottomFirst + t[0], bottomFirst + t[2], bottomFirst + t[1], Face::Bottom);
}

template <class Top, class Bottom>
Prism uprightPrism(const Polygon& ring, Top top, Bottom bottom) {
    Prism prism;
    const int low = addRing(prism, ring, bottom), high = addRing(prism, ring, top);
    addBand(prism, low, high, static_cast<int>(ring.size()), Face::Side);
    addCaps(prism, ring, high, ring, low);
    return prism;
}

Polygon circle(glm::dvec2 centre, double radius, int sides) {
    Polygon out;
    for (int i = 0; i < sides; ++i) {
        const double angle = 2 * std::numbers::pi * i / sides;
        out.push_back(centre + glm::dvec2{std::cos(angle), std::sin(angle)} * radius);
    }
    return out;
}

// ---------------------------------------------------------------- pipes

std::vector<glm::dvec3> pipeAxis(const Model& model, const BuriedRun& run) {
    std::vector<glm::dvec3> axis;
    for (const PipePoint& p : run.points) {
        const glm::dvec2 local = model.toLocal(p.at);
        const glm::dvec3 at{local.x, local.y, p.invert + run.diameter / 2};
        if (axis.empty() || glm::distance(axis.back(), at) > 1e-9) axis.push_back(at);
    }
    return axis;
}

/// The ring of corners that starts a length: square to it, turning left seen from its far end.
int addSquareRing(Prism& prism, glm::dvec3 at, glm::dvec3 along, double radius, int sides) {
    const bool upright = std::abs(along.z) > 0.999;
    const glm::dvec3 right =
        glm::normalize(glm::cross(along, upright ? glm::dvec3{1, 0, 0} : glm::dvec3{0, 0, 1}));
    const glm::dvec3 up = glm::cross(right, along);
    const int first = size(prism);
    for (int i = 0; i < sides; ++i) {
        const double angle = 2 * std::numbers::pi * i / sides;
        prism.points.push_back(at + (right * std::cos(angle) - up * std::sin(angle)) * radius);
    }
    return first;
}

/// The ring before, slid along the pipe onto the plane through `at` that is square to `normal`.
int addSlidRing(Prism& prism, int before, glm::dvec3 along, glm::dvec3 at, glm::dvec3 normal, int sides) {
    const int first = size(prism);
    for (int i = 0; i < sides; ++i) {
        const glm::dvec3 p = prism.points[static_cast<size_t>(before + i)];
        prism.points.push_back(p + along * (glm::dot(at - p, normal) / glm::dot(along, normal)));
    }
    return first;
}

void addEnd(Prism& prism, int first, int sides, bool start) {
    for (int i = 1; i + 1 < sides; ++i) {
        if (start)
            addTriangle(prism, first, first + i + 1, first + i, Face::Side);
        else
            addTriangle(prism, first, first + i, first + i + 1, Face::Side);
    }
}

/// How far a mitre at the bend eats into the lengths on its two sides.
double mitreDepth(glm::dvec3 before, glm::dvec3 after, double radius) {
    const double cosine = glm::dot(before, after);
    return radius * std::sqrt(std::max(0.0, (1 - cosine) / (1 + cosine)));
}

bool isMitredBend(const std::vector<glm::dvec3>& axis, size_t i, double radius) {
    const glm::dvec3 before = axis[i] - axis[i - 1], after = axis[i + 1] - axis[i];
    const glm::dvec3 b = glm::normalize(before), a = glm::normalize(after);
    if (glm::dot(a, b) <= sharpestMitre) return false;
    return 2 * mitreDepth(b, a, radius) < std::min(glm::length(before), glm::length(after));
}

}  // namespace

Prism unitPrism(const Model& model, const UnitPiece& unit) {
    assert(unit.corners >= 3 && unit.firstCorner >= 0);
    const auto first = model.unitCorners.begin() + unit.firstCorner;
    const Polygon outline(first, first + unit.corners);
    const auto top = [&](glm::dvec2 p) { return unit.top.height(p); };
    const auto bottom = [&](glm::dvec2 p) { return unit.top.height(p) - unit.thickness; };
    const double c = unit.chamfer;
    const Polygon inner = c > 0 && c < unit.thickness ? layout::insetRing(outline, c) : Polygon{};
    if (inner.empty()) return uprightPrism(outline, top, bottom);
    Prism prism;
    const int low = addRing(prism, outline, bottom);
    const int shoulder = addRing(prism, outline, [&](glm::dvec2 p) { return unit.top.height(p) - c; });
    const int high = addRing(prism, inner, top);
    addBand(prism, low, shoulder, unit.corners, Face::Side);
    addBand(prism, shoulder, high, unit.corners, Face::Top);
    addCaps(prism, inner, high, outline, low);
    return prism;
}

Prism edgingPrism(const EdgingPiece& piece) {
    const Polygon ring(piece.corner.begin(), piece.corner.end());
    return uprightPrism(
        ring, [&](glm::dvec2 p) { return piece.top.height(p); },
        [&](glm::dvec2 p) { return piece.top.height(p) - piece.height; });
}

Prism spikePrism(const Spike& spike) {
    return uprightPrism(
        circle(spike.at, spike.diameter / 2, spikeSides), [&](glm::dvec2) { return spike.top; },
        [&](glm::dvec2) { return spike.top - spike.length; });
}

Prism pipePrism(const Model& model, const BuriedRun& run, int sides) {
    assert(sides >= 3);
    Prism prism;
    const std::vector<glm::dvec3> axis = pipeAxis(model, run);
    const double radius = run.diameter / 2;
    int ring = -1;
    for (size_t i = 0; i + 1 < axis.size(); ++i) {
        const glm::dvec3 along = glm::normalize(axis[i + 1] - axis[i]);
        if (ring < 0) {
            ring = addSquareRing(prism, axis[i], along, radius, sides);
            addEnd(prism, ring, sides, true);
        }
        const bool mitred = i + 2 < axis.size() && isMitredBend(axis, i + 1, radius);
        const glm::dvec3 normal =
            mitred ? glm::normalize(along + glm::normalize(axis[i + 2] - axis[i + 1])) : along;
        const int next = addSlidRing(prism, ring, along, axis[i + 1], normal, sides);
        addBand(prism, ring, next, sides, Face::Side);
        if (!mitred) addEnd(prism, next, sides, false);
        ring = mitred ? next : -1;
    }
    return prism;
}

Prism fixedPrism(const Model& model, const FixedThing& thing) {
    return uprightPrism(
        layout::localChords(thing.outline, model.site.origin).corners, [&](glm::dvec2) { return thing.top; },
        [&](glm::dvec2) { return thing.bottom; });
}

}  // namespace underfoot
