#pragma once
// A model made by hand, so that the pictures' tests know where everything must be.
//
// Plan, metres: block 8 x 6, patio from (2, 1) to (6, 4), house side at y = 0 (offset = y, station = x).
// Heights: ground 0 everywhere outside; on the patio
//   finish            0.05
//   under the units  -0.01   (units 0.06)
//   under the bed     from -0.03 at x = 2 to -0.07 at x = 6 (bed 0.02 to 0.06: 0.01 for each metre of x)
//   under the base   -0.20
//   block's floor    -0.60

#include <map>
#include <memory>
#include <utility>
#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"

namespace underfoot::hand {

enum : LayerId { unitsLayer = 0, bedLayer = 1, baseLayer = 2, soilLayer = 3 };

inline bool onPatio(int i, int j) {
    return i == 1 && j == 1;
}

inline ColumnEntry entry(LayerId layer) {
    ColumnEntry made;
    made.layer = layer;
    return made;
}

class Maker {
  public:
    Model make() {
        setPlan();
        const double xs[] = {0, 2, 6, 8}, ys[] = {0, 1, 4, 6};
        for (double y : ys)
            for (double x : xs) model_.vertices.push_back({x, y});
        for (int j = 0; j < 3; ++j)
            for (int i = 0; i < 3; ++i) {
                const int a = 4 * j + i;
                addCell({a, a + 1, a + 5}, onPatio(i, j) ? 1 : 0);
                addCell({a, a + 5, a + 4}, onPatio(i, j) ? 1 : 0);
            }
        numberPoints();
        joinNeighbours();
        return std::move(model_);
    }

  private:
    void setPlan() {
        Plan& plan = model_.plan;
        plan.title = "Hand-made patio";
        plan.baseline.from = {0, 0};
        plan.baseline.to = {1, 0};
        plan.show.style = LengthStyle::Metres;
        Area area;
        area.name = "patio";
        plan.areas.push_back(area);
        model_.site = {{0, 0}, {0, 0}, {8, 6}, -0.6};
        model_.layers = {{"units", Role::Units, "units"},
                         {"bedding", Role::Bedding, "sand"},
                         {"base", Role::Base, "stone"},
                         {"soil", Role::NativeSoil, "soil"}};
        model_.nativeSoil = soilLayer;
        Column outside, patio;
        outside.entries = {entry(soilLayer)};
        patio.area = 0;
        patio.entries = {entry(unitsLayer), entry(bedLayer), entry(baseLayer), entry(soilLayer)};
        patio.entries[0].wanted = 0.06;
        patio.entries[1].wanted = 0.04;
        patio.entries[1].least = 0.03;
        patio.entries[1].greatest = 0.05;
        patio.entries[1].takesUp = true;
        patio.entries[2].wanted = 0.15;
        patio.formation = 3;
        model_.columns = {outside, patio};
    }

    void addCell(std::array<int, 3> corners, int column) {
        Cell cell;
        cell.vertex = corners;
        cell.column = column;
        for (size_t corner = 0; corner < 3; ++corner) {
            const int v = corners[corner];
            cell.post[corner] = static_cast<int>(model_.posts.size());
            model_.posts.push_back({v, column, static_cast<int>(model_.heights.size())});
            const double x = model_.vertices[static_cast<size_t>(v)].x;
            if (column == 0) {
                addHeights(v, {0.0, -0.6});
            } else {
                addHeights(v, {0.05, -0.01, -0.03 - 0.01 * (x - 2), -0.20, -0.6});
            }
            model_.facts.push_back({});
        }
        model_.cells.push_back(cell);
        model_.groundKnown.push_back(1);
    }

    void addHeights(int vertex, std::initializer_list<double> heights) {
        for (double z : heights) {
            points_[{vertex, z}] = 0;
            model_.heights.push_back(z);
            at_.push_back({vertex, z});
        }
    }

    /// Points of one place lie together, from the lowest up.
    void numberPoints() {
        for (auto& [key, number] : points_) {
            number = static_cast<int>(model_.points.size());
            model_.points.push_back({model_.vertices[static_cast<size_t>(key.first)], key.second});
        }
        for (const auto& key : at_) model_.pointOf.push_back(points_.at(key));
    }

    void joinNeighbours() {
        std::map<std::pair<int, int>, std::pair<int, int>> edges;
        for (int c = 0; c < static_cast<int>(model_.cells.size()); ++c)
            for (int i = 0; i < 3; ++i) {
                const auto& v = model_.cells[static_cast<size_t>(c)].vertex;
                edges[{v[static_cast<size_t>((i + 1) % 3)], v[static_cast<size_t>((i + 2) % 3)]}] = {c, i};
            }
        for (const auto& [edge, side] : edges)
            if (const auto other = edges.find({edge.second, edge.first}); other != edges.end())
                model_.cells[static_cast<size_t>(side.first)].neighbour[static_cast<size_t>(side.second)] =
                    other->second.first;
    }

    Model model_;
    std::map<std::pair<int, double>, int> points_;
    std::vector<std::pair<int, double>> at_;
};

inline std::shared_ptr<const Model> model() {
    return std::make_shared<const Model>(Maker().make());
}

/// One row of three units, 1 x 1 m with no joint, from (2, 1) to (5, 2).
inline std::shared_ptr<const Model> modelWithUnits() {
    Model model = Maker().make();
    for (int i = 0; i < 3; ++i) {
        UnitPiece unit;
        unit.area = 0;
        unit.layer = unitsLayer;
        unit.firstCorner = static_cast<int>(model.unitCorners.size());
        unit.corners = 4;
        unit.planArea = unit.wholeArea = 1;
        unit.leastWidth = 1;
        unit.top.level = 0.05;
        unit.thickness = 0.06;
        const double x = 2 + i;
        for (glm::dvec2 p : {glm::dvec2{x, 1}, {x + 1, 1}, {x + 1, 2}, {x, 2}})
            model.unitCorners.push_back(p);
        model.units.push_back(unit);
    }
    return std::make_shared<const Model>(std::move(model));
}

/// Materials in the colours of the program's own table, fixed here so that the tests do not move with it.
inline Catalogue catalogue() {
    const auto material = [](const char* name, const char* title, unsigned rgb, const char* grain,
                             const char* hatch) {
        Material m;
        m.name = name;
        m.title = title;
        m.colour = {(rgb >> 16 & 255u) / 255.0, (rgb >> 8 & 255u) / 255.0, (rgb & 255u) / 255.0};
        m.grain = grain;
        m.hatch = hatch;
        return m;
    };
    Catalogue catalogue;
    catalogue.materials = {material("units", "Units", 0xC2A493, "unit", "unit"),
                           material("sand", "Bedding sand", 0xE3C78F, "sand", "sand"),
                           material("stone", "Base stone", 0x80868C, "stone", "crushed stone"),
                           material("soil", "Native soil", 0x4A372B, "soil", "earth"),
                           material("concrete", "Concrete", 0xADB3B2, "concrete", "concrete")};
    return catalogue;
}

}  // namespace underfoot::hand
