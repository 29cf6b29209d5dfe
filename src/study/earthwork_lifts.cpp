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
#include "measure/side_by_side.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/earthwork.h"
#include "study/order.h"
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

/// `entryOf` tells for each cell of the model which entry the lift is there. Of corners as low but for
/// rounding the one with the least x counts, then y.
LiftPlace placeOf(const Model& model, const std::vector<int>& entryOf, FieldPatch& patch) {
    double lowest = std::numeric_limits<double>::infinity();
    const auto eachCorner = [&](const auto& take) {
        for (const int cell : patch.cells) {
            const Cell& of = model.cells[static_cast<size_t>(cell)];
            for (int i = 0; i < 3; ++i)
                take(model.at(of, i), model.height(of, i, entryOf[static_cast<size_t>(cell)] + 1));
        }
    };
    eachCorner([&](glm::dvec2, double height) { lowest = std::min(lowest, height); });
    glm::dvec2 where{std::numeric_limits<double>::infinity()};
    eachCorner([&](glm::dvec2 at, double height) {
        if (height <= lowest + tolerance::lengthCompare && std::tie(at.x, at.y) < std::tie(where.x, where.y))
            where = at;
    });
    return {std::move(patch.outline), where, lowest, patch.area, patch.volume, patch.worstValue};
}

std::vector<LiftPlace> placesOf(const Model& model, const LiftField& field) {
    std::vector<int> entryOf(model.cells.size(), -1);
    for (size_t i = 0; i < field.cells.size(); ++i)
        entryOf[static_cast<size_t>(field.cells[i].cell)] = field.entries[i];
    std::vector<LiftPlace> places;
    for (FieldPatch& patch : fieldPatches(model, field.cells))
        places.push_back(placeOf(model, entryOf, patch));
    sortGreatestFirst(
        places, tolerance::lengthCompare, [](const LiftPlace& place) { return -place.lowest; },
        [](const LiftPlace& a, const LiftPlace& b) {
            return std::tie(a.at.x, a.at.y) < std::tie(b.at.x, b.at.y);
        });
    return places;
}

std::string sourceOf(const Limit& limit) {
    if (limit.reason.empty()) return limit.source;
    return fmt::format("The plan: {} (usual are {:g}: {})", limit.reason, limit.published, limit.source);
}

/// Fill that comes out of the cut packs down as the ground's soil does.
Loosening looseningOfLayer(const Model& model, const Catalogue& catalogue, LayerId layer, bool ofCut) {
    const ModelLayer& of = layerOf(model, layer);
    if (of.role == Role::Fill && ofCut) {
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
    const LiftFields fields = liftFields(model);
    std::vector<LiftToPlace> lifts(fields.size());
    std::vector<const LiftFields::value_type*> inOrder;
    for (const auto& field : fields) inOrder.push_back(&field);
    const bool ofCut = model.plan.ground.cutAsFill && earthBalance(model, catalogue).fillIsMostlyCut();
    sideBySide(lifts.size(), [&](size_t i) {
        const auto& [key, field] = *inOrder[i];
        LiftToPlace& lift = lifts[i];
        lift.layer = -std::get<1>(key);
        lift.lift = std::get<2>(key);
        lift.lifts = field.lifts;
        lift.places = placesOf(model, field);
        addSums(looseningOfLayer(model, catalogue, lift.layer, ofCut), lift);
        addCompactor(catalogue, lift);
    });
    std::erase_if(lifts, [](const LiftToPlace& lift) { return lift.places.empty(); });
    return lifts;
}

}  // namespace underfoot
