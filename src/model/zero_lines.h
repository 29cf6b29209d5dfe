#pragma once
// Where surfaces pass through each other inside a cell, or beside a step between cells, the overlay gets a
// line or a point more, so that every cell ends up with one order of surfaces.

#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "model/overlay.h"
#include "model/stack.h"

namespace underfoot {

/// Finds the lines inside triangles along which their stacks change sides: take-up run out, cut turning to
/// fill, a lift's edge.
class ZeroLines {
  public:
    explicit ZeroLines(const StackSettings& settings) : settings_(settings) {}

    void add(const Recipe& recipe, const Column& column, const Rulers& rulers,
             const std::vector<glm::dvec2>& triangle, std::vector<Line>& lines);

  private:
    const StackSettings& settings_;
    StackSolver<PiecePlace> solver_;
};

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
