#pragma once
// A model written by hand: a court of 4 m by 2 m before a house, in two cells, with three layers over the
// soil.
//
//   offset 2 +-----------+       units   0.05 m
//            |  1      . |       sand    0.02 m at station 0, 0.04 m at station 4
//            |    .      |       base    0.10 m
//            | .      0  |       native soil down to 9 m
//          0 +-----------+       top of the units at 10 m, level
//            0           4  station
//
// Stations run along +x; offsets along +y.

#include <memory>

#include "model/model.h"
#include "window/plan_worker.h"

namespace underfoot::test {

inline Plan smallPlan() {
    Plan plan;
    plan.file = "court.toml";
    plan.title = "Small court";
    plan.show.style = LengthStyle::Metres;
    plan.baseline.from = {0, 0};
    plan.baseline.to = {4, 0};
    Area area;
    area.name = "court";
    area.buildUp = "on sand";
    area.outline.start = {0, 0};
    area.outline.edges = {{{4, 0}, {}, {}}, {{4, 2}, {}, {}}, {{0, 2}, {}, {}}, {{0, 0}, {}, {}}};
    plan.areas.push_back(area);
    BuildUp buildUp;
    buildUp.name = "on sand";
    Layer units, sand, base;
    units.name = "units", units.role = Role::Units, units.thickness = 0.05;
    sand.name = "sand", sand.role = Role::Bedding, sand.thickness = 0.03, sand.takesUp = true;
    sand.least = 0.025, sand.greatest = 0.05;
    base.name = "base", base.role = Role::Base, base.thickness = 0.10;
    buildUp.layers = {units, sand, base};
    plan.buildUps.push_back(buildUp);
    plan.finishes.emplace_back();
    return plan;
}

inline std::shared_ptr<const Model> smallModel(glm::dvec2 origin = {0, 0}) {
    auto model = std::make_shared<Model>();
    model->plan = smallPlan();
    model->site = {origin, glm::dvec2{0, 0} - origin, glm::dvec2{4, 2} - origin, 9};
    model->layers = {{"units", Role::Units, ""},
                     {"sand", Role::Bedding, ""},
                     {"base", Role::Base, ""},
                     {"native soil", Role::NativeSoil, ""}};
    model->nativeSoil = 3;
    Column column;
    column.area = 0;
    for (LayerId layer = 0; layer < 4; ++layer) {
        ColumnEntry entry;
        entry.layer = layer;
        column.entries.push_back(entry);
    }
    column.entries[1].least = 0.025;
    column.entries[1].greatest = 0.05;
    column.formation = 3;
    model->columns = {column};
    for (const glm::dvec2 p : {glm::dvec2{0, 0}, {4, 0}, {4, 2}, {0, 2}})
        model->vertices.push_back(p - origin);
    Cell right, left;
    right.vertex = {0, 1, 2}, right.neighbour = {-1, 1, -1}, right.column = 0, right.post = {0, 1, 2};
    left.vertex = {0, 2, 3}, left.neighbour = {-1, -1, 0}, left.column = 0, left.post = {3, 4, 5};
    model->cells = {right, left};
    model->groundKnown = {1, 1};
    for (const Cell& cell : model->cells)
        for (const int v : cell.vertex) {
            const double x = v == 1 || v == 2 ? 4 : 0;
            const double sand = 0.02 + 0.005 * x;
            double z = 10;
            model->posts.push_back({v, 0, static_cast<int>(model->heights.size())});
            for (const double thick : {0.0, 0.05, sand, 0.10}) {
                z -= thick;
                model->heights.push_back(z);
                model->pointOf.push_back(static_cast<int>(model->points.size()));
                model->points.emplace_back(model->vertices[static_cast<size_t>(v)], z);
            }
            model->heights.push_back(9);
            model->pointOf.push_back(static_cast<int>(model->points.size()));
            model->points.emplace_back(model->vertices[static_cast<size_t>(v)], 9);
            model->facts.push_back({z, z, 10, z});
        }
    return model;
}

inline Loaded smallReading(glm::dvec2 origin = {0, 0}) {
    Loaded loaded;
    loaded.model = smallModel(origin);
    loaded.catalogue = loadCatalogue(loaded.model->plan);
    Finding thin;
    thin.kind = FindingKind::BeddingThin;
    thin.area = 0;
    thin.layer = 1;
    thin.at = glm::dvec2{1, 0.5} - origin;
    thin.station = 1;
    thin.offset = 0.5;
    thin.measured = 0.02;
    thin.wanted = 0.025;
    thin.rule = "bedding.least";
    thin.what = "Bed short by 5 mm at 0+001.00, 0.50 m out.";
    thin.remedy = "Lower the base here or raise the strings by 5 mm.";
    Finding thick = thin;
    thick.kind = FindingKind::BeddingThick;
    thick.at = glm::dvec2{3.5, 1.5} - origin;
    thick.station = 3.5;
    thick.offset = 1.5;
    thick.what = "Bed over by 2 mm at 0+003.50, 1.50 m out.";
    loaded.findings = {thin, thick};
    return loaded;
}

}  // namespace underfoot::test
