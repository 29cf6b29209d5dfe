// The fill: levels of nodes, and the ponds they make.

#include <algorithm>
#include <array>
#include <cstdint>
#include <functional>
#include <limits>
#include <map>
#include <numeric>
#include <optional>
#include <queue>
#include <tuple>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/tolerance.h"
#include "study/index.h"
#include "study/water_flow.h"
#include "study/water_surface.h"

namespace underfoot {

namespace {

/// Counts into places: first[i] to first[i + 1] of `items` belong to i.
void group(size_t count, const std::vector<int>& of, std::vector<int>& first, std::vector<int>& items) {
    first.assign(count + 1, 0);
    for (const int i : of) ++first[index(i) + 1];
    std::partial_sum(first.begin(), first.end(), first.begin());
    items.resize(of.size());
    std::vector<int> next(first.begin(), first.end() - 1);
    for (size_t k = 0; k < of.size(); ++k) items[index(next[index(of[k])]++)] = static_cast<int>(k);
}

}  // namespace

WaterFlow::WaterFlow(const WaterSurface& surface) : surface_(surface) {
    join();
    flood();
    findPonds();
    findOverflows();
}

double WaterFlow::volume() const {
    double sum = 0;
    for (const Pond& pond : ponds_) sum += pond.volume;
    return sum;
}

void WaterFlow::join() {
    std::vector<int> corners;
    for (const WaterFace& face : surface_.faces)
        corners.insert(corners.end(), face.node.begin(), face.node.end());
    group(surface_.nodes.size(), corners, firstFace_, facesOf_);
    const auto last = std::max_element(surface_.placeOf.begin(), surface_.placeOf.end());
    const size_t places = last == surface_.placeOf.end() ? 0 : index(*last) + 1;
    group(places, surface_.placeOf, firstAt_, nodesAt_);
}

/// Water rising from where it leaves: the lowest node that may be reached is reached next.
class WaterFlow::Fill {
  public:
    explicit Fill(WaterFlow& flow) : flow_(flow), surface_(flow.surface_) {}

    void run() {
        openRim();
        openInlets();
        std::sort(rim_.begin(), rim_.end());
        for (auto closed = rim_.begin();;) {
            spread();
            // What no open end drains leaves over the lowest of the closed ones.
            while (closed != rim_.end() && reached(closed->second.first)) ++closed;
            if (closed == rim_.end()) return;
            const auto [node, half] = closed->second;
            flow_.outlet_[index(node)] = half;
            start(node);
        }
    }

  private:
    using Entry = std::tuple<double, int, int>;  // level, node, from where

    bool reached(int node) const { return flow_.order_[index(node)] >= 0; }

    /// Until a node is reached its level and parent are those of the best offer, and worse ones are let be.
    void offer(int to, double level, int from) {
        const size_t n = index(to);
        level = std::max(level, surface_.z(to));
        double& best = flow_.level_[n];
        if (reached(to) || level > best || (level == best && from >= flow_.parent_[n])) return;
        best = level;
        flow_.parent_[n] = from;
        open_.emplace(level, to, from);
    }
    void start(int node) { offer(node, surface_.z(node), -1); }

    void openRim() {
        for (size_t f = 0; f < surface_.faces.size(); ++f) {
            const WaterFace& face = surface_.faces[f];
            for (size_t e = 0; e < 3; ++e) {
                if (face.beside[e] >= 0) continue;
                const int half = static_cast<int>(3 * f + e);
                for (const int node : {face.node[(e + 1) % 3], face.node[(e + 2) % 3]}) {
                    rim_.push_back({surface_.z(node), {node, half}});
                    if (face.rim[e] != RimKind::Open) continue;
                    if (flow_.outlet_[index(node)] < 0) start(node);
                    flow_.outlet_[index(node)] = half;
                }
            }
        }
    }

    void openInlets() {
        for (size_t i = 0; i < surface_.inlets.size(); ++i) {
            const int node = surface_.inlets[i].node;
            flow_.inletOf_[index(node)] = static_cast<int>(i);
            start(node);
        }
    }

    void spread() {
        while (!open_.empty()) {
            const auto [level, node, from] = open_.top();
            open_.pop();
            if (reached(node)) continue;
            flow_.order_[index(node)] = count_++;
            offerBeside(node, level);
        }
    }

    void offerBeside(int node, double level) {
        const size_t n = index(node);
        for (int i = flow_.firstFace_[n]; i < flow_.firstFace_[n + 1]; ++i)
            for (const int other : surface_.faces[index(flow_.facesOf_[index(i)] / 3)].node)
                offer(other, level, node);
        const size_t place = index(surface_.placeOf[n]);
        for (int i = flow_.firstAt_[place]; i < flow_.firstAt_[place + 1]; ++i)
            offer(flow_.nodesAt_[index(i)], level, node);
    }

    WaterFlow& flow_;
    const WaterSurface& surface_;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open_;
    std::vector<std::pair<double, std::pair<int, int>>> rim_;  // height, node and half edge
    int count_ = 0;
};

void WaterFlow::flood() {
    const size_t count = surface_.nodes.size();
    level_.assign(count, std::numeric_limits<double>::infinity());
    order_.assign(count, -1);
    parent_.assign(count, -1);
    inletOf_.assign(count, -1);
    outlet_.assign(count, -1);
    Fill(*this).run();
}

// ---------------------------------------------------------------- ponds

int WaterFlow::pondOfFace(const WaterFace& face) const {
    for (const int node : face.node)
        if (pondOf_[index(node)] >= 0) return pondOf_[index(node)];
    return -1;
}

void WaterFlow::findPonds() {
    pondOf_.assign(surface_.nodes.size(), -1);
    std::vector<uint8_t> seen(surface_.nodes.size(), 0);
    const auto wet = [this](int node) {
        return order_[index(node)] >= 0 && level_[index(node)] > surface_.z(node);
    };
    for (int start = 0; start < static_cast<int>(surface_.nodes.size()); ++start) {
        if (seen[index(start)] != 0 || !wet(start)) continue;
        std::vector<int> nodes{start};
        seen[index(start)] = 1;
        const auto reach = [&](int node) {
            if (seen[index(node)] != 0 || !wet(node)) return;
            seen[index(node)] = 1;
            nodes.push_back(node);
        };
        for (size_t k = 0; k < nodes.size(); ++k) {
            const size_t n = index(nodes[k]);
            for (int i = firstFace_[n]; i < firstFace_[n + 1]; ++i)
                for (const int other : surface_.faces[index(facesOf_[index(i)] / 3)].node) reach(other);
            const size_t place = index(surface_.placeOf[n]);
            for (int i = firstAt_[place]; i < firstAt_[place + 1]; ++i) reach(nodesAt_[index(i)]);
        }
        const int deepest = *std::min_element(nodes.begin(), nodes.end(), [this](int a, int b) {
            return std::make_tuple(surface_.z(a), surface_.at(a).x, surface_.at(a).y) <
                   std::make_tuple(surface_.z(b), surface_.at(b).x, surface_.at(b).y);
        });
        Pond pond;
        pond.level = level_[index(deepest)];
        pond.depth = pond.level - surface_.z(deepest);
        pond.deepest = surface_.at(deepest);
        if (pond.depth <= tolerance::lengthCompare) continue;
        const int entered = *std::min_element(
            nodes.begin(), nodes.end(), [this](int a, int b) { return order_[index(a)] < order_[index(b)]; });
        pond.cell = surface_.faces[index(facesOf_[index(firstFace_[index(deepest)])] / 3)].cell;
        spillNode_.push_back(parent_[index(entered)]);
        pond.spill = surface_.at(spillNode_.back());
        for (const int node : nodes) pondOf_[index(node)] = static_cast<int>(ponds_.size());
        ponds_.push_back(std::move(pond));
    }
    traceRings();
}

void WaterFlow::findOverflows() {
    for (size_t i = 0; i < ponds_.size(); ++i) {
        // What leaves the pond never comes back to it: from the spill on by the steepest way outside it, then
        // on to where that way ends.
        const int spill = spillNode_[i];
        if (outlet_[index(spill)] >= 0 || inletOf_[index(spill)] >= 0) {
            ponds_[i].overflow = rootOf(spill);
            continue;
        }
        const Descent way = descent(spill, static_cast<int>(i));
        WaterEnd end = rootOf(parent_[index(spill)]);
        if (way.node >= 0 || way.face >= 0) {
            const WaterEnd found = followed(way);
            if (!(found == WaterEnd{WaterEndKind::Pond, static_cast<int>(i)})) end = found;
        }
        ponds_[i].overflow = end;
    }
}

// ---------------------------------------------------------------- their shape

namespace {

/// A corner of the wet part of a face: a node, or where the water's edge crosses an edge.
struct WetCorner {
    std::pair<int, int> key;  // node twice, or both nodes of the edge, the lesser first
    glm::dvec3 at;            // x, y, depth
};

std::vector<WetCorner> wetPart(const WaterSurface& surface, const WaterFace& face, double level) {
    std::vector<WetCorner> part;
    for (size_t c = 0; c < 3; ++c) {
        const int a = face.node[c], b = face.node[(c + 1) % 3];
        const double da = level - surface.z(a), db = level - surface.z(b);
        const glm::dvec2 pa = surface.at(a), pb = surface.at(b);
        if (da >= 0) part.push_back({{a, a}, {pa.x, pa.y, da}});
        if ((da > 0 && db < 0) || (da < 0 && db > 0)) {
            const glm::dvec2 p = pa + (pb - pa) * (da / (da - db));
            part.push_back({std::minmax(a, b), {p.x, p.y, 0}});
        }
    }
    if (part.size() < 3) part.clear();
    return part;
}

using Side = std::pair<std::pair<int, int>, std::pair<int, int>>;

/// Chains sides end to end into rings.
std::vector<std::vector<glm::dvec2>> ringsOf(const std::map<Side, glm::dvec2>& sides) {
    std::vector<std::vector<glm::dvec2>> rings;
    std::map<Side, glm::dvec2> left = sides;
    while (!left.empty()) {
        const auto begin = left.begin()->first.first;
        std::vector<glm::dvec2> ring;
        for (auto at = left.begin(); at != left.end();) {
            ring.push_back(at->second);
            const auto to = at->first.second;
            left.erase(at);
            if (to == begin) break;
            at = left.lower_bound({to, {-1, -1}});
            if (at == left.end() || at->first.first != to) break;
        }
        if (ring.size() >= 3) rings.push_back(std::move(ring));
    }
    return rings;
}

}  // namespace

void WaterFlow::traceRings() {
    std::vector<std::map<Side, glm::dvec2>> sides(ponds_.size());
    for (const WaterFace& face : surface_.faces) {
        const int of = pondOfFace(face);
        if (of < 0) continue;
        Pond& pond = ponds_[index(of)];
        const std::vector<WetCorner> part = wetPart(surface_, face, pond.level);
        for (size_t i = 1; i + 1 < part.size(); ++i) {
            const glm::dvec3 b = part[i].at - part[0].at, c = part[i + 1].at - part[0].at;
            const double area = 0.5 * (b.x * c.y - b.y * c.x);
            pond.planArea += area;
            pond.volume += area * (part[0].at.z + part[i].at.z + part[i + 1].at.z) / 3;
        }
        for (size_t i = 0; i < part.size(); ++i) {
            const WetCorner &from = part[i], &to = part[(i + 1) % part.size()];
            if (sides[index(of)].erase({to.key, from.key}) == 0)
                sides[index(of)][{from.key, to.key}] = {from.at.x, from.at.y};
        }
    }
    for (size_t i = 0; i < ponds_.size(); ++i) ponds_[i].rings = ringsOf(sides[i]);
}

}  // namespace underfoot
