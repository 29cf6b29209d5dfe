#include "model/groundwork.h"

#include <algorithm>
#include <cassert>
#include <string>
#include <utility>

#include <fmt/format.h>
#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec3.hpp>
#include <tl/expected.hpp>

#include "ground/tolerance.h"
#include "ground/triangulated_surface.h"
#include "measure/length.h"
#include "model/scan_points.h"
#include "model/side_slope.h"

namespace underfoot {
namespace {

using Points = std::vector<glm::dvec3>;

struct Box {
    glm::dvec2 low{0, 0};
    glm::dvec2 high{0, 0};
};

Box boxOfAreas(const Plan& plan) {
    Box box{glm::dvec2(1e300), glm::dvec2(-1e300)};
    for (const Area& area : plan.areas)
        for (const glm::dvec2& corner : toChords(area.outline, tolerance::arcSagitta).corners) {
            box.low = glm::min(box.low, corner);
            box.high = glm::max(box.high, corner);
        }
    return box;
}

Diagnostic problem(const SourcePlace& place, std::string what, std::string remedy) {
    return {place, std::move(what), std::move(remedy)};
}

/// One name, one layer; the plan's own order, fill and the unnamed ones last.
class LayerTable {
  public:
    explicit LayerTable(std::vector<ModelLayer>& layers) : layers_(layers) {}
    LayerId idOf(const Layer& layer) {
        for (size_t i = 0; i < layers_.size(); ++i)
            if (layers_[i].name == layer.name) return static_cast<LayerId>(i);
        return add({layer.name, layer.role, layer.material});
    }
    LayerId add(ModelLayer layer) {
        layers_.push_back(std::move(layer));
        return static_cast<LayerId>(layers_.size() - 1);
    }

  private:
    std::vector<ModelLayer>& layers_;
};

Regions insideOf(const Plan& plan, const Area& area, glm::dvec2 origin) {
    std::vector<const Area*> cuts;
    for (const Area& other : plan.areas)
        if (std::find(area.around.begin(), area.around.end(), other.name) != area.around.end())
            cuts.push_back(&other);
    return areaRegions(area, cuts, origin);
}

/// The inside with all that runs past it.
Regions footOf(const Plot& plot) {
    std::vector<const Reach*> outer;
    for (const Reach& reach : plot.reaches)
        if (reach.beyond > 0) outer.push_back(&reach);
    if (outer.empty()) return plot.inside;
    // Of corners of one kind the widest reach holds all others, and the inside; walls make edges of their
    // own.
    const bool alike = plot.area->againstWall.empty() &&
                       std::all_of(outer.begin(), outer.end(),
                                   [&](const Reach* r) { return r->corners == outer.front()->corners; });
    if (alike)
        return (*std::max_element(outer.begin(), outer.end(),
                                  [](const Reach* a, const Reach* b) { return a->beyond < b->beyond; }))
            ->regions;
    Regions foot = plot.inside;
    for (const Reach* reach : outer) foot = unite(foot, reach->regions);
    return foot;
}

void addReaches(Plot& plot, glm::dvec2 origin) {
    for (const Layer& layer : plot.buildUp->layers) {
        plot.reachOf.push_back(-1);
        if (layer.beyond == 0) continue;
        auto same = [&](const Reach& r) { return r.beyond == layer.beyond && r.corners == layer.corners; };
        auto found = std::find_if(plot.reaches.begin(), plot.reaches.end(), same);
        if (found == plot.reaches.end()) {
            plot.reaches.push_back(
                {layer.beyond, layer.corners,
                 growBesideWalls(plot.inside, layer.beyond, layer.corners, *plot.area, origin)});
            found = plot.reaches.end() - 1;
        }
        plot.reachOf.back() = static_cast<int>(found - plot.reaches.begin());
    }
    plot.foot = footOf(plot);
}

Plot plotOf(const Plan& plan, const Area& area, glm::dvec2 origin, LayerTable& table) {
    Plot plot;
    plot.area = &area;
    plot.buildUp = buildUpOf(plan, area);
    assert(plot.buildUp && "a checked plan names build-ups that are there");
    plot.inside = insideOf(plan, area, origin);
    plot.fillLift = plan.ground.fillLift;
    for (const Layer& layer : plot.buildUp->layers) {
        plot.layerIds.push_back(table.idOf(layer));
        if (layer.role == Role::Fill) {
            plot.fillLayer = plot.layerIds.back();
            if (layer.lift > 0) plot.fillLift = layer.lift;
            continue;
        }
        ++plot.courses;
        plot.depth += layer.thickness;
    }
    addReaches(plot, origin);
    return plot;
}

// ---------------------------------------------------------------- surfaces

PlaneHeight toPlane(const FinishPlane& plane, const Baseline& baseline, glm::dvec2 origin) {
    const glm::dvec2 zero = baseline.at(0, 0);
    const glm::dvec2 alongStation = baseline.at(1, 0) - zero;
    const glm::dvec2 alongOffset = baseline.at(0, 1) - zero;
    return {plane.at - origin, plane.level, -(plane.fall * alongOffset + plane.crossFall * alongStation)};
}

/// The interface a measured layer's top is on, or -1 when the plot has no such layer.
int interfaceOf(const Plot& plot, const std::string& layerName) {
    int interface = 0;
    for (const Layer& layer : plot.buildUp->layers) {
        if (layer.name == layerName) return layer.role == Role::Fill ? plot.courses : interface;
        if (layer.role != Role::Fill) ++interface;
    }
    return -1;
}

bool anyWithin(const std::vector<glm::dvec2>& ring, const MeasuredTop& top) {
    Box box{ring.front(), ring.front()};
    for (const glm::dvec2& corner : ring) box = {glm::min(box.low, corner), glm::max(box.high, corner)};
    const auto within = [&](glm::dvec2 p) {
        return p.x >= box.low.x && p.x <= box.high.x && p.y >= box.low.y && p.y <= box.high.y &&
               insideRing(ring, p);
    };
    return std::any_of(top.shots.begin(), top.shots.end(),
                       [&](const Shot& shot) { return within(shot.at); }) ||
           std::any_of(top.scan.points.begin(), top.scan.points.end(),
                       [&](const glm::dvec3& point) { return within(glm::dvec2(point)); });
}

/// Whether measured heights stand all round a ring.
bool allRound(const std::vector<glm::dvec2>& ring, const Surface* surface, glm::dvec2 origin) {
    int hint = -1;
    return surface && std::all_of(ring.begin(), ring.end(),
                                  [&](glm::dvec2 corner) { return surface->known(corner - origin, hint); });
}

/// A measured top rules a plot when at least one of its heights lies within the plot's outline, or they stand
/// all round it.
void attachMeasured(const MeasuredTop& top, const Surface* surface, glm::dvec2 origin,
                    std::vector<Plot>& plots) {
    for (Plot& plot : plots) {
        const int interface = interfaceOf(plot, top.layer);
        if (interface < 0) continue;
        const std::vector<glm::dvec2> ring = toChords(plot.area->outline, tolerance::arcSagitta).corners;
        if (anyWithin(ring, top) || allRound(ring, surface, origin))
            plot.measured.push_back({interface, surface});
    }
}

Beyond beyondOf(Extend extend) {
    return extend == Extend::Plane ? Beyond::Plane : Beyond::Nearest;
}

// ---------------------------------------------------------------- checks

void checkOverlaps(const Plan& plan, const std::vector<Plot>& plots, glm::dvec2 origin,
                   Diagnostics& problems) {
    for (size_t i = 0; i < plots.size(); ++i)
        for (size_t j = i + 1; j < plots.size(); ++j) {
            double shared = 0;
            glm::dvec2 where{0, 0};
            if (!regionsOverlap(plots[i].inside, plots[j].inside, shared, where)) continue;
            const Area& a = *plots[i].area;
            const Area& b = *plots[j].area;
            const glm::dvec2 so = plan.baseline.stationOffset(where + origin);
            problems.push_back(
                problem(b.place,
                        fmt::format("Areas \"{}\" and \"{}\" overlap by {} around station {}, offset {}.",
                                    a.name, b.name, formatArea(shared, plan.show),
                                    formatStation(so.x, plan.show), formatLength(so.y, plan.show)),
                        fmt::format("Name one in the other's `around` list, or move an outline.")));
        }
}

/// Openings may touch; where two overlap, one of them is not where it was meant to be.
void checkOpenings(const Plan& plan, const Area& area, glm::dvec2 origin, Diagnostics& problems) {
    Regions openings;
    for (const Ring& opening : area.openings) openings.push_back(regionOf(opening, origin));
    for (size_t i = 0; i < openings.size(); ++i)
        for (size_t j = i + 1; j < openings.size(); ++j) {
            double shared = 0;
            glm::dvec2 where{0, 0};
            if (!regionsOverlap({openings[i]}, {openings[j]}, shared, where)) continue;
            const glm::dvec2 so = plan.baseline.stationOffset(where + origin);
            const SourcePlace& place = area.openings[j].edges.front().place;
            problems.push_back(problem(
                place.line > 0 ? place : area.place,
                fmt::format("Openings {} and {} of \"{}\" overlap by {} around station {}, offset {}.", i + 1,
                            j + 1, area.name, formatArea(shared, plan.show), formatStation(so.x, plan.show),
                            formatLength(so.y, plan.show)),
                "Draw them as one opening, or move one."));
        }
}

void checkOutlinesInShots(const Plan& plan, const Groundwork& work, Diagnostics& problems) {
    if (plan.ground.assumed() || plan.ground.extend != Extend::Refuse) return;
    int hint = -1;
    for (const Area& area : plan.areas)
        for (const glm::dvec2& corner : toChords(area.outline, tolerance::arcSagitta).corners) {
            if (work.ground->known(corner - work.site.origin, hint)) continue;
            const glm::dvec2 so = plan.baseline.stationOffset(corner);
            problems.push_back(
                problem(area.place,
                        fmt::format("The outline of \"{}\" leaves the ground shots at station {}, offset {}.",
                                    area.name, formatStation(so.x, plan.show), formatLength(so.y, plan.show)),
                        "Shoot heights past that corner, or say how the ground goes on with `extend` under "
                        "[ground]."));
            break;
        }
}

void checkTakeUps(const Plot& plot, Diagnostics& problems) {
    int lastTaking = -1;
    for (int i = 0; i < plot.courses; ++i) {
        const bool known = std::any_of(plot.measured.begin(), plot.measured.end(),
                                       [&](const MeasuredSurface& m) { return m.interface == i; });
        if (known) lastTaking = -1;
        if (!plot.buildUp->layers[static_cast<size_t>(i)].takesUp) continue;
        if (lastTaking >= 0)
            problems.push_back(problem(
                plot.buildUp->layers[static_cast<size_t>(i)].place,
                fmt::format("In \"{}\" both \"{}\" and \"{}\" take up between the same two known surfaces.",
                            plot.buildUp->name, plot.buildUp->layers[static_cast<size_t>(lastTaking)].name,
                            plot.buildUp->layers[static_cast<size_t>(i)].name),
                "Let one of them keep its thickness, or shoot the top of a layer between them."));
        lastTaking = i;
    }
}

void checkFillLast(const BuildUp& buildUp, Diagnostics& problems) {
    for (size_t i = 0; i + 1 < buildUp.layers.size(); ++i)
        if (buildUp.layers[i].role == Role::Fill)
            problems.push_back(
                problem(buildUp.layers[i].place,
                        fmt::format("In \"{}\" the fill \"{}\" lies above \"{}\".", buildUp.name,
                                    buildUp.layers[i].name, buildUp.layers[i + 1].name),
                        "Fill lies under the formation: list it last. A placed layer higher up is a base."));
}

// ---------------------------------------------------------------- steps

void placeSite(const Plan& plan, Groundwork& work) {
    const Box box = boxOfAreas(plan);
    work.site.origin = glm::round((box.low + box.high) * 0.5);
    // The surfaces are asked for far enough out that side slopes and the plate's rim lie on them.
    const glm::dvec2 room = glm::dvec2(std::max(60.0, 2 * glm::length(box.high - box.low)));
    work.site.low = box.low - work.site.origin - room;
    work.site.high = box.high - work.site.origin + room;
}

void addLayersAndPlots(const Plan& plan, Groundwork& work) {
    LayerTable table(work.layers);
    for (const Area& area : plan.areas) work.plots.push_back(plotOf(plan, area, work.site.origin, table));
    LayerId impliedFill = -1;
    for (Plot& plot : work.plots) {
        if (plot.fillLayer >= 0) continue;
        if (impliedFill < 0) {
            Layer fill;
            fill.name = "fill";
            fill.role = Role::Fill;
            fill.material = plan.ground.fillMaterial;
            impliedFill = table.idOf(fill);
        }
        plot.fillLayer = impliedFill;
    }
    work.backfill = table.add({"backfill", Role::Backfill, "backfill"});
    work.nativeSoil = table.add({"native soil", Role::NativeSoil, "native soil"});
}

void noSurface(const SourcePlace& place, const std::string& what, Diagnostics& problems) {
    problems.push_back(
        problem(place, "The heights of " + what + " make no surface: they lie in line, or too far off.",
                "Give three or more heights that do not lie in line, near the areas."));
}

/// Through the measured tops in the plan's order, and through the ground where it was shot.
std::vector<std::unique_ptr<Surface>> shotSurfaces(const Plan& plan, Groundwork& work) {
    std::vector<ShotPoints> sets;
    const auto add = [&](const auto& from, const std::string& layer) {
        sets.push_back({surfacePoints(from.shots, from.scan, layer, plan, work.site.origin, work.scans),
                        beyondOf(from.extend)});
    };
    for (const MeasuredTop& top : plan.measuredTops) add(top, top.layer);
    if (!plan.ground.assumed()) add(plan.ground, "");
    return triangulatedSurfaces(sets);
}

void addSurfaces(const Plan& plan, Groundwork& work, Diagnostics& problems) {
    std::vector<const Surface*> finishes;
    for (const Finish& finish : plan.finishes) {
        work.surfaces.push_back(finishSurface(finish, plan, work.site));
        if (!work.surfaces.back()) noSurface(finish.place, "the finish", problems);
        finishes.push_back(work.surfaces.back().get());
    }
    for (Plot& plot : work.plots)
        for (size_t i = 0; i < finishes.size(); ++i)
            if (plan.finishes[i].name == plot.area->finish) plot.finish = finishes[i];
    std::vector<std::unique_ptr<Surface>> shot = shotSurfaces(plan, work);
    if (!plan.ground.assumed()) {
        work.ground = std::move(shot.back());
        shot.pop_back();
    }
    for (size_t i = 0; i < shot.size(); ++i) {
        const MeasuredTop& top = plan.measuredTops[i];
        auto surface = std::move(shot[i]);
        if (!surface) noSurface(top.place, "the measured top of \"" + top.layer + "\"", problems);
        attachMeasured(top, surface.get(), work.site.origin, work.plots);
        work.surfaces.push_back(std::move(surface));
    }
    for (Plot& plot : work.plots)
        std::stable_sort(plot.measured.begin(), plot.measured.end(),
                         [](const auto& a, const auto& b) { return a.interface < b.interface; });
}

void addGround(const Plan& plan, Groundwork& work, Diagnostics& problems) {
    work.strip = plan.ground.strip;
    work.groundAssumed = plan.ground.assumed();
    // With no shots the ground is taken to lie level with the plan's own finish.
    if (work.groundAssumed) work.ground = finishSurface(plan.finishes.front(), plan, work.site);
    if (!work.ground) noSurface(plan.ground.place, "the ground", problems);
}

}  // namespace

std::unique_ptr<Surface> finishSurface(const Finish& finish, const Plan& plan, const Site& site) {
    if (finish.planes.empty()) {
        Points points;
        for (const SpotLevel& spot : finish.spots) points.emplace_back(spot.at - site.origin, spot.level);
        return triangulatedSurface(points, Beyond::Nearest, site.low, site.high);
    }
    std::vector<PlaneHeight> planes;
    for (const FinishPlane& plane : finish.planes)
        planes.push_back(toPlane(plane, plan.baseline, site.origin));
    if (planes.size() == 1) return planeSurface(planes.front());
    return joinedPlanes(std::move(planes), finish.join == PlaneJoin::Ridge ? Join::Lowest : Join::Highest);
}

bool insideRing(const std::vector<glm::dvec2>& ring, glm::dvec2 p) {
    bool inside = false;
    for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
        if ((ring[i].y > p.y) != (ring[j].y > p.y) &&
            p.x < (ring[j].x - ring[i].x) * (p.y - ring[i].y) / (ring[j].y - ring[i].y) + ring[i].x)
            inside = !inside;
    return inside;
}

Checked<Groundwork> prepareGroundwork(const Plan& plan) {
    Groundwork work;
    Diagnostics problems;
    for (const BuildUp& buildUp : plan.buildUps) checkFillLast(buildUp, problems);
    if (!problems.empty()) return tl::unexpected(std::move(problems));
    placeSite(plan, work);
    addLayersAndPlots(plan, work);
    addSurfaces(plan, work, problems);
    addGround(plan, work, problems);
    if (!problems.empty()) return tl::unexpected(std::move(problems));
    for (const Plot& plot : work.plots) {
        assert(plot.finish && "a checked plan names finishes that are there");
        checkTakeUps(plot, problems);
    }
    checkOverlaps(plan, work.plots, work.site.origin, problems);
    for (const Area& area : plan.areas) checkOpenings(plan, area, work.site.origin, problems);
    checkOutlinesInShots(plan, work, problems);
    if (!problems.empty()) return tl::unexpected(std::move(problems));
    work.facets = sideSlopes(plan, work);
    return work;
}

}  // namespace underfoot
