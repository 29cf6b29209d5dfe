// Puts the picture together: contact darkening, ink lines where things meet, samples averaged, to sRGB.
layout(location = 0) out vec4 result;

uniform sampler2D colourMap;
uniform sampler2D marksMap;
uniform sampler2D occlusionMap;
// SAMPLES along each side of a pixel: 1 or 2.
uniform vec2 corner;         // of the frame in the target, pixels
uniform vec2 frame;          // pixels
uniform int darken;          // 1: contact darkening
uniform vec3 ink;            // linear

vec3 toScreen(vec3 c) { return mix(c * 12.92, 1.055 * pow(c, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, c)); }

float lineBetween(vec4 a, vec4 b, float depthA, float depthB) {
    int objectA = int(a.z * 255.0 + 0.5), objectB = int(b.z * 255.0 + 0.5);
    int bitsA = int(a.w * 255.0 + 0.5), bitsB = int(b.w * 255.0 + 0.5);
    bool capA = bitsA >= 128, capB = bitsB >= 128;
    if (objectA != objectB) {
        if (objectA == 0 || objectB == 0) return 0.75;
        return capA && capB ? 0.78 : (capA || capB ? 0.62 : 0.42);
    }
    if (capA != capB) return 0.55;
    if (capA && capB) return (bitsA & 63) != (bitsB & 63) ? 0.34 : 0.0;
    if ((bitsA & 64) != (bitsB & 64) && (objectA < 200)) return objectA >= 128 ? 0.0 : 0.22;
    float near = min(depthA, depthB);
    return objectA != 0 && abs(depthA - depthB) > 0.02 * near + 0.05 ? 0.3 : 0.0;
}

float openSky(ivec2 pixel, float depth) {
    float sum = 0.0, weight = 0.0;
    ivec2 size = textureSize(occlusionMap, 0);
    for (int y = -2; y < 2; ++y)
        for (int x = -2; x < 2; ++x) {
            ivec2 q = clamp(pixel + ivec2(x, y), ivec2(0), size - 1);
            float other = metresDeep(texelFetch(depthMap, q * SAMPLES, 0).r);
            float w = exp(-40.0 * abs(other - depth) / max(depth, 0.01)) + 1e-4;
            sum += w * texelFetch(occlusionMap, q, 0).r;
            weight += w;
        }
    return sum / weight;
}

// A block of samples with its rim: those of one pixel and their neighbours.
const int SIDE = SAMPLES + 2;
vec4 marks[SIDE * SIDE];
float depths[SIDE * SIDE];

void fetchBlock(ivec2 first, ivec2 size) {
    for (int y = 0; y < SIDE; ++y)
        for (int x = 0; x < SIDE; ++x) {
            ivec2 q = clamp(first + ivec2(x - 1, y - 1), ivec2(0), size - 1);
            marks[y * SIDE + x] = texelFetch(marksMap, q, 0);
            depths[y * SIDE + x] = metresDeep(texelFetch(depthMap, q, 0).r);
        }
}
float line(int a, int b) { return lineBetween(marks[a], marks[b], depths[a], depths[b]); }

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy - corner);
    ivec2 size = textureSize(colourMap, 0);
    ivec2 first = pixel * SAMPLES;
    fetchBlock(first, size);
    float sky = darken == 1 ? openSky(pixel, depths[SIDE + 1]) : 1.0;
    vec3 sum = vec3(0.0);
    for (int y = 0; y < SAMPLES; ++y)
        for (int x = 0; x < SAMPLES; ++x) {
            vec4 c = texelFetch(colourMap, first + ivec2(x, y), 0);
            vec3 seen = c.rgb * mix(1.0, sky, c.a);
            int mine = (y + 1) * SIDE + x + 1;
            // With one sample a line would be two pixels wide if both sides of it drew it.
            float inked = max(line(mine, mine + 1), line(mine, mine - SIDE));
            if (SAMPLES > 1) inked = max(inked, max(line(mine, mine - 1), line(mine, mine + SIDE)));
            sum += mix(seen, ink, inked);
        }
    result = vec4(toScreen(clamp(sum / float(SAMPLES * SAMPLES), 0.0, 1.0)), 1.0);
}
