#pragma once
// The cut by an upright plane along a line in plan.
//
// Boundary rule: a line that runs exactly along an edge between two cells belongs to the cell on its left;
// one that runs along the rim of the model belongs to the cell inside. Corners that the grid took a little
// off such an edge don't part a line along it: one within 0.1 µm of them is taken 0.2 µm to its own left.
// A line outside the model gives no intervals. A line of no length, or with a coordinate that is no number,
// gives an empty section.
//
// The line's points are snapped to the grid of ground/grid.h first; what lies where is then decided exactly.
// A cell that is crossed over less than two grid steps (2 nm) is left out and its neighbour's interval
// reaches over it. Intervals that follow each other without a gap meet in the same number.

#include <memory>
#include <optional>
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

/// A unit cut by the line; two records where a concave piece is crossed twice, or where the line bends inside
/// it. A line along a side of a unit cuts it when the unit lies to the line's left.
struct UnitCut {
    int unit = -1;
    double from = 0;
    double to = 0;
    double topFrom = 0, topTo = 0;
    double bottomFrom = 0, bottomTo = 0;
};

/// A pipe crossed by the line: an ellipse with upright half axis `radius`, and `halfWidth` along the line.
/// `centre` is the height of the pipe's middle. A pipe that runs along the line is not crossed by it.
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
    /// When the line is straight across the baseline at one station (within a nanometre): that station.
    std::optional<double> station;
    std::vector<SectionInterval> intervals;  ///< in order along the line; gaps where it leaves the model
    std::vector<double> heights;
    std::vector<UnitCut> units;
    std::vector<PipeCut> pipes;
    std::vector<ThingCut> things;

    glm::dvec2 at(double distance) const;  ///< local plan point; the ends for distances past them
};

/// For many sections of one model: keeps the units in buckets and the rim at hand, so that the work of a
/// section is in proportion to what it crosses. The model must outlive it and stay as it is. Gives the same
/// bytes as `cut`.
class Cutter {
  public:
    explicit Cutter(const Model& model);
    Cutter(Cutter&&) noexcept;
    Cutter& operator=(Cutter&&) noexcept;
    ~Cutter();
    Section cut(const std::vector<glm::dvec2>& line) const;
    Section cutAtStation(double station) const;

  private:
    struct Prepared;
    std::unique_ptr<Prepared> prepared_;
};

/// The section along a polyline in local coordinates.
Section cut(const Model& model, const std::vector<glm::dvec2>& line);
/// Straight across the whole model at a station, from the least offset to the greatest that the model's box
/// has there. No intervals where the station misses the box.
Section cutAtStation(const Model& model, double station);
/// A row of sections, every `interval` from the first station to the last, both included when they fit; the
/// first 10,000 of them. An interval that is not positive gives the first station alone.
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

/// The stack at a distance along the section, top first, entries that are zero there included. Where two
/// intervals meet, the one that starts there. Empty outside.
std::vector<LayerAt> stackAt(const Model& model, const Section& section, double distance);

/// Where a layer (its lifts together) is thinnest and thickest along the section; not where it is absent,
/// that is on intervals where it has no thickness at either end. At equal thickness the first place along the
/// line. Native soil is left out. In the model's order of layers.
struct Extremes {
    LayerId layer = -1;
    double least = 0, leastAt = 0;
    double greatest = 0, greatestAt = 0;
    double area = 0;  ///< of the layer's cut face, m²
};
std::vector<Extremes> extremes(const Model& model, const Section& section);

/// A layer's top and bottom as polylines (distance, height), one per unbroken run, native soil included. Both
/// lines start and end at the same distances; an upright step has two points at one distance. A run breaks
/// where the layer has no thickness over an interval, where the line leaves the model, and where a step
/// leaves no common face.
struct LayerRun {
    LayerId layer = -1;
    int lift = -1;  ///< -1: all lifts together
    std::vector<glm::dvec2> top;
    std::vector<glm::dvec2> bottom;
};
std::vector<LayerRun> layerRuns(const Model& model, const Section& section, bool splitLifts = false);

}  // namespace underfoot
