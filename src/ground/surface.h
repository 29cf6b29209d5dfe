#pragma once
// Height surfaces over the plan, each piecewise linear: triangulated shots, a plane, planes joined as ridge
// or valley. Plan points are in local coordinates (metres from the site's origin).

#include <array>
#include <memory>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

namespace underfoot {

/// z = level + gradient . (p - at)
struct PlaneHeight {
    glm::dvec2 at{0, 0};
    double level = 0;
    glm::dvec2 gradient{0, 0};
    double height(glm::dvec2 p) const {
        return level + gradient.x * (p.x - at.x) + gradient.y * (p.y - at.y);
    }
};

/// The plane through three points that are not in line in plan (asserted).
PlaneHeight planeThrough(const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c);
/// The plane that fits points best by least squares of upright distance. Level at the mean when they are in
/// line.
PlaneHeight planeFit(std::span<const glm::dvec3> points);

/// What lies past the edge of triangulated shots.
enum class Beyond { Nearest, Plane };

/// The measured points that a height is mixed from: the sum of share times the height of that corner. Corners
/// are the surface's own.
struct Influence {
    std::array<int, 3> corner{0, 0, 0};
    std::array<double, 3> share{0, 0, 0};
};

/// A line in plan, from end to end.
using BreakLine = std::pair<glm::dvec2, glm::dvec2>;

/// Lines whose ends several of them share: pairs of indices into `places`, no two of which are one point of
/// the grid.
struct LineNet {
    std::vector<glm::dvec2> places;
    std::vector<std::array<int, 2>> lines;
};
/// The net of single lines, places in the order in which their ends come.
LineNet netOf(std::span<const BreakLine> lines);

/// A height for every place of the plan.
class Surface {
  public:
    virtual ~Surface() = default;

    /// The flat piece that rules at `p`. `hint` carries a place to start from between calls and is updated;
    /// pass the same variable for points that lie near each other. Deterministic on shared edges: either
    /// piece, both give the same height there.
    virtual PlaneHeight pieceAt(glm::dvec2 p, int& hint) const = 0;

    /// The height at `p`: that of pieceAt, found faster where it can be.
    virtual double heightAt(glm::dvec2 p, int& hint) const { return pieceAt(p, hint).height(p); }

    /// Whether there are places where the height jumps, so that it depends on the side one asks from.
    virtual bool steps() const { return false; }

    /// Whether influenceAt answers anywhere.
    virtual bool mixes() const { return false; }
    /// What the height at `p` is mixed from; nothing where it is not made of points near it.
    virtual std::optional<Influence> influenceAt(glm::dvec2 p, int& hint) const {
        (void)p;
        (void)hint;
        return std::nullopt;
    }
    virtual double mixed(const Influence& influence) const {
        (void)influence;
        return 0;
    }
    /// Moves one of the points it was made from up or down, counted as they were given; false where it was
    /// made from none, or another point at the same place counts. Lines and pieces stay where they are.
    virtual bool setHeight(size_t point, double height) {
        (void)point;
        (void)height;
        return false;
    }

    /// The lines along which the surface breaks, clipped to the box: for overlaying. None is a single point.
    virtual std::vector<BreakLine> breakLines(glm::dvec2 low, glm::dvec2 high) const = 0;
    /// The same lines in the same order, as a net.
    virtual LineNet breakNet(glm::dvec2 low, glm::dvec2 high) const { return netOf(breakLines(low, high)); }

    /// False where the height is an extension past the shots.
    virtual bool known(glm::dvec2 p, int& hint) const {
        (void)p;
        (void)hint;
        return true;
    }

    /// Where the surface breaks on the way from a to b, as parts of the way; neither end, not sorted.
    virtual std::vector<double> breaksBetween(glm::dvec2 a, glm::dvec2 b) const;

    double height(glm::dvec2 p) const;

  protected:
    /// A box round the way from a to b: no line that misses it breaks the way.
    static BreakLine boxRound(glm::dvec2 a, glm::dvec2 b);
    /// breaksBetween, from lines clipped to that box.
    static std::vector<double> breaksOf(std::span<const BreakLine> lines, glm::dvec2 a, glm::dvec2 b);
};

/// Delaunay triangulation of the points' plan positions (snapped to the grid). Points at one place: the first
/// counts. Past the hull, Beyond::Nearest takes the height of the nearest hull point, which is flat in
/// pieces: a strip square to each hull edge with that edge's fall, and a level wedge at each hull corner; no
/// step anywhere. Beyond::Plane takes the plane that fits all points best, with a step at the hull. The hull
/// itself belongs to the shots. Null when fewer than three points differ, all are in line, or one lies past
/// gridReach or is not finite. The pieces past the hull need no box: they reach as far as they are asked
/// about. A hint that is no triangle of this surface (-1, or left by another one) starts anywhere.
std::unique_ptr<Surface> triangulatedSurface(std::span<const glm::dvec3> points, Beyond beyond,
                                             glm::dvec2 low, glm::dvec2 high);

std::unique_ptr<Surface> planeSurface(const PlaneHeight& plane);

/// Ridge: the lowest of the planes; valley: the highest.
enum class Join { Lowest, Highest };
/// Where planes tie, the first of them is the piece. Breaks are the parts of the lines of equal height at
/// which those two planes rule. Needs a plane (asserted).
std::unique_ptr<Surface> joinedPlanes(std::vector<PlaneHeight> planes, Join join);

}  // namespace underfoot
