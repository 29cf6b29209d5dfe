// Which way water goes, and which area drains where.

#include "study/water_flow.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

#include "measure/cross.h"
#include "study/index.h"

namespace underfoot {

namespace {

int first(const WaterFace& face, int edge) {
    return face.node[index((edge + 1) % 3)];
}
int second(const WaterFace& face, int edge) {
    return face.node[index((edge + 2) % 3)];
}

/// Where the flow line through a face's corner opposite an edge meets the line of that edge: 0 at the edge's
/// first node, 1 at its second. The edge is not along the fall.
double footOf(const WaterSurface& surface, const WaterFace& face, int edge) {
    const glm::dvec2 p = surface.at(first(face, edge));
    const double whole = cross(face.gradient, surface.at(second(face, edge)) - p);
    return cross(face.gradient, surface.at(face.node[index(edge)]) - p) / whole;
}
/// Water leaves the face over the edge.
bool leavesBy(const WaterSurface& surface, const WaterFace& face, int edge) {
    return cross(surface.at(second(face, edge)) - surface.at(first(face, edge)), face.gradient) > 0;
}
/// Water enters the face over the edge.
bool entersBy(const WaterSurface& surface, const WaterFace& face, int edge) {
    return cross(surface.at(second(face, edge)) - surface.at(first(face, edge)), face.gradient) < 0;
}

}  // namespace

int WaterFlow::lowerOf(int a, int b) const {
    if (surface_.z(a) != surface_.z(b)) return surface_.z(a) < surface_.z(b) ? a : b;
    return order_[index(a)] < order_[index(b)] ? a : b;
}

WaterFlow::Across WaterFlow::across(int f, int edge) const {
    const WaterFace& face = surface_.faces[index(f)];
    const int p = first(face, edge), q = second(face, edge);
    Across next;
    const int other = face.beside[index(edge)];
    if (other < 0) {
        const RimKind rim = face.rim[index(edge)];
        if (rim == RimKind::Wall)
            next.node = lowerOf(p, q);
        else
            next.end = {rim == RimKind::House ? WaterEndKind::House : WaterEndKind::Leaves, 3 * f + edge};
        return next;
    }
    const WaterFace& beside = surface_.faces[index(other)];
    int back = 0;
    while (back < 2 && (beside.beside[index(back)] != f ||
                        surface_.placeOf[index(first(beside, back))] != surface_.placeOf[index(q)]))
        ++back;
    const int p2 = second(beside, back), q2 = first(beside, back);
    if (surface_.z(p2) + surface_.z(q2) > surface_.z(p) + surface_.z(q) && (p2 != p || q2 != q)) {
        next.node = lowerOf(p, q);  // the foot of a step
    } else if (beside.level) {
        next.node = earliest(beside);
    } else if (!entersBy(surface_, beside, back)) {
        next.node = lowerOf(p2, q2);
    } else {
        next.face = other;
        next.edge = back;
    }
    return next;
}

WaterFlow::Descent WaterFlow::descent(int node, int exceptPond) const {
    Descent best;
    double steepest = 0;
    const glm::dvec2 at = surface_.at(node);
    const auto take = [&](int to, double fall) {
        if (fall <= steepest || (exceptPond >= 0 && pondOf_[index(to)] == exceptPond)) return;
        steepest = fall;
        best = {};
        best.node = to;
    };
    const int place = surface_.placeOf[index(node)];
    for (int i = firstAt_[index(place)]; i < firstAt_[index(place) + 1]; ++i) {
        const int beside = nodesAt_[index(i)];
        if (surface_.z(beside) < surface_.z(node)) take(beside, std::numeric_limits<double>::max());
    }
    for (int i = firstFace_[index(node)]; i < firstFace_[index(node) + 1]; ++i) {
        const int f = facesOf_[index(i)] / 3, corner = facesOf_[index(i)] % 3;
        const WaterFace& face = surface_.faces[index(f)];
        if (exceptPond >= 0 && pondOfFace(face) == exceptPond) continue;
        const glm::dvec2 a = surface_.at(first(face, corner)), b = surface_.at(second(face, corner));
        for (const int to : {first(face, corner), second(face, corner)}) {
            const glm::dvec2 way = surface_.at(to) - at;
            take(to, (surface_.z(node) - surface_.z(to)) / std::hypot(way.x, way.y));
        }
        const glm::dvec2 down = -face.gradient;
        const double fall = std::hypot(down.x, down.y);
        if (fall <= steepest || cross(a - at, down) <= 0 || cross(down, b - at) <= 0) continue;
        steepest = fall;
        best = {};
        best.face = f;
        best.edge = corner;
        best.ratio = std::clamp(footOf(surface_, face, corner), 0.0, 1.0);
    }
    return best;
}

WaterFlow::Descent WaterFlow::wayOn(int node, double& pit) const {
    const bool hollow = level_[index(node)] > surface_.z(node);  // too shallow for a pond
    Descent way;
    if (surface_.z(node) < pit) way = descent(node, -1);
    if (way.face >= 0 || (way.node >= 0 && !hollow)) return way;
    pit = std::min(pit, surface_.z(node));
    way = {};
    way.node = parent_[index(node)];
    return way;
}

WaterEnd WaterFlow::rootOf(int node) const {
    for (;;) {
        const size_t n = index(node);
        if (pondOf_[n] >= 0) return {WaterEndKind::Pond, pondOf_[n]};
        if (inletOf_[n] >= 0) return {WaterEndKind::Inlet, inletOf_[n]};
        if (outlet_[n] >= 0) return {WaterEndKind::Leaves, outlet_[n]};
        node = parent_[n];
        assert(node >= 0);
    }
}

// ---------------------------------------------------------------- ends of edges and nodes

namespace {
constexpr int nodeItem(int node) {
    return -1 - node;
}
}  // namespace

bool WaterFlow::ready(int item) const {
    return item >= 0 ? !parts_[index(item)].empty() : nodeEnd_[index(-1 - item)].has_value();
}

WaterEnd WaterFlow::endOf(int node) const {
    return nodeEnd_[index(node)] ? *nodeEnd_[index(node)] : rootOf(node);
}

WaterFlow::Needed WaterFlow::needed(int item) const {
    if (item < 0) {
        const int node = -1 - item;
        const size_t n = index(node);
        if (pondOf_[n] >= 0 || inletOf_[n] >= 0 || outlet_[n] >= 0) return {};
        const Descent way = descent(node, -1);
        if (way.face >= 0) return Needed(3 * way.face + way.edge);
        return Needed(nodeItem(way.node >= 0 && level_[n] <= surface_.z(node) ? way.node : parent_[n]));
    }
    const Across next = across(item / 3, item % 3);
    if (next.end) return {};
    if (next.node >= 0) return Needed(nodeItem(next.node));
    Needed all;
    for (int e = 0; e < 3; ++e)
        if (leavesBy(surface_, surface_.faces[index(next.face)], e)) all.add(3 * next.face + e);
    return all;
}

const WaterFlow::Part& WaterFlow::partAt(int halfEdge, double ratio) const {
    const std::vector<Part>& parts = parts_[index(halfEdge)];
    for (const Part& part : parts)
        if (ratio <= part.to) return part;
    return parts.back();
}

// Water that enters over an edge leaves over one or two others; what is known of those is carried back along
// the flow lines.
std::vector<WaterFlow::Part> WaterFlow::carriedBack(int f, int edge) const {
    const WaterFace& face = surface_.faces[index(f)];
    const double foot = footOf(surface_, face, edge);
    std::vector<Part> found;
    // From the edge's second node to its first, as the edge is passed from the other side.
    const auto carry = [&](int exit, double from, double to, const auto& there, const auto& here) {
        if (to <= from) return;
        const std::vector<Part>& parts = parts_[index(3 * f + exit)];
        if (parts.empty()) {  // a path that comes round to where it was: it ends where its lower end does
            found.push_back({to, rootOf(lowerOf(first(face, exit), second(face, exit)))});
            return;
        }
        for (const Part& part : parts) {
            if (part.to <= there(from)) continue;
            const double until = std::min(to, here(part.to));
            if (!found.empty() && found.back().end == part.end)
                found.back().to = until;
            else
                found.push_back({until, part.end});
            if (until >= to) break;
        }
        found.back().to = to;
    };
    const double split = std::clamp(1 - foot, 0.0, 1.0);
    carry((edge + 1) % 3, 0, split, [&](double t) { return t / (1 - foot); },
          [&](double u) { return u * (1 - foot); });
    carry((edge + 2) % 3, split, 1, [&](double t) { return 1 - (1 - t) / foot; },
          [&](double u) { return 1 - (1 - u) * foot; });
    assert(!found.empty());
    return found;
}

void WaterFlow::settle(int item) {
    if (item < 0) {
        const int node = -1 - item;
        const size_t n = index(node);
        const Needed way = needed(item);
        if (way.begin() == way.end()) {
            nodeEnd_[n] = rootOf(node);
        } else if (const int next = *way.begin(); next < 0) {
            nodeEnd_[n] = endOf(-1 - next);
        } else {
            nodeEnd_[n] = ready(next) ? partAt(next, descent(node, -1).ratio).end : rootOf(node);
        }
        return;
    }
    const Across next = across(item / 3, item % 3);
    if (next.end)
        parts_[index(item)] = {{1, *next.end}};
    else if (next.node >= 0)
        parts_[index(item)] = {{1, endOf(next.node)}};
    else
        parts_[index(item)] = carriedBack(next.face, next.edge);
}

void WaterFlow::resolve(int item) {
    std::vector<std::pair<int, bool>>& stack = stack_;  // and whether what it needs was asked for
    stack.assign(1, {item, false});
    while (!stack.empty()) {
        auto& [top, asked] = stack.back();
        if (ready(top)) {
            stack.pop_back();
        } else if (asked) {
            settle(top);
            stack.pop_back();
        } else {
            asked = true;
            const int of = top;
            if (of >= 0) {
                const WaterFace& face = surface_.faces[index(of / 3)];
                const int pond = pondOf_[index(first(face, of % 3))];
                if (pond >= 0 && pond == pondOf_[index(second(face, of % 3))]) {
                    parts_[index(of)] = {{1, {WaterEndKind::Pond, pond}}};
                    continue;
                }
            }
            const size_t depth = of >= 0 ? index(of) : parts_.size() + index(-1 - of);
            if (open_[depth]) {
                stack.pop_back();
                continue;
            }
            open_[depth] = 1;
            for (const int other : needed(of))
                if (!ready(other)) stack.emplace_back(other, false);
        }
    }
}

// ---------------------------------------------------------------- areas

void WaterFlow::addFace(int f, std::vector<WaterOutlet>& all) const {
    const WaterFace& face = surface_.faces[index(f)];
    const auto add = [&](const WaterEnd& end, double area) {
        if (area > 0) all.push_back({end, area});
    };
    const int pond = pondOf_[index(face.node[0])];
    if (pond >= 0 && pond == pondOf_[index(face.node[1])] && pond == pondOf_[index(face.node[2])]) {
        add({WaterEndKind::Pond, pond}, face.planArea);
        return;
    }
    if (face.level) {
        add(endOf(earliest(face)), face.planArea);
        return;
    }
    for (int e = 0; e < 3; ++e) {
        if (!leavesBy(surface_, face, e)) continue;
        // Flow lines are longest over the foot of the opposite corner and shrink evenly to nothing at the
        // outermost corners: the area between them grows with the square.
        const double foot = footOf(surface_, face, e);
        const auto upTo = [&](double t) {
            if (foot >= 1) return face.planArea * t * t / foot;
            if (foot <= 0) return face.planArea * (1 - (1 - t) * (1 - t)) / (1 - foot);
            return face.planArea * (t <= foot ? t * t / foot : 1 - (1 - t) * (1 - t) / (1 - foot));
        };
        double from = 0;
        for (const Part& part : parts_[index(3 * f + e)]) {
            add(part.end, upTo(part.to) - upTo(from));
            from = part.to;
        }
    }
}

std::vector<WaterOutlet> WaterFlow::catchments() {
    parts_.assign(3 * surface_.faces.size(), {});
    nodeEnd_.assign(surface_.nodes.size(), std::nullopt);
    open_.assign(parts_.size() + nodeEnd_.size(), 0);
    std::vector<WaterOutlet> pieces;
    for (size_t f = 0; f < surface_.faces.size(); ++f) {
        const WaterFace& face = surface_.faces[f];
        if (face.level)
            for (const int node : face.node) resolve(nodeItem(node));
        for (int e = 0; e < 3; ++e)
            if (!face.level && leavesBy(surface_, face, e)) resolve(3 * static_cast<int>(f) + e);
        addFace(static_cast<int>(f), pieces);
    }
    std::map<std::pair<WaterEndKind, int>, double> sums;
    for (const WaterOutlet& piece : pieces) sums[{piece.end.kind, piece.end.index}] += piece.catchment;
    std::vector<WaterOutlet> all;
    for (Pond& pond : ponds_) pond.catchment = 0;
    for (const auto& [end, area] : sums) {
        all.push_back({{end.first, end.second}, area});
        if (end.first == WaterEndKind::Pond) ponds_[index(end.second)].catchment = area;
    }
    return all;
}

// ---------------------------------------------------------------- a single way

int WaterFlow::earliest(const WaterFace& face) const {
    return *std::min_element(face.node.begin(), face.node.end(),
                             [this](int a, int b) { return order_[index(a)] < order_[index(b)]; });
}

glm::dvec3 WaterFlow::on(int f, int edge, double ratio) const {
    const WaterFace& face = surface_.faces[index(f)];
    return surface_.nodes[index(first(face, edge))] * (1 - ratio) +
           surface_.nodes[index(second(face, edge))] * ratio;
}

// Over a face from where the way stands; `came` is the edge it came in by, -1 from within.
WaterFlow::Descent WaterFlow::overFace(int f, int came, glm::dvec2 p) const {
    const WaterFace& face = surface_.faces[index(f)];
    Descent way;
    double nearest = std::numeric_limits<double>::infinity();
    for (int e = 0; e < 3; ++e) {
        if (e == came || !leavesBy(surface_, face, e)) continue;
        const glm::dvec2 a = surface_.at(first(face, e)), side = surface_.at(second(face, e)) - a;
        const double t = cross(face.gradient, p - a) / cross(face.gradient, side);
        const double miss = std::max({0.0, -t, t - 1});
        if (miss >= nearest) continue;
        nearest = miss;
        way.face = f, way.edge = e, way.ratio = std::clamp(t, 0.0, 1.0);
    }
    assert(way.face >= 0);
    return way;
}

// On from a node, or into a face over its edge (-1: from within).
void WaterFlow::walk(FlowPath& way, Across next) const {
    double pit = std::numeric_limits<double>::infinity();
    int last = -1;
    for (size_t steps = 0; !next.end && steps < 4 * surface_.faces.size() + 20; ++steps) {
        Descent on;
        if (next.node >= 0) {
            last = next.node;
            const size_t n = index(last);
            way.points.push_back(surface_.nodes[n]);
            if (pondOf_[n] >= 0 || inletOf_[n] >= 0 || outlet_[n] >= 0) {
                next.end = rootOf(last);
                break;
            }
            on = wayOn(last, pit);
        } else {
            const WaterFace& face = surface_.faces[index(next.face)];
            last = face.node[0];
            const int pond = pondOfFace(face);
            const glm::dvec3& p = way.points.back();
            if (pond >= 0 && p.z < ponds_[index(pond)].level) {
                next.end = {WaterEndKind::Pond, pond};
                break;
            }
            on = overFace(next.face, next.edge, {p.x, p.y});
        }
        if (on.face >= 0) {
            way.points.push_back(this->on(on.face, on.edge, on.ratio));
            next = across(on.face, on.edge);
        } else {
            next = {};
            next.node = on.node;
        }
    }
    way.end = next.end ? *next.end : rootOf(last);
}

WaterEnd WaterFlow::followed(const Descent& way) const {
    FlowPath path;
    Across next;
    next.node = way.node;
    if (way.face >= 0) {
        path.points.push_back(on(way.face, way.edge, way.ratio));
        next = across(way.face, way.edge);
    }
    walk(path, next);
    return path.end;
}

double FlowPath::length() const {
    double sum = 0;
    for (size_t i = 1; i < points.size(); ++i)
        sum += std::hypot(points[i].x - points[i - 1].x, points[i].y - points[i - 1].y);
    return sum;
}

std::optional<FlowPath> WaterFlow::path(glm::dvec2 from) const {
    const int f = faceAt(surface_, from);
    if (f < 0) return std::nullopt;
    const WaterFace& face = surface_.faces[index(f)];
    const glm::dvec2 away = from - surface_.at(face.node[0]);
    FlowPath way;
    way.points.emplace_back(from.x, from.y,
                            surface_.z(face.node[0]) + face.gradient.x * away.x + face.gradient.y * away.y);
    Across next;
    if (face.level)
        next.node = earliest(face);
    else
        next.face = f;
    walk(way, next);
    return way;
}

}  // namespace underfoot
