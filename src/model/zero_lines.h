#pragma once
// Where surfaces pass through each other inside a cell, or beside a step between cells, the overlay gets a
// line or a point more, so that every cell ends up with one order of surfaces.

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "model/linear.h"
#include "model/model.h"
#include "model/overlay.h"
#include "model/stack.h"

namespace underfoot {

/// Finds the lines inside triangles along which their stacks change sides: take-up run out, cut turning to
/// fill, a lift's edge.
class ZeroLines {
  public:
    explicit ZeroLines(const StackSettings& settings) : settings_(settings) {}

    void add(const Recipe& recipe, const Column& column, const Rulers& rulers,
             std::span<const glm::dvec2> triangle, std::vector<Line>& lines);

  private:
    /// A convex piece of the triangle: the last corners and sides of those that lie open.
    struct Piece {
        size_t corners = 0;
        size_t decided = 0;
    };
    void takeLast();
    void leaveOpen(const Linear& divide, int side);

    const StackSettings& settings_;
    StackSolver<PiecePlace> solver_;
    std::vector<Piece> open_;
    std::vector<glm::dvec2> corners_;  ///< of all open pieces, one after another
    std::vector<char> decided_;        ///< how the first decisions fall on each open piece
    std::vector<glm::dvec2> polygon_;  ///< the piece at hand, and
    std::vector<char> sides_;          ///< how decisions fall on it
    std::vector<glm::dvec2> part_;
};

/// The stacks on both sides of an edge, at its first end and its second.
struct EdgeStacks {
    std::span<const double> mineA, mineB, besideA, besideB;
};

/// Visits every pair of interfaces, mine and that beside, that change order along the edge with the part of
/// the way at which they do. Runs fall from top to bottom, so that one pass finds where heights of the one
/// lie between heights of the other, and only those that lie elsewhere at the edge's other end change order
/// on the way.
template <class Visit>
void forEachCrossing(const EdgeStacks& at, Visit visit) {
    size_t aboveA = 0, aboveB = 0;  // heights beside that are not below mine, at either end
    for (size_t i = 0; i < at.mineA.size(); ++i) {
        while (aboveA < at.besideA.size() && at.besideA[aboveA] >= at.mineA[i]) ++aboveA;
        while (aboveB < at.besideB.size() && at.besideB[aboveB] >= at.mineB[i]) ++aboveB;
        for (size_t j = std::min(aboveA, aboveB); j < std::max(aboveA, aboveB); ++j) {
            const double atA = at.mineA[i] - at.besideA[j], atB = at.mineB[i] - at.besideB[j];
            if (std::min(std::abs(atA), std::abs(atB)) > tolerance::sameHeight)
                visit(atA / (atA - atB), static_cast<int>(i), static_cast<int>(j));
        }
    }
}

/// A pair of interfaces that change order along an edge between two cells.
struct EdgeCrossing {
    int cell = -1;
    int edge = -1;
    double along = 0;  ///< from the edge's first corner (cell.vertex[edge + 1]) to its second, 0 to 1
    int mine = 0;      ///< interface of this cell
    int other = 0;     ///< interface of the neighbour
};

/// All crossings on edges where the two cells' heights differ. Heights must be filled in.
std::vector<EdgeCrossing> edgeCrossings(const Model& model);

}  // namespace underfoot
