#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "model/layout.h"
#include "model/layout_course.h"
#include "model/layout_polygons.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

namespace {

using layout::direction;
using layout::leftOf;
using layout::MitreLine;
using layout::Polygon;

/// A side of the chorded outline.
struct Side {
    glm::dvec2 from, to;
    size_t edge = 0;
    glm::dvec2 along() const { return direction(from, to); }
};

std::vector<Side> sidesOf(const Area& area, glm::dvec2 origin) {
    const Chords chords = layout::localChords(area.outline, origin);
    const size_t n = chords.corners.size();
    std::vector<Side> out;
    for (size_t i = 0; i < n; ++i)
        out.push_back(
            {chords.corners[i], chords.corners[(i + 1) % n], static_cast<size_t>(chords.edgeOf[i])});
    return out;
}

bool carries(const Edging& edging, size_t edge) {
    return edging.edges.empty() ||
           std::find(edging.edges.begin(), edging.edges.end(), static_cast<int>(edge)) != edging.edges.end();
}

/// Thickness of the edging that meets `edging` on the neighbouring edge: its own, else another's, else none.
double neighbourThickness(const Area& area, const Edging& edging, size_t edge) {
    if (carries(edging, edge)) return edging.thickness;
    for (const Edging& other : area.edgings)
        if (carries(other, edge)) return other.thickness;
    return 0;
}

/// The outer corner between two sides, the side before carrying thickness a and the one after b; `square`
/// where one carries none or the mitre would be too long.
glm::dvec2 outerCorner(const Side& before, double a, const Side& after, double b, glm::dvec2 square) {
    if (!(a > 0 && b > 0)) return square;
    const auto mitre = layout::mitreBetween(after.from, before.along(), -a, after.along(), -b);
    return mitre ? mitre->at : square;
}

void addStrip(const Area& area, const std::vector<Side>& sides, size_t i, int index, EdgingPlan& plan) {
    const Edging& edging = area.edgings[static_cast<size_t>(index)];
    const Side& side = sides[i];
    const Side &before = sides[(i + sides.size() - 1) % sides.size()], &after = sides[(i + 1) % sides.size()];
    const double t = edging.thickness;
    const glm::dvec2 out = -leftOf(side.along()) * t;
    const glm::dvec2 first =
        outerCorner(before, neighbourThickness(area, edging, before.edge), side, t, side.from + out);
    const glm::dvec2 last =
        outerCorner(side, t, after, neighbourThickness(area, edging, after.edge), side.to + out);
    // In a hollow tighter than the edging is thick there is no room for a piece.
    if (layout::dot(last - first, side.along()) <= 0) return;
    EdgingPiece piece;
    piece.edging = index;
    piece.corner = {side.from, first, last, side.to};
    piece.height = edging.height;
    plan.pieces.push_back(piece);
}

/// The sides of one edge, in order; they stand together in the chorded outline.
std::vector<Side> sidesOfEdge(const std::vector<Side>& sides, size_t edge) {
    std::vector<Side> out;
    for (const Side& side : sides)
        if (side.edge == edge) out.push_back(side);
    return out;
}

/// Evenly along the edge, no farther apart than asked, half a space in from both ends.
void addSpikes(const Edging& edging, int index, const std::vector<Side>& edge, EdgingPlan& plan) {
    const double spacing = edge.size() > 1 ? edging.spikeSpacingOnCurves : edging.spikeSpacing;
    if (edge.empty() || !(spacing > 0) || !(edging.spikeLength > 0)) return;
    double length = 0;
    for (const Side& side : edge) length += layout::distance(side.from, side.to);
    const auto count = static_cast<int64_t>(std::max(1.0, std::ceil(length / spacing - 1e-9)));
    size_t k = 0;
    double passed = 0;  // length of the sides before side k
    for (int64_t i = 0; i < count; ++i) {
        const double at = (static_cast<double>(i) + 0.5) * length / static_cast<double>(count);
        for (double d = layout::distance(edge[k].from, edge[k].to); k + 1 < edge.size() && passed + d < at;
             d = layout::distance(edge[k].from, edge[k].to)) {
            passed += d;
            ++k;
        }
        const glm::dvec2 along = edge[k].along();
        Spike spike;
        spike.edging = index;
        spike.at = edge[k].from + along * (at - passed) -
                   leftOf(along) * (edging.thickness + edging.spikeDiameter / 2);
        spike.length = edging.spikeLength;
        spike.diameter = edging.spikeDiameter;
        plan.spikes.push_back(spike);
    }
}

}  // namespace

EdgingPlan layoutEdging(const Area& area, glm::dvec2 origin) {
    EdgingPlan plan;
    const std::vector<Side> sides = sidesOf(area, origin);
    for (size_t e = 0; e < area.edgings.size(); ++e) {
        const Edging& edging = area.edgings[e];
        if (!(edging.thickness > 0)) continue;
        for (size_t i = 0; i < sides.size(); ++i)
            if (carries(edging, sides[i].edge)) addStrip(area, sides, i, static_cast<int>(e), plan);
        for (size_t edge = 0; edge < area.outline.edges.size(); ++edge)
            if (carries(edging, edge)) addSpikes(edging, static_cast<int>(e), sidesOfEdge(sides, edge), plan);
    }
    return plan;
}

}  // namespace underfoot
