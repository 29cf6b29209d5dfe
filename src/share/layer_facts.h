#pragma once
// What is said about each layer of a model on whatever leaves: thickness, volume, what was wanted, where it
// stands in the stack.

#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "model/solid.h"
#include "share/colour.h"

namespace underfoot {

struct LayerFacts {
    /// Thickness inside the outlines, where the layer belongs to the column (0 where it pinches out);
    /// everywhere for a layer that lies only outside. All 0 for a layer of no column.
    double least = 0, mean = 0, greatest = 0;
    double volume = 0;  ///< everywhere, m³
    /// The thickness wanted, where all areas want the same.
    std::optional<double> wanted;
    /// The wanted range, of the first column that names one.
    std::optional<double> wantedLeast, wantedGreatest;
    bool takesUp = false;
    bool overTakeUp = false;  ///< lies over a take-up layer somewhere
    int rank = 0;             ///< 0 for the lowest; higher than everything that lies under it in any column
    ThicknessRange range;     ///< for colours: every thickness of the layer and the wanted range, never empty
};

/// One for each of model.layers.
std::vector<LayerFacts> layerFacts(const Model& model);

/// Thickness of a layer (its lifts together) at a corner of a cell; 0 where it is absent.
double layerThickness(const Model& model, const Cell& cell, int corner, LayerId layer);

/// The corner of a cell nearest to a plan place.
int nearestCorner(const Model& model, const Cell& cell, glm::dvec2 place);

/// Height of the highest place of the finish inside the outlines; of the whole surface where no cell is
/// inside.
double highestFinish(const Model& model);

/// Volume of a closed mesh by the divergence theorem, m³.
double prismVolume(const Prism& prism);

}  // namespace underfoot
