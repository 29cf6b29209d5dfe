in vec3 local;
in vec3 inShadow;
in vec2 amount;
flat in vec3 facing;
flat in uvec4 fact;

layout(location = 0) out vec4 colour;   // root of linear: cheaper to keep than sRGB, as fine; alpha: how much contact darkening counts
layout(location = 1) out vec4 marks;    // normal, object, kind and course: for contact darkening and ink lines

uniform vec3 baseColour;   // linear
// One program for each kind, so that none carries the others' work:
// GRAIN 0 none, 1 soil, 2 fill, 3 fabric, 4 stone, 5 sand, 6 panel, 7 unit, 8 concrete, 9 pebble, 20 paper;
// HATCH as in hatch.glsl; CAP, FIELD (coloured by thickness) and REGION (cut along several legs) 0 or 1;
// SHADOW_TAPS 1 or 9.
const int grainKind = GRAIN;
const int hatchKind = HATCH;
uniform int object;
uniform float grainAmount;
uniform float finest;      // of a pixel, what grain and hatch may still show
uniform vec3 paper;        // linear
uniform vec3 ink;
uniform vec3 attention;
uniform float fade;        // toward the paper
uniform float tinted;      // toward attention
uniform vec3 toSun;
uniform vec3 eyeFrom;
uniform sampler2DShadow shadowMap;
uniform float shadowTexel;
uniform vec4 ring;         // plan place, radius, 1 when shown
const int field = FIELD;
uniform vec4 range;        // least and greatest of the scale, wanted least and greatest
uniform float contour;     // step of the contour lines
uniform float rise;
uniform vec3 sheet;        // of the paper: middle in plan, radius of the model

float sunAt(float x, float y) {
    const float bias = 0.0009;
    return textureLod(shadowMap, vec3(inShadow.xy + vec2(x, y) * 1.8 * shadowTexel, inShadow.z - bias), 0.0);
}
// Nine taps, each over 2 x 2 texels; where the middle and the corners agree they tell it for all.
float sunlight() {
    float middle = sunAt(0.0, 0.0);
    if (SHADOW_TAPS == 1) return middle;
    float sum = middle + sunAt(-1.0, -1.0) + sunAt(1.0, -1.0) + sunAt(-1.0, 1.0) + sunAt(1.0, 1.0);
    if (sum == 0.0 || sum == 5.0) return middle;
    return (sum + sunAt(0.0, -1.0) + sunAt(-1.0, 0.0) + sunAt(1.0, 0.0) + sunAt(0.0, 1.0)) / 9.0;
}

Grain grainOf(int kind, vec2 p, float pixel) {
    if (kind == 1) return soilGrain(p, pixel);
    if (kind == 2) return fillGrain(p, pixel);
    if (kind == 3) return fabricGrain(p, pixel);
    if (kind == 4) return stoneGrain(p, pixel);
    if (kind == 5) return sandGrain(p, pixel);
    if (kind == 6) return panelGrain(p, pixel);
    if (kind == 7) return unitGrain(p, pixel, float(fact.z) / 255.0);
    if (kind == 8) return concreteGrain(p, pixel);
    if (kind == 9) return pebbleGrain(p, pixel);
    return Grain(vec3(1.0), vec2(0.0));
}

vec3 toLinear(vec3 c) { return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(0.04045, c)); }

// Sod: a green skin over dark topsoil, seen from above and at the sides.
const vec3 sod = vec3(0.565, 0.592, 0.431);
void sodFromTheSide(vec2 p, float pixel, inout vec3 base, inout Grain grain) {
    float ragged = 0.028 + 0.020 * smoothNoise(vec2(p.x / 0.018, 0.0)) + 0.008 * smoothNoise(vec2(p.x / 0.11, 4.0));
    float roots = smoothNoise(vec2(p.x / 0.006, p.y / 0.06)) * smoothstep(0.20, 0.04, amount.x);
    float dark = smoothstep(0.26, 0.10, amount.x + 0.05 * clouds(p / 0.1));
    grain.tint *= mix(1.0, 0.66, dark) * (1.0 + 0.35 * smoothstep(0.62, 0.8, roots));
    base = mix(base, toLinear(sod) * 0.82, 1.0 - smoothstep(ragged, ragged + 0.004 + pixel, amount.x));
}

vec3 fieldColour(float t) {
    const vec3 shortSide = vec3(0.357, 0.165, 0.525), pale = vec3(0.937, 0.918, 0.878), over = vec3(0.055, 0.486, 0.420);
    if (t < range.z) return toLinear(mix(pale, shortSide, 0.28 + 0.72 * clamp((range.z - t) / max(range.z - range.x, 1e-6), 0.0, 1.0)));
    if (t > range.w) return toLinear(mix(pale, over, 0.28 + 0.72 * clamp((t - range.w) / max(range.y - range.w, 1e-6), 0.0, 1.0)));
    return toLinear(pale);
}

vec3 thicknessField(vec2 p, float pixel) {
    float t = amount.y;
    vec3 c = fieldColour(t);
    float slope = max(fwidth(t), 1e-7);
    float line = 1.0 - smoothstep(0.4, 1.1, abs(fract(t / contour + 0.5) - 0.5) * contour / slope);
    if (contour < 4.0 * slope) line = 0.0;
    c = mix(c, ink, 0.45 * line);
    if (t < range.z) c = mix(c, ink, 0.38 * ruled(p.x + p.y, 0.11, max(0.004, 0.6 * pixel), 1.4 * pixel));
    return c;
}

void main() {
#if REGION
    if (inRegion(local.xy)) discard;
#endif
    bool top = fact.x == 0u, cap = CAP == 1;
    vec3 n = facing;
    if (dot(n, eyeFrom - vec3(local.xy, local.z + rise)) < 0.0) n = -n;

    vec3 along = abs(n.z) > 0.7 ? vec3(1, 0, 0) : normalize(vec3(-n.y, n.x, 0.0));
    vec3 upward = abs(n.z) > 0.7 ? vec3(0, 1, 0) : vec3(0, 0, 1);
    vec2 p = vec2(dot(local, along), dot(local, upward));
    vec2 dx = dFdx(p), dy = dFdy(p);
    float pixel = max(length(dx), length(dy)), detail = finest * pixel;

    if (grainKind == 20) {
        float nearModel = 1.0 - smoothstep(1.3, 2.2, length(local.xy - sheet.xy) / sheet.z);
        float shade = nearModel > 0.0 ? 1.0 - sunlight() : 0.0;
        colour = vec4(sqrt(paper * (1.0 - 0.26 * nearModel * shade)), 0.5 * nearModel);
        marks = vec4(0.5, 0.5, 0.0, 0.0);
        return;
    }

    vec3 base = baseColour;
    Grain grain;
    bool sodHere = grainKind == 1 && fact.y == 1u;
    if (sodHere && top) {
        base = toLinear(sod);
        grain = grassGrain(p, detail);
    } else {
        grain = grainOf(grainKind, p, detail);
        if (sodHere) sodFromTheSide(p, pixel, base, grain);
    }
    float amountOfGrain = grainAmount * (cap ? 0.6 : 1.0);
    vec3 albedo = base * mix(vec3(1.0), grain.tint, amountOfGrain);
    if (cap && fact.z == 255u && object == 230) albedo = baseColour * 0.25;
    if (field == 1 && top) albedo = thicknessField(p, pixel);
    vec3 bumped = normalize(n + (along * grain.tilt.x + upward * grain.tilt.y) * amountOfGrain * (cap ? 0.25 : 0.9));
    if (field == 1 && top) bumped = n;

    float lit = max(dot(bumped, toSun), 0.0) * (dot(n, toSun) > 0.0 ? sunlight() : 0.0);
    vec3 sky = mix(vec3(0.30, 0.29, 0.28), vec3(0.43, 0.445, 0.47), 0.5 + 0.5 * bumped.z);
    vec3 light = sky + lit * vec3(0.90, 0.865, 0.80);
    if (field == 1 && top) light = mix(light, vec3(1.0), 0.6);
    if (cap) light = mix(light, vec3(1.10), 0.78);
    if (fact.x == 2u && object > 0 && fact.y == 1u) light = mix(light, vec3(dot(n, toSun) > 0.0 ? 1.12 : 0.86), 0.6);
    vec3 c = albedo * light;

    if (cap && hatchKind > 0) {
        float dark = dot(base, vec3(0.2126, 0.7152, 0.0722));
        vec3 pen = dark < 0.07 ? mix(base, vec3(1.0), 0.30) : ink;
        c = mix(c, pen, (dark < 0.07 ? 0.36 : 0.42) * hatchInk(hatchKind, p, pixel) * hatchShows(detail) * grainAmount);
    }
    c = mix(c, attention * (0.6 + 0.5 * lit), tinted);
    c = mix(c, paper, fade);
    if (ring.w > 0.5) {
        float d = abs(length(local.xy - ring.xy) - ring.z);
        c = mix(c, attention, stroke(d, max(0.012, 1.1 * pixel), pixel));
    }

    colour = vec4(sqrt(clamp(c, 0.0, 1.0)), cap ? 0.45 : 1.0);
    uint bits = (cap ? 128u : 0u) | (fact.x == 2u ? 64u : 0u) | (fact.w & 63u);
    vec3 o = facing / (abs(facing.x) + abs(facing.y) + abs(facing.z));
    vec2 oct = o.z >= 0.0 ? o.xy : (1.0 - abs(o.yx)) * vec2(o.x >= 0.0 ? 1.0 : -1.0, o.y >= 0.0 ? 1.0 : -1.0);
    marks = vec4(oct * 0.5 + 0.5, float(object) / 255.0, float(bits) / 255.0);
}
