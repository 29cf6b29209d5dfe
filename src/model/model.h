#pragma once
// The layered solid: cells in plan on which every surface is flat, a column of layers on each, and the
// heights of every interface at every cell corner. All answers are read from here; meshes are output.
//
// Plan positions in a model are local: metres from `Site::origin`, x and y as in the plan, z up. Heights are
// those of the plan's datum.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/surface.h"
#include "measure/diagnostic.h"
#include "plan/plan.h"

namespace underfoot {

/// Where the model stands: local = plan - origin. `low` and `high` bound the cells (local).
struct Site {
    glm::dvec2 origin{0, 0};
    glm::dvec2 low{0, 0};
    glm::dvec2 high{0, 0};
    double floor = 0;  ///< height of the flat underside of the native soil block
};

using LayerId = int;

/// A layer of the whole model: all layers of one name in the plan's build-ups, and the two that a plan never
/// names (backfill, native soil).
struct ModelLayer {
    std::string name;
    Role role = Role::Base;
    std::string material;
};

/// One layer, or one lift of it, in a column.
struct ColumnEntry {
    LayerId layer = -1;
    int lift = 0;  ///< 0 is the lowest lift of the layer
    int lifts = 1;
    double wanted = 0;            ///< thickness of this entry by design; 0 for what takes up over ground
    std::optional<double> least;  ///< of the whole layer, from its build-up
    std::optional<double> greatest;
    bool takesUp = false;
};

/// The kind of stack that stands on a cell. Entries are top first; the last is always the native soil. With n
/// entries there are n + 1 interfaces: 0 the surface, k between entry k-1 and entry k, n the underside.
struct Column {
    int area = -1;  ///< index into plan.areas; -1 outside every area
    bool beyond =
        false;  ///< outside the outlines, where layers of `area` run past its edge, or its fill's side slope
    std::vector<ColumnEntry> entries;
    int formation = 0;  ///< the interface that is the bottom of the build-up: fill and soil lie below it
};

struct Cell {
    std::array<int, 3> vertex{-1, -1, -1};     ///< into Model::vertices, turning left
    std::array<int, 3> neighbour{-1, -1, -1};  ///< across the edge opposite corner i; -1 at the rim
    std::array<int, 3> post{-1, -1, -1};       ///< into Model::posts: the stack at each corner
    int column = -1;
    /// Bit i: across edge i there may be other stacks, or no cell. Where it is not set both cells stand on
    /// the same posts there, so that nothing steps.
    uint8_t seams = 7;
};

/// The stack over one vertex. Cells that meet there with the same column at the same heights share it; where
/// they differ, at an edge or a step, each side has its own.
struct Post {
    int vertex = -1;
    int column = -1;
    int first = 0;  ///< of its run of entries + 1 in Model::heights and Model::pointOf
};

/// What is known of the surfaces at one post, beside the stack.
struct CornerFacts {
    double ground = 0;           ///< existing ground
    double stripped = 0;         ///< ground less sod and topsoil (equal to ground where nothing is stripped)
    double designFinish = 0;     ///< NaN outside the areas
    double designFormation = 0;  ///< NaN outside the areas and what runs beyond them
};

/// A unit as laid: an upright prism, whole or cut. Its corners are a run of Model::unitCorners, turning left.
struct UnitPiece {
    int area = -1;
    LayerId layer = -1;
    int firstCorner = 0;
    int corners = 0;
    int size = 0;  ///< which of the layout's sizes; border courses follow after the field's sizes
    bool whole = true;
    bool border = false;
    double planArea = 0;
    double wholeArea = 0;   ///< of the uncut unit
    double leastWidth = 0;  ///< narrowest width between parallel lines of the piece as cut
    PlaneHeight top;        ///< the plane of its top as set on its bed
    double thickness = 0;
    double chamfer = 0;  ///< 0 on the cut edges is not modelled: all edges of a piece carry it
};

/// A straight length of edging: an upright prism over four corners.
struct EdgingPiece {
    int area = -1;
    int edging = 0;                      ///< index into the area's edgings
    std::array<glm::dvec2, 4> corner{};  ///< turning left
    PlaneHeight top;
    double height = 0;
};

struct Spike {
    int area = -1;
    int edging = 0;
    glm::dvec2 at{0, 0};
    double top = 0;
    double length = 0;
    double diameter = 0;
};

/// What was done to a scan before a surface went through it (ground/thin.h).
struct ThinnedScan {
    std::string layer;  ///< whose top was scanned; "" for the ground
    size_t measured = 0;
    size_t kept = 0;
    double wanted = 0;             ///< what it was to be thinned to
    double error = 0;              ///< and was: coarser where else more had been kept than scan.kept
    double scatter = 0;            ///< standard deviation of the points about planes through near ones
    double square = 0;             ///< side of the squares that points were averaged over; 0: none were
    double greatest = 0;           ///< the farthest of all points above or below the surface
    glm::dvec3 farthest{0, 0, 0};  ///< that point, local
};

/// A build-up's solved geometry. Immutable once built; copying is allowed, sharing is better.
struct Model {
    Plan plan;
    Site site;
    std::vector<ModelLayer> layers;
    std::vector<Column> columns;
    std::vector<glm::dvec2> vertices;
    std::vector<Cell> cells;
    std::vector<Post> posts;         ///< vertex by vertex
    std::vector<CornerFacts> facts;  ///< one a post
    std::vector<double> cellAreas;   ///< in plan, one a cell
    /// One a post: what it answers for in plan, a third of each cell that stands on it. The volume of an
    /// entry is the sum over posts of its thickness there times this.
    std::vector<double> postAreas;
    /// Per post a run of entries + 1 heights, top first: heights[post.first + k].
    std::vector<double> heights;
    /// The same runs as indices into `points`: corners that meet are the same point.
    std::vector<int> pointOf;
    /// Numbered vertex by vertex: the points over one vertex follow each other, the lowest first.
    std::vector<glm::dvec3> points;
    std::vector<uint8_t>
        groundKnown;  ///< per cell: 0 where the ground is carried on past the shots, or assumed

    std::vector<UnitPiece> units;
    std::vector<glm::dvec2> unitCorners;
    std::vector<EdgingPiece> edging;
    std::vector<Spike> spikes;
    std::vector<ThinnedScan> scans;  ///< measured tops in the plan's order, then the ground

    LayerId nativeSoil = -1;  ///< the last layer

    int interfaces(const Cell& cell) const {
        return static_cast<int>(columns[static_cast<size_t>(cell.column)].entries.size()) + 1;
    }
    const Column& columnOf(const Cell& cell) const { return columns[static_cast<size_t>(cell.column)]; }
    const Post& postOf(const Cell& cell, int corner) const {
        return posts[static_cast<size_t>(cell.post[static_cast<size_t>(corner)])];
    }
    /// The heights of all interfaces at corner c (0 to 2) of a cell, top first.
    const double* stack(const Cell& cell, int corner) const {
        return heights.data() + postOf(cell, corner).first;
    }
    double height(const Cell& cell, int corner, int k) const { return stack(cell, corner)[k]; }
    const CornerFacts& factsAt(const Cell& cell, int corner) const {
        return facts[static_cast<size_t>(cell.post[static_cast<size_t>(corner)])];
    }
    double thickness(const Cell& cell, int corner, int entry) const {
        return height(cell, corner, entry) - height(cell, corner, entry + 1);
    }
    glm::dvec2 at(const Cell& cell, int corner) const {
        return vertices[static_cast<size_t>(cell.vertex[static_cast<size_t>(corner)])];
    }
    double planArea(const Cell& cell) const {
        const glm::dvec2 a = at(cell, 0), b = at(cell, 1), c = at(cell, 2);
        return 0.5 * ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y));
    }
    glm::dvec2 toLocal(glm::dvec2 planPoint) const { return planPoint - site.origin; }
    glm::dvec2 toPlan(glm::dvec2 local) const { return local + site.origin; }
    /// (station, offset) of a local point.
    glm::dvec2 stationOffset(glm::dvec2 local) const { return plan.baseline.stationOffset(toPlan(local)); }
    /// The layer of that name, or -1.
    LayerId findLayer(std::string_view name) const;
};

/// Fills in cellAreas and postAreas from vertices, cells and posts.
void measurePlanAreas(Model& model);

/// Builds the model of a plan: overlay, stack, solids' corners, units, edging. Reports as many errors of
/// geometry as it can find (areas that overlap without saying so, an outline that leaves the shots, …). Same
/// plan, same bytes.
Checked<Model> buildModel(Plan plan);

/// Checks every promise of a model: layers ordered, nothing negative, columns summing up, neighbours mutual,
/// solids closed and outward, volumes adding up. The first fault as a sentence.
std::optional<std::string> modelFault(const Model& model);

}  // namespace underfoot
