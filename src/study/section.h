#pragma once
// The cut by an upright plane along a line in plan.
//
// Boundary rule: a line that runs exactly along an edge between two cells belongs to the cell on its left; one
// that runs along the rim of the model belongs to the cell inside. A line outside the model gives no intervals.
// A line of no length gives an empty section.

#include <optional>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"

namespace underfoot {

/// One cell crossed: between distances `from` and `to` along the line every interface is straight.
/// Heights of interface k: Section::heights[first + 2 k] at `from`, [first + 2 k + 1] at `to`.
struct SectionInterval {
    double from = 0;
    double to = 0;
    int cell = -1;
    int column = -1;
    int first = 0;
};

/// A unit cut by the line; two records where a concave piece is crossed twice.
struct UnitCut {
    int unit = -1;
    double from = 0;
    double to = 0;
    double topFrom = 0, topTo = 0;
    double bottomFrom = 0, bottomTo = 0;
};

/// A pipe crossed by the line: an ellipse with upright half axis `radius`, and `halfWidth` along the line.
struct PipeCut {
    int run = -1;
    double at = 0;
    double centre = 0;
    double radius = 0;
    double halfWidth = 0;
};

/// A thing cut as an upright quadrilateral: edging, or a fixed thing.
struct ThingCut {
    enum class Kind { Edging, Fixed } kind = Kind::Edging;
    int index = -1;  ///< into Model::edging or plan.fixedThings
    double from = 0;
    double to = 0;
    double topFrom = 0, topTo = 0;
    double bottomFrom = 0, bottomTo = 0;
};

struct Section {
    std::vector<glm::dvec2> line;  ///< local
    std::vector<double> lineAt;    ///< distance of each point of the line
    double length = 0;
    /// When the line is straight across the baseline at one station: that station.
    std::optional<double> station;
    std::vector<SectionInterval> intervals;  ///< in order along the line; gaps where it leaves the model
    std::vector<double> heights;
    std::vector<UnitCut> units;
    std::vector<PipeCut> pipes;
    std::vector<ThingCut> things;

    glm::dvec2 at(double distance) const;  ///< local plan point
};

/// The section along a polyline in local coordinates.
Section cut(const Model& model, const std::vector<glm::dvec2>& line);
/// Straight across the whole model at a station, from the least offset to the greatest.
Section cutAtStation(const Model& model, double station);
/// A row of sections, every `interval` from the first station to the last, both included when they fit.
std::vector<Section> cutRow(const Model& model, double firstStation, double lastStation, double interval);

/// One layer (or one lift) at one place of a section or of the plan.
struct LayerAt {
    LayerId layer = -1;
    int entry = -1;
    int lift = 0;
    double top = 0;
    double bottom = 0;
    double thickness() const { return top - bottom; }
};

/// The stack at a distance along the section, top first. Where two intervals meet, the one that starts there. Empty outside.
std::vector<LayerAt> stackAt(const Model& model, const Section& section, double distance);

/// Where a layer (its lifts together) is thinnest and thickest along the section; not where it is absent.
struct Extremes {
    LayerId layer = -1;
    double least = 0, leastAt = 0;
    double greatest = 0, greatestAt = 0;
    double area = 0;  ///< of the layer's cut face, m²
};
std::vector<Extremes> extremes(const Model& model, const Section& section);

/// A layer's top and bottom as polylines (distance, height), one per unbroken run.
struct LayerRun {
    LayerId layer = -1;
    int lift = -1;  ///< -1: all lifts together
    std::vector<glm::dvec2> top;
    std::vector<glm::dvec2> bottom;
};
std::vector<LayerRun> layerRuns(const Model& model, const Section& section, bool splitLifts = false);

}  // namespace underfoot
