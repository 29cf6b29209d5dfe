#pragma once
// The earth moved: what is stripped, dug and filled, in place, loose and compacted; whether the cut makes the
// fill and what is hauled; where on plan cut changes to fill; and the lifts to place.
//
// Volumes are those of study/volumes.h: strip and cut count in place (in the bank), fill and backfill
// compacted (US Navy, Equipment Operator, NAVEDTRA 14080). One volume in place becomes Soil::loose lying
// loose and Soil::compacted in a fill (assets/materials.toml). A volume compacted therefore is loose when it
// comes Soil::loose / Soil::compacted times as large; where a material has no soil, as its two densities say.

#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/catalogue.h"

namespace underfoot {

/// One amount of earth in its three states. m³.
struct EarthState {
    double inPlace = 0;
    double loose = 0;
    double compacted = 0;
};
EarthState inPlace(const Soil& soil, double volume);        ///< `volume` as it lies in the bank
EarthState whenCompacted(const Soil& soil, double volume);  ///< `volume` as it lies in a fill

/// How much larger a material is when it comes than when it is compacted, and where that is from.
struct Loosening {
    double looseForCompacted = 1;
    std::string source;
};
Loosening looseningOf(const Catalogue& catalogue, const Material& material);

/// Fill or backfill to be brought.
struct HauledIn {
    std::string material;
    double compacted = 0;
    double loose = 0;
    std::string source;  ///< of the ratio between the two
};

/// What is dug, where it goes, what comes. The backfill beside the edge is taken from the topsoil, then from
/// the cut; fill is taken from what is left of the cut where the plan says `cut_as_fill`, each of the plan's
/// fills by its share, and comes from elsewhere else.
struct EarthBalance {
    Soil soil;               ///< of the ground
    bool soilNamed = false;  ///< by the plan; else the usual one is taken
    bool cutAsFill = false;
    EarthState strip, cut;
    double fill = 0;                ///< compacted, side slopes included
    double backfill = 0;            ///< compacted
    double stripUsed = 0;           ///< in place: topsoil that goes back as backfill
    double cutAsBackfill = 0;       ///< in place
    double cutUsed = 0;             ///< in place: cut that goes into the fill
    EarthState stripLeft, cutLeft;  ///< to be hauled out
    std::vector<HauledIn> hauledIn;
    std::vector<std::string> assumptions;  ///< whole sentences

    double looseOut() const { return stripLeft.loose + cutLeft.loose; }
    double looseIn() const;
    bool fillIsMostlyCut() const { return cutUsed > 0 && 2 * cutUsed * soil.compacted >= fill; }
};
EarthBalance earthBalance(const Model& model, const Catalogue& catalogue);

/// A line in plan, local. A closed one does not repeat its first point.
struct PlanLine {
    std::vector<glm::dvec2> points;
    bool closed = false;
    double length = 0;
};
/// Where cut changes to fill under the build-ups and what runs out beyond them: on one side the stripped
/// ground lies above the formation (or at it), on the other below. Fill lies to the line's left. Where the
/// formation steps, the line runs along the step as far as one side is cut and the other fill. The edge of
/// the earthwork itself, and where side slopes run out, are no such lines. Longest first.
std::vector<PlanLine> cutToFillLines(const Model& model);

/// A connected place where one lift is laid.
struct LiftPlace {
    std::vector<std::vector<glm::dvec2>> outline;  ///< rings, outer first, turning left; holes right; local
    glm::dvec2 at{0, 0};                           ///< its lowest corner; of equal ones the least x, then y
    double lowest = 0;                             ///< height of the lift's underside there
    double planArea = 0;
    double volume = 0;    ///< compacted
    double greatest = 0;  ///< compacted thickness
};
/// One lift of a layer.
struct LiftToPlace {
    LayerId layer = -1;
    int lift = 0;  ///< 0 is the lowest
    int lifts = 1;
    std::vector<LiftPlace> places;  ///< the lowest first
    double planArea = 0;
    double volume = 0;    ///< compacted
    double greatest = 0;  ///< compacted thickness
    /// To spread there, so that the compacted thickness is left: fill as of the cut where it is mostly that.
    double greatestLoose = 0;
    double loose = 0;            ///< volume to spread
    std::string looseSource;     ///< of the ratio
    bool tooThick = false;       ///< past limit lift.greatest (by more than tolerance::lengthCompare)
    double greatestAllowed = 0;  ///< that limit
    int passes = 0;              ///< of the compactor: limit lift.passes
    std::string passesSource;    ///< with the plan's reason where it gives its own
};
/// The lifts of fill and base, in the order of placing: fill before base, of each layer the lowest lift
/// first. A place is where the lift is thicker than tolerance::lengthCompare. Empty lifts are left out.
/// Work grows with the number of cells times lifts.
std::vector<LiftToPlace> liftsToPlace(const Model& model, const Catalogue& catalogue);

}  // namespace underfoot
