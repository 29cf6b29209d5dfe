#pragma once
// What the plan says, brought into local coordinates: the regions that areas and their layers cover, the
// surfaces that rule, and the sides that fill slopes down from. First stage of building a model.

#include <memory>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/surface.h"
#include "measure/diagnostic.h"
#include "model/layout.h"
#include "model/linear.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

/// A measured top as a surface, on the interface it was shot on.
struct MeasuredSurface {
    int interface =
        0;  ///< index of the measured layer in its build-up; the count of layers above fill for fill
    const Surface* surface = nullptr;
};

/// The places covered by layers that run past the edge, or stop short of it, by one distance.
struct Reach {
    double beyond = 0;
    CornerStyle corners = CornerStyle::Square;
    Regions regions;
};

/// One area, ready to be overlaid.
struct Plot {
    const Area* area = nullptr;
    const BuildUp* buildUp = nullptr;
    Regions inside;
    std::vector<Reach> reaches;
    std::vector<int> reachOf;  ///< per layer: index into reaches, -1 when the layer ends at the edge
    Regions foot;              ///< inside, and all that runs beyond
    int courses = 0;           ///< layers above fill; the formation is interface `courses`
    double depth = 0;          ///< sum of their wanted thicknesses
    const Surface* finish = nullptr;
    std::vector<MeasuredSurface> measured;  ///< by interface, top first
    std::vector<LayerId> layerIds;          ///< per layer of the build-up
    LayerId fillLayer = -1;
    double fillLift = 0;
};

/// A convex piece of the side slope of fill: its corners, turning left, and its plane.
struct SlopeFacet {
    std::vector<glm::dvec2> corners;
    Linear height;
    int plot = -1;
    Linear crown;     ///< the formation carried on outward, that parallel lifts follow
    double lift = 0;  ///< of the fill there
};

struct Groundwork {
    Site site;
    std::vector<ModelLayer> layers;
    LayerId backfill = -1;
    LayerId nativeSoil = -1;
    std::vector<Plot> plots;  ///< one for each area of the plan, in its order
    std::unique_ptr<Surface> ground;
    bool groundAssumed = false;
    double strip = 0;
    std::vector<std::unique_ptr<Surface>> surfaces;  ///< finishes and measured tops that plots point to
    std::vector<SlopeFacet> facets;
    std::vector<ThinnedScan> scans;
};

/// Needs a plan whose names all resolve. Reports areas that overlap, outlines that leave the shots where that
/// is refused, and two layers that would take up between the same two surfaces.
Checked<Groundwork> prepareGroundwork(const Plan& plan);

/// The surface of a designed finish; null where its heights make none.
std::unique_ptr<Surface> finishSurface(const Finish& finish, const Plan& plan, const Site& site);

/// Whether a point lies inside a ring; points on its sides may come out either way.
bool insideRing(const std::vector<glm::dvec2>& ring, glm::dvec2 p);

}  // namespace underfoot
