#pragma once
// Colours of the frame around the scene.

#include "share/drawing.h"
#include "view/scene_view.h"

namespace underfoot {

struct Palette {
    Colour paper, ink, attention;
    Colour quiet;  ///< words of second rank
    Colour rule;   ///< thin lines that part things
    Colour slip;   ///< the ground of slips and sheets: a little off the paper
    Colour shade;  ///< laid over the scene below a sheet
    bool dark = false;
};

inline Colour fromVec(const glm::dvec3& c) {
    return {c.x, c.y, c.z, 1};
}
inline Colour faded(Colour c, double opacity) {
    c.opacity *= opacity;
    return c;
}

inline Palette paletteOf(Theme theme) {
    const ThemeColours colours = themeColours(theme);
    Palette p;
    p.dark = theme == Theme::Dark;
    p.paper = fromVec(colours.paper);
    p.ink = fromVec(colours.ink);
    p.attention = fromVec(colours.attention);
    p.quiet = mixed(p.paper, p.ink, 0.70);
    p.rule = mixed(p.paper, p.ink, 0.20);
    p.slip = p.dark ? mixed(p.paper, p.ink, 0.06) : mixed(p.paper, {1, 1, 1, 1}, 0.6);
    p.shade = faded(p.dark ? Colour{0, 0, 0, 1} : p.paper, 0.55);
    return p;
}

}  // namespace underfoot
