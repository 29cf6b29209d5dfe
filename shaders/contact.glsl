// Contact darkening: how much of the sky near a place is covered, from what is drawn. One result for every 2 x 2
// pixels.
uniform float reach;     // metres

// What is seen in a pixel: metres before the eye, and its normal as the eye sees it.
float metresAt(ivec2 pixel);
vec3 normalAt(ivec2 pixel);

// Where the first sample of a pixel lies. Of four it stands a little off the middle.
const vec2 sampleAt = SAMPLES > 1 ? vec2(0.375, 0.125) : vec2(0.5);

vec3 placeAt(ivec2 pixel, float deep) { return viewPlace((vec2(pixel) + sampleAt) / frame, deep); }

// Open sky, metres deep.
vec2 contactAt(ivec2 block) {
    ivec2 pixel = min(block * 2, ivec2(frame) - 1);
    float deep = metresAt(pixel);
    if (deep > 0.9999 * nearFar.y) return vec2(1.0, deep);
    vec3 p = placeAt(pixel, deep);
    vec3 n = normalAt(pixel);
    if (dot(n, p) > 0.0) n = -n;
    // A turn for each place of a 4 x 4 square, evened out afterwards.
    vec2 place = mod(vec2(block), 4.0);
    float turn = 6.2831853 * fract((place.x * 4.0 + place.y) * 0.61803399);
    float covered = 0.0;
    const int count = 14;
    for (int i = 0; i < count; ++i) {
        float part = (float(i) + 0.5) / float(count);
        float angle = turn + float(i) * 2.39996;
        float out1 = reach * part * (0.35 + 0.65 * part);
        vec2 there = onFrame(p + vec3(cos(angle), sin(angle), 0.0) * out1);
        if (any(lessThan(there, vec2(0.0))) || any(greaterThanEqual(there, vec2(1.0)))) continue;
        // Only where a sample lies does the depth buffer tell the exact place.
        ivec2 at = ivec2(there * frame);
        vec3 q = placeAt(at, metresAt(at)) - p;
        float far = length(q);
        float above = max(dot(q, n) / max(far, 1e-5) - 0.04, 0.0);
        covered += above * (1.0 - smoothstep(0.6 * reach, 1.6 * reach, far));
    }
    return vec2(clamp(1.0 - 1.7 * covered / float(count), 0.0, 1.0), deep);
}
