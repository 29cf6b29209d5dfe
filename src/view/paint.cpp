#include "view/paint.h"

#include <array>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace underfoot {

namespace {

int codeOf(std::string_view name, const std::vector<std::pair<std::string_view, int>>& codes) {
    for (const auto& [key, code] : codes)
        if (key == name) return code;
    return 0;
}

int grainCode(std::string_view name) {
    return codeOf(name, {{"soil", 1},
                         {"fill", 2},
                         {"fabric", 3},
                         {"stone", 4},
                         {"sand", 5},
                         {"panel", 6},
                         {"unit", 7},
                         {"concrete", 8},
                         {"pebble", 9}});
}

int hatchCode(std::string_view name) {
    return codeOf(name, {{"earth", 1},
                         {"fill", 2},
                         {"crushed stone", 4},
                         {"sand", 5},
                         {"panel", 6},
                         {"unit", 7},
                         {"concrete", 8},
                         {"pebble", 9}});
}

glm::dvec3 hex(unsigned rgb) {
    return toLinear(glm::dvec3(rgb >> 16 & 255u, rgb >> 8 & 255u, rgb & 255u) / 255.0);
}

Paint paintOf(const Material& material, int object) {
    const glm::dvec3 colour{material.colour[0], material.colour[1], material.colour[2]};
    return {toLinear(colour), grainCode(material.grain), hatchCode(material.hatch), object};
}

}  // namespace

glm::dvec3 toLinear(const glm::dvec3& screen) {
    glm::dvec3 out;
    for (int i = 0; i < 3; ++i)
        out[i] = screen[i] <= 0.04045 ? screen[i] / 12.92 : std::pow((screen[i] + 0.055) / 1.055, 2.4);
    return out;
}

Paint layerPaint(const Model& model, const Catalogue& catalogue, LayerId layer) {
    const ModelLayer& of = model.layers[static_cast<size_t>(layer)];
    const int object = of.role == Role::Units ? 128 + layer % 64 : 1 + layer % 120;
    return paintOf(catalogue.material(of.material, of.role), object);
}

Paint jointPaint(const Model& model, const Catalogue& catalogue, LayerId layer) {
    Paint paint = paintOf(catalogue.material("", Role::Bedding), layerPaint(model, catalogue, layer).object);
    paint.colour *= 0.5;
    paint.hatch = 0;
    return paint;
}

Paint fixedPaint(const Catalogue& catalogue, FixedKind kind) {
    if (kind == FixedKind::Slab) return paintOf(catalogue.material("", Role::Slab), 240);
    if (kind == FixedKind::Wall) return {hex(0xB8B3A7), 8, 7, 241};
    return {hex(0xDAD3C5), 0, 7, 242};
}

Paint edgingPaint(const Model& model, const Catalogue& catalogue) {
    for (const Area& area : model.plan.areas)
        for (const Edging& edging : area.edgings)
            for (const Material& material : catalogue.materials)
                if (material.name == edging.material) return paintOf(material, 220);
    return {hex(0x1D2124), 0, 0, 220};
}

Paint pipePaint() {
    return {hex(0xC4CACC), 0, 0, 230};
}

}  // namespace underfoot
