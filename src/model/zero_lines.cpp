#include "model/zero_lines.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <glm/common.hpp>

#include "ground/tolerance.h"

namespace underfoot {
namespace {

using Polygon = std::vector<glm::dvec2>;

/// Answers for a whole convex polygon; the first zero line that passes through it is kept.
class SidesOverPolygon : public Sides {
  public:
    explicit SidesOverPolygon(const Polygon& polygon) : polygon_(polygon) {}

    int side(const Linear& f) override {
        double least = f.at(polygon_.front()), greatest = least;
        for (const glm::dvec2& p : polygon_) {
            least = std::min(least, f.at(p));
            greatest = std::max(greatest, f.at(p));
        }
        if (greatest > tolerance::zeroThickness && least < -tolerance::zeroThickness && !divide_) divide_ = f;
        return greatest > tolerance::zeroThickness ? 1 : -1;
    }
    const std::optional<Linear>& divide() const { return divide_; }

  private:
    const Polygon& polygon_;
    std::optional<Linear> divide_;
};

/// The point where f is zero between a and b; the same whichever end comes first.
glm::dvec2 zeroBetween(glm::dvec2 a, glm::dvec2 b, const Linear& f) {
    if (b.x < a.x || (b.x == a.x && b.y < a.y)) std::swap(a, b);
    const double fa = f.at(a), fb = f.at(b);
    return glm::mix(a, b, fa / (fa - fb));
}

/// The part of a convex polygon where f times `sign` is not negative; the new corners go to `seam`.
Polygon clip(const Polygon& polygon, const Linear& f, double sign, std::vector<glm::dvec2>& seam) {
    Polygon kept;
    for (size_t i = 0; i < polygon.size(); ++i) {
        const glm::dvec2 a = polygon[i], b = polygon[(i + 1) % polygon.size()];
        const double fa = sign * f.at(a), fb = sign * f.at(b);
        if (fa >= 0) kept.push_back(a);
        if (fa == 0) seam.push_back(a);
        if ((fa > 0 && fb < 0) || (fa < 0 && fb > 0)) {
            kept.push_back(zeroBetween(a, b, f));
            seam.push_back(kept.back());
        }
    }
    return kept;
}

}  // namespace

void ZeroLines::add(const Recipe& recipe, const Column& column, const Rulers& rulers,
                    const std::vector<glm::dvec2>& triangle, std::vector<Line>& lines) {
    std::vector<Polygon> open{triangle};
    while (!open.empty()) {
        const Polygon polygon = std::move(open.back());
        open.pop_back();
        SidesOverPolygon sides(polygon);
        PiecePlace place(sides);
        double strippedBy = 0;
        solver_.heights(recipe, column, rulers, settings_, place, strippedBy);
        if (!sides.divide()) continue;
        std::vector<glm::dvec2> seam, again;
        Polygon above = clip(polygon, *sides.divide(), 1, seam);
        Polygon below = clip(polygon, *sides.divide(), -1, again);
        if (seam.size() < 2) continue;
        lines.emplace_back(seam[0], seam[1]);
        if (above.size() >= 3 && above.size() < polygon.size() + 2) open.push_back(std::move(above));
        if (below.size() >= 3 && below.size() < polygon.size() + 2) open.push_back(std::move(below));
    }
}

namespace {

int cornerOf(const Cell& cell, int vertex) {
    return static_cast<int>(std::find(cell.vertex.begin(), cell.vertex.end(), vertex) - cell.vertex.begin());
}

/// Whether every height of the one run lies above the same heights of the other at both ends of an edge.
/// Runs fall from top to bottom, so that one pass compares them all.
bool sameOrder(const double* mineA, const double* mineB, int n, const double* besideA, const double* besideB,
               int m) {
    int atA = 0, atB = 0;
    for (int i = 0; i < n; ++i) {
        while (atA < m && besideA[atA] >= mineA[i]) ++atA;
        while (atB < m && besideB[atB] >= mineB[i]) ++atB;
        if (atA != atB) return false;
    }
    return true;
}

void crossingsOn(const Model& model, int c, int e, std::vector<EdgeCrossing>& crossings) {
    const Cell& mine = model.cells[static_cast<size_t>(c)];
    const Cell& other = model.cells[static_cast<size_t>(mine.neighbour[static_cast<size_t>(e)])];
    const int a = (e + 1) % 3, b = (e + 2) % 3;
    const int otherA = cornerOf(other, mine.vertex[static_cast<size_t>(a)]);
    const int otherB = cornerOf(other, mine.vertex[static_cast<size_t>(b)]);
    const double *mineA = model.stack(mine, a), *mineB = model.stack(mine, b);
    const double *besideA = model.stack(other, otherA), *besideB = model.stack(other, otherB);
    const int n = model.interfaces(mine), m = model.interfaces(other);
    if (sameOrder(mineA, mineB, n, besideA, besideB, m)) return;
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < m; ++j) {
            const double atA = mineA[i] - besideA[j];
            const double atB = mineB[i] - besideB[j];
            if ((atA > 0) == (atB > 0) || std::min(std::abs(atA), std::abs(atB)) <= tolerance::sameHeight)
                continue;
            crossings.push_back({c, e, atA / (atA - atB), i, j});
        }
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
