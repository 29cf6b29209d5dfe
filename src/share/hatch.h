#pragma once
// Hatches of materials in section, as strokes in a tile that repeats. After drafting practice for materials
// in section as taught in architectural graphics (earth, sand, crushed stone, concrete, membrane); those for
// fill, panels, units and loose stones are our own, common practice without a source.

#include <string_view>
#include <vector>

#include <glm/vec2.hpp>

namespace underfoot {

struct HatchStroke {
    std::vector<glm::dvec2> points;
    bool closed = false;
    bool filled = false;  ///< with the hatch's colour
    double width = 0.13;
};
struct HatchDot {
    glm::dvec2 at{0, 0};
    double radius = 0.12;
};

/// Repeats every `width` along x and `height` along y; millimetres on paper. What crosses the tile's edge is
/// already drawn again on the other side.
struct HatchTile {
    double width = 0;
    double height = 0;
    std::vector<HatchStroke> strokes;
    std::vector<HatchDot> dots;
    bool empty() const { return strokes.empty() && dots.empty(); }
};

/// The tile of "earth", "fill", "membrane", "crushed stone", "sand", "panel", "unit", "concrete", "pebble" or
/// "solid"; an empty one for a name that is not known and for "solid" (the colour alone).
const HatchTile& hatchTile(std::string_view name);

}  // namespace underfoot
