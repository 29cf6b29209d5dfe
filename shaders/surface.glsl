// How a place on a surface is painted and lit. Shared by the fragment and the compute stage, so that both give the
// same picture. SHADOW_TAPS: 1 or 9.
uniform float grainAmount;
uniform float finest;      // of a pixel, what grain and hatch may still show
uniform vec3 paper;        // linear
uniform vec3 ink;
uniform vec3 attention;
uniform vec3 toSun;
uniform vec3 eyeFrom;
uniform sampler2DShadow shadowMap;
uniform float shadowTexel;
uniform vec4 ring;         // plan place, radius, 1 when shown
uniform vec4 range;        // least and greatest of the scale, wanted least and greatest
uniform float contour;     // step of the contour lines
uniform vec3 sheet;        // of the paper: middle in plan, radius of the model

// A place on a solid.
struct Surface {
    vec3 local;     // where it lies in the solid, before it is lifted
    vec3 facing;    // its normal
    uvec4 fact;     // kind, sod, variation, course
    float below;    // the surface of the same place, metres
    float thickness, steep;  // of the layer, and how much it changes over a pixel
    vec3 inShadow;
};
// What the whole mesh has.
struct Coat {
    vec3 base;      // linear
    // 0 none, 1 soil, 2 fill, 3 fabric, 4 stone, 5 sand, 6 panel, 7 unit, 8 concrete, 9 pebble
    int grain;
    int hatch;      // as in hatch.glsl
    bool cap;
    bool field;     // coloured by thickness
    int object;
    float fade;     // toward the paper
    float tinted;   // toward attention
    float rise;
};
// The two directions of a face that its grain follows.
struct Axes {
    vec3 along, upward;
};
Axes axesOf(vec3 n) {
    if (abs(n.z) > 0.7) return Axes(vec3(1, 0, 0), vec3(0, 1, 0));
    return Axes(normalize(vec3(-n.y, n.x, 0.0)), vec3(0, 0, 1));
}
vec2 onFace(Axes axes, vec3 v) { return vec2(dot(v, axes.along), dot(v, axes.upward)); }
vec3 towardEye(vec3 facing, vec3 place) { return dot(facing, eyeFrom - place) < 0.0 ? -facing : facing; }

float sunAt(vec3 inShadow, float x, float y) {
    const float bias = 0.0009;
    return textureLod(shadowMap, vec3(inShadow.xy + vec2(x, y) * 1.8 * shadowTexel, inShadow.z - bias), 0.0);
}
// Nine taps, each over 2 x 2 texels; where the middle and the corners agree they tell it for all.
float sunlight(vec3 at) {
    float middle = sunAt(at, 0.0, 0.0);
    if (SHADOW_TAPS == 1) return middle;
    float sum = middle + sunAt(at, -1.0, -1.0) + sunAt(at, 1.0, -1.0) + sunAt(at, -1.0, 1.0) + sunAt(at, 1.0, 1.0);
    if (sum == 0.0 || sum == 5.0) return middle;
    return (sum + sunAt(at, 0.0, -1.0) + sunAt(at, -1.0, 0.0) + sunAt(at, 1.0, 0.0) + sunAt(at, 0.0, 1.0)) / 9.0;
}

Grain grainOf(int kind, vec2 p, float pixel, uint variation) {
    if (kind == 1) return soilGrain(p, pixel);
    if (kind == 2) return fillGrain(p, pixel);
    if (kind == 3) return fabricGrain(p, pixel);
    if (kind == 4) return stoneGrain(p, pixel);
    if (kind == 5) return sandGrain(p, pixel);
    if (kind == 6) return panelGrain(p, pixel);
    if (kind == 7) return unitGrain(p, pixel, float(variation) / 255.0);
    if (kind == 8) return concreteGrain(p, pixel);
    if (kind == 9) return pebbleGrain(p, pixel);
    return Grain(vec3(1.0), vec2(0.0));
}

vec3 toLinear(vec3 c) { return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(0.04045, c)); }

// Sod: a green skin over dark topsoil, seen from above and at the sides.
const vec3 sod = vec3(0.565, 0.592, 0.431);
void sodFromTheSide(vec2 p, float below, float pixel, inout vec3 base, inout Grain grain) {
    float ragged = 0.028 + 0.020 * smoothNoise(vec2(p.x / 0.018, 0.0)) + 0.008 * smoothNoise(vec2(p.x / 0.11, 4.0));
    float roots = smoothNoise(vec2(p.x / 0.006, p.y / 0.06)) * smoothstep(0.20, 0.04, below);
    float dark = smoothstep(0.26, 0.10, below + 0.05 * clouds(p / 0.1));
    grain.tint *= mix(1.0, 0.66, dark) * (1.0 + 0.35 * smoothstep(0.62, 0.8, roots));
    base = mix(base, toLinear(sod) * 0.82, 1.0 - smoothstep(ragged, ragged + 0.004 + pixel, below));
}

vec3 fieldColour(float t) {
    const vec3 shortSide = vec3(0.357, 0.165, 0.525), pale = vec3(0.937, 0.918, 0.878), over = vec3(0.055, 0.486, 0.420);
    if (t < range.z) return toLinear(mix(pale, shortSide, 0.28 + 0.72 * clamp((range.z - t) / max(range.z - range.x, 1e-6), 0.0, 1.0)));
    if (t > range.w) return toLinear(mix(pale, over, 0.28 + 0.72 * clamp((t - range.w) / max(range.y - range.w, 1e-6), 0.0, 1.0)));
    return toLinear(pale);
}

vec3 thicknessField(vec2 p, float t, float steep, float pixel) {
    vec3 c = fieldColour(t);
    float slope = max(steep, 1e-7);
    float line = 1.0 - smoothstep(0.4, 1.1, abs(fract(t / contour + 0.5) - 0.5) * contour / slope);
    if (contour < 4.0 * slope) line = 0.0;
    c = mix(c, ink, 0.45 * line);
    if (t < range.z) c = mix(c, ink, 0.38 * ruled(p.x + p.y, 0.11, max(0.004, 0.6 * pixel), 1.4 * pixel));
    return c;
}

// Linear colour; alpha: how much contact darkening counts. `n`: the face's normal toward the eye, `pixel`: how far a
// pixel reaches on it.
vec4 coated(Surface s, Coat coat, vec3 n, Axes axes, float pixel) {
    vec2 p = onFace(axes, s.local);
    float detail = finest * pixel;
    bool top = s.fact.x == 0u;
    vec3 base = coat.base;
    Grain grain;
    bool sodHere = coat.grain == 1 && s.fact.y == 1u;
    if (sodHere && top) {
        base = toLinear(sod);
        grain = grassGrain(p, detail);
    } else {
        grain = grainOf(coat.grain, p, detail, s.fact.z);
        if (sodHere) sodFromTheSide(p, s.below, pixel, base, grain);
    }
    float amountOfGrain = grainAmount * (coat.cap ? 0.6 : 1.0);
    vec3 albedo = base * mix(vec3(1.0), grain.tint, amountOfGrain);
    if (coat.cap && s.fact.z == 255u && coat.object == 230) albedo = coat.base * 0.25;
    if (coat.field && top) albedo = thicknessField(p, s.thickness, s.steep, pixel);
    vec3 bumped = normalize(n + (axes.along * grain.tilt.x + axes.upward * grain.tilt.y) * amountOfGrain * (coat.cap ? 0.25 : 0.9));
    if (coat.field && top) bumped = n;

    float lit = max(dot(bumped, toSun), 0.0) * (dot(n, toSun) > 0.0 ? sunlight(s.inShadow) : 0.0);
    vec3 sky = mix(vec3(0.30, 0.29, 0.28), vec3(0.43, 0.445, 0.47), 0.5 + 0.5 * bumped.z);
    vec3 light = sky + lit * vec3(0.90, 0.865, 0.80);
    if (coat.field && top) light = mix(light, vec3(1.0), 0.6);
    if (coat.cap) light = mix(light, vec3(1.10), 0.78);
    if (s.fact.x == 2u && coat.object > 0 && s.fact.y == 1u) light = mix(light, vec3(dot(n, toSun) > 0.0 ? 1.12 : 0.86), 0.6);
    vec3 c = albedo * light;

    if (coat.cap && coat.hatch > 0) {
        float dark = dot(base, vec3(0.2126, 0.7152, 0.0722));
        vec3 pen = dark < 0.07 ? mix(base, vec3(1.0), 0.30) : ink;
        c = mix(c, pen, (dark < 0.07 ? 0.36 : 0.42) * hatchInk(coat.hatch, p, pixel) * hatchShows(detail) * grainAmount);
    }
    c = mix(c, attention * (0.6 + 0.5 * lit), coat.tinted);
    c = mix(c, paper, coat.fade);
    if (ring.w > 0.5) {
        float d = abs(length(s.local.xy - ring.xy) - ring.z);
        c = mix(c, attention, stroke(d, max(0.012, 1.1 * pixel), pixel));
    }

    return vec4(clamp(c, 0.0, 1.0), coat.cap ? 0.45 : 1.0);
}

// The paper that the model lies on.
vec4 paperAt(vec2 plan, vec3 inShadow) {
    float nearModel = 1.0 - smoothstep(1.3, 2.2, length(plan - sheet.xy) / sheet.z);
    float shade = nearModel > 0.0 ? 1.0 - sunlight(inShadow) : 0.0;
    return vec4(paper * (1.0 - 0.26 * nearModel * shade), 0.5 * nearModel);
}
