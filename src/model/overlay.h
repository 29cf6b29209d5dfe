#pragma once
// All lines of the plan laid over each other once, and which regions every triangle lies in.

#include <span>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/surface.h"
#include "ground/triangulation.h"
#include "model/groundwork.h"
#include "model/layout.h"
#include "model/stack.h"

namespace underfoot {

using Line = BreakLine;

/// What a tag of the overlay stands for.
struct RegionTag {
    enum class Kind { Inside, Reach, Facet } kind = Kind::Inside;
    int plot = -1;
    int index = -1;  ///< of the plot's reach, or of the facet
};

class Overlay {
  public:
    /// Overlays outlines, reaches, side slopes and the break lines of every surface inside the site's box.
    explicit Overlay(const Groundwork& work);

    Triangulation& mesh() { return mesh_; }
    const Triangulation& mesh() const { return mesh_; }

    /// Lays lines that part nothing but cells. Ends that several lines share are looked up once.
    void insertLines(std::span<const Line> lines) { insertNet(netOf(lines)); }

    /// Finds again what stands on each triangle; call after inserting lines.
    void classify();
    /// Index into stands(), per triangle; a stand keeps its index however often this is called.
    const std::vector<int>& standOf() const { return standOf_; }
    const std::vector<Stand>& stands() const { return stands_; }
    /// All triangles, each next to one before it where possible.
    const std::vector<int>& walkOrder() const { return walkOrder_; }

  private:
    void insertNet(const LineNet& net);
    void insertRing(const std::vector<glm::dvec2>& ring, TagSet tags);
    void insertRegions(const Regions& regions, RegionTag tag);
    Stand standFor(TagSet set) const;
    int plotBeyond(const std::vector<RegionTag>& tags) const;

    const Groundwork& work_;
    Triangulation mesh_;
    std::vector<RegionTag> tags_;
    std::vector<int> standOf_;
    std::vector<Stand> stands_;
    std::vector<int> standOfSet_;  // by TagSet, -1: not met yet
    std::vector<int> walkOrder_;
};

/// The box that the cells fill: all that is laid, all side slopes, and a rim of ground round them.
void frameSite(Groundwork& work);

}  // namespace underfoot
