#pragma once
// Small plans made in code, for tests of everything above the plan file.

#include <initializer_list>
#include <string>
#include <vector>

#include "plan/plan.h"

namespace underfoot::made {

inline Ring ringOf(const std::vector<glm::dvec2>& corners) {
    Ring ring;
    ring.start = corners.front();
    for (size_t i = 1; i <= corners.size(); ++i) ring.edges.push_back({corners[i % corners.size()], {}, {}});
    return ring;
}
inline Ring rectangle(glm::dvec2 low, glm::dvec2 high) {
    return ringOf({low, {high.x, low.y}, high, {low.x, high.y}});
}

inline Layer layer(std::string name, Role role, double thickness, double beyond = 0, bool takesUp = false) {
    Layer made;
    made.name = std::move(name);
    made.role = role;
    made.thickness = thickness;
    made.beyond = beyond;
    made.takesUp = takesUp;
    return made;
}

inline Shot shot(double x, double y, double height) {
    return {"", {x, y}, height, "", {}};
}

/// Units 50 mm, bedding 25 mm that takes up, base 100 mm: 175 mm in all.
inline BuildUp plainBuildUp(double beyond = 0) {
    return {"plain",
            {layer("units", Role::Units, 0.05), layer("bedding", Role::Bedding, 0.025, 0, true),
             layer("base", Role::Base, 0.1, beyond)},
            {}};
}

/// One rectangular area of the plain build-up with a level finish at `finish`, on the given ground shots.
inline Plan plainPlan(glm::dvec2 low, glm::dvec2 high, double finish, std::vector<Shot> shots,
                      double beyond = 0) {
    Plan plan;
    plan.file = "test.toml";
    plan.title = "Test";
    plan.show.style = LengthStyle::Metres;
    plan.bareUnit = LengthUnit::Metre;
    plan.buildUps.push_back(plainBuildUp(beyond));
    plan.finishes.push_back({"", {{{0, 0}, finish, 0, 0, {}}}, PlaneJoin::Ridge, {}, {}});
    Area area;
    area.name = "court";
    area.outline = rectangle(low, high);
    area.buildUp = "plain";
    plan.areas.push_back(area);
    plan.ground.shots = std::move(shots);
    plan.ground.extend = Extend::Nearest;
    return plan;
}

/// Shots at the corners of a large square round the origin, on the plane z = height + gx x + gy y.
inline std::vector<Shot> planeShots(double height, double gx = 0, double gy = 0, double reach = 100) {
    std::vector<Shot> shots;
    for (const glm::dvec2 p : {glm::dvec2{-reach, -reach}, {reach, -reach}, {reach, reach}, {-reach, reach}})
        shots.push_back(shot(p.x, p.y, height + gx * p.x + gy * p.y));
    return shots;
}

}  // namespace underfoot::made
