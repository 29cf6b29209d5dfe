// Drafting hatches of the cut face, as ink from 0 to 1. p: along the cut and up, metres.
// Earth as groups of strokes in turn, sand as dots, crushed stone as angular outlines, concrete as dots with small
// triangles, a membrane solid: common practice on construction drawings.

float stroke(float distance, float width, float pixel) {
    return 1.0 - smoothstep(width - 0.5 * pixel, width + 0.5 * pixel, distance);
}
float ruled(float at, float step, float width, float pixel) {
    float d = abs(fract(at / step + 0.5) - 0.5) * step;
    return stroke(d, width, pixel);
}

// Groups of three strokes, turned from group to group, with room between the groups.
float earthHatch(vec2 p, float pixel, float line) {
    const float tile = 0.17;
    vec2 w = vec2(p.x + p.y, p.y - p.x) * 0.70711;
    vec2 cell = floor(w / tile);
    bool turned = mod(cell.x + cell.y, 2.0) > 0.5;
    vec2 f = w - cell * tile;
    float across = turned ? f.x : f.y, along = turned ? f.y : f.x;
    float uneven = 0.02 * hash1(cell + 3.0);
    float inside = step(0.022 + uneven, along) * step(along, tile - 0.022);
    float three = step(0.035, across) * step(across, tile - 0.035);
    return inside * three * ruled(across - 0.5 * tile, 0.036, line, pixel);
}
float dots(vec2 p, float step, float size, float pixel) {
    vec2 cell = floor(p / step);
    vec2 middle = (cell + 0.2 + 0.6 * hash2(cell)) * step;
    return stroke(length(p - middle), size, pixel);
}
float outlines(vec2 p, float size, float line, float pixel) {
    Piece stone = pieces(p / size);
    float inner = stone.gap * size * 0.6;
    return step(0.25, hash1(stone.id + 6.0)) * stroke(abs(inner - 0.005), line, pixel);
}
float hatchInk(int kind, vec2 p, float pixel) {
    float line = max(0.0011, 0.5 * pixel);
    float slant = (p.x + p.y) * 0.70711;
    if (kind == 1) return earthHatch(p, pixel, line);
    if (kind == 2) return max(0.8 * ruled(slant, 0.075, line, pixel), 0.7 * dots(p, 0.034, 0.0022, pixel));
    if (kind == 4) return outlines(p, 0.042, line, pixel);
    if (kind == 5) return dots(p, 0.0125, max(0.0014, 0.55 * pixel), pixel);
    if (kind == 6) return ruled(p.x, 0.022, line, pixel);
    if (kind == 7) return ruled(slant, 0.026, line, pixel);
    if (kind == 8) return max(dots(p, 0.02, 0.0016, pixel), outlines(p, 0.075, line, pixel) * 0.6);
    if (kind == 9) return outlines(p, 0.036, line, pixel);
    return 0.0;
}
// The strokes thin out before they run together.
float hatchShows(float pixel) { return 1.0 - smoothstep(0.007, 0.016, pixel); }
