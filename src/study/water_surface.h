#pragma once
// A surface that water runs over: triangles that meet at shared nodes, flat on each.
//
// Where neighbouring triangles stand at different heights over one edge there is a step: each side has nodes
// of its own, water drops over it from the higher side and stands against it on the lower one. `beside` is
// the triangle across an edge, step or not.

#include <array>
#include <cstdint>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"

namespace underfoot {

enum class WaterOn {
    DesignedFinish,
    Finish,  ///< as it comes out: design, with the errors of what was measured that show at the top
    Formation,
    Ground,
};

/// What stands along an edge of the rim.
enum class RimKind : uint8_t {
    Open,   ///< water that reaches it leaves: what lies outside is taken to be lower
    Wall,   ///< closed; water runs along its foot
    House,  ///< closed; water that reaches it has run against the house
};

struct WaterFace {
    std::array<int, 3> node{-1, -1, -1};    ///< turning left
    std::array<int, 3> beside{-1, -1, -1};  ///< across the edge opposite corner i; -1 at the rim
    std::array<RimKind, 3> rim{RimKind::Open, RimKind::Open, RimKind::Open};  ///< where beside is -1
    int cell = -1;  ///< of the model, -1 without one
    double planArea = 0;
    glm::dvec2 gradient{0, 0};  ///< rise along x and y; 0 where the face is level
    bool level = false;         ///< its corners are one height but for rounding
};

/// A place where water is let in: it takes all that reaches it.
struct WaterInlet {
    glm::dvec2 at{0, 0};
    int node = -1;
};

struct WaterSurface {
    std::vector<glm::dvec3> nodes;  ///< local
    std::vector<int> placeOf;       ///< per node; nodes over one place of the plan have the same
    std::vector<WaterFace> faces;
    std::vector<WaterInlet> inlets;

    glm::dvec2 at(int node) const {
        const glm::dvec3& p = nodes[static_cast<size_t>(node)];
        return {p.x, p.y};
    }
    double z(int node) const { return nodes[static_cast<size_t>(node)].z; }
    double area() const;
};

/// A surface of nodes and triangles that turn left, with no step in it and an open rim.
WaterSurface waterSurface(std::vector<glm::dvec3> nodes, const std::vector<std::array<int, 3>>& triangles);

/// A surface of a model. The finish lies inside the outlines, the formation under all that is placed, the
/// ground everywhere. An edge of the rim is the house's or a wall's where a fixed thing of that kind,
/// standing above it, lies along it.
WaterSurface waterSurface(const Model& model, WaterOn which);

/// Lets water in at a place; false where the surface does not reach there. A place on an edge is moved into a
/// triangle by a hundredth of a millimetre.
bool addInlet(WaterSurface& surface, glm::dvec2 at);

/// The triangle that holds a place, -1 when there is none.
int faceAt(const WaterSurface& surface, glm::dvec2 at);

}  // namespace underfoot
