#pragma once
// The stack of one column solved from the known surfaces: finish, measured tops, ground. Everything here is
// flat on a cell; where one surface passes through another the caller is asked which side of that line it
// stands on.

#include <cstdint>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/surface.h"
#include "ground/tolerance.h"
#include "model/groundwork.h"
#include "model/linear.h"
#include "model/model.h"
#include "plan/plan.h"

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

/// What rules at one place: heights, or the flat pieces round it.
template <class Height>
struct RulersOf {
    Height finish{};
    Height ground{};
    std::vector<Height> measured;  ///< as Plot::measured
};
using Rulers = RulersOf<Linear>;

/// Reads rulers place by place, remembering where each surface was last asked.
class RulerReader {
  public:
    explicit RulerReader(const Groundwork& work) : work_(work) {}
    Rulers at(int plot, glm::dvec2 p);
    /// The same of a plot, but for the ground.
    Rulers aboveGround(int plot, glm::dvec2 p);
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

/// Solves with flat pieces; the caller's Sides say where each decision falls.
class PiecePlace {
  public:
    using Height = Linear;
    static constexpr bool everyDecision = false;
    explicit PiecePlace(Sides& sides) : sides_(sides) {}
    const Linear& of(const Linear& f) const { return f; }
    int side(const Linear& f) { return sides_.side(f); }
    bool slopeRises(const Linear& f) { return sides_.side(f) > 0; }
    const SlopeFacet& ruling(const SlopeFacet& highest) const { return highest; }

  private:
    Sides& sides_;
};

/// The sides at one point.
class SidesAtPoint : public Sides {
  public:
    explicit SidesAtPoint(glm::dvec2 p) : p_(p) {}
    int side(const Linear& f) override { return f.at(p_) > 0 ? 1 : -1; }

  private:
    glm::dvec2 p_;
};

/// Which way every decision at a point fell, one bit each, and none within tolerance::zeroThickness of it: a
/// cell whose corners fell on both sides of one decision has a zero line in it. All points of one stand take
/// the same decisions in the same order.
struct Decisions {
    uint64_t above = 0;
    uint64_t below = 0;
    bool complete = true;  ///< false when there were more than 64
};

/// Solves with heights at one point. Whether a side slope stands above the ground there, and by which of them
/// the lifts of its fill lie, is the caller's to say: that is decided for a cell as a whole.
class PointPlace {
  public:
    using Height = double;
    static constexpr bool everyDecision = true;
    PointPlace(glm::dvec2 p, bool slopeRises, const SlopeFacet* ruling)
        : p_(p), slopeRises_(slopeRises), ruling_(ruling) {}
    double of(const Linear& f) const { return f.at(p_); }
    int side(double f) {
        note(f);
        return f > 0 ? 1 : -1;
    }
    bool slopeRises(double f) {
        note(f);
        return slopeRises_;
    }
    const SlopeFacet& ruling(const SlopeFacet&) const { return *ruling_; }
    const Decisions& decisions() const { return decisions_; }

  private:
    void note(double f) {
        if (count_ == 64) {
            decisions_.complete = false;
            return;
        }
        decisions_.above |= static_cast<uint64_t>(f > tolerance::zeroThickness) << count_;
        decisions_.below |= static_cast<uint64_t>(f < -tolerance::zeroThickness) << count_;
        ++count_;
    }
    glm::dvec2 p_;
    bool slopeRises_;
    const SlopeFacet* ruling_;
    Decisions decisions_;
    int count_ = 0;
};

/// The layers above fill that stand somewhere, with what is known between them; the same for all places of a
/// stand.
struct Courses {
    /// The layers between two known surfaces, or down to the formation; one of them may take up.
    struct Span {
        int upper = 0, lower = 0;  ///< interfaces
        int target = -1;           ///< index of the measured top that the upper one is, -1: the finish
        int takingUp = -1;         ///< the layer that does, -1: none
        double others = 0;         ///< wanted thickness of all the others
    };
    std::vector<double> thickness;  ///< wanted, top first
    std::vector<Span> spans;        ///< the lowest first
    int bottomFrom = -1;            ///< the formation hangs from this measured top, -1: from the finish
    double bottomBelow = 0;         ///< by so much
};

/// A stand made ready to be solved at many places.
struct Recipe {
    const Plot* plot = nullptr;  ///< null outside every foot
    bool beyond = false;
    Courses courses;         ///< beyond the outline: those at the edge itself
    std::vector<char> kept;  ///< beyond the outline: which of these courses run out as far as here
    std::vector<const SlopeFacet*> facets;
    double strip = 0;
};
Recipe recipeFor(const Groundwork& work, const Stand& stand);
/// Of the courses alone, inside an outline or beyond it.
Recipe recipeFor(const Plot& plot, const std::vector<char>& present, bool beyond);

/// Level lifts count from here: the lowest stripped ground under fill.
struct StackSettings {
    FillLifts fillLifts = FillLifts::Parallel;
    double liftDatum = 0;
    double floor = 0;
};

/// Solves stacks, one place after another, in memory of its own. Place is PointPlace or PiecePlace.
template <class Place>
class StackSolver {
  public:
    using Height = typename Place::Height;

    /// Levels of the layers above fill, top first, the last one the formation. Layers that are absent are
    /// left out; a layer that takes up fills the gap they leave. On a side slope the one level is the
    /// slope's, on bare ground the ground's.
    const std::vector<Height>& levels(const Recipe& recipe, const RulersOf<Height>& rulers, Place& place);

    /// Heights of all interfaces of a column, top first, the native soil's underside last. The column gives
    /// how many lifts each layer has. `strippedBy` tells how far below the ground the soil was taken off.
    const std::vector<Height>& heights(const Recipe& recipe, const Column& column,
                                       const RulersOf<Height>& rulers, const StackSettings& settings,
                                       Place& place, double& strippedBy);

  private:
    const SlopeFacet& highest(const Recipe& recipe, Place& place) const;
    void solveCourses(const Courses& courses, const RulersOf<Height>& rulers, Place& place);
    void keepBeyond(const std::vector<char>& kept);
    void addCourse(const Column& column, const Height& top, const Height& bottom);
    void addFillAndSoil(const Column& column, const StackSettings& settings, const Height& top,
                        const Height& crown, const Height& stripped, double lift, Place& place);
    void addSlope(const Recipe& recipe, const Column& column, const RulersOf<Height>& rulers,
                  const StackSettings& settings, Place& place, double& strippedBy);

    std::vector<Height> levels_;
    std::vector<Height> heights_;
    std::vector<Height> thickness_;
};
extern template class StackSolver<PointPlace>;
extern template class StackSolver<PiecePlace>;

}  // namespace underfoot
