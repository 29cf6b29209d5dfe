#include "view/grain.h"

namespace underfoot {

namespace {

using glm::vec2;
using glm::vec3;

/// Four at a time: the processor's own vectors, which both compilers write alike.
using Four = float __attribute__((vector_size(16)));
using FourWhole = int __attribute__((vector_size(16)));
Four wholes(Four x) {
    const Four cut = __builtin_convertvector(__builtin_convertvector(x, FourWhole), Four);
    return cut + __builtin_convertvector(cut > x, Four);  // true is -1
}
Four parts(Four x) {
    return x - wholes(x);
}
Four hash1(Four x, Four y) {
    Four a = parts(x * 0.1031F), b = parts(y * 0.1031F), c = a;
    const Four d = a * (b + 33.33F) + b * (c + 33.33F) + c * (a + 33.33F);
    a += d;
    b += d;
    c += d;
    return parts((a + b) * c);
}
void hash2(Four x, Four y, Four& first, Four& second) {
    Four a = parts(x * 0.1031F), b = parts(y * 0.1030F), c = parts(x * 0.0973F);
    const Four d = a * (b + 33.33F) + b * (c + 33.33F) + c * (a + 33.33F);
    a += d;
    b += d;
    c += d;
    first = parts((a + b) * c);
    second = parts((a + c) * b);
}

float hash1(vec2 p) {
    float a = part(p.x * 0.1031F), b = part(p.y * 0.1031F), c = a;
    const float d = a * (b + 33.33F) + b * (c + 33.33F) + c * (a + 33.33F);
    a += d;
    b += d;
    c += d;
    return part((a + b) * c);
}
vec2 hash2(vec2 p) {
    float a = part(p.x * 0.1031F), b = part(p.y * 0.1030F), c = part(p.x * 0.0973F);
    const float d = a * (b + 33.33F) + b * (c + 33.33F) + c * (a + 33.33F);
    a += d;
    b += d;
    c += d;
    return {part((a + b) * c), part((a + c) * b)};
}

vec2 whole2(vec2 p) {
    return {whole(p.x), whole(p.y)};
}

struct Piece {
    vec2 id{0, 0};    // of the piece
    vec2 from{0, 0};  // from its middle
    float nearest = 8;
    float gap = 0;  // distance to the line between it and the next, about
};
Piece pieces(vec2 p) {
    const vec2 cell = whole2(p), f = p - cell;
    Piece found;
    float second = 8;
    for (int y = -1; y <= 1; ++y) {
        const Four columns{-1, 0, 1, 1};
        const auto row = static_cast<float>(y);
        Four offX, offY;
        hash2(cell.x + columns, Four{} + (cell.y + row), offX, offY);
        const Four toX = f.x - columns - (0.12F + 0.76F * offX), toY = f.y - row - (0.12F + 0.76F * offY);
        const Four far = toX * toX + toY * toY;
        for (size_t x = 0; x < 3; ++x) {
            if (far[x] < found.nearest) {
                second = found.nearest;
                found.nearest = far[x];
                found.id = cell + vec2(columns[x], row);
                found.from = {toX[x], toY[x]};
            } else if (far[x] < second) {
                second = far[x];
            }
        }
    }
    found.nearest = std::sqrt(found.nearest);
    found.gap = std::sqrt(second) - found.nearest;
    return found;
}

/// 1 while a feature of this size can be seen, 0 when it is smaller than a pixel.
float seen(float size, float pixel) {
    return 1 - smoothly(0.3F * size, 0.8F * size, pixel);
}

GrainShade soilGrain(vec2 p, float pixel) {
    const float show = seen(0.05F, pixel), fine = seen(0.008F, pixel);
    GrainShade grain;
    float shade = 0.84F + 0.3F * clouds(p / 0.31F);
    if (show > 0) {
        const vec2 bent = p / 0.062F + 0.35F * vec2(smoothNoise(p * 31.0F), smoothNoise(p * 29.0F + 7.0F));
        const Piece clod = pieces(bent);
        shade *=
            mixed(1, (0.88F + 0.24F * hash1(clod.id)) * mixed(0.66F, 1, smoothly(0, 0.22F, clod.gap)), show);
        grain.tilt = show * (0.5F * clod.from + 0.22F * (hash2(clod.id + 3.0F) - 0.5F));
    }
    if (fine > 0) shade *= mixed(1, 0.88F + 0.24F * smoothNoise(p / 0.008F), fine);
    grain.tint = vec3(shade);
    return grain;
}

GrainShade fillGrain(vec2 p, float pixel) {
    const float show = seen(0.022F, pixel);
    const float shade = 0.9F + 0.2F * clouds(p / 0.19F);
    if (show <= 0) return {vec3(shade), {0, 0}};
    const Piece bit = pieces(p / 0.024F);
    const float bits =
        shade * mixed(1, (0.9F + 0.2F * hash1(bit.id)) * mixed(0.82F, 1, smoothly(0, 0.25F, bit.gap)), show);
    const float pebble = from(0.93F, hash1(bit.id + 11.0F)) * (1 - smoothly(0.35F, 0.5F, bit.nearest)) * show;
    return {mixed(vec3(bits), vec3(1.28F, 1.3F, 1.32F), 0.6F * pebble), show * 0.3F * bit.from};
}

GrainShade stoneGrain(vec2 p, float pixel) {
    const float show = seen(0.03F, pixel), shade = 0.94F + 0.12F * clouds(p / 0.4F);
    if (show <= 0) return {vec3(shade), {0, 0}};
    const Piece stone = pieces(p / 0.034F);
    const vec2 r = hash2(stone.id + 5.0F);
    const float one =
        mixed(1, (0.74F + 0.5F * r.x) * mixed(0.5F, 1, smoothly(0.03F, 0.16F, stone.gap)), show);
    const vec3 tone = mixed(vec3(1), mixed(vec3(1.04F, 1, 0.95F), vec3(0.96F, 1, 1.05F), r.y), show);
    return {shade * one * tone, show * 0.85F * (hash2(stone.id + 9.0F) - 0.5F)};
}

GrainShade sandGrain(vec2 p, float pixel) {
    float shade = 0.95F + 0.1F * clouds(p / 0.23F);
    const float speck = seen(0.0055F, pixel), middle = seen(0.012F, pixel), wave = seen(0.02F, pixel);
    if (speck > 0) shade *= mixed(1, 0.86F + 0.28F * hash1(whole2(p / 0.0035F)), 0.7F * speck);
    if (middle > 0) shade *= mixed(1, 0.95F + 0.1F * smoothNoise(p / 0.012F), middle);
    if (wave <= 0) return {vec3(shade), {0, 0}};
    const vec2 ripple = vec2(smoothNoise(p / 0.02F), smoothNoise(p / 0.02F + 31.0F)) - 0.5F;
    return {vec3(shade), 0.14F * wave * ripple};
}

GrainShade fabricGrain(vec2 p, float pixel) {
    const vec2 w = p / 0.016F;
    const float sum = whole(w.x) + whole(w.y);
    const bool over = sum - 2 * whole(sum / 2) > 0.5F;
    const vec2 in2{part(w.x) - 0.5F, part(w.y) - 0.5F};
    const float thread = over ? std::abs(in2.y) : std::abs(in2.x);
    const float show = seen(0.014F, pixel);
    float shade = mixed(1, mixed(1.2F, 0.72F, smoothly(0.15F, 0.5F, thread)) * (over ? 1.06F : 0.94F), show);
    shade *= 0.93F + 0.14F * clouds(p / 0.6F);
    return {vec3(shade), show * 0.35F * (over ? vec2(0, in2.y) : vec2(in2.x, 0))};
}

GrainShade panelGrain(vec2 p, float pixel) {
    vec2 w{p.x / 1.18F, p.y / 0.59F};
    const float row = whole(w.y);
    w.x += 0.5F * (row - 2 * whole(row / 2));
    const float edgeX = (0.5F - std::abs(part(w.x) - 0.5F)) * 1.18F,
                edgeY = (0.5F - std::abs(part(w.y) - 0.5F)) * 0.59F;
    const float joint = 1 - smoothly(0, std::max(0.006F, 1.2F * pixel), std::min(edgeX, edgeY));
    return {vec3((0.97F + 0.06F * hash1(whole2(w))) * (1 - 0.45F * joint)), {0, 0}};
}

GrainShade unitGrain(vec2 p, float pixel, float variation) {
    float shade = 0.9F + 0.2F * variation;
    shade *= 0.95F + 0.1F * clouds(p / 0.09F + 57.0F * variation);
    const float fine = seen(0.0055F, pixel), small = seen(0.006F, pixel);
    float pore = 0, speck = 0;
    if (fine > 0) pore = smoothly(0.72F, 0.9F, smoothNoise(p / 0.0045F)) * fine;
    if (small > 0) speck = (hash1(whole2(p / 0.006F)) - 0.5F) * small;
    shade *= 1 - 0.2F * pore + 0.1F * speck;
    const float warm = part(variation * 7.31F) - 0.5F;
    return {shade * vec3(1 + 0.07F * warm, 1, 1 - 0.08F * warm), {0, 0}};
}

GrainShade concreteGrain(vec2 p, float pixel) {
    const float shade = 0.94F + 0.12F * clouds({p.x * (1 / 0.5F), p.y * (1 / 0.21F)});
    const float show = seen(0.022F, pixel);
    if (show <= 0) return {vec3(shade), {0, 0}};
    const Piece stone = pieces(p / 0.03F);
    const float speck = from(0.72F, hash1(stone.id)) * (1 - smoothly(0.25F, 0.42F, stone.nearest)) * show;
    return {vec3(shade) * (1 - 0.14F * speck), {0, 0}};
}

GrainShade pebbleGrain(vec2 p, float pixel) {
    const float show = seen(0.032F, pixel);
    if (show <= 0) return {vec3(0.9F), {0, 0}};
    const Piece stone = pieces(p / 0.036F);
    const vec2 r = hash2(stone.id + 2.0F);
    const float shade =
        mixed(0.9F, (0.8F + 0.3F * r.x) * mixed(0.42F, 1, smoothly(0.02F, 0.3F, stone.gap)), show);
    const vec3 tone = mixed(vec3(1.06F, 1, 0.92F), vec3(0.94F, 1, 1.05F), r.y);
    return {shade * mixed(vec3(1), tone, show), show * 1.25F * stone.from};
}

// ---------------------------------------------------------------- hatches

/// Groups of three strokes, turned from group to group, with room between the groups.
float earthHatch(vec2 p, float pixel, float line) {
    constexpr float tile = 0.17F;
    const vec2 w = vec2(p.x + p.y, p.y - p.x) * 0.70711F;
    const vec2 cell = whole2(w / tile);
    const float sum = cell.x + cell.y;
    const bool turned = sum - 2 * whole(sum / 2) > 0.5F;
    const vec2 f = w - cell * tile;
    const float across = turned ? f.x : f.y, along = turned ? f.y : f.x;
    const float uneven = 0.02F * hash1(cell + 3.0F);
    const bool inside = along >= 0.022F + uneven && along <= tile - 0.022F;
    const bool three = across >= 0.035F && across <= tile - 0.035F;
    return inside && three ? ruled(across - 0.5F * tile, 0.036F, line, pixel) : 0.0F;
}
float dots(vec2 p, float step, float size, float pixel) {
    const vec2 cell = whole2(p / step);
    const vec2 middle = (cell + 0.2F + 0.6F * hash2(cell)) * step;
    return stroke(glm::length(p - middle), size, pixel);
}
float outlines(vec2 p, float size, float line, float pixel) {
    const Piece stone = pieces(p / size);
    const float inner = stone.gap * size * 0.6F;
    return from(0.25F, hash1(stone.id + 6.0F)) * stroke(std::abs(inner - 0.005F), line, pixel);
}

}  // namespace

float smoothNoise(vec2 p) {
    const vec2 cell = whole2(p);
    vec2 f = p - cell;
    f = f * f * (3.0F - 2.0F * f);
    const Four corner = hash1(cell.x + Four{0, 1, 0, 1}, cell.y + Four{0, 0, 1, 1});
    return mixed(mixed(corner[0], corner[1], f.x), mixed(corner[2], corner[3], f.x), f.y);
}
float clouds(vec2 p) {
    return 0.57F * smoothNoise(p) + 0.29F * smoothNoise(p * 2.03F + 17.1F) +
           0.14F * smoothNoise(p * 4.07F + 41.7F);
}

GrainShade grainOf(int kind, vec2 p, float pixel, float variation) {
    switch (kind) {
        case 1:
            return soilGrain(p, pixel);
        case 2:
            return fillGrain(p, pixel);
        case 3:
            return fabricGrain(p, pixel);
        case 4:
            return stoneGrain(p, pixel);
        case 5:
            return sandGrain(p, pixel);
        case 6:
            return panelGrain(p, pixel);
        case 7:
            return unitGrain(p, pixel, variation);
        case 8:
            return concreteGrain(p, pixel);
        case 9:
            return pebbleGrain(p, pixel);
        default:
            return {};
    }
}

GrainShade grassGrain(vec2 p, float pixel) {
    const float show = seen(0.05F, pixel), blades = seen(0.009F, pixel);
    GrainShade grain;
    float shade = 0.88F + 0.24F * clouds(p / 0.45F);
    if (show > 0 || blades > 0) {
        const Piece tuft =
            pieces(p / 0.07F + 0.5F * vec2(smoothNoise(p * 23.0F), smoothNoise(p * 23.0F + 19.0F)));
        shade *= mixed(1, 0.93F + 0.14F * hash1(tuft.id), show);
        grain.tilt = show * 0.30F * (hash2(tuft.id + 4.0F) - 0.5F);
        if (blades > 0) {
            const float lean = 6.2831853F * hash1(tuft.id + 8.0F), c = std::cos(lean), s = std::sin(lean);
            const vec2 q{c * p.x - s * p.y, s * p.x + c * p.y};
            const float blade = 0.6F * smoothNoise({q.x * 240.0F, q.y * 42.0F}) +
                                0.4F * smoothNoise({p.x * 130.0F, p.y * 150.0F});
            shade *= mixed(1, 0.80F + 0.40F * blade, blades);
        }
    }
    const vec3 dry =
        mixed(vec3(1), vec3(1.07F, 1.02F, 0.90F), smoothly(0.45F, 0.8F, clouds(p / 0.33F + 90.0F)));
    grain.tint = shade * dry;
    return grain;
}

float stroke(float distance, float width, float pixel) {
    return 1 - smoothly(width - 0.5F * pixel, width + 0.5F * pixel, distance);
}
float ruled(float at, float step, float width, float pixel) {
    return stroke(std::abs(part(at / step + 0.5F) - 0.5F) * step, width, pixel);
}

float hatchInk(int kind, vec2 p, float pixel) {
    const float line = std::max(0.0011F, 0.5F * pixel), slant = (p.x + p.y) * 0.70711F;
    switch (kind) {
        case 1:
            return earthHatch(p, pixel, line);
        case 2:
            return std::max(0.8F * ruled(slant, 0.075F, line, pixel), 0.7F * dots(p, 0.034F, 0.0022F, pixel));
        case 4:
            return outlines(p, 0.042F, line, pixel);
        case 5:
            return dots(p, 0.0125F, std::max(0.0014F, 0.55F * pixel), pixel);
        case 6:
            return ruled(p.x, 0.022F, line, pixel);
        case 7:
            return ruled(slant, 0.026F, line, pixel);
        case 8:
            return std::max(dots(p, 0.02F, 0.0016F, pixel), outlines(p, 0.075F, line, pixel) * 0.6F);
        case 9:
            return outlines(p, 0.036F, line, pixel);
        default:
            return 0;
    }
}
float hatchShows(float pixel) {
    return 1 - smoothly(0.007F, 0.016F, pixel);
}

}  // namespace underfoot
