#include "model/zero_lines.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "ground/tolerance.h"

namespace underfoot {
namespace {

using Polygon = std::vector<glm::dvec2>;

/// Answers for a whole convex polygon: first what was decided when it was cut out, then by its corners. The
/// first zero line that passes through it is kept, and what was decided before that line.
class SidesOverPolygon : public Sides {
  public:
    SidesOverPolygon(const Polygon& polygon, std::vector<char>& decided)
        : polygon_(polygon), decided_(decided), known_(decided.size()) {}

    int side(const Linear& f) override {
        if (asked_ < known_) return decided_[asked_++];
        if (divide_) return 1;  // what comes after the line is found on each side of it
        double least = f.at(polygon_.front()), greatest = least;
        for (const glm::dvec2& p : polygon_) {
            least = std::min(least, f.at(p));
            greatest = std::max(greatest, f.at(p));
        }
        const int side = greatest > tolerance::zeroThickness ? 1 : -1;
        if (side > 0 && least < -tolerance::zeroThickness)
            divide_ = f;
        else
            decided_.push_back(static_cast<char>(side));
        return side;
    }
    const std::optional<Linear>& divide() const { return divide_; }

  private:
    const Polygon& polygon_;
    std::vector<char>& decided_;
    size_t known_;
    size_t asked_ = 0;
    std::optional<Linear> divide_;
};

/// The point where f is zero between a and b; the same whichever end comes first.
glm::dvec2 zeroBetween(glm::dvec2 a, glm::dvec2 b, const Linear& f) {
    if (b.x < a.x || (b.x == a.x && b.y < a.y)) std::swap(a, b);
    const double fa = f.at(a), fb = f.at(b);
    return glm::mix(a, b, fa / (fa - fb));
}

/// The part of a convex polygon where f times `sign` is not negative.
void clip(const Polygon& polygon, const Linear& f, double sign, Polygon& kept) {
    kept.clear();
    for (size_t i = 0; i < polygon.size(); ++i) {
        const glm::dvec2 a = polygon[i], b = polygon[(i + 1) % polygon.size()];
        const double fa = sign * f.at(a), fb = sign * f.at(b);
        if (fa >= 0) kept.push_back(a);
        if ((fa > 0 && fb < 0) || (fa < 0 && fb > 0)) kept.push_back(zeroBetween(a, b, f));
    }
}

/// Whether no two lines through a convex polygon could be told apart by the overlay.
bool isNarrow(const Polygon& polygon) {
    double doubleArea = 0, longest = 0;
    for (size_t i = 0; i < polygon.size(); ++i) {
        const glm::dvec2 a = polygon[i] - polygon[0], b = polygon[(i + 1) % polygon.size()] - polygon[0];
        doubleArea += a.x * b.y - a.y * b.x;
        longest = std::max(longest, glm::distance(a, b));
    }
    return std::abs(doubleArea) <= longest * tolerance::samePlanPoint;
}

/// The line along which f is zero, from one side of a convex polygon to another; nothing where f is zero at
/// one corner alone.
std::optional<Line> seamOf(const Polygon& polygon, const Linear& f) {
    std::optional<glm::dvec2> first;
    for (size_t i = 0; i < polygon.size(); ++i) {
        const glm::dvec2 a = polygon[i], b = polygon[(i + 1) % polygon.size()];
        const double fa = f.at(a), fb = f.at(b);
        if (fa != 0 && (fa > 0) == (fb > 0)) continue;
        if (fa != 0 && fb == 0) continue;  // b is the next side's first corner
        const glm::dvec2 p = fa == 0 ? a : zeroBetween(a, b, f);
        if (first) return Line{*first, p};
        first = p;
    }
    return {};
}

}  // namespace

void ZeroLines::add(const Recipe& recipe, const Column& column, const Rulers& rulers,
                    std::span<const glm::dvec2> triangle, std::vector<Line>& lines) {
    corners_.assign(triangle.begin(), triangle.end());
    decided_.clear();
    open_.assign(1, {triangle.size(), 0});
    while (!open_.empty()) {
        takeLast();
        SidesOverPolygon sides(polygon_, sides_);
        PiecePlace place(sides);
        double strippedBy = 0;
        solver_.heights(recipe, column, rulers, settings_, place, strippedBy);
        if (!sides.divide()) continue;
        const std::optional<Line> seam = seamOf(polygon_, *sides.divide());
        if (!seam) continue;
        lines.push_back(*seam);
        leaveOpen(*sides.divide(), 1);
        leaveOpen(*sides.divide(), -1);
    }
}

void ZeroLines::takeLast() {
    const auto cornersFrom = corners_.end() - static_cast<std::ptrdiff_t>(open_.back().corners);
    const auto decidedFrom = decided_.end() - static_cast<std::ptrdiff_t>(open_.back().decided);
    polygon_.assign(cornersFrom, corners_.end());
    sides_.assign(decidedFrom, decided_.end());
    corners_.erase(cornersFrom, corners_.end());
    decided_.erase(decidedFrom, decided_.end());
    open_.pop_back();
}

/// The part of the polygon on one side of its divide, which from now on is decided there: steep pieces, on
/// which the divide is not quite zero along the line found, would be divided there without end.
void ZeroLines::leaveOpen(const Linear& divide, int side) {
    clip(polygon_, divide, side, part_);
    if (part_.size() < 3 || isNarrow(part_)) return;
    corners_.insert(corners_.end(), part_.begin(), part_.end());
    decided_.insert(decided_.end(), sides_.begin(), sides_.end());
    decided_.push_back(static_cast<char>(side));
    open_.push_back({part_.size(), sides_.size() + 1});
}

namespace {

int cornerOf(const Cell& cell, int vertex) {
    return static_cast<int>(std::find(cell.vertex.begin(), cell.vertex.end(), vertex) - cell.vertex.begin());
}

void crossingsOn(const Model& model, int c, int e, std::vector<EdgeCrossing>& crossings) {
    const Cell& mine = model.cells[static_cast<size_t>(c)];
    const Cell& other = model.cells[static_cast<size_t>(mine.neighbour[static_cast<size_t>(e)])];
    const int a = (e + 1) % 3, b = (e + 2) % 3;
    const auto stack = [&](const Cell& cell, int corner) {
        return std::span(model.stack(cell, corner), static_cast<size_t>(model.interfaces(cell)));
    };
    forEachCrossing(
        {stack(mine, a), stack(mine, b), stack(other, cornerOf(other, mine.vertex[static_cast<size_t>(a)])),
         stack(other, cornerOf(other, mine.vertex[static_cast<size_t>(b)]))},
        [&](double along, int i, int j) {
            crossings.push_back({c, e, along, i, j});
        });
}

}  // namespace

std::vector<EdgeCrossing> edgeCrossings(const Model& model) {
    std::vector<EdgeCrossing> crossings;
    for (size_t c = 0; c < model.cells.size(); ++c)
        for (int e = 0; e < 3; ++e)
            // Most edges lie inside one region, where both cells stand on the same posts.
            if ((model.cells[c].seams >> e & 1) &&
                model.cells[c].neighbour[static_cast<size_t>(e)] > static_cast<int>(c))
                crossingsOn(model, static_cast<int>(c), e, crossings);
    return crossings;
}

}  // namespace underfoot
