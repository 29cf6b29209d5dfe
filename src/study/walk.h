#pragma once
// From cell to neighbour along a straight line in plan, and to the cell that holds a point. Internal to
// study.
//
// One rule settles every tie: the line is taken to lie an infinitely small distance to the left of where it
// is drawn, so that no corner ever lies on it. A line along an edge then belongs to the cell on its left, a
// line through a corner passes to one side of it, and the walk knows no special cases. Only where an edge of
// the rim lies on the line and the model to its right is that edge's cell taken instead.

#include <array>
#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"

namespace underfoot {

/// A straight piece of a section's line between two different grid points.
class Leg {
  public:
    Leg(glm::dvec2 from, glm::dvec2 to);

    /// How a point stands to the line.
    struct Standing {
        int side = 0;                           ///< +1 left of the line, 0 on it, -1 right of it; exact
        double area = 0;                        ///< twice the area of from, to, point; 0 on the line
        bool left() const { return side > 0; }  ///< the line lies a little to the left of where it is drawn
    };
    Standing standing(glm::dvec2 p) const;
    double along(glm::dvec2 p) const;  ///< distance of p's foot from `from`
    /// Distance along the leg of the place where it crosses the side from p to q, and how far that is from p
    /// to q.
    double crossingAt(glm::dvec2 p, const Standing& ofP, glm::dvec2 q, const Standing& ofQ,
                      double& ratio) const;

    glm::dvec2 from{0, 0};
    glm::dvec2 to{0, 0};
    glm::dvec2 direction{1, 0};
    double length = 0;
};

/// Where a leg's line crosses an edge of a cell: between corners `from` and `to`, `ratio` of the way.
struct EdgeHit {
    int from = 0;
    int to = 0;
    double ratio = 0;
    double at =
        0;  ///< distance along the leg; below 0 and past its length for what lies before and behind it
};

struct CellCrossing {
    int cell = -1;
    EdgeHit in, out;
};

/// An edge of the rim: edge `edge` of `cell` lies opposite corner `edge`.
struct RimEdge {
    int cell = -1;
    int edge = 0;
};
std::vector<RimEdge> rimEdges(const Model& model);

/// The rim, found when first asked for unless it was at hand already.
class Rim {
  public:
    Rim() = default;
    explicit Rim(const std::vector<RimEdge>& atHand) : atHand_(&atHand) {}
    const std::vector<RimEdge>& of(const Model& model) {
        if (atHand_) return *atHand_;
        if (!found_) found_ = rimEdges(model);
        return *found_;
    }

  private:
    const std::vector<RimEdge>* atHand_ = nullptr;
    std::optional<std::vector<RimEdge>> found_;
};

/// The cells that a leg crosses, in order along it; crossings that only touch a corner are among them, with
/// no length. `hint` is a cell to start looking from (-1: anywhere) and is left at the last cell. The rim is
/// asked for when the leg turns out to leave and enter the model more than once.
std::vector<CellCrossing> cellsAlong(const Model& model, const Leg& leg, int& hint, Rim& rim);

/// The part of a leg inside the box of the model, as distances; empty when it misses the box.
struct LegRange {
    double from = 0;
    double to = 0;
};
std::optional<LegRange> insideBox(const Leg& leg, glm::dvec2 low, glm::dvec2 high);

/// A point inside a cell and the shares of the cell's corners in it, which sum to 1.
struct PointInCell {
    int cell = -1;
    std::array<double, 3> share{};
};
/// The quick way for a point that lies clear of every edge by a few grid steps; nothing when it does not, or
/// when the walk from `hint` does not get there.
std::optional<PointInCell> clearCellAt(const Model& model, glm::dvec2 point, int hint);

/// The cell that holds a point, the one with the lowest index on an edge or corner; nothing outside.
std::optional<PointInCell> pointInCell(const Model& model, glm::dvec2 point, int hint);

/// A cell whose closed triangle holds the point, found by walking from `hint`; -1 when there is none.
int someCellAt(const Model& model, glm::dvec2 point, int hint);
/// All cells round `start` that hold the point (start among them), the point lying on `start`'s triangle or
/// within `slack` of it.
std::vector<int> cellsTouching(const Model& model, glm::dvec2 point, int start, double slack);

}  // namespace underfoot
