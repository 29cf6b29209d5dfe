#pragma once
// Where water on a surface goes: along the steepest fall over each face, along the foot where two faces fall
// toward each other, by the steepest way from a node. It ends where it leaves over the rim, runs against the
// house, enters an inlet or a pond.
//
// On a level face, and where nothing falls from a node, water goes the way by which the lowest outlet is
// reached: to the node of the face that the fill reaches first, from there on to the node it was reached
// from.
//
// Ponds are those of the surface filled until every pond spills. The level of a node is the least over all
// ways to an outlet of the highest node on the way: what a priority flood from the outlets gives (Barnes,
// Lehman and Mulla 2014, Computers & Geosciences 62). Pits and passes of a surface flat on every face lie on
// its nodes, so the levels are exact; ponds that meet while they fill are one. Hollows no deeper than
// tolerance::lengthCompare are none.
//
// Where no part of the rim is open the lowest node of the closed rim is taken as where the water gets out.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "study/water_surface.h"

namespace underfoot {

enum class WaterEndKind { Leaves, House, Pond, Inlet };
struct WaterEnd {
    WaterEndKind kind = WaterEndKind::Leaves;
    int index = -1;  ///< 3 face + edge of the rim (Leaves, House), else of the pond or the inlet
    bool operator==(const WaterEnd&) const = default;
};

struct Pond {
    double level = 0;
    double depth = 0;
    glm::dvec2 deepest{0, 0};
    double volume = 0;
    double planArea = 0;
    glm::dvec2 spill{0, 0};
    WaterEnd overflow;     ///< where it goes on to when it is full
    double catchment = 0;  ///< plan area that drains into it, its own included
    int cell = -1;         ///< a cell of the model that holds its deepest place, -1 without a model
    /// Its edge. Rings that enclose turn left, those round islands turn right.
    std::vector<std::vector<glm::dvec2>> rings;
};

struct WaterOutlet {
    WaterEnd end;
    double catchment = 0;
};

struct FlowPath {
    std::vector<glm::dvec3> points;
    WaterEnd end;
    double length() const;  ///< in plan
};

class WaterFlow {
  public:
    explicit WaterFlow(const WaterSurface& surface);
    explicit WaterFlow(WaterSurface&&) = delete;

    const WaterSurface& surface() const { return surface_; }
    const std::vector<double>& levels() const { return level_; }  ///< per node; its height where it is dry
    const std::vector<Pond>& ponds() const { return ponds_; }
    double volume() const;
    /// Every end that some area drains to, by kind and index. The areas add up to the surface's.
    std::vector<WaterOutlet> catchments();
    /// The way from a place; nothing where the surface does not reach there.
    std::optional<FlowPath> path(glm::dvec2 from) const;

  private:
    /// What comes after an edge: another face, a node, or an end.
    struct Across {
        int face = -1, edge = -1;
        int node = -1;
        std::optional<WaterEnd> end;
    };
    /// The steepest way from a node: through a face and out of it, or to a node.
    struct Descent {
        int face = -1, edge = -1;
        double ratio = 0;
        int node = -1;
        std::optional<WaterEnd> end;
    };
    struct Part {
        double to = 1;
        WaterEnd end;
    };
    class Fill;

    void join();
    void flood();
    void findPonds();
    void traceRings();
    void findOverflows();
    WaterEnd followed(const Descent& way) const;
    void walk(FlowPath& way, Across next) const;
    Descent overFace(int face, int came, glm::dvec2 at) const;
    glm::dvec3 on(int face, int edge, double ratio) const;
    int earliest(const WaterFace& face) const;  ///< the node that the fill reaches first
    int pondOfFace(const WaterFace& face) const;
    Across across(int face, int edge) const;
    Descent descent(int node, int exceptPond) const;
    /// The next step from a node; hollows too shallow for a pond are left by the way of the fill, below `pit`
    /// again by the steepest.
    Descent wayOn(int node, double& pit) const;
    WaterEnd rootOf(int node) const;
    int lowerOf(int a, int b) const;
    const Part& partAt(int halfEdge, double ratio) const;

    // The ends of all places along half edges (from their first node to their second) and of nodes.
    bool ready(int item) const;
    /// What has to be known before.
    class Needed {
      public:
        Needed() = default;
        explicit Needed(int item) : items_{item}, count_(1) {}
        void add(int item) { items_[count_++] = item; }
        const int* begin() const { return items_.data(); }
        const int* end() const { return items_.data() + count_; }

      private:
        std::array<int, 3> items_{};
        size_t count_ = 0;
    };
    Needed needed(int item) const;
    void settle(int item);
    void resolve(int item);
    WaterEnd endOf(int node) const;
    std::vector<Part> carriedBack(int face, int edge) const;
    void addFace(int face, std::vector<WaterOutlet>& all) const;

    const WaterSurface& surface_;
    std::vector<int> firstFace_, facesOf_;  // corners (3 face + corner) round each node
    std::vector<int> firstAt_, nodesAt_;    // nodes over each place
    std::vector<double> level_;
    std::vector<int> order_, parent_, pondOf_, inletOf_, outlet_;
    std::vector<Pond> ponds_;
    std::vector<int> spillNode_;
    std::vector<std::vector<Part>> parts_;
    std::vector<std::optional<WaterEnd>> nodeEnd_;
    std::vector<uint8_t> open_;  // asked for, half edges first
    std::vector<std::pair<int, bool>> stack_;
};

}  // namespace underfoot
