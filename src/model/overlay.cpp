#include "model/overlay.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <memory>
#include <string>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "ground/grid.h"
#include "ground/triangulated_surface.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

void frameSite(Groundwork& work) {
    glm::dvec2 low(1e300), high(-1e300);
    auto include = [&](glm::dvec2 p) {
        low = glm::min(low, p);
        high = glm::max(high, p);
    };
    for (const Plot& plot : work.plots)
        for (const Region& region : plot.foot)
            for (const glm::dvec2& p : region.outer) include(p);
    for (const SlopeFacet& facet : work.facets)
        for (const glm::dvec2& p : facet.corners) include(p);
    const double rim = std::max(1.0, 0.08 * glm::length(high - low));
    work.site.low = snap(glm::floor((low - rim) * 8.0) / 8.0);
    work.site.high = snap(glm::ceil((high + rim) * 8.0) / 8.0);
}

Overlay::Overlay(const Groundwork& work)
    : work_(work), mesh_(Triangulation::ofBox(work.site.low, work.site.high)) {
    for (size_t p = 0; p < work.plots.size(); ++p) {
        const Plot& plot = work.plots[p];
        insertRegions(plot.inside, {RegionTag::Kind::Inside, static_cast<int>(p), 0});
        for (size_t r = 0; r < plot.reaches.size(); ++r)
            insertRegions(plot.reaches[r].regions,
                          {RegionTag::Kind::Reach, static_cast<int>(p), static_cast<int>(r)});
    }
    for (size_t f = 0; f < work.facets.size(); ++f) {
        tags_.push_back({RegionTag::Kind::Facet, -1, static_cast<int>(f)});
        insertRing(work.facets[f].corners, mesh_.tagPool().single(static_cast<int>(tags_.size()) - 1));
    }
    std::vector<const Surface*> surfaces{work.ground.get()};
    for (const Plot& plot : work.plots) {
        surfaces.push_back(plot.finish);
        for (const MeasuredSurface& measured : plot.measured) surfaces.push_back(measured.surface);
    }
    std::vector<const Surface*> done;
    for (const Surface* surface : surfaces) {
        const auto alike = [&](const Surface* other) {
            return other == surface || breakAlike(*other, *surface);
        };
        if (std::any_of(done.begin(), done.end(), alike)) continue;
        done.push_back(surface);
        insertNet(surface->breakNet(work.site.low, work.site.high));
    }
    classify();
}

void Overlay::insertRing(const std::vector<glm::dvec2>& ring, TagSet tags) {
    std::vector<int> vertices;
    vertices.reserve(ring.size());
    for (const glm::dvec2& corner : ring) vertices.push_back(mesh_.insertPoint(corner));
    for (size_t i = 0; i < vertices.size(); ++i) {
        const int next = vertices[(i + 1) % vertices.size()];
        if (vertices[i] != next) mesh_.insertConstraint(vertices[i], next, tags);
    }
}

void Overlay::insertRegions(const Regions& regions, RegionTag tag) {
    tags_.push_back(tag);
    const TagSet tags = mesh_.tagPool().single(static_cast<int>(tags_.size()) - 1);
    for (const Region& region : regions) {
        insertRing(region.outer, tags);
        for (const auto& hole : region.holes) insertRing(hole, tags);
    }
}

void Overlay::insertNet(const LineNet& net) {
    mesh_.reserve(net.places.size());
    std::vector<int> vertexOf(net.places.size(), -1);
    const auto vertexAt = [&](int place) {
        int& vertex = vertexOf[static_cast<size_t>(place)];
        if (vertex < 0) vertex = mesh_.insertPoint(net.places[static_cast<size_t>(place)]);
        return vertex;
    };
    for (const auto& [a, b] : net.lines) {
        const int from = vertexAt(a), to = vertexAt(b);
        if (from != to) mesh_.insertConstraint(from, to);
    }
}

void Overlay::classify() {
    const std::vector<Triangle>& triangles = mesh_.triangles();
    TagPool& pool = mesh_.tagPool();
    standOf_.assign(triangles.size(), -1);
    walkOrder_.clear();
    walkOrder_.reserve(triangles.size());
    std::vector<TagSet> member(triangles.size(), 0);
    auto settle = [&](int t, TagSet set) {
        if (set >= standOfSet_.size()) standOfSet_.resize(set + 1, -1);
        int& stand = standOfSet_[set];
        if (stand < 0) {
            stand = static_cast<int>(stands_.size());
            stands_.push_back(standFor(set));
        }
        member[static_cast<size_t>(t)] = set;
        standOf_[static_cast<size_t>(t)] = stand;
    };
    // The walk starts at a triangle on the box's rim, which lies outside every region.
    int start = 0;
    while (std::find(triangles[static_cast<size_t>(start)].neighbour.begin(),
                     triangles[static_cast<size_t>(start)].neighbour.end(),
                     -1) == triangles[static_cast<size_t>(start)].neighbour.end())
        ++start;
    std::vector<int> open{start};
    settle(start, 0);
    while (!open.empty()) {
        const int t = open.back();
        open.pop_back();
        walkOrder_.push_back(t);
        const Triangle& triangle = triangles[static_cast<size_t>(t)];
        for (size_t e = 0; e < 3; ++e) {
            const int next = triangle.neighbour[e];
            if (next < 0 || standOf_[static_cast<size_t>(next)] >= 0) continue;
            const TagSet mine = member[static_cast<size_t>(t)], between = triangle.tags[e];
            settle(next, between == 0 ? mine : pool.symmetricDifference(mine, between));
            open.push_back(next);
        }
    }
    assert(walkOrder_.size() == triangles.size());
}

int Overlay::plotBeyond(const std::vector<RegionTag>& tags) const {
    int chosen = -1;
    for (const RegionTag& tag : tags) {
        if (tag.kind != RegionTag::Kind::Reach) continue;
        const Plot& plot = work_.plots[static_cast<size_t>(tag.plot)];
        if (plot.reaches[static_cast<size_t>(tag.index)].beyond <= 0) continue;
        // Where two areas run past their edges into each other, the one whose name sorts first rules, so that
        // the order of areas in the plan changes nothing.
        if (chosen < 0 || plot.area->name < work_.plots[static_cast<size_t>(chosen)].area->name)
            chosen = tag.plot;
    }
    return chosen;
}

Stand Overlay::standFor(TagSet set) const {
    std::vector<RegionTag> tags;
    for (int tag : mesh_.tagPool().tags(set)) tags.push_back(tags_[static_cast<size_t>(tag)]);
    Stand stand;
    for (const RegionTag& tag : tags)
        if (tag.kind == RegionTag::Kind::Inside && stand.plot < 0) stand.plot = tag.plot;
    if (stand.plot < 0) {
        stand.plot = plotBeyond(tags);
        stand.beyond = stand.plot >= 0;
    }
    if (stand.plot < 0) {
        for (const RegionTag& tag : tags)
            if (tag.kind == RegionTag::Kind::Facet) stand.facets.push_back(tag.index);
        return stand;
    }
    const Plot& plot = work_.plots[static_cast<size_t>(stand.plot)];
    for (int reach : plot.reachOf) {
        const bool within = std::any_of(tags.begin(), tags.end(), [&](const RegionTag& tag) {
            return tag.kind == RegionTag::Kind::Reach && tag.plot == stand.plot && tag.index == reach;
        });
        const bool stopsShort = reach >= 0 && plot.reaches[static_cast<size_t>(reach)].beyond < 0;
        stand.present.push_back(stand.beyond ? within && !stopsShort : within || !stopsShort);
    }
    return stand;
}

}  // namespace underfoot
