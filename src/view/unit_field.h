#pragma once
// Where the units of one layer lie in plan, to be looked up place by place: for units so far away that only
// their tops count. No OpenGL.

#include <cstdint>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"

namespace underfoot {

/// A grid of squares, each with the units whose boxes reach into it.
struct UnitField {
    /// As shaders/lay_units.comp reads it.
    struct Entry {
        uint32_t unit = 0;  ///< index into Model::units
        uint32_t firstCorner = 0;
        uint32_t cornersVariation = 0;  ///< number of corners, 24 bits; the unit's variation above them
    };
    glm::dvec2 low{0, 0};
    double square = 1;  ///< metres
    int across = 0, down = 0;
    std::vector<uint32_t> starts;  ///< by square, row by row, and one past the last: into entries
    std::vector<Entry> entries;
    std::vector<glm::vec2> corners;  ///< outlines, one after the other

    /// The unit over a local place, by even and odd crossings of its outline; -1: a joint, or outside.
    int unitAt(glm::dvec2 place) const;
};

UnitField unitField(const Model& model, LayerId layer);

}  // namespace underfoot
