// Putting the picture together: ink lines where things meet, the share of open sky, to sRGB.
uniform sampler2D occlusionMap;  // of every 2 x 2 pixels: open sky, metres deep
uniform int darken;              // 1: contact darkening

// Of a pixel near the one at work, and which of its samples: object and bits; metres deep.
ivec2 markAt(int x, int y, int which);
float depthAt(int x, int y, int which);

vec3 toScreen(vec3 c) { return mix(c * 12.92, 1.055 * pow(c, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, c)); }

// Things are told apart by object, and bits: 128 a face of a cut, 64 a side, below that the course.
bool apart(float a, float b) { return abs(a - b) > 0.02 * min(a, b) + 0.05; }

float between(ivec2 a, ivec2 b) {
    if (a == b) return 0.0;
    bool capA = a.y >= 128, capB = b.y >= 128;
    if (a.x != b.x) {
        if (a.x == 0 || b.x == 0) return 0.75;
        return capA && capB ? 0.78 : (capA || capB ? 0.62 : 0.42);
    }
    if (capA != capB) return 0.55;
    if (capA && capB) return (a.y & 63) != (b.y & 63) ? 0.34 : 0.0;
    if ((a.y & 64) != (b.y & 64)) return a.x < 128 ? 0.22 : 0.0;
    // Between units: their joints are often narrower than a pixel.
    return a.x >= 128 && a.x < 200 && (a.y & 63) != (b.y & 63) ? 0.13 : 0.0;
}
// One thing before itself.
bool mayStandBefore(ivec2 a) { return a.x != 0 && a.y < 128; }
float inDepth(ivec2 a, ivec2 b, float depthA, float depthB) {
    bool one = a.x == b.x && b.y < 128 && ((a.y & 64) == (b.y & 64) || a.x >= 200);
    return one && mayStandBefore(a) && apart(depthA, depthB) ? 0.3 : 0.0;
}

float openSky(ivec2 pixel, float depth) {
    vec2 at = (vec2(pixel) + 0.5) * 0.5 - 0.25;  // a result stands for the first of its 2 x 2 pixels
    ivec2 base = ivec2(floor(at)), most = textureSize(occlusionMap, 0) - 1;
    vec2 part = at - vec2(base);
    float steep = -40.0 / max(depth, 0.01), sum = 0.0, weight = 0.0;
    for (int y = 0; y < 2; ++y)
        for (int x = 0; x < 2; ++x) {
            vec2 seen = texelFetch(occlusionMap, clamp(base + ivec2(x, y), ivec2(0), most), 0).xy;
            float share = (x == 1 ? part.x : 1.0 - part.x) * (y == 1 ? part.y : 1.0 - part.y);
            float w = (share + 0.01) * (exp(steep * abs(seen.y - depth)) + 1e-4);
            sum += w * seen.x;
            weight += w;
        }
    return sum / weight;
}

// A line would be two pixels wide if both sides of it drew it.
float inkOfPixel() {
    ivec2 mine = markAt(0, 0, 0), right = markAt(1, 0, 0), low = markAt(0, -1, 0);
    float inked = max(between(mine, right), between(mine, low));
    if (!mayStandBefore(mine)) return inked;
    float depth = depthAt(0, 0, 0);
    return max(inked, max(inDepth(mine, right, depth, depthAt(1, 0, 0)), inDepth(mine, low, depth, depthAt(0, -1, 0))));
}
