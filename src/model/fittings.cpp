#include "model/fittings.h"

#include <array>
#include <optional>
#include <utility>
#include <vector>

#include <glm/common.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/surface.h"
#include "model/layout.h"
#include "model/locate.h"
#include "plan/plan.h"

namespace underfoot {
namespace {

constexpr double sampledIn =
    0.02;  // corners are sampled this part of the way toward the middle, inside the piece

LayerId unitLayerOf(const Plot& plot) {
    for (int i = 0; i < plot.courses; ++i)
        if (plot.buildUp->layers[static_cast<size_t>(i)].role == Role::Units)
            return plot.layerIds[static_cast<size_t>(i)];
    return -1;
}

/// Top of a layer at a place inside a cell of the given area; nothing elsewhere.
std::optional<double> topOf(const Model& model, int c, int area, LayerId layer, glm::dvec2 p) {
    if (c < 0) return {};
    const Cell& cell = model.cells[static_cast<size_t>(c)];
    const Column& column = model.columnOf(cell);
    if (column.area != area || column.beyond) return {};
    for (size_t k = 0; k < column.entries.size(); ++k)
        if (column.entries[k].layer == layer) return heightAt(model, cell, static_cast<int>(k), p);
    return {};
}

class UnitSetter {
  public:
    UnitSetter(Model& model, int area, LayerId layer) : model_(model), area_(area), layer_(layer) {}

    /// A rigid body on its bed: the plane that fits the layer's top under its corners and middle best.
    PlaneHeight planeUnder(const glm::dvec2* corners, int count, const PlaneHeight& otherwise) {
        glm::dvec2 middle{0, 0};
        for (int i = 0; i < count; ++i) middle += corners[i] / static_cast<double>(count);
        std::vector<glm::dvec3> seats;
        for (int i = 0; i < count; ++i) addSeat(glm::mix(corners[i], middle, sampledIn), seats);
        if (seats.size() < 3) addSeat(middle, seats);
        return seats.size() < 3 ? otherwise : planeFit(seats);
    }

  private:
    void addSeat(glm::dvec2 p, std::vector<glm::dvec3>& seats) {
        cell_ = locateCell(model_, p, cell_);
        if (const auto top = topOf(model_, cell_, area_, layer_, p)) seats.emplace_back(p, *top);
    }

    Model& model_;
    int area_;
    LayerId layer_;
    int cell_ = -1;
};

double unitThickness(const Plot& plot) {
    for (const Layer& layer : plot.buildUp->layers)
        if (layer.role == Role::Units) return layer.thickness;
    return 0;
}

void addUnits(const Groundwork& work, int area, Model& model) {
    const Plot& plot = work.plots[static_cast<size_t>(area)];
    const LayerId layer = unitLayerOf(plot);
    if (!plot.area->units || layer < 0) return;
    const UnitPlan laid =
        layoutUnits(*plot.area->units, *plot.area, plot.inside, model.plan.baseline, work.site.origin);
    const int offset = static_cast<int>(model.unitCorners.size());
    model.unitCorners.insert(model.unitCorners.end(), laid.corners.begin(), laid.corners.end());
    for (UnitPiece piece : laid.pieces) {
        piece.firstCorner += offset;
        piece.area = area;
        piece.layer = layer;
        piece.chamfer = plot.area->units->chamfer;
        model.units.push_back(piece);
    }
}

void addEdging(const Groundwork& work, int area, Model& model) {
    EdgingPlan laid = layoutEdging(*work.plots[static_cast<size_t>(area)].area, work.site.origin);
    for (EdgingPiece& piece : laid.pieces) {
        piece.area = area;
        model.edging.push_back(piece);
    }
    for (Spike& spike : laid.spikes) {
        spike.area = area;
        model.spikes.push_back(spike);
    }
}

void setUnits(const Groundwork& work, Model& model) {
    std::optional<UnitSetter> setter;
    int hint = -1, area = -1;
    for (UnitPiece& piece : model.units) {
        const Plot& plot = work.plots[static_cast<size_t>(piece.area)];
        if (std::exchange(area, piece.area) != piece.area) {
            setter.emplace(model, piece.area, piece.layer);
            hint = -1;
        }
        const glm::dvec2* corners = &model.unitCorners[static_cast<size_t>(piece.firstCorner)];
        const PlaneHeight designed = plot.finish->pieceAt(corners[0], hint);
        piece.top = setter->planeUnder(corners, piece.corners, designed);
        piece.thickness = unitThickness(plot);
    }
}

PlaneHeight lowered(PlaneHeight plane, double by) {
    plane.level -= by;
    return plane;
}

void setEdging(const Groundwork& work, Model& model) {
    int hint = -1;
    auto below = [](const Plot& plot, int edging) {
        return plot.area->edgings[static_cast<size_t>(edging)].top;
    };
    for (EdgingPiece& piece : model.edging) {
        const Plot& plot = work.plots[static_cast<size_t>(piece.area)];
        const glm::dvec2 middle =
            (piece.corner[0] + piece.corner[1] + piece.corner[2] + piece.corner[3]) * 0.25;
        piece.top = lowered(plot.finish->pieceAt(middle, hint), below(plot, piece.edging));
    }
    for (Spike& spike : model.spikes) {
        const Plot& plot = work.plots[static_cast<size_t>(spike.area)];
        spike.top = plot.finish->pieceAt(spike.at, hint).height(spike.at) - below(plot, spike.edging);
    }
}

}  // namespace

void addFittings(const Groundwork& work, Model& model) {
    for (size_t area = 0; area < work.plots.size(); ++area) {
        addUnits(work, static_cast<int>(area), model);
        addEdging(work, static_cast<int>(area), model);
    }
    setFittings(work, model);
}

void setFittings(const Groundwork& work, Model& model) {
    setUnits(work, model);
    setEdging(work, model);
}

}  // namespace underfoot
