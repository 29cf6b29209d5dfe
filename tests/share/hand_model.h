#pragma once
// A small model put together by hand, so that what leaves can be checked against numbers worked on paper.
//
// A court 4 m x 3 m with a metre of lawn around it, on a grid with one corner in the middle at (2, 1.5).
// Finish 100 at the house (y = 0), falling 2 % away from it. Units 50 mm; bedding 30 mm, but 12 mm at the
// middle corner; base down to 180 mm below the finish; native soil from there to 99.0. The lawn lies 30 mm
// below the finish's plane, so that it crosses no layer beside it.
//
// Each grid cell (2 m x 1.5 m) is cut from its lower left to its upper right corner, so six triangles of 1.5
// m² meet at the middle. The dip takes 0.018 / 3 * 6 * 1.5 = 0.054 m³ out of the bedding and gives it to the
// base:
//   bedding 0.03 * 12 - 0.054 = 0.306, base 0.10 * 12 + 0.054 = 1.254, units layer 0.05 * 12 = 0.6 m³.

#include <functional>
#include <map>

#include "model/model.h"

namespace underfoot::test {

inline constexpr double beddingVolume = 0.306, baseVolume = 1.254, unitsVolume = 0.6;
enum HandLayer : LayerId { units = 0, bedding = 1, base = 2, soil = 3 };

inline double handFinish(glm::dvec2 p) {
    return 100 - 0.02 * p.y;
}

inline std::vector<double> handHeights(glm::dvec2 p, bool inside) {
    const double finish = handFinish(p);
    if (!inside) return {finish - 0.03, 99.0};
    const double dip = p == glm::dvec2(2, 1.5) ? 0.012 : 0.03;
    return {finish, finish - 0.05, finish - 0.05 - dip, finish - 0.18, 99.0};
}

inline Plan handPlan() {
    Plan plan;
    plan.file = "hand.toml";
    plan.title = "Court by the \"old\" wall & gate";
    plan.baseline.to = {4, 0};
    plan.finishes.push_back({"", {{{0, 0}, 100, 0.02, 0, {}}}, PlaneJoin::Ridge, {}, {}});
    BuildUp buildUp{"build", {}, {}};
    buildUp.layers.push_back(
        {"units", Role::Units, 0.05, {}, {}, 0, CornerStyle::Square, false, 0, "concrete unit", {}});
    buildUp.layers.push_back(
        {"bedding", Role::Bedding, 0.03, 0.02, 0.04, 0, CornerStyle::Square, true, 0, "sand", {}});
    buildUp.layers.push_back(
        {"base", Role::Base, 0.1, {}, {}, 0, CornerStyle::Square, false, 0, "base stone", {}});
    plan.buildUps.push_back(buildUp);
    Area area;
    area.name = "court";
    area.buildUp = "build";
    area.outline.start = {0, 0};
    for (const glm::dvec2 to : {glm::dvec2{4, 0}, {4, 3}, {0, 3}, {0, 0}})
        area.outline.edges.push_back({to, {}, {}});
    plan.areas.push_back(area);
    plan.ground.shots.push_back({"1", {0, 0}, 99.97, "", {}});
    return plan;
}

inline void addCells(Model& model) {
    const std::vector<double> xs{-1, 0, 2, 4, 5}, ys{-1, 0, 1.5, 3, 4};
    const int across = static_cast<int>(xs.size());
    for (const double y : ys)
        for (const double x : xs) model.vertices.emplace_back(x, y);
    for (int j = 0; j + 1 < static_cast<int>(ys.size()); ++j)
        for (int i = 0; i + 1 < across; ++i) {
            const int a = j * across + i, b = a + 1, c = b + across, d = a + across;
            const int column = i >= 1 && i <= 2 && j >= 1 && j <= 2 ? 0 : 1;
            model.cells.push_back({{a, b, c}, {-1, -1, -1}, {-1, -1, -1}, column, 7});
            model.cells.push_back({{a, c, d}, {-1, -1, -1}, {-1, -1, -1}, column, 7});
        }
    std::map<std::pair<int, int>, std::pair<size_t, size_t>> sideOf;
    for (size_t n = 0; n < model.cells.size(); ++n)
        for (size_t k = 0; k < 3; ++k)
            sideOf[{model.cells[n].vertex[(k + 1) % 3], model.cells[n].vertex[(k + 2) % 3]}] = {n, k};
    for (const auto& [side, at] : sideOf)
        if (const auto other = sideOf.find({side.second, side.first}); other != sideOf.end())
            model.cells[at.first].neighbour[at.second] = static_cast<int>(other->second.first);
}

/// Points stand vertex by vertex, each vertex's from the lowest up.
inline void addHeights(Model& model) {
    std::map<std::pair<int, double>, int> pointAt;
    for (const Cell& cell : model.cells)
        for (const int vertex : cell.vertex)
            for (const double z : handHeights(model.vertices[static_cast<size_t>(vertex)], cell.column == 0))
                pointAt[{vertex, z}] = 0;
    for (auto& [at, point] : pointAt) {
        point = static_cast<int>(model.points.size());
        model.points.emplace_back(model.vertices[static_cast<size_t>(at.first)], at.second);
    }
    for (Cell& cell : model.cells) {
        const bool inside = cell.column == 0;
        for (size_t corner = 0; corner < 3; ++corner) {
            const int vertex = cell.vertex[corner];
            cell.post[corner] = static_cast<int>(model.posts.size());
            model.posts.push_back({vertex, cell.column, static_cast<int>(model.heights.size())});
            const glm::dvec2 p = model.vertices[static_cast<size_t>(vertex)];
            for (const double z : handHeights(p, inside)) {
                model.heights.push_back(z);
                model.pointOf.push_back(pointAt.at({vertex, z}));
            }
            const double none = std::numeric_limits<double>::quiet_NaN(), lawn = handFinish(p) - 0.03;
            model.facts.push_back(
                {lawn, lawn, inside ? handFinish(p) : none, inside ? handFinish(p) - 0.18 : none});
        }
        model.groundKnown.push_back(1);
    }
}

inline void addUnit(Model& model, glm::dvec2 low, glm::dvec2 high) {
    UnitPiece unit;
    unit.area = 0;
    unit.layer = units;
    unit.firstCorner = static_cast<int>(model.unitCorners.size());
    unit.corners = 4;
    unit.planArea = unit.wholeArea = (high.x - low.x) * (high.y - low.y);
    unit.leastWidth = std::min(high.x - low.x, high.y - low.y);
    unit.top = {{0, 0}, 100, {0, -0.02}};
    unit.thickness = 0.05;
    for (const glm::dvec2 corner : {low, glm::dvec2{high.x, low.y}, high, glm::dvec2{low.x, high.y}})
        model.unitCorners.push_back(corner);
    model.units.push_back(unit);
}

/// `laid` adds units of 0.5 m x 0.5 m with 10 mm joints over the whole court: 8 x 6 of them, each 0.49 x 0.49
/// x 0.05 m.
inline Model handModel(bool laid = false) {
    Model model;
    model.plan = handPlan();
    model.site = {{0, 0}, {-1, -1}, {5, 4}, 99.0};
    model.layers = {{"units", Role::Units, "concrete unit"},
                    {"bedding", Role::Bedding, "sand"},
                    {"base", Role::Base, "base stone"},
                    {"native soil", Role::NativeSoil, "native soil"}};
    model.nativeSoil = soil;
    Column court;
    court.area = 0;
    court.formation = 3;
    court.entries = {{units, 0, 1, 0.05, {}, {}, false},
                     {bedding, 0, 1, 0.03, 0.02, 0.04, true},
                     {base, 0, 1, 0.1, {}, {}, false},
                     {soil, 0, 1, 0, {}, {}, false}};
    Column lawn;
    lawn.entries = {{soil, 0, 1, 0, {}, {}, false}};
    model.columns = {court, lawn};
    addCells(model);
    addHeights(model);
    for (int j = 0; laid && j < 6; ++j)
        for (int i = 0; i < 8; ++i) {
            const glm::dvec2 low{0.5 * i + 0.005, 0.5 * j + 0.005};
            addUnit(model, low, low + 0.49);
        }
    measurePlanAreas(model);
    return model;
}

}  // namespace underfoot::test
