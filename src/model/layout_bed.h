#pragma once
// Inside the model folder only: the place that units are laid in, and the laying of one unit, whole or cut.

#include <memory>

#include <glm/vec2.hpp>

#include "model/layout.h"
#include "model/layout_polygons.h"

namespace underfoot::layout {

/// Two outlines that lie in each other by no more than this touch, they do not cross. Metres.
inline constexpr double touching = 1e-9;
/// A piece with less area than this is none. Square metres.
inline constexpr double leastPiece = 1e-6;

/// What the laying of one unit needs to know.
struct Unit {
    Polygon outline;    ///< turning left
    bool whole = true;  ///< false: the outline is already cut (a mitre, a wedge)
    bool convex = true;
    int size = 0;
    bool border = false;
    double wholeArea = 0;       ///< of the uncut unit
    double width = 0;           ///< least width of the uncut unit
    glm::dvec2 saw{0, 1};       ///< direction of the saw cut that opens a piece with a hole in it
    UnitFrame frame;            ///< of the uncut unit
    double least = leastPiece;  ///< a cut piece with less area than this is not laid
};

/// What is smaller than a square as wide as the joint is no piece to saw: the joint takes its place.
inline double leastBeside(double joint) {
    return joint * joint > leastPiece ? joint * joint : leastPiece;
}

/// Adds the pieces of one plan to another.
void append(const UnitPlan& more, UnitPlan& plan);

/// Regions with an index of their sides, so that most units are told in or out without looking at the
/// outline: a grid of cells that know the sides through them, or that they are all inside or all outside.
class Bed {
  public:
    /// `reach` is about the size of the units to be laid.
    Bed(Regions regions, double reach);
    ~Bed();
    Bed(const Bed&) = delete;
    Bed& operator=(const Bed&) = delete;

    const Regions& regions() const;

    /// Adds what of the unit lies inside: the whole unit, its cut pieces (none below its least, none with a
    /// hole), or nothing.
    void lay(const Unit& unit, UnitPlan& plan) const;

    /// The area of a polygon that lies inside.
    double areaInside(const Polygon& polygon) const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace underfoot::layout
