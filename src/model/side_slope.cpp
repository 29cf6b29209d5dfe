#include "model/side_slope.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>

#include "ground/surface.h"
#include "ground/tolerance.h"
#include "measure/cross.h"
#include "measure/side_by_side.h"
#include "model/layout.h"
#include "model/linear.h"
#include "model/model.h"
#include "model/stack.h"

namespace underfoot {
namespace {

using Loop = std::vector<glm::dvec2>;

constexpr double arcPlay = 0.01;    // how far a straight piece of slope may stray from an arc
constexpr double tuckedIn = 0.015;  // how far facets reach under what they lean on, so that no gap shows
constexpr double furthestRun = 50;  // no side slope runs farther than this
constexpr double wedgeAngle = std::numbers::pi / 12;
// A ring turns sharply past this. Arcs that cross turn by whole steps of theirs, divisors of a right angle:
// it lies between those, so that rounding does not choose.
constexpr double sharpAngle = wedgeAngle + 0.013;
constexpr double sameLength = 1e-5;  // sides that differ by less are as long as each other
constexpr double probe = 1e-3;       // how far inside an edge its owner is looked for

glm::dvec2 outwardOf(glm::dvec2 along) {
    return {along.y, -along.x};
}

bool insideRegions(const Regions& regions, glm::dvec2 p) {
    for (const Region& region : regions) {
        if (!insideRing(region.outer, p)) continue;
        if (std::none_of(region.holes.begin(), region.holes.end(),
                         [&](const Loop& hole) { return insideRing(hole, p); }))
            return true;
    }
    return false;
}

double distanceToSegment(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b) {
    const glm::dvec2 ab = b - a;
    const double t = std::clamp(glm::dot(p - a, ab) / std::max(glm::dot(ab, ab), 1e-18), 0.0, 1.0);
    return glm::length(p - (a + ab * t));
}

/// A ring without the corners on the line between those beside them, to one of which it is too near for an
/// owner to be found. Outlines laid over each other leave some, a rounding apart, where the ring turns any
/// way.
Loop withoutIdleCorners(Loop ring) {
    for (size_t before = ring.size() + 1; ring.size() < before;) {
        before = ring.size();
        for (size_t i = ring.size(); i-- > 0 && ring.size() > 3;) {
            const glm::dvec2 from = ring[(i + ring.size() - 1) % ring.size()],
                             to = ring[(i + 1) % ring.size()];
            const double nearer = std::min(glm::distance(ring[i], from), glm::distance(ring[i], to));
            if (nearer < 2 * probe && distanceToSegment(ring[i], from, to) <= tolerance::onPlanLine)
                ring.erase(ring.begin() + static_cast<std::ptrdiff_t>(i));
        }
    }
    return ring;
}

using Side = std::pair<glm::dvec2, glm::dvec2>;

/// The sides of an area that stand against a wall, local.
std::vector<Side> wallsOf(const Area& area, glm::dvec2 origin) {
    std::vector<Side> sides;
    if (area.againstWall.empty()) return sides;
    const auto& walls = area.againstWall;
    const Chords chords = toChords(area.outline, tolerance::arcSagitta);
    for (size_t i = 0; i < chords.corners.size(); ++i)
        if (std::find(walls.begin(), walls.end(), chords.edgeOf[i]) != walls.end())
            sides.emplace_back(chords.corners[i] - origin,
                               chords.corners[(i + 1) % chords.corners.size()] - origin);
    return sides;
}

/// A straight piece of the outer edge that fill leans on.
struct Crest {
    glm::dvec2 a, b;
    int plot = -1;  ///< -1: a wall, or nothing to lean on
    glm::dvec2 outward{0, 0};
    double levelA = 0, levelB = 0;  ///< of the formation
    double run = 0;                 ///< how far out the slope must reach; 0: none
    std::optional<double> lowest;   ///< ground within first sight of it, once looked for
};

}  // namespace

class SideSlopes::Maker {
  public:
    Maker(const Plan& plan, const Groundwork& work) : plan_(plan), work_(work) {
        for (const Plot& plot : work.plots) walls_.push_back(wallsOf(*plot.area, work.site.origin));
        for (const Region& region : feetTogether())
            rings_.push_back(crestsOf(withoutIdleCorners(region.outer)));
    }

    std::vector<SlopeFacet> make() {
        edgeRecipes_.clear();
        for (const Plot& plot : work_.plots) edgeRecipes_.push_back(recipeAtEdge(plot));
        facets_.clear();
        for (std::vector<Crest>& crests : rings_) addRing(crests);
        return std::move(facets_);
    }

    void groundMoved() {
        for (std::vector<Crest>& crests : rings_)
            for (Crest& crest : crests) crest.lowest.reset();
    }

  private:
    /// All feet laid together, by the areas' names: joined in another order the corners differ by a rounding,
    /// and where two arcs run over each other a rounding chooses among them.
    Regions feetTogether() const {
        std::vector<const Plot*> plots;
        for (const Plot& plot : work_.plots) plots.push_back(&plot);
        std::sort(plots.begin(), plots.end(),
                  [](const Plot* one, const Plot* two) { return one->area->name < two->area->name; });
        Regions feet;
        for (const Plot* plot : plots) feet = unite(feet, plot->foot);
        return feet;
    }

    /// What heights are read and solved with, along a run of crests.
    struct Eye {
        RulerReader reader;
        StackSolver<PiecePlace> solver;
    };

    /// Whether an edge's middle lies on a side of a plot that stands against a wall.
    bool onWall(size_t plot, glm::dvec2 middle) const {
        return std::any_of(walls_[plot].begin(), walls_[plot].end(), [&](const Side& side) {
            return distanceToSegment(middle, side.first, side.second) < 2 * probe;
        });
    }

    int ownerOf(glm::dvec2 a, glm::dvec2 b) const {
        const glm::dvec2 middle = (a + b) * 0.5;
        const glm::dvec2 inner = middle - outwardOf(glm::normalize(b - a)) * probe;
        int owner = -1;
        for (size_t i = 0; i < work_.plots.size(); ++i) {
            if (!insideRegions(work_.plots[i].foot, inner)) continue;
            if (onWall(i, middle)) return -1;
            if (owner < 0 || work_.plots[i].area->name < work_.plots[static_cast<size_t>(owner)].area->name)
                owner = static_cast<int>(i);
        }
        return owner;
    }

    void simplify(const Loop& ring, size_t from, size_t to, std::vector<size_t>& kept) const {
        double farthest = arcPlay;
        size_t split = from;
        for (size_t i = from + 1; i < to; ++i) {
            const double d =
                distanceToSegment(ring[i % ring.size()], ring[from % ring.size()], ring[to % ring.size()]);
            // Points of an arc lie equally far off: rounding must not choose between them.
            if (d > farthest + probe * 1e-3) {
                farthest = d;
                split = i;
            }
        }
        if (split == from) return;
        simplify(ring, from, split, kept);
        kept.push_back(split);
        simplify(ring, split, to, kept);
    }

    /// Whether the ring turns sharply at a corner; arcs turn a little at each of theirs.
    static bool sharp(const Loop& ring, size_t i) {
        const glm::dvec2 before = ring[i] - ring[(i + ring.size() - 1) % ring.size()];
        const glm::dvec2 after = ring[(i + 1) % ring.size()] - ring[i];
        return std::abs(std::atan2(cross(before, after), glm::dot(before, after))) > sharpAngle;
    }

    /// Where to begin on a ring without a sharp corner, wherever it lies and however it is turned: at the end
    /// of its longest side; of several (a circle) at that nearest to where the plan began the outline.
    size_t startOfSmooth(const Loop& ring, const std::vector<int>& owners) const {
        if (owners.front() < 0) return 0;  // all of it stands against walls
        const Area& area = *work_.plots[static_cast<size_t>(owners.front())].area;
        const glm::dvec2 began = area.outline.start - work_.site.origin;
        const auto length = [&](size_t i) { return glm::distance(ring[i], ring[(i + 1) % ring.size()]); };
        double longest = 0;
        for (size_t i = 0; i < ring.size(); ++i) longest = std::max(longest, length(i));
        size_t best = 0;
        double nearest = std::numeric_limits<double>::infinity();
        for (size_t i = 0; i < ring.size(); ++i) {
            const size_t end = (i + 1) % ring.size();
            const double away = glm::distance(ring[end], began);
            if (length(i) < longest - sameLength || away >= nearest) continue;
            best = end;
            nearest = away;
        }
        return best;
    }

    /// Corners of the ring that matter: sharp ones, those where the owner changes, and what simplifying
    /// leaves.
    std::vector<size_t> keptCorners(const Loop& ring, const std::vector<int>& owners) const {
        std::vector<size_t> anchors;
        for (size_t i = 0; i < ring.size(); ++i)
            if (owners[i] != owners[(i + ring.size() - 1) % ring.size()] || sharp(ring, i))
                anchors.push_back(i);
        if (anchors.empty()) anchors.push_back(startOfSmooth(ring, owners));
        if (anchors.size() == 1) anchors.push_back((anchors[0] + ring.size() / 2) % ring.size());
        std::sort(anchors.begin(), anchors.end());
        std::vector<size_t> kept;
        for (size_t i = 0; i < anchors.size(); ++i) {
            const size_t next = i + 1 < anchors.size() ? anchors[i + 1] : anchors[0] + ring.size();
            kept.push_back(anchors[i]);
            simplify(ring, anchors[i], next, kept);
        }
        return kept;
    }

    std::vector<double> breaksAlong(const Plot& plot, glm::dvec2 a, glm::dvec2 b) const {
        std::vector<double> cuts{0, 1};
        auto addBreaks = [&](const Surface& surface) {
            const std::vector<double> breaks = surface.breaksBetween(a, b);
            cuts.insert(cuts.end(), breaks.begin(), breaks.end());
        };
        addBreaks(*plot.finish);
        for (const MeasuredSurface& measured : plot.measured) addBreaks(*measured.surface);
        std::sort(cuts.begin(), cuts.end());
        cuts.erase(std::unique(cuts.begin(), cuts.end(), [](double x, double y) { return y - x < 1e-6; }),
                   cuts.end());
        cuts.back() = 1;
        return cuts;
    }

    /// What the plot lays out to its outermost edge.
    static Recipe recipeAtEdge(const Plot& plot) {
        double farthest = 0;
        for (const Reach& reach : plot.reaches) farthest = std::max(farthest, reach.beyond);
        std::vector<char> present(plot.reachOf.size(), 0);
        for (size_t i = 0; i < present.size(); ++i)
            present[i] =
                farthest == 0 || (plot.reachOf[i] >= 0 &&
                                  plot.reaches[static_cast<size_t>(plot.reachOf[i])].beyond == farthest);
        return recipeFor(plot, present, farthest != 0);
    }

    /// The underside of that near a point.
    Linear formationNear(int plot, glm::dvec2 p, Eye& eye) const {
        const Rulers rulers = eye.reader.aboveGround(plot, p);
        SidesAtPoint sides(p);
        PiecePlace place(sides);
        return eye.solver.levels(edgeRecipes_[static_cast<size_t>(plot)], rulers, place).back();
    }

    /// The lowest ground at places beside a crest. Their number changes where lengths are seldom: sides of
    /// whole metres, turned, must not be looked at in other places.
    static double lowestGround(const Crest& crest, double out, Eye& eye) {
        constexpr double apart = 1, seldom = 1e-4;
        const double length = glm::length(crest.b - crest.a);
        const int steps = std::clamp(static_cast<int>(std::ceil(length / apart - seldom)), 2, 24);
        double lowest = std::numeric_limits<double>::infinity();
        for (int i = 0; i <= steps; ++i)
            for (int j = 0; j <= 6; ++j) {
                const glm::dvec2 p = glm::mix(crest.a, crest.b, static_cast<double>(i) / steps) +
                                     crest.outward * (out * j / 6);
                lowest = std::min(lowest, eye.reader.at(-1, p).ground.at(p));
            }
        return lowest;
    }

    /// Grows the run until the slope has come down below all ground it passes over.
    double runOf(Crest& crest, Eye& eye) const {
        constexpr double sight = 0.05;
        const double highest = std::max(crest.levelA, crest.levelB);
        const double slope = plan_.ground.sideSlope, shoulder = plan_.ground.shoulder;
        if (!crest.lowest) crest.lowest = lowestGround(crest, shoulder + sight, eye);
        double run = 0;
        for (int round = 0; round < 30 && run < furthestRun; ++round) {
            const double lowest =
                round == 0 ? *crest.lowest : lowestGround(crest, shoulder + run + sight, eye);
            const double needed = std::max(0.0, (highest - lowest) / slope);
            if (needed <= run) break;
            run = needed * 1.25 + 0.1;
        }
        return std::min(run, furthestRun);
    }

    /// What runs round a ring, seen in plan.
    std::vector<Crest> crestsOf(const Loop& ring) const {
        std::vector<int> owners;
        for (size_t i = 0; i < ring.size(); ++i)
            owners.push_back(ownerOf(ring[i], ring[(i + 1) % ring.size()]));
        const std::vector<size_t> kept = keptCorners(ring, owners);
        std::vector<Crest> crests;
        for (size_t i = 0; i < kept.size(); ++i) {
            const glm::dvec2 a = ring[kept[i] % ring.size()];
            const glm::dvec2 b = ring[kept[(i + 1) % kept.size()] % ring.size()];
            addCrests(a, b, owners[kept[i] % ring.size()], crests);
        }
        return crests;
    }

    void addRing(std::vector<Crest>& crests) {
        constexpr size_t many = 500;  // crests for a thread
        inRuns(crests.size(), many, [&](size_t from, size_t to) {
            Eye eye{RulerReader(work_), {}};
            for (size_t i = from; i < to; ++i)
                if (crests[i].plot >= 0) level(crests[i], eye);
        });
        for (size_t i = 0; i < crests.size(); ++i) {
            addSide(crests[i]);
            addCorner(crests[(i + crests.size() - 1) % crests.size()], crests[i]);
        }
    }

    void level(Crest& crest, Eye& eye) const {
        const Linear formation = formationNear(crest.plot, (crest.a + crest.b) * 0.5, eye);
        crest.levelA = formation.at(crest.a);
        crest.levelB = formation.at(crest.b);
        crest.run = runOf(crest, eye);
    }

    void addCrests(glm::dvec2 a, glm::dvec2 b, int owner, std::vector<Crest>& crests) const {
        Crest crest{a, b, owner, outwardOf(glm::normalize(b - a)), 0, 0, 0, {}};
        if (owner < 0) {
            crests.push_back(crest);
            return;
        }
        const std::vector<double> cuts = breaksAlong(work_.plots[static_cast<size_t>(owner)], a, b);
        for (size_t i = 0; i + 1 < cuts.size(); ++i) {
            crest.a = glm::mix(a, b, cuts[i]);
            crest.b = glm::mix(a, b, cuts[i + 1]);
            crests.push_back(crest);
        }
    }

    void addFacet(std::vector<glm::dvec2> corners, const PlaneHeight& plane, const PlaneHeight& crown,
                  int plot) {
        facets_.push_back({std::move(corners), toLinear(plane), plot, toLinear(crown),
                           work_.plots[static_cast<size_t>(plot)].fillLift});
    }

    void addSide(const Crest& crest) {
        if (crest.plot < 0 || crest.run <= 0) return;
        const double length = glm::length(crest.b - crest.a);
        const glm::dvec2 along = (crest.b - crest.a) / length;
        const double rise = (crest.levelB - crest.levelA) / length;
        const PlaneHeight crown{crest.a, crest.levelA, along * rise};
        const glm::dvec2 out = crest.outward;
        const double shoulder = plan_.ground.shoulder;
        const glm::dvec2 in = -out * tuckedIn;
        if (shoulder > 0)
            addFacet({crest.a + in, crest.a + out * shoulder, crest.b + out * shoulder, crest.b + in}, crown,
                     crown, crest.plot);
        const glm::dvec2 start = shoulder > 0 ? out * shoulder : in;
        const glm::dvec2 end = out * (shoulder + crest.run);
        const PlaneHeight slope{crest.a + out * shoulder, crest.levelA,
                                along * rise - out * plan_.ground.sideSlope};
        addFacet({crest.a + start, crest.a + end, crest.b + end, crest.b + start}, slope, crown, crest.plot);
    }

    void addCorner(const Crest& before, const Crest& after) {
        const double run = std::max(before.run, after.run);
        if (before.plot < 0 || after.plot < 0 || run <= 0) return;
        const double turn =
            std::atan2(cross(before.outward, after.outward), glm::dot(before.outward, after.outward));
        if (turn < 1e-6) return;
        const int wedges = static_cast<int>(std::ceil(turn / wedgeAngle - 1e-6));
        const double start = std::atan2(before.outward.y, before.outward.x);
        const double crest = std::max(before.levelB, after.levelA);
        for (int i = 0; i < wedges; ++i)
            addWedge(after.a, start + turn * i / wedges, start + turn * (i + 1) / wedges, crest, run,
                     after.plot);
    }

    void addWedge(glm::dvec2 tip, double from, double to, double crest, double run, int plot) {
        const glm::dvec2 n0{std::cos(from), std::sin(from)}, n1{std::cos(to), std::sin(to)};
        const glm::dvec2 middle = glm::normalize(n0 + n1);
        const double shoulder = plan_.ground.shoulder;
        // The chord between the two rays lies nearer than the arc: the plane through it falls by the same
        // height.
        const double nearer = glm::dot(n0, middle);
        const PlaneHeight crown{tip, crest, {0, 0}};
        if (shoulder > 0) addFacet({tip, tip + n0 * shoulder, tip + n1 * shoulder}, crown, crown, plot);
        const PlaneHeight slope{tip + middle * (shoulder * nearer), crest,
                                -middle * (plan_.ground.sideSlope / nearer)};
        const double far = shoulder + run;
        if (shoulder > 0)
            addFacet({tip + n0 * shoulder, tip + n0 * far, tip + n1 * far, tip + n1 * shoulder}, slope, crown,
                     plot);
        else
            addFacet({tip, tip + n0 * far, tip + n1 * far}, slope, crown, plot);
    }

    const Plan& plan_;
    const Groundwork& work_;
    std::vector<std::vector<Side>> walls_;  // by plot
    std::vector<Recipe> edgeRecipes_;       // by plot
    std::vector<std::vector<Crest>> rings_;
    std::vector<SlopeFacet> facets_;
};

SideSlopes::SideSlopes(const Plan& plan, const Groundwork& work)
    : maker_(std::make_unique<Maker>(plan, work)) {}
SideSlopes::SideSlopes(SideSlopes&&) noexcept = default;
SideSlopes& SideSlopes::operator=(SideSlopes&&) noexcept = default;
SideSlopes::~SideSlopes() = default;

std::vector<SlopeFacet> SideSlopes::facets() {
    return maker_->make();
}
void SideSlopes::groundMoved() {
    maker_->groundMoved();
}

std::vector<SlopeFacet> sideSlopes(const Plan& plan, const Groundwork& work) {
    return SideSlopes(plan, work).facets();
}

}  // namespace underfoot
