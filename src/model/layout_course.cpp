#include "model/layout_course.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "measure/cross.h"

namespace underfoot::layout {

namespace {

/// Cosine of a turn past which two edges are not mitred but end square: the mitre would be eight units long.
constexpr double sharpest = -0.97;
/// Sine of a turn below which two edges run straight on.
constexpr double straightOn = 1e-3;
/// Longer than what is cut off afterwards. Metres.
constexpr double spare = 1e-3;
/// A mitre nearer to an arc's end than this part of a unit is where the end unit simply ends.
constexpr double nearMitre = 0.1;
/// The part of an arc's radius that a course inside it may take.
constexpr double mostOfRadius = 0.95;

/// Where the line at distance v to the left of `corner` along `t` meets the mitre.
glm::dvec2 onMitre(const MitreLine& mitre, glm::dvec2 corner, glm::dvec2 t, double v) {
    const glm::dvec2 n = leftOf(t);
    return mitre.at + mitre.inward * ((v - dot(mitre.at - corner, n)) / dot(mitre.inward, n));
}

/// Keeps what follows (start) or comes before (end) the mitre, drawn back by `back`.
Polygon cutStart(const Polygon& ring, const MitreLine& mitre, double back) {
    return keepLeft(ring, mitre.at + leftOf(-mitre.inward) * back, -mitre.inward);
}
Polygon cutEnd(const Polygon& ring, const MitreLine& mitre, double back) {
    return keepLeft(ring, mitre.at + leftOf(mitre.inward) * back, mitre.inward);
}

// ---------------------------------------------------------------- straight edges

struct Frame {
    glm::dvec2 at, t, n;
    Polygon rectangle(double u0, double u1, double v0, double v1) const {
        const auto point = [&](double u, double v) { return at + t * u + n * v; };
        return {point(u0, v0), point(u1, v0), point(u1, v1), point(u0, v1)};
    }
};

Polygon cutBoth(Polygon ring, const CourseEdge& edge, double back) {
    if (edge.start) ring = cutStart(ring, *edge.start, back);
    if (edge.end) ring = cutEnd(ring, *edge.end, back);
    return ring;
}

CourseShapes alongStraight(const CourseEdge& edge, const CourseMeasures& m) {
    const glm::dvec2 first = edge.corners.front(), last = edge.corners.back();
    const glm::dvec2 t = direction(first, last);
    const Frame frame{first, t, leftOf(t)};
    const double length = distance(first, last), v0 = edge.inset, v1 = v0 + m.depth;
    double low = 0, high = length;
    for (const double v : {v0, v1 + m.joint}) {
        if (edge.start) low = std::min(low, dot(onMitre(*edge.start, first, t, v) - first, t));
        if (edge.end) high = std::max(high, dot(onMitre(*edge.end, first, t, v) - first, t));
    }
    CourseShapes out;
    const double step = m.along + m.joint;
    for (double k = std::floor(low / step); k * step < high; ++k) {
        const double u0 = k * step, u1 = u0 + m.along;
        const double from = edge.start ? u0 : std::max(u0, low), to = edge.end ? u1 : std::min(u1, high);
        if (to - from <= 0) continue;
        CourseUnit unit{frame.rectangle(from, to, v0, v1), u0 == from && to > u1 - 1e-9, true, frame.n,
                        frameOf(frame.rectangle(u0, u1, v0, v1))};
        const double area = ringArea(unit.outline);
        unit.outline = cutBoth(unit.outline, edge, m.joint / 2);
        if (ringArea(unit.outline) < area * (1 - 1e-9)) unit.whole = false;
        out.units.push_back(std::move(unit));
    }
    const double from = edge.start ? low - spare : -m.joint, to = edge.end ? high + spare : length + m.joint;
    out.strip.push_back(cutBoth(frame.rectangle(from, to, v0, v1 + m.joint), edge, 0));
    return out;
}

// ---------------------------------------------------------------- arcs

struct Arc {
    const Polygon& corners;
    glm::dvec2 centre{0, 0};
    double radius = 0;
    bool left = true;           ///< bends to the left: the inside is towards the centre
    std::vector<double> parts;  ///< parts of the whole sweep at the corners, 0 to 1
    double from = 0, sweep = 0;

    explicit Arc(const Polygon& c);
    glm::dvec2 ray(double part) const {
        const double angle = from + sweep * part;
        return {std::cos(angle), std::sin(angle)};
    }
    glm::dvec2 chord(size_t i) const { return direction(corners[i], corners[i + 1]); }
    double radiusAt(double inset) const { return left ? radius - inset : radius + inset; }
    /// On the ray at `part`, `v` inside the chord.
    glm::dvec2 offset(double part, double v) const;
    glm::dvec2 offsetCorner(size_t i, double v) const;
    /// Between two rays, from v0 to v1 inside the chords, turning left.
    Polygon cell(double part0, double part1, double v0, double v1) const;
};

Arc::Arc(const Polygon& c) : corners(c) {
    const glm::dvec2 a = c.front(), u = c[c.size() / 2] - a;
    // A whole circle has its last corner on its first: the one before it serves.
    const glm::dvec2 w = (distance(c.back(), a) > 1e-9 ? c.back() : c[c.size() - 2]) - a;
    const double twice = 2 * cross(u, w), uu = dot(u, u), ww = dot(w, w);
    centre = a + glm::dvec2{(w.y * uu - u.y * ww) / twice, (u.x * ww - w.x * uu) / twice};
    radius = distance(centre, a);
    left = twice > 0;
    from = std::atan2(a.y - centre.y, a.x - centre.x);
    parts.push_back(0);
    for (size_t i = 0; i + 1 < c.size(); ++i) {
        const glm::dvec2 p = c[i] - centre, q = c[i + 1] - centre;
        sweep += std::atan2(cross(p, q), dot(p, q));
        parts.push_back(sweep);
    }
    for (double& part : parts) part /= sweep;
    parts.back() = 1;
}

glm::dvec2 Arc::offset(double part, double v) const {
    const auto next = std::upper_bound(parts.begin() + 1, parts.end() - 1, part);
    const size_t i = static_cast<size_t>(next - parts.begin()) - 1;
    const glm::dvec2 n = leftOf(chord(i)), r = ray(part);
    return centre + r * ((v + dot(corners[i] - centre, n)) / dot(r, n));
}

glm::dvec2 Arc::offsetCorner(size_t i, double v) const {
    const glm::dvec2 before = chord(i - 1), after = chord(i);
    return corners[i] + (leftOf(before) + leftOf(after)) * (v / (1 + dot(before, after)));
}

Polygon Arc::cell(double part0, double part1, double v0, double v1) const {
    const double same = 1e-9;
    std::vector<size_t> between;
    for (size_t i = 1; i + 1 < parts.size(); ++i)
        if (parts[i] > part0 + same && parts[i] < part1 - same) between.push_back(i);
    Polygon out{offset(part0, v0)};
    for (const size_t i : between) out.push_back(offsetCorner(i, v0));
    out.push_back(offset(part1, v0));
    out.push_back(offset(part1, v1));
    for (auto i = between.rbegin(); i != between.rend(); ++i) out.push_back(offsetCorner(*i, v1));
    out.push_back(offset(part0, v1));
    return out;
}

/// One unit's place on the arc between two v: the first and last corners of the outer side, the same of the
/// inner side, and what lies between.
struct WedgeSide {
    glm::dvec2 outer, inner;
};
WedgeSide startSide(const Polygon& cell) {
    return {cell.front(), cell.back()};
}
WedgeSide endSide(const Polygon& cell) {
    const size_t half = cell.size() / 2;
    return {cell[half - 1], cell[half]};
}

class ArcCourse {
  public:
    ArcCourse(const CourseEdge& edge, const CourseMeasures& m)
        : edge_(edge), m_(m), arc_(edge.corners), room_(arc_.radiusAt(edge.inset)) {
        v0_ = edge.inset;
        unitDepth_ = m.depth;
        stripDepth_ = m.depth + m.joint;
        if (!arc_.left) return;
        unitDepth_ = std::min(unitDepth_, mostOfRadius * room_);
        stripDepth_ = std::min(stripDepth_, mostOfRadius * room_);
    }

    CourseShapes shapes() {
        if (arc_.left && room_ <= 0) return {};
        widest_ = std::abs(arc_.sweep) * (arc_.left ? room_ : arc_.radiusAt(v0_ + unitDepth_));
        double room = m_.along + m_.joint;
        for (const bool start : {true, false}) {
            if (!mitre(start)) room -= m_.joint / 2;  // a square end keeps its half joint
            if (endsOnMitre(start)) room -= std::max(0.0, farthest(start));
        }
        count_ = std::max(1, static_cast<int>(std::ceil(widest_ / room - 1e-9)));
        for (int k = 0; k < count_; ++k) addCell(k);
        addEnd(true);
        addEnd(false);
        return std::move(out_);
    }

  private:
    const std::optional<MitreLine>& mitre(bool start) const { return start ? edge_.start : edge_.end; }
    glm::dvec2 tangent(bool start) const { return arc_.chord(start ? 0 : edge_.corners.size() - 2); }
    glm::dvec2 corner(bool start) const { return start ? edge_.corners.front() : edge_.corners.back(); }

    /// How far beyond the arc's end the mitre runs at v; negative where it cuts into the arc.
    double beyond(bool start, double v) const {
        const glm::dvec2 t = tangent(start);
        const glm::dvec2 p = onMitre(*mitre(start), corner(start), t, v);
        const double along = dot(p - arc_.offset(start ? 0 : 1, v), t);
        return start ? -along : along;
    }
    double farthest(bool start) const {
        const double a = beyond(start, v0_), b = beyond(start, v0_ + stripDepth_);
        return std::abs(a) > std::abs(b) ? a : b;
    }
    /// The mitre is so near to the arc's end that the end unit simply ends on it.
    bool endsOnMitre(bool start) const {
        return mitre(start) &&
               std::abs(farthest(start)) < std::min(nearMitre * (m_.along + m_.joint), widest_ / 3);
    }

    Polygon cellAt(int k, double depth) const {
        Polygon cell = arc_.cell(static_cast<double>(k) / count_, (k + 1.0) / count_, v0_, v0_ + depth);
        const size_t half = cell.size() / 2;
        if (k == 0 && endsOnMitre(true)) {
            cell.front() = onMitre(*edge_.start, corner(true), tangent(true), v0_);
            cell.back() = onMitre(*edge_.start, corner(true), tangent(true), v0_ + depth);
        }
        if (k == count_ - 1 && endsOnMitre(false)) {
            cell[half - 1] = onMitre(*edge_.end, corner(false), tangent(false), v0_);
            cell[half] = onMitre(*edge_.end, corner(false), tangent(false), v0_ + depth);
        }
        return cell;
    }

    /// Mitres that reach far into the arc cut the units near that end, and only those.
    Polygon cutByMitres(Polygon ring, double back) const {
        for (const bool start : {true, false}) {
            if (!mitre(start) || endsOnMitre(start) || farthest(start) > 0) continue;
            const glm::dvec2 inner = onMitre(*mitre(start), corner(start), tangent(start), v0_ + stripDepth_);
            const double reach = distance(inner, corner(start)) + back;
            const bool near = std::any_of(ring.begin(), ring.end(),
                                          [&](glm::dvec2 p) { return distance(p, corner(start)) <= reach; });
            if (near) ring = start ? cutStart(ring, *mitre(start), back) : cutEnd(ring, *mitre(start), back);
        }
        return ring;
    }

    Polygon withJoints(Polygon cell, bool atStart, bool atEnd) const {
        const WedgeSide start = startSide(cell), end = endSide(cell);
        if (atStart) cell = cutStart(cell, {start.outer, direction(start.outer, start.inner)}, m_.joint / 2);
        if (atEnd) cell = cutEnd(cell, {end.outer, direction(end.outer, end.inner)}, m_.joint / 2);
        return cell;
    }

    void addUnit(Polygon outline, const UnitFrame& frame) {
        if (outline.size() >= 3)
            out_.units.push_back({std::move(outline), false, false, leftOf(tangent(true)), frame});
    }

    /// The unit that a wedge is sawn from: its middle on the wedge's, its outer side on the outermost corner.
    UnitFrame frameFor(const Polygon& wedge) const {
        const WedgeSide start = startSide(wedge), end = endSide(wedge);
        const glm::dvec2 t = direction(start.outer + start.inner, end.outer + end.inner), n = leftOf(t);
        const glm::dvec2 middle = (start.outer + start.inner + end.outer + end.inner) * 0.25;
        double low = dot(wedge.front() - middle, n);
        for (const glm::dvec2& p : wedge) low = std::min(low, dot(p - middle, n));
        const Frame frame{middle + n * low, t, n};
        return frameOf(frame.rectangle(-m_.along / 2, m_.along / 2, 0, m_.depth));
    }

    void addCell(int k) {
        const bool first = k == 0, last = k == count_ - 1;
        const Polygon wedge = cellAt(k, unitDepth_);
        const Polygon unit = withJoints(wedge, !first || mitre(true), !last || mitre(false));
        addUnit(cutByMitres(unit, m_.joint / 2), frameFor(wedge));
        Polygon strip = cutByMitres(cellAt(k, stripDepth_), 0);
        if (strip.size() >= 3) out_.strip.push_back(std::move(strip));
    }

    /// Beyond the arc's end, along its tangent: up to the mitre where the outline turns right there, or the
    /// joint's width where the course ends square.
    void addEnd(bool start) {
        if (!mitre(start)) return addStripBeyond(start, m_.joint);
        const double far = farthest(start);
        if (endsOnMitre(start) || far <= 0) return;
        const int count = std::max(1, static_cast<int>(std::ceil(far / (m_.along + m_.joint) - 1e-9)));
        for (int k = 0; k < count; ++k) {
            const double last = k == count - 1 ? far + spare : far * (k + 1) / count;
            const Polygon place = beyondEnd(start, far * k / count, last, unitDepth_);
            addUnit(cutAtOwnMitre(withJoints(place, true, true), start, m_.joint / 2), frameFor(place));
        }
        addStripBeyond(start, far + spare);
    }

    Polygon cutAtOwnMitre(Polygon ring, bool start, double back) const {
        if (!mitre(start)) return ring;
        return start ? cutStart(ring, *mitre(start), back) : cutEnd(ring, *mitre(start), back);
    }

    Polygon beyondEnd(bool start, double near, double far, double depth) const {
        const glm::dvec2 outer = arc_.offset(start ? 0 : 1, v0_),
                         inner = arc_.offset(start ? 0 : 1, v0_ + depth);
        const glm::dvec2 t = tangent(start);
        if (start) return {outer - t * far, outer - t * near, inner - t * near, inner - t * far};
        return {outer + t * near, outer + t * far, inner + t * far, inner + t * near};
    }

    void addStripBeyond(bool start, double length) {
        if (length <= 0) return;
        Polygon strip = cutAtOwnMitre(beyondEnd(start, 0, length, stripDepth_), start, 0);
        if (strip.size() >= 3) out_.strip.push_back(std::move(strip));
    }

    const CourseEdge& edge_;
    const CourseMeasures& m_;
    Arc arc_;
    double room_, v0_ = 0, unitDepth_ = 0, stripDepth_ = 0, widest_ = 0;
    int count_ = 1;
    CourseShapes out_;
};

}  // namespace

std::optional<MitreLine> mitreBetween(glm::dvec2 corner, glm::dvec2 before, double a, glm::dvec2 after,
                                      double b) {
    const double cosine = dot(before, after), sine = cross(before, after);
    if (cosine < sharpest) return std::nullopt;
    const glm::dvec2 n0 = leftOf(before), n1 = leftOf(after);
    const glm::dvec2 inward = direction({0, 0}, n0 + n1);
    if (a == b) return MitreLine{corner + (n0 + n1) * (a / (1 + cosine)), inward};
    if (std::abs(sine) < straightOn) return std::nullopt;
    // n0 . x = a and n1 . x = b, by Cramer's rule.
    const glm::dvec2 x{(a * n1.y - b * n0.y) / sine, (b * n0.x - a * n1.x) / sine};
    return MitreLine{corner + x, inward};
}

CourseShapes courseAlong(const CourseEdge& edge, const CourseMeasures& measures) {
    if (edge.corners.size() == 2) return alongStraight(edge, measures);
    return ArcCourse(edge, measures).shapes();
}

}  // namespace underfoot::layout
