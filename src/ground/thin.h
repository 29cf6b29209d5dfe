#pragma once
// Scans: hundreds of thousands of measured points brought down to those that a surface needs to pass all of
// them within a stated distance. Points in local coordinates (metres from the site's origin), z up.

#include <span>
#include <vector>

#include <glm/vec3.hpp>

namespace underfoot {

struct Thinning {
    double error = 0.001;        ///< farthest that the surface may pass a point by, upright; above zero
    size_t mostKept = 20000;     ///< of the scan, beside the corners of its hull
    double averageOver = 0.127;  ///< widest square that points are averaged over; 0: they never are
};

struct Thinned {
    std::vector<glm::dvec3> points;  ///< the fixed ones as given, then those kept of the scan
    size_t measured = 0;             ///< points of the scan
    size_t kept = 0;                 ///< points, or means, of the scan that the surface goes through
    double error = 0;     ///< what it was thinned to: as asked for, or coarser to keep no more than the most
    double scatter = 0;   ///< of the points about planes through near ones: standard deviation, its median
    double square = 0;    ///< side of the squares that points were averaged over; 0: none were
    double greatest = 0;  ///< upright distance of the farthest of all points from the surface
    glm::dvec3 farthest{0, 0, 0};  ///< that point
};

/// Thins a scan. The surface is the triangulatedSurface of the result's points. It goes through every fixed
/// point and the corners of the convex hull of all points (of more than 5,000 corners through some of them).
/// Starting from these, points are added where the surface passes them by most, until it passes none by more
/// than the error (greedy insertion: M. Garland and P. S. Heckbert, "Fast Polygonal Approximation of Terrains
/// and Height Fields", 1995; here all triangles that are worse than their neighbours take a point at once).
/// Where that takes more points than the most, the error is the smallest that does not, in steps of half as
/// much again. `greatest` is then measured on the surface itself, over all points.
///
/// A scanner's noise is no shape: where the points scatter by more than a fifth of the error, they are first
/// averaged over squares, as small as will bring the scatter of the means down to that and never larger than
/// asked for. The surface then passes the means within the error; `greatest` is still that of the points.
/// What lies off the plane of its square by five times the scatter is left out of the mean. Where too few
/// points lie near each other to tell their scatter, they are taken to have none.
///
/// Points at one place (on the grid) count as one, halfway between the highest and the lowest; a fixed point
/// rules its place. The order of the scan's points makes no difference. Where a point lies past gridReach or
/// is not finite nothing is thinned: no surface goes through such points.
Thinned thin(std::span<const glm::dvec3> scan, std::span<const glm::dvec3> fixed, const Thinning& thinning);

}  // namespace underfoot
