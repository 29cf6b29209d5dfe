#pragma once
// A scan put in order: one place for each spot, along a space-filling curve.

#include <span>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/grid.h"

namespace underfoot::thinning {

/// All that was measured at one spot.
struct Place {
    glm::dvec2 at{0, 0};  ///< on the grid
    double height = 0;    ///< that a surface through the place has
    double lowest = 0;    ///< of the points measured here
    double highest = 0;
    bool fixed = false;

    double deviation(double surface) const {
        return highest - surface > surface - lowest ? highest - surface : surface - lowest;
    }
};

/// Places along the curve: those of one square of a quartered bounding square follow each other.
struct Places {
    std::vector<Place> list;
    GridPoint low;        ///< corner of that bounding square
    int finestShift = 0;  ///< its smallest squares are 2^finestShift grid steps wide
};

Places placesOf(std::span<const glm::dvec3> scan, std::span<const glm::dvec3> fixed);

/// Standard deviation of places about the plane of near ones, the median over small squares; 0 where too few
/// lie near each other to tell. Squares are `widest` at most.
double scatterOf(const Places& places, double widest);

/// Means over the squares that bring the scatter of means down to `wanted`, else over the largest up to
/// `widest`, and places outside the hull of the means, each on the plane of near ones, so that the hull stays
/// as it was. Places five times the scatter off the plane of their square are left out of its mean, unless
/// they are half of it. Fixed places stay. `square` becomes the side of the squares.
std::vector<Place> averaged(const Places& places, double scatter, double wanted, double widest,
                            double& square);

/// Indices of the strict corners of the places' convex hull.
std::vector<size_t> hullOf(std::span<const Place> places);

}  // namespace underfoot::thinning
