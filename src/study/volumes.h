#pragma once
// Volumes read from the stack: exact sums of prisms over cells.

#include <vector>

#include "model/model.h"

namespace underfoot {

struct LiftVolume {
    int lift = 0;
    double volume = 0;
    double planArea = 0;  ///< where the lift has any thickness
};

struct LayerVolume {
    LayerId layer = -1;
    double volume = 0;        ///< everywhere, what runs beyond included
    double insideVolume = 0;  ///< inside the outlines
    double planArea = 0;      ///< where it has any thickness
    std::vector<LiftVolume> lifts;
};

struct Volumes {
    std::vector<LayerVolume> layers;  ///< in the model's order of layers, native soil left out
    double strip = 0;                 ///< sod and topsoil taken off
    double cut = 0;                   ///< stripped ground above the formation
    double fill = 0;                  ///< all fill, side slopes included
    double finishArea = 0;            ///< plan area inside the outlines
};
Volumes volumes(const Model& model);

}  // namespace underfoot
