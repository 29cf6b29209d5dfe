#pragma once
// The stack of one column solved from the known surfaces: finish, measured tops, ground. Everything here is
// flat on a cell; where one surface passes through another the caller is asked which side of that line it
// stands on.

#include <vector>

#include "model/groundwork.h"

namespace underfoot {

/// What stands on a cell, before heights: the plot, which of its layers are there, which slope facets cover
/// it.
struct Stand {
    int plot = -1;
    bool beyond = false;        ///< outside the outline, on layers that run past the edge
    std::vector<char> present;  ///< per layer of the plot's build-up
    std::vector<int> facets;    ///< outside every foot: the side slopes that could lie here
    friend bool operator==(const Stand&, const Stand&) = default;
    friend auto operator<=>(const Stand&, const Stand&) = default;
};

/// The flat pieces that rule at one place.
struct Rulers {
    Linear finish;
    Linear ground;
    std::vector<Linear> measured;  ///< as Plot::measured
};

/// Reads rulers place by place, remembering where each surface was last asked.
class RulerReader {
  public:
    explicit RulerReader(const Groundwork& work) : work_(work) {}
    Rulers at(int plot, glm::dvec2 p);
    bool groundKnown(glm::dvec2 p);

  private:
    int& hintOf(const Surface* surface);
    const Groundwork& work_;
    std::vector<std::pair<const Surface*, int>> hints_;
};

/// Says on which side of a zero line one stands: +1 where `f` is positive, -1 where it is zero or negative.
class Sides {
  public:
    virtual ~Sides() = default;
    virtual int side(const Linear& f) = 0;
};

/// The side at one point.
class SidesAtPoint : public Sides {
  public:
    explicit SidesAtPoint(glm::dvec2 p) : p_(p) {}
    int side(const Linear& f) override { return f.at(p_) > 0 ? 1 : -1; }

  private:
    glm::dvec2 p_;
};

/// Level lifts count from here: the lowest stripped ground under fill.
struct StackSettings {
    FillLifts fillLifts = FillLifts::Parallel;
    double liftDatum = 0;
    double floor = 0;
};

/// Heights of all interfaces of the column that `stand` becomes, top first, the native soil's underside last.
/// `column` gives how many lifts each layer has. `strippedBy` tells how far below the ground the soil was
/// taken off there.
std::vector<Linear> solveStack(const Groundwork& work, const Stand& stand, const Column& column,
                               const Rulers& rulers, const StackSettings& settings, Sides& sides,
                               double& strippedBy);

/// Levels of the layers above fill inside a plot: entry k is the top of the k-th present layer, the last one
/// the formation. Layers marked absent are left out; a layer that takes up fills the gap they leave.
std::vector<Linear> solveCourses(const Plot& plot, const std::vector<char>& present, const Rulers& rulers,
                                 Sides& sides);

/// Levels of the layers that run past the edge at a stand beyond it: as solveCourses, over the layers present
/// there.
std::vector<Linear> solveBeyond(const Plot& plot, const std::vector<char>& present, const Rulers& rulers,
                                Sides& sides);

/// Designed formation: the finish less the wanted thickness of every layer above fill.
inline Linear designedFormation(const Plot& plot, const Rulers& rulers) {
    return rulers.finish - plot.depth;
}

}  // namespace underfoot
