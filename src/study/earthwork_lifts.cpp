// The lifts of fill and base, place by place.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/earthwork.h"
#include "study/patches.h"

namespace underfoot {

namespace {

const ModelLayer& layerOf(const Model& model, LayerId layer) {
    return model.layers[static_cast<size_t>(layer)];
}

bool isPlacedInLifts(Role role) {
    return role == Role::Fill || role == Role::Base;
}

/// One lift's thickness over the cells, and the entry it is in each.
struct LiftField {
    int lifts = 1;
    std::vector<FieldCell> cells;
    std::vector<int> entries;
};
/// Fill before base, a layer farther down before one above it, the lowest lift first.
using LiftKey = std::tuple<int, LayerId, int>;
using LiftFields = std::map<LiftKey, LiftField>;

LiftFields liftFields(const Model& model) {
    LiftFields fields;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        const Cell& cell = model.cells[c];
        const auto& entries = model.columnOf(cell).entries;
        for (int e = 0; e < static_cast<int>(entries.size()); ++e) {
            const ColumnEntry& entry = entries[static_cast<size_t>(e)];
            const Role role = layerOf(model, entry.layer).role;
            if (!isPlacedInLifts(role)) continue;
            FieldCell one{static_cast<int>(c), {}, {}};
            for (int i = 0; i < 3; ++i) one.value[static_cast<size_t>(i)] = model.thickness(cell, i, e);
            one.excess = one.value;
            if (*std::max_element(one.value.begin(), one.value.end()) <= tolerance::lengthCompare) continue;
            LiftField& field = fields[{role == Role::Fill ? 0 : 1, -entry.layer, entry.lift}];
            field.lifts = std::max(field.lifts, entry.lifts);
            field.cells.push_back(one);
            field.entries.push_back(e);
        }
    }
    return fields;
}

struct Corner {
    glm::dvec2 at{0, 0};
    double height = 0;
    bool before(const Corner& other) const {
        return std::tie(height, at.x, at.y) < std::tie(other.height, other.at.x, other.at.y);
    }
};

/// Of a lift's underside over a cell.
Corner lowestCorner(const Model& model, const Cell& cell, int entry) {
    Corner lowest{{0, 0}, std::numeric_limits<double>::infinity()};
    for (int i = 0; i < 3; ++i) {
        const Corner corner{model.at(cell, i), model.height(cell, i, entry + 1)};
        if (corner.before(lowest)) lowest = corner;
    }
    return lowest;
}

/// `entryOf` tells for each cell of the model which entry the lift is there.
LiftPlace placeOf(const Model& model, const std::vector<int>& entryOf, FieldPatch& patch) {
    Corner lowest{{0, 0}, std::numeric_limits<double>::infinity()};
    for (const int cell : patch.cells) {
        const size_t c = static_cast<size_t>(cell);
        const Corner corner = lowestCorner(model, model.cells[c], entryOf[c]);
        if (corner.before(lowest)) lowest = corner;
    }
    return {std::move(patch.outline), lowest.at, lowest.height, patch.area, patch.volume, patch.worstValue};
}

std::vector<LiftPlace> placesOf(const Model& model, const LiftField& field) {
    std::vector<int> entryOf(model.cells.size(), -1);
    for (size_t i = 0; i < field.cells.size(); ++i)
        entryOf[static_cast<size_t>(field.cells[i].cell)] = field.entries[i];
    std::vector<LiftPlace> places;
    for (FieldPatch& patch : fieldPatches(model, field.cells))
        places.push_back(placeOf(model, entryOf, patch));
    std::stable_sort(places.begin(), places.end(),
                     [](const LiftPlace& a, const LiftPlace& b) { return a.lowest < b.lowest; });
    return places;
}

std::string sourceOf(const Limit& limit) {
    if (limit.reason.empty()) return limit.source;
    return fmt::format("The plan: {} (usual are {:g}: {})", limit.reason, limit.published, limit.source);
}

/// Fill that comes out of the cut packs down as the ground's soil does.
Loosening looseningOfLayer(const Model& model, const Catalogue& catalogue, LayerId layer) {
    const ModelLayer& of = layerOf(model, layer);
    if (of.role == Role::Fill && model.plan.ground.cutAsFill) {
        const Soil& soil = catalogue.soilOf(model.plan);
        return {soil.loose / soil.compacted, soil.title + ": " + soil.source};
    }
    return looseningOf(catalogue, catalogue.material(of.material, of.role));
}

void addSums(const Loosening& loosening, LiftToPlace& lift) {
    for (const LiftPlace& place : lift.places) {
        lift.planArea += place.planArea;
        lift.volume += place.volume;
        lift.greatest = std::max(lift.greatest, place.greatest);
    }
    lift.loose = lift.volume * loosening.looseForCompacted;
    lift.greatestLoose = lift.greatest * loosening.looseForCompacted;
    lift.looseSource = loosening.source;
}

void addCompactor(const Catalogue& catalogue, LiftToPlace& lift) {
    if (const Limit* thickest = catalogue.findLimit("lift.greatest")) {
        lift.greatestAllowed = thickest->value;
        lift.tooThick = lift.greatest > thickest->value + tolerance::lengthCompare;
    }
    if (const Limit* passes = catalogue.findLimit("lift.passes")) {
        lift.passes = static_cast<int>(std::lround(passes->value));
        lift.passesSource = sourceOf(*passes);
    }
}

}  // namespace

std::vector<LiftToPlace> liftsToPlace(const Model& model, const Catalogue& catalogue) {
    std::vector<LiftToPlace> lifts;
    for (const auto& [key, field] : liftFields(model)) {
        LiftToPlace lift;
        lift.layer = -std::get<1>(key);
        lift.lift = std::get<2>(key);
        lift.lifts = field.lifts;
        lift.places = placesOf(model, field);
        if (lift.places.empty()) continue;
        addSums(looseningOfLayer(model, catalogue, lift.layer), lift);
        addCompactor(catalogue, lift);
        lifts.push_back(std::move(lift));
    }
    return lifts;
}

}  // namespace underfoot
