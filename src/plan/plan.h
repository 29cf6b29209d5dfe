#pragma once
// The plan: what the builder knows and wants, as plain data. Heights and lengths in metres, slopes as rise
// over run, angles in radians. Every record keeps the place it was written at, so that later steps can
// report against the builder's own file.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"

namespace underfoot {

/// The line that stations run along, usually the house wall. Offsets are square to it, positive away from the
/// house: to the left of from -> to where `offsetLeft` is true, else to its right.
struct Baseline {
    glm::dvec2 from{0, 0};
    glm::dvec2 to{1, 0};
    double startStation = 0;
    bool offsetLeft = true;
    SourcePlace place;

    /// Plan position (x, y) of a station and offset, and back.
    glm::dvec2 at(double station, double offset) const;
    glm::dvec2 stationOffset(glm::dvec2 point) const;  ///< (station, offset)
};

/// One edge of an outline: from the end of the edge before it to `to`, straight, or an arc through `through`.
struct OutlineEdge {
    glm::dvec2 to{0, 0};
    std::optional<glm::dvec2> through;
    SourcePlace place;
};

/// A closed outline: starts at `start`; the last edge ends at `start`. Counter-clockwise after reading.
struct Ring {
    glm::dvec2 start{0, 0};
    std::vector<OutlineEdge> edges;
};

/// A ring as corners, arcs replaced by chords no farther than `sagitta` from the arc.
/// `edgeOf[i]` is the index of the edge that the side from corner i to corner i+1 came from.
struct Chords {
    std::vector<glm::dvec2> corners;
    std::vector<int> edgeOf;
};
Chords toChords(const Ring& ring, double sagitta);
/// Signed area of the chorded ring; positive when counter-clockwise.
double signedArea(const std::vector<glm::dvec2>& corners);

// ---------------------------------------------------------------- finish

/// A plane: `level` at `at`; falls by `fall` per unit of offset (away from the house) and by `crossFall` per
/// unit of station. Positive falls go down.
struct FinishPlane {
    glm::dvec2 at{0, 0};
    double level = 0;
    double fall = 0;
    double crossFall = 0;
    SourcePlace place;
};

struct SpotLevel {
    glm::dvec2 at{0, 0};
    double level = 0;
    SourcePlace place;
};

enum class PlaneJoin { Ridge, Valley };  ///< Ridge: the lowest plane rules; Valley: the highest plane rules

/// The designed finish: one or more planes joined, or spot levels triangulated (then `planes` is empty).
struct Finish {
    std::string name;  ///< "" is the plan's own finish; areas may name another
    std::vector<FinishPlane> planes;
    PlaneJoin join = PlaneJoin::Ridge;
    std::vector<SpotLevel> spots;
    SourcePlace place;
};

// ---------------------------------------------------------------- build-ups

enum class Role {
    Units,
    Underlayment,
    Bedding,
    Base,
    Geotextile,
    Slab,
    InfillStone,
    ProtectiveSand,
    Fill,
    Backfill,    ///< never written in a plan: soil put back over a base that runs beyond the edge
    NativeSoil,  ///< never written in a plan: the ground under everything
};
/// The word for a role as the plan file writes it: "units", "infill stone", "protective sand", …
const char* roleName(Role role);

enum class CornerStyle { Square, Round };

struct Layer {
    std::string name;  ///< layers of one name in neighbouring areas are one layer
    Role role = Role::Base;
    double thickness = 0;  ///< wanted; 0 for fill, which takes up
    std::optional<double> least;
    std::optional<double> greatest;
    double beyond = 0;  ///< how far it runs past the area's edge; negative stops short of it
    CornerStyle corners = CornerStyle::Square;
    bool takesUp = false;
    double lift = 0;  ///< thickness of one compacted lift; 0: placed in one
    std::string material;
    SourcePlace place;
};

struct BuildUp {
    std::string name;
    std::vector<Layer> layers;  ///< top first
    SourcePlace place;
};

// ---------------------------------------------------------------- shots

struct Shot {
    std::string number;
    glm::dvec2 at{0, 0};
    double height = 0;
    std::string description;
    SourcePlace place;
};

/// Point files of so many points that they come from a scanner. A scan is thinned before a surface goes
/// through it; shots are all kept.
struct Scan {
    std::vector<glm::dvec3> points;  ///< x, y, height
    std::vector<std::string> files;
    /// Farthest that the surface may pass a point by, upright; else the limit scan.thin_to.
    std::optional<double> thinTo;
};

/// What to do where the plan reaches past the shots.
enum class Extend {
    Refuse,   ///< an error
    Nearest,  ///< the height of the nearest place on the edge of the shots
    Plane,    ///< the plane that fits all shots best
};

enum class FillLifts { Parallel, Level };  ///< lifts parallel to the formation, or level

struct Ground {
    std::vector<Shot> shots;
    double strip = 0;  ///< sod and topsoil taken off
    Extend extend = Extend::Refuse;
    FillLifts fillLifts = FillLifts::Parallel;
    double fillLift = 0;     ///< lift thickness of fill that no build-up names; 0: one lift
    double sideSlope = 0.5;  ///< rise over run of the fill's side: 1:2 is 0.5
    double shoulder = 0;     ///< level width of fill beyond the lowest layer before its side slope starts
    std::string fillMaterial = "fill";
    SourcePlace place;
    Scan scan;
    std::string soil;        ///< name in assets/materials.toml; "": the plan names none
    bool cutAsFill = false;  ///< what is dug out may be used as fill

    /// With no heights at all the ground lies level with the plan's own finish (reported as assumed).
    bool assumed() const { return shots.empty() && scan.points.empty(); }
};

/// Heights shot on a layer's top after it was placed.
struct MeasuredTop {
    std::string layer;
    std::vector<Shot> shots;
    Extend extend = Extend::Nearest;
    SourcePlace place;
    Scan scan;
};

// ---------------------------------------------------------------- units and edging

enum class Pattern { Stack, Running, Herringbone45, Herringbone90, BasketWeave, Repeat };

struct UnitSize {
    double length = 0;
    double width = 0;
};

/// One unit of a free repeat: its lower left corner in the repeat, and its size, joints not included.
struct RepeatUnit {
    glm::dvec2 at{0, 0};
    UnitSize size;
};

/// A course laid along chosen edges before the field.
struct BorderCourse {
    std::vector<int> edges;  ///< indices into the area's outline edges; empty: all
    UnitSize size;  ///< length runs along the edge for a sailor course, square to it for a soldier course
    bool soldier = true;  ///< soldier: the short side faces the edge; else lengthwise along it
    SourcePlace place;
};

struct UnitLayout {
    Pattern pattern = Pattern::Running;
    std::vector<UnitSize> sizes;     ///< first one rules, except for a free repeat
    std::vector<RepeatUnit> repeat;  ///< Repeat only
    glm::dvec2 repeatStep{0, 0};     ///< Repeat only: the cell that repeats, joints included
    double shift = 0.5;              ///< Running only: part of a unit's length that each row moves on
    double joint = 0.003;
    double angle = 0;                 ///< of the rows against the baseline
    std::optional<glm::dvec2> start;  ///< corner of the first unit; else the area's first corner
    std::vector<BorderCourse> borders;
    double chamfer = 0;
    SourcePlace place;
};

struct Edging {
    std::vector<int> edges;  ///< indices into the area's outline edges; empty: all
    double height = 0.045;
    double thickness = 0.008;
    double top = 0;  ///< its top below the finish
    double spikeLength = 0.254;
    double spikeDiameter = 0.0095;
    double spikeSpacing = 0.3048;
    double spikeSpacingOnCurves = 0.2032;
    std::string material = "edging";
    SourcePlace place;
};

// ---------------------------------------------------------------- areas

struct Area {
    std::string name;
    Ring outline;
    std::vector<Ring> openings;
    std::string buildUp;
    std::string finish;               ///< name of a finish; "" is the plan's own
    std::vector<std::string> around;  ///< areas that are cut out of this one
    std::optional<UnitLayout> units;
    std::vector<Edging> edgings;
    std::vector<int>
        againstWall;  ///< outline edges that stand against a house or wall: nothing runs past them
    SourcePlace place;
};

// ---------------------------------------------------------------- other things in and beside the patio

struct PipePoint {
    glm::dvec2 at{0, 0};
    double invert = 0;  ///< height of the inside bottom
};

struct BuriedRun {
    std::string name;
    double diameter = 0;
    std::vector<PipePoint> points;  ///< two or more
    SourcePlace place;
};

enum class FixedKind { Slab, Wall, House };

struct FixedThing {
    FixedKind kind = FixedKind::Slab;
    std::string name;
    Ring outline;
    double top = 0;
    double bottom = 0;
    SourcePlace place;
};

/// A rule of assets/limits.toml with the plan's own value and why.
struct LimitOverride {
    std::string rule;
    double value = 0;  ///< in the rule's own SI unit
    std::string reason;
    SourcePlace place;
};

/// Whose rules hold where the plan is built.
struct LocalCode {
    std::string country;  ///< ISO 3166, two letters; "": the plan names none
    std::string name;     ///< of the code, as the builder writes it; "" where none is named
};

/// A place for fire on or beside the patio: a hearth, a pit.
struct FirePlace {
    std::string name;
    Ring outline;
    bool portable = false;  ///< a fireplace that is carried about; else an open fire
    SourcePlace place;
};

/// What the plan says of a material (assets/materials.toml) and how it is sold (assets/supply.toml): only
/// what is given goes before the usual.
struct MaterialOverride {
    std::string material;
    std::optional<double> densityLoose, densityCompacted;  ///< kg/m³
    std::string boughtBy;                                  ///< "" as usual
    std::optional<double> bagMass, bagVolume;              ///< kg, m³: one of them at most
    std::optional<UnitSize> roll;                          ///< length along the roll, width across it
    std::optional<UnitSize> panel;
    std::optional<double> stock;  ///< one length of edging
    std::optional<double> step;   ///< in units of sale
    SourcePlace place;
};

/// What one unit of sale of a material costs, in the plan's currency.
struct Price {
    std::string material;
    std::optional<UnitSize> size;  ///< of units: else any
    std::string per;               ///< as Material::boughtBy
    double amount = 0;
    SourcePlace place;
};

/// What carries materials.
struct Carrier {
    std::string kind;  ///< "truck" or "barrow"
    std::string name;
    double holds = 0;    ///< m³, lying loose
    double carries = 0;  ///< kg
    std::string source;
};

/// A named section that stays in the plan.
struct NamedCut {
    std::string name;
    std::vector<glm::dvec2> along;  ///< two or more points
    SourcePlace place;
};

struct Plan {
    std::string file;
    std::string title;
    LengthUnit bareUnit = LengthUnit::Foot;
    LengthFormat show;
    std::string datum;
    Baseline baseline;
    std::vector<Area> areas;
    std::vector<BuildUp> buildUps;
    std::vector<Finish> finishes;  ///< at least one; the plan's own has the empty name
    Ground ground;
    std::vector<MeasuredTop> measuredTops;
    std::vector<BuriedRun> buriedRuns;
    std::vector<FixedThing> fixedThings;
    std::vector<LimitOverride> limits;
    std::vector<MaterialOverride> materials;
    std::string currency;  ///< any text; "" without prices
    std::vector<Price> prices;
    std::vector<Carrier> carriers;  ///< one of a kind; else the usual one
    std::vector<NamedCut> cuts;
    LocalCode code;
    std::vector<FirePlace> fires;
};

/// The build-up that an area names; none where the plan has none of that name. Of areas by number those below
/// 0 have none.
inline const BuildUp* buildUpOf(const Plan& plan, const Area& area) {
    for (const BuildUp& buildUp : plan.buildUps)
        if (buildUp.name == area.buildUp) return &buildUp;
    return nullptr;
}
inline const BuildUp* buildUpOf(const Plan& plan, int area) {
    return area < 0 ? nullptr : buildUpOf(plan, plan.areas[static_cast<size_t>(area)]);
}

}  // namespace underfoot
