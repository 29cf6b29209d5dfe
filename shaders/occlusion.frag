// Contact darkening: how much of the sky near a place is covered, from the depth buffer.
layout(location = 0) out vec4 result;

uniform sampler2D marksMap;
uniform mat3 toView;     // turns directions from the model to the eye
uniform float reach;     // metres
uniform vec2 frame;      // pixels

vec3 normalAt(vec2 uv) {
    vec2 oct = texture(marksMap, uv).xy * 2.0 - 1.0;
    vec3 n = vec3(oct, 1.0 - abs(oct.x) - abs(oct.y));
    if (n.z < 0.0) n.xy = (1.0 - abs(n.yx)) * vec2(n.x >= 0.0 ? 1.0 : -1.0, n.y >= 0.0 ? 1.0 : -1.0);
    return normalize(toView * n);
}

// The middle of the sample there: only for it does the depth buffer tell the exact place.
vec2 sampleMiddle(vec2 uv) {
    vec2 size = vec2(textureSize(depthMap, 0));
    return (floor(uv * size) + 0.5) / size;
}

void main() {
    vec2 uv = sampleMiddle(gl_FragCoord.xy / frame);
    float depth = texture(depthMap, uv).r;
    if (depth >= 1.0) {
        result = vec4(1.0);
        return;
    }
    vec3 p = viewPlace(uv, depth);
    vec3 n = normalAt(uv);
    if (dot(n, p) > 0.0) n = -n;
    // A turn for each pixel of a 4 x 4 square, evened out when the picture is put together.
    vec2 place = mod(floor(gl_FragCoord.xy), 4.0);
    float turn = 6.2831853 * fract((place.x * 4.0 + place.y) * 0.61803399);
    float covered = 0.0;
    const int count = 14;
    for (int i = 0; i < count; ++i) {
        float part = (float(i) + 0.5) / float(count);
        float angle = turn + float(i) * 2.39996;
        float out1 = reach * part * (0.35 + 0.65 * part);
        vec2 there = onFrame(p + vec3(cos(angle), sin(angle), 0.0) * out1);
        if (any(lessThan(there, vec2(0.0))) || any(greaterThan(there, vec2(1.0)))) continue;
        vec2 at = sampleMiddle(there);
        vec3 q = viewPlace(at, texture(depthMap, at).r) - p;
        float far = length(q);
        float above = max(dot(q, n) / max(far, 1e-5) - 0.04, 0.0);
        covered += above * (1.0 - smoothstep(0.6 * reach, 1.6 * reach, far));
    }
    result = vec4(clamp(1.0 - 1.7 * covered / float(count), 0.0, 1.0));
}
