#pragma once
// Open grids of heights from other people's packages, and what any triangulation of a grid must give. The
// four corners of a square share one circle, so a Delaunay triangulation may take either diagonal of each.

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <glm/vec3.hpp>

namespace underfoot::outside {

struct HeightGrid {
    int columns = 0;
    int rows = 0;
    std::vector<int> heights;  ///< metres; row by row

    int at(int column, int row) const {
        return heights[static_cast<size_t>(row) * static_cast<size_t>(columns) + static_cast<size_t>(column)];
    }
    /// As points: columns along x, rows along y, the middle at the origin of the plan.
    std::vector<glm::dvec3> points(double step, double heightScale = 1) const;
};

/// "data/volcano.json" of the npm package vega-datasets. Nothing where the file is missing or another.
std::optional<HeightGrid> readVolcano(const std::filesystem::path& file);
/// "elevation.npy", 16-bit whole numbers, in an archive as numpy.savez_compressed writes it (ZIP: PKWARE's
/// APPNOTE 6.3; NPY: NumPy Enhancement Proposal 1). Nothing where the file is missing or another.
std::optional<HeightGrid> readElevations(const std::filesystem::path& archive);

/// Volume under a triangle of plan area `area`, above a level (`cut`) and below it (`fill`).
struct CutFill {
    double cut = 0;
    double fill = 0;
    double net() const { return cut - fill; }
};
CutFill cutFill(double area, std::array<double, 3> heights, double level);

/// The same for a whole grid of squares: with all diagonals one way, all the other way, and the least and
/// greatest that any choice of diagonals gives.
struct GridBounds {
    double fourCorners = 0;  ///< (cell / 4)(sum h1 + 2 sum h2 + 3 sum h3 + 4 sum h4), net
    double rising = 0, falling = 0;
    double leastNet = 0, greatestNet = 0;
    double leastCut = 0, greatestCut = 0;
    double leastFill = 0, greatestFill = 0;
};
GridBounds boundsOf(const HeightGrid& grid, double step, double heightScale, double level);

}  // namespace underfoot::outside
