#include "study/patches.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <tuple>
#include <utility>

#include "ground/tolerance.h"
#include "plan/plan.h"
#include "study/index.h"
#include "study/walk.h"

namespace underfoot {

namespace {

int next(int corner) {
    return corner == 2 ? 0 : corner + 1;
}
bool before(glm::dvec2 a, glm::dvec2 b) {
    return a.x != b.x ? a.x < b.x : a.y < b.y;
}

// The covered part of an edge, as ratios of the way from its lower vertex to its higher.
struct Cover {
    double from = 0;
    double to = 0;
    bool none() const { return !(to > from); }
};

struct Segment {
    int from = -1;
    int to = -1;
    int piece = -1;
};

class PatchBuilder {
  public:
    PatchBuilder(const Model& model, const std::vector<FieldCell>& field) : model_(model) {
        for (const FieldCell& cell : field) {
            if (!isPast(cell)) continue;
            if (pieceOf_.empty()) pieceOf_.assign(model.cells.size(), -1);
            assert(pieceOf_[index(cell.cell)] < 0);
            pieceOf_[index(cell.cell)] = static_cast<int>(pieces_.size());
            pieces_.push_back(cell);
        }
        root_.resize(pieces_.size());
        std::iota(root_.begin(), root_.end(), 0);
    }

    std::vector<FieldPatch> build() {
        for (int p = 0; p < static_cast<int>(pieces_.size()); ++p) addBorders(p);
        const std::vector<std::vector<int>> members = groupPieces();
        std::vector<FieldPatch> patches;
        patches.reserve(members.size());
        for (const auto& pieces : members) patches.push_back(measure(pieces));
        const std::vector<std::vector<Segment>> borders = groupSegments();
        for (size_t i = 0; i < patches.size(); ++i) patches[i].outline = traceRings(borders[i]);
        std::stable_sort(patches.begin(), patches.end(), [](const FieldPatch& a, const FieldPatch& b) {
            return a.worstExcess != b.worstExcess ? a.worstExcess > b.worstExcess : before(a.worst, b.worst);
        });
        return patches;
    }

  private:
    // ------------------------------------------------ pieces and their edges

    const Cell& cellOf(int piece) const { return model_.cells[index(pieces_[index(piece)].cell)]; }

    int cornerAt(const Cell& cell, int vertex) const {
        return cell.vertex[0] == vertex ? 0 : cell.vertex[1] == vertex ? 1 : 2;
    }

    bool wholePast(int piece) const {
        const auto& e = pieces_[index(piece)].excess;
        return e[0] > 0 && e[1] > 0 && e[2] > 0;
    }

    Cover rawCover(int piece, int p, int q) const {
        const auto& excess = pieces_[index(piece)].excess;
        const double ep = excess[index(cornerAt(cellOf(piece), p))],
                     eq = excess[index(cornerAt(cellOf(piece), q))];
        if (ep > 0 && eq > 0) return {0, 1};
        if (ep > 0) return {0, ep / (ep - eq)};
        if (eq > 0) return {ep / (ep - eq), 1};
        return {0, 0};
    }

    // Where both cells of an edge break it at the same place but for rounding, the lower cell's number counts
    // for both.
    Cover cover(int piece, int other, int p, int q) const {
        Cover mine = rawCover(piece, p, q);
        if (other < 0 || pieces_[index(piece)].cell < pieces_[index(other)].cell) return mine;
        const Cover theirs = rawCover(other, p, q);
        const glm::dvec2 run = model_.vertices[index(q)] - model_.vertices[index(p)];
        const double same = tolerance::samePlanPoint / std::hypot(run.x, run.y);
        if (!mine.none() && !theirs.none()) {
            if (std::abs(mine.from - theirs.from) <= same) mine.from = theirs.from;
            if (std::abs(mine.to - theirs.to) <= same) mine.to = theirs.to;
        }
        return mine;
    }

    int node(int p, int q, double ratio) {
        if (ratio <= 0 || ratio >= 1) return nodeOn(ratio <= 0 ? p : q);
        const auto [at, isNew] = nodeOf_.try_emplace({p, q, ratio}, static_cast<int>(nodes_.size()));
        if (isNew) {
            const glm::dvec2 a = model_.vertices[index(p)], b = model_.vertices[index(q)];
            nodes_.push_back(a + (b - a) * ratio);
        }
        return at->second;
    }

    int nodeOn(int vertex) {
        if (nodeOn_.empty()) nodeOn_.assign(model_.vertices.size(), -1);
        int& node = nodeOn_[index(vertex)];
        if (node < 0) {
            node = static_cast<int>(nodes_.size());
            nodes_.push_back(model_.vertices[index(vertex)]);
        }
        return node;
    }

    void addBorders(int piece) {
        const Cell& cell = cellOf(piece);
        const auto& excess = pieces_[index(piece)].excess;
        int leaves = -1, enters = -1;
        for (int i = 0; i < 3; ++i) {
            const int j = next(i), across = cell.neighbour[index(3 - i - j)];
            const int other = across < 0 ? -1 : pieceOf_[index(across)];
            const int start = cell.vertex[index(i)], end = cell.vertex[index(j)];
            const int p = std::min(start, end), q = std::max(start, end);
            if (other >= 0 && wholePast(piece) && wholePast(other)) {
                join(piece, other);
                continue;
            }
            const Cover mine = cover(piece, other, p, q);
            const bool forward = start == p;
            if (excess[index(i)] > 0 && excess[index(j)] <= 0)
                leaves = node(p, q, forward ? mine.to : mine.from);
            if (excess[index(i)] <= 0 && excess[index(j)] > 0)
                enters = node(p, q, forward ? mine.from : mine.to);
            if (mine.none()) continue;
            Cover theirs = other < 0 ? Cover{} : cover(other, piece, p, q);
            if (theirs.none() || std::max(mine.from, theirs.from) >= std::min(mine.to, theirs.to)) {
                addSegment(piece, p, q, mine, forward);
                continue;
            }
            join(piece, other);
            addSegment(piece, p, q, {mine.from, theirs.from}, forward);
            addSegment(piece, p, q, {theirs.to, mine.to}, forward);
        }
        if (leaves >= 0 && enters >= 0 && leaves != enters) segments_.push_back({leaves, enters, piece});
    }

    void addSegment(int piece, int p, int q, Cover part, bool forward) {
        if (part.none()) return;
        const int a = node(p, q, part.from), b = node(p, q, part.to);
        if (a != b) segments_.push_back(forward ? Segment{a, b, piece} : Segment{b, a, piece});
    }

    // ------------------------------------------------ connected pieces

    int rootOf(int piece) {
        while (root_[index(piece)] != piece) {
            root_[index(piece)] = root_[index(root_[index(piece)])];
            piece = root_[index(piece)];
        }
        return piece;
    }
    void join(int a, int b) {
        a = rootOf(a), b = rootOf(b);
        root_[index(std::max(a, b))] = std::min(a, b);
    }

    std::vector<std::vector<int>> groupPieces() {
        groupOf_.assign(pieces_.size(), -1);
        std::vector<std::vector<int>> groups;
        for (int p = 0; p < static_cast<int>(pieces_.size()); ++p) {
            int& group = groupOf_[index(rootOf(p))];
            if (group < 0) {
                group = static_cast<int>(groups.size());
                groups.emplace_back();
            }
            groups[index(group)].push_back(p);
        }
        return groups;
    }

    std::vector<std::vector<Segment>> groupSegments() {
        std::vector<std::vector<Segment>> groups;
        for (const Segment& s : segments_) {
            const size_t group = index(groupOf_[index(rootOf(s.piece))]);
            if (groups.size() <= group) groups.resize(group + 1);
            groups[group].push_back(s);
        }
        return groups;
    }

    // ------------------------------------------------ sizes

    struct PiecePoint {
        glm::dvec2 at{0, 0};
        double value = 0;
        double excess = 0;
    };

    struct PiecePolygon {
        std::array<PiecePoint, 4> point;
        size_t count = 0;
        void add(const PiecePoint& p) { point[count++] = p; }
    };

    // The part of a piece's cell with an excess above 0: a triangle, or a quadrilateral.
    PiecePolygon clipped(int piece) const {
        const FieldCell& field = pieces_[index(piece)];
        const Cell& cell = cellOf(piece);
        PiecePolygon polygon;
        for (int i = 0; i < 3; ++i) {
            const int j = next(i);
            const double ei = field.excess[index(i)], ej = field.excess[index(j)];
            const double vi = field.value[index(i)], vj = field.value[index(j)];
            const glm::dvec2 a = model_.at(cell, i), b = model_.at(cell, j);
            if (ei > 0) polygon.add({a, vi, ei});
            if ((ei > 0) == (ej > 0)) continue;
            const double ratio = ei / (ei - ej);
            polygon.add({a + (b - a) * ratio, vi + (vj - vi) * ratio, 0.0});
        }
        return polygon;
    }

    FieldPatch measure(const std::vector<int>& pieces) const {
        FieldPatch patch;
        glm::dvec2 moment{0, 0};
        double leastExcess = std::numeric_limits<double>::infinity();
        for (const int piece : pieces) {
            patch.cells.push_back(pieces_[index(piece)].cell);
            const PiecePolygon polygon = clipped(piece);
            for (size_t i = 0; i < polygon.count; ++i) {
                const PiecePoint& p = polygon.point[i];
                leastExcess = std::min(leastExcess, p.excess);
                const bool worse = p.excess > patch.worstExcess ||
                                   (p.excess == patch.worstExcess && before(p.at, patch.worst));
                if (!worse) continue;
                patch.worst = p.at;
                patch.worstExcess = p.excess;
                patch.worstValue = p.value;
            }
            for (size_t i = 1; i + 1 < polygon.count; ++i)
                addTriangle(polygon.point[0], polygon.point[i], polygon.point[i + 1], patch, moment);
        }
        patch.centre = patch.area > 0 ? moment / patch.area : patch.worst;
        const bool even = patch.worstExcess - leastExcess <= tolerance::lengthCompare;
        if (even && holds(pieces, patch.centre)) patch.worst = patch.centre;
        return patch;
    }

    static void addTriangle(const PiecePoint& a, const PiecePoint& b, const PiecePoint& c, FieldPatch& patch,
                            glm::dvec2& moment) {
        const glm::dvec2 ab = b.at - a.at, ac = c.at - a.at;
        const double area = 0.5 * (ab.x * ac.y - ab.y * ac.x);
        patch.area += area;
        patch.volume += area * ((a.excess + b.excess + c.excess) / 3);
        moment += (a.at + b.at + c.at) * (area / 3);
    }

    bool holds(const std::vector<int>& pieces, glm::dvec2 point) const {
        const int cell = someCellAt(model_, point, pieces_[index(pieces.front())].cell);
        return cell >= 0 && pieceOf_[index(cell)] >= 0 &&
               std::binary_search(pieces.begin(), pieces.end(), pieceOf_[index(cell)]);
    }

    // ------------------------------------------------ outlines

    // How far to turn clockwise from the way back along `in` to `out`: 0 to 2 pi, a turn right back being the
    // last.
    double clockwise(const Segment& in, const Segment& out) const {
        const glm::dvec2 back = nodes_[index(in.from)] - nodes_[index(in.to)],
                         on = nodes_[index(out.to)] - nodes_[index(out.from)];
        const double angle = std::atan2(on.x * back.y - on.y * back.x, back.x * on.x + back.y * on.y);
        return angle > 0 ? angle : angle + 2 * std::acos(-1.0);
    }

    static constexpr size_t nowhere = static_cast<size_t>(-1);

    // The segments that begin at each node, as lists in their order.
    void listOutgoing(const std::vector<Segment>& border) {
        firstFrom_.resize(nodes_.size(), nowhere);
        nextFrom_.assign(border.size(), nowhere);
        for (const Segment& segment : border) firstFrom_[index(segment.from)] = nowhere;
        for (size_t s = border.size(); s-- > 0;)
            nextFrom_[s] = std::exchange(firstFrom_[index(border[s].from)], s);
    }

    // Where a patch meets itself in a corner, the first way on clockwise from where the ring came keeps to
    // the same side of that corner. The ring is closed when that is the segment it began with.
    size_t wayOn(const std::vector<Segment>& border, size_t in, size_t first,
                 const std::vector<bool>& used) const {
        size_t best = nowhere;
        for (size_t s = firstFrom_[index(border[in].to)]; s != nowhere; s = nextFrom_[s]) {
            if (used[s] && s != first) continue;
            const bool better =
                best == nowhere || clockwise(border[in], border[s]) < clockwise(border[in], border[best]);
            if (better) best = s;
        }
        return best == first ? nowhere : best;
    }

    std::vector<std::vector<glm::dvec2>> traceRings(const std::vector<Segment>& border) {
        listOutgoing(border);
        placeOf_.resize(nodes_.size(), nowhere);
        std::vector<bool> used(border.size(), false);
        std::vector<std::vector<glm::dvec2>> rings;
        for (size_t first = 0; first < border.size(); ++first) {
            if (used[first]) continue;
            std::vector<int> way;
            for (size_t at = first; at != nowhere; at = wayOn(border, at, first, used)) {
                used[at] = true;
                const int from = border[at].from;
                // Back at a corner: what lies between is a ring of its own, so that no ring meets itself.
                if (placeOf_[index(from)] != nowhere) closeRing(way, placeOf_[index(from)], rings);
                placeOf_[index(from)] = way.size();
                way.push_back(from);
            }
            closeRing(way, 0, rings);
        }
        std::stable_sort(rings.begin(), rings.end(),
                         [](const auto& a, const auto& b) { return signedArea(a) > signedArea(b); });
        return rings;
    }

    void closeRing(std::vector<int>& way, size_t from, std::vector<std::vector<glm::dvec2>>& rings) {
        std::vector<glm::dvec2> ring;
        for (size_t i = from; i < way.size(); ++i) {
            ring.push_back(nodes_[index(way[i])]);
            placeOf_[index(way[i])] = nowhere;
        }
        way.resize(from);
        finishRing(ring, rings);
    }

    // Corners in line are left out; the ring starts at its least corner.
    static void finishRing(const std::vector<glm::dvec2>& ring, std::vector<std::vector<glm::dvec2>>& rings) {
        std::vector<glm::dvec2> kept;
        for (size_t i = 0; i < ring.size(); ++i) {
            const glm::dvec2 a = kept.empty() ? ring.back() : kept.back(), b = ring[i],
                             c = ring[(i + 1) % ring.size()];
            const glm::dvec2 ac = c - a, ab = b - a;
            const double off = std::abs(ac.x * ab.y - ac.y * ab.x), run = std::hypot(ac.x, ac.y);
            const bool onward = ab.x * (c - b).x + ab.y * (c - b).y >= 0;
            if (off > tolerance::onPlanLine * run || !onward) kept.push_back(b);
        }
        if (kept.size() < 3) return;
        std::rotate(kept.begin(), std::min_element(kept.begin(), kept.end(), before), kept.end());
        rings.push_back(std::move(kept));
    }

    const Model& model_;
    std::vector<FieldCell> pieces_;
    std::vector<int> pieceOf_;  // per cell
    std::vector<int> root_;
    std::vector<int> groupOf_;                            // per root
    std::map<std::tuple<int, int, double>, int> nodeOf_;  // between two vertices
    std::vector<int> nodeOn_;                             // per vertex
    std::vector<glm::dvec2> nodes_;
    std::vector<Segment> segments_;
    // Of the border that is traced: by node, by segment, and by node where on the way it is.
    std::vector<size_t> firstFrom_, nextFrom_, placeOf_;
};

}  // namespace

bool isPast(const FieldCell& cell) {
    return std::max({cell.excess[0], cell.excess[1], cell.excess[2]}) > tolerance::lengthCompare;
}

std::vector<FieldPatch> fieldPatches(const Model& model, const std::vector<FieldCell>& field) {
    return PatchBuilder(model, field).build();
}

}  // namespace underfoot
