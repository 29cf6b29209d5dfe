#include "ground/thin.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdint>
#include <utility>

#include <glm/vec2.hpp>

#include "ground/grid.h"
#include "ground/surface.h"
#include "ground/thin_places.h"
#include "ground/triangulation.h"
#include "ground/triangulation_index.h"

namespace underfoot {
namespace {

using thinning::Place;
using triangulation_index::at;

/// Scatter up to this part of the error is left in, and aimed for where points are averaged: hardly a height
/// then lies off by the error through scatter alone.
constexpr double scatterLeftIn = 1.0 / 5;
/// More corners of the hull are not kept.
constexpr size_t greatestHull = 5000;
/// The steps of refinement look at one place in so many.
constexpr std::array<size_t, 4> strides{512, 64, 8, 1};

/// The surface through some of the places.
class Patchwork {
  public:
    Patchwork(std::span<const Place> places, const std::vector<size_t>& kept) {
        std::vector<glm::dvec2> plan;
        plan.reserve(kept.size());
        for (const size_t i : kept) plan.push_back(places[i].at);
        std::vector<int> vertexOf;
        mesh_ = Triangulation::ofPoints(plan, &vertexOf);
        std::vector<glm::dvec3> corner(mesh_.vertices().size());
        for (size_t k = 0; k < kept.size(); ++k)
            at(corner, vertexOf[k]) = {plan[k].x, plan[k].y, places[kept[k]].height};
        pieces_.reserve(mesh_.triangles().size());
        for (const Triangle& t : mesh_.triangles())
            pieces_.push_back(planeThrough(at(corner, t.v[0]), at(corner, t.v[1]), at(corner, t.v[2])));
    }

    const std::vector<Triangle>& triangles() const { return mesh_.triangles(); }

    /// `triangle` carries a place to start from between calls. Rounding may leave a mean a grid step outside
    /// the hull; there the piece at the hull goes on.
    double height(const Place& place, int& triangle) const {
        triangle = mesh_.locate(place.at, triangle).triangle;
        return at(pieces_, triangle).height(place.at);
    }

  private:
    Triangulation mesh_;
    std::vector<PlaneHeight> pieces_;
};

/// A place that the surface passes by.
struct Passed {
    double by = 0;
    size_t place = 0;
    bool worseThan(const Passed& other) const {
        return by > other.by || (by == other.by && place < other.place);
    }
};

class Thinner {
  public:
    Thinner(std::span<const Place> places, const std::vector<size_t>& hull, size_t most)
        : places_(places), kept_(hull), isKept_(places.size(), 0), most_(most) {
        for (size_t i = 0; i < places.size(); ++i)
            if (places[i].fixed) kept_.push_back(i);
        std::sort(kept_.begin(), kept_.end());
        kept_.erase(std::unique(kept_.begin(), kept_.end()), kept_.end());
        for (const size_t i : kept_) isKept_[i] = 1;
        most_ += kept_.size();
    }

    /// Adds places until none is passed by more than the error. False when that would take more than the
    /// most.
    bool refine(double error) {
        error_ = error;
        for (const size_t stride : strides)
            while (addRound(stride))
                if (kept_.size() > most_) return false;
        return true;
    }

    const std::vector<size_t>& kept() const { return kept_; }

    double greatest() const {
        const Patchwork surface(places_, kept_);
        double greatest = 0;
        int triangle = -1;
        for (const Place& place : places_)
            greatest = std::max(greatest, place.deviation(surface.height(place, triangle)));
        return greatest;
    }

  private:
    /// Adds a place in every triangle that is worse than its neighbours. False when there is nothing to add.
    bool addRound(size_t stride) {
        const Patchwork surface(places_, kept_);
        std::vector<Passed> worst(surface.triangles().size());
        int triangle = -1;
        for (size_t i = 0; i < places_.size(); i += stride) {
            if (isKept_[i]) continue;
            const Passed passed{places_[i].deviation(surface.height(places_[i], triangle)), i};
            if (passed.by > error_ && passed.worseThan(at(worst, triangle))) at(worst, triangle) = passed;
        }
        const std::vector<Passed> chosen = choose(surface.triangles(), worst);
        for (const Passed& passed : chosen) {
            kept_.push_back(passed.place);
            isKept_[passed.place] = 1;
        }
        return !chosen.empty();
    }

    static std::vector<Passed> choose(const std::vector<Triangle>& triangles,
                                      const std::vector<Passed>& worst) {
        std::vector<Passed> chosen;
        for (size_t t = 0; t < triangles.size(); ++t) {
            if (worst[t].by <= 0) continue;
            const auto& beside = triangles[t].neighbour;
            const bool yields = std::any_of(beside.begin(), beside.end(), [&](int n) {
                return n >= 0 && at(worst, n).worseThan(worst[t]);
            });
            if (!yields) chosen.push_back(worst[t]);
        }
        return chosen;
    }

    std::span<const Place> places_;
    std::vector<size_t> kept_;
    std::vector<uint8_t> isKept_;
    double error_ = 0;
    size_t most_;
};

void measure(std::span<const Place> places, const Patchwork& surface, Thinned& result) {
    int triangle = -1;
    for (const Place& place : places) {
        const double height = surface.height(place, triangle), by = place.deviation(height);
        if (by <= result.greatest) continue;
        result.greatest = by;
        const bool above = place.highest - height >= height - place.lowest;
        result.farthest = {place.at.x, place.at.y, above ? place.highest : place.lowest};
    }
}

/// Straight for the error, else from coarse to fine as far as the most allow; `error` becomes what was
/// reached.
std::vector<size_t> thinnedTo(double& error, std::span<const Place> places, const std::vector<size_t>& hull,
                              size_t most) {
    constexpr double finer = 1 / 1.5;
    Thinner straight(places, hull, most);
    if (straight.refine(error)) return straight.kept();
    const double wanted = error;
    Thinner stepwise(places, hull, most);
    std::vector<size_t> kept = stepwise.kept();
    error = stepwise.greatest();
    while (error > wanted) {
        const double next = std::max(wanted, finer * error);
        if (!stepwise.refine(next)) break;
        error = next;
        kept = stepwise.kept();
    }
    return kept;
}

/// Of very many corners of the hull some are enough: between them it hardly bends.
std::vector<size_t> fewCorners(const std::vector<size_t>& hull, size_t most) {
    const size_t step = (hull.size() - 1) / most + 1;
    std::vector<size_t> few;
    for (size_t i = 0; i < hull.size(); i += step) few.push_back(hull[i]);
    return few;
}

}  // namespace

Thinned thin(std::span<const glm::dvec3> scan, std::span<const glm::dvec3> fixed, const Thinning& thinning) {
    assert(thinning.error > 0);
    Thinned result;
    result.measured = scan.size();
    result.points.assign(fixed.begin(), fixed.end());
    result.error = thinning.error;
    const auto takeAll = [&] {
        result.points.insert(result.points.end(), scan.begin(), scan.end());
        result.kept = scan.size();
        return std::move(result);
    };
    if (!std::all_of(scan.begin(), scan.end(), isOnGrid) ||
        !std::all_of(fixed.begin(), fixed.end(), isOnGrid))
        return takeAll();
    const thinning::Places places = thinning::placesOf(scan, fixed);
    std::vector<size_t> hull = thinning::hullOf(places.list);
    if (hull.size() < 3) return takeAll();
    result.scatter = thinning::scatterOf(places, thinning.averageOver);
    std::vector<Place> means;
    if (result.scatter > scatterLeftIn * thinning.error) {
        means = thinning::averaged(places, result.scatter, scatterLeftIn * thinning.error,
                                   thinning.averageOver, result.square);
        hull = thinning::hullOf(means);
    }
    const std::vector<Place>& candidates = means.empty() ? places.list : means;
    std::vector<size_t> kept =
        thinnedTo(result.error, candidates, fewCorners(hull, greatestHull), thinning.mostKept);
    std::sort(kept.begin(), kept.end());
    for (const size_t i : kept)
        if (const Place& place = candidates[i]; !place.fixed)
            result.points.emplace_back(place.at.x, place.at.y, place.height);
    result.kept = result.points.size() - fixed.size();
    measure(places.list, Patchwork(candidates, kept), result);
    return result;
}

}  // namespace underfoot
