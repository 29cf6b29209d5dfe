// Where cut changes to fill.

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "model/model.h"
#include "study/earthwork.h"
#include "study/index.h"

namespace underfoot {

namespace {

int next(int corner) {
    return corner == 2 ? 0 : corner + 1;
}

/// A place on an edge of the cells: between two vertices, the lower first, so far along.
using Node = std::tuple<int, int, double>;

/// The part of an edge that is under fill, as ratios of the way from its lower vertex to its higher.
struct Cover {
    double from = 0;
    double to = 0;
    bool none() const { return !(to > from); }
};

class ChangeLines {
  public:
    explicit ChangeLines(const Model& model) : model_(model) {
        for (const Cell& cell : model.cells) depth_.push_back(depthOn(cell));
    }

    std::vector<PlanLine> trace() {
        for (size_t c = 0; c < model_.cells.size(); ++c)
            if (counts(model_.cells[c]) && filled(c)) addFrom(c);
        std::vector<PlanLine> lines = chain();
        std::stable_sort(lines.begin(), lines.end(),
                         [](const PlanLine& a, const PlanLine& b) { return a.length > b.length; });
        return lines;
    }

  private:
    using Depths = std::array<double, 3>;

    /// Fill under the formation at the corners; cut is negative. What rounding leaves is none of either.
    Depths depthOn(const Cell& cell) const {
        Depths depth{};
        if (!counts(cell)) return depth;
        const int formation = model_.columnOf(cell).formation;
        for (int i = 0; i < 3; ++i) {
            const double d = model_.height(cell, i, formation) - model_.factsAt(cell, i).stripped;
            depth[index(i)] = std::abs(d) <= tolerance::zeroThickness ? 0 : d;
        }
        return depth;
    }

    /// Side slopes have no build-up and are no cut.
    bool counts(const Cell& cell) const {
        const Column& column = model_.columnOf(cell);
        return column.area >= 0 && column.formation > 0;
    }
    bool filled(size_t cell) const { return *std::max_element(depth_[cell].begin(), depth_[cell].end()) > 0; }

    int cornerAt(const Cell& cell, int vertex) const {
        return cell.vertex[0] == vertex ? 0 : cell.vertex[1] == vertex ? 1 : 2;
    }

    /// An edge at depth 0 belongs whole to a cell that is filled beside it.
    Cover cover(size_t c, int p, int q) const {
        const Cell& cell = model_.cells[c];
        const double dp = depth_[c][index(cornerAt(cell, p))], dq = depth_[c][index(cornerAt(cell, q))];
        if (dp >= 0 && dq >= 0) return filled(c) ? Cover{0, 1} : Cover{};
        if (dp > 0) return {0, dp / (dp - dq)};
        if (dq > 0) return {dp / (dp - dq), 1};
        return {};
    }

    static Node nodeOn(int p, int q, double ratio) {
        if (ratio <= 0) return {p, p, 0};
        if (ratio >= 1) return {q, q, 0};
        return {p, q, ratio};
    }
    glm::dvec2 placeOf(const Node& node) const {
        const glm::dvec2 a = model_.vertices[index(std::get<0>(node))],
                         b = model_.vertices[index(std::get<1>(node))];
        return a + (b - a) * std::get<2>(node);
    }

    void add(const Node& from, const Node& to) {
        if (from != to) segments_[from].push_back(to);
    }

    void addFrom(size_t c) {
        const Cell& cell = model_.cells[c];
        for (int i = 0; i < 3; ++i) {
            const int j = next(i), across = cell.neighbour[index(3 - i - j)];
            if (across >= 0 && counts(model_.cells[index(across)]))
                addEdge(c, index(across), cell.vertex[index(i)], cell.vertex[index(j)]);
        }
        addInside(c);
    }

    /// What of an edge lies under fill on this side only. Runs with the cell to its left.
    void addEdge(size_t c, size_t other, int start, int end) {
        const int p = std::min(start, end), q = std::max(start, end);
        const Cover mine = cover(c, p, q), theirs = cover(other, p, q);
        if (mine.none()) return;
        const bool apart = theirs.none() || std::max(mine.from, theirs.from) >= std::min(mine.to, theirs.to);
        const std::array<Cover, 2> left =
            apart ? std::array<Cover, 2>{mine, Cover{}}
                  : std::array<Cover, 2>{Cover{mine.from, theirs.from}, Cover{theirs.to, mine.to}};
        for (const Cover& part : left) {
            if (part.none()) continue;
            const Node from = nodeOn(p, q, part.from), to = nodeOn(p, q, part.to);
            start == p ? add(from, to) : add(to, from);
        }
    }

    /// The line through a cell that is fill at one corner and cut at another.
    void addInside(size_t c) {
        const Depths& depth = depth_[c];
        if (*std::min_element(depth.begin(), depth.end()) >= 0) return;
        const Cell& cell = model_.cells[c];
        Node leaves{-1, -1, 0}, enters{-1, -1, 0};
        for (int i = 0; i < 3; ++i) {
            const int j = next(i);
            const double di = depth[index(i)], dj = depth[index(j)];
            if ((di > 0) == (dj > 0)) continue;
            const int p = std::min(cell.vertex[index(i)], cell.vertex[index(j)]),
                      q = std::max(cell.vertex[index(i)], cell.vertex[index(j)]);
            const double dp = p == cell.vertex[index(i)] ? di : dj, dq = di + dj - dp;
            (di > 0 ? leaves : enters) = nodeOn(p, q, dp / (dp - dq));
        }
        add(leaves, enters);
    }

    std::vector<PlanLine> chain() {
        std::map<Node, int> arriving;
        for (const auto& [from, ends] : segments_)
            for (const Node& to : ends) ++arriving[to];
        std::vector<PlanLine> lines;
        for (auto& [from, ends] : segments_)
            while (ends.size() > index(arriving[from])) lines.push_back(follow(from));
        for (auto& [from, ends] : segments_)
            while (!ends.empty()) lines.push_back(follow(from));
        return lines;
    }

    PlanLine follow(const Node& start) {
        std::vector<Node> nodes{start};
        for (auto at = segments_.find(start); at != segments_.end() && !at->second.empty();
             at = segments_.find(nodes.back())) {
            const Node to = at->second.back();
            at->second.pop_back();
            nodes.push_back(to);
            if (to == start) break;
        }
        PlanLine line;
        line.closed = nodes.size() > 2 && nodes.back() == start;
        for (const Node& node : nodes) line.points.push_back(placeOf(node));
        for (size_t i = 1; i < line.points.size(); ++i) {
            const glm::dvec2 way = line.points[i] - line.points[i - 1];
            line.length += std::hypot(way.x, way.y);
        }
        if (line.closed) line.points.pop_back();
        return straightened(std::move(line));
    }

    /// Leaves out points that lie on the way between their neighbours.
    static PlanLine straightened(PlanLine line) {
        std::vector<glm::dvec2> kept;
        for (size_t i = 0; i < line.points.size(); ++i) {
            const glm::dvec2 p = line.points[i];
            const bool inner = !kept.empty() && i + 1 < line.points.size();
            if (inner && onTheWay(kept.back(), p, line.points[i + 1])) continue;
            kept.push_back(p);
        }
        line.points = std::move(kept);
        return line;
    }
    static bool onTheWay(glm::dvec2 a, glm::dvec2 p, glm::dvec2 b) {
        const glm::dvec2 way = b - a, d = p - a;
        const double length = std::hypot(way.x, way.y);
        return std::abs(way.x * d.y - way.y * d.x) <= tolerance::onPlanLine * length &&
               way.x * d.x + way.y * d.y >= 0;
    }

    const Model& model_;
    std::vector<Depths> depth_;
    std::map<Node, std::vector<Node>> segments_;
};

}  // namespace

std::vector<PlanLine> cutToFillLines(const Model& model) {
    return ChangeLines(model).trace();
}

}  // namespace underfoot
