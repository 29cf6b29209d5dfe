// Paints and lights what the thin buffer holds and puts the picture together.
uniform writeonly image2D result;
uniform ivec2 corner;      // of the frame in the target, pixels
uniform mat4 toShadow;

struct Mesh {
    vec4 baseRise;         // colour, linear; rise
    ivec4 coat;            // grain, hatch, cap, object
    vec4 fadeTinted;
};
layout(std430, binding = 0) readonly buffer Meshes { Mesh meshes[]; };

ivec2 pixel, last;

ivec2 markOf(uvec2 thin) {
    int mesh = meshOf(thin);
    if (mesh == 0) return ivec2(0);
    ivec4 coat = meshes[mesh].coat;
    return ivec2(coat.w, (coat.z != 0 ? 128 : 0) | (thin.x >> 30u == 2u ? 64 : 0) | int(thin.x >> 24u & 63u));
}
ivec2 markAt(int x, int y, int which) { return markOf(thinAt(clamp(pixel + ivec2(x, y), ivec2(0), last))); }
float depthAt(int x, int y, int which) { return metresAt(clamp(pixel + ivec2(x, y), ivec2(0), last)); }

// How far a pixel reaches on a flat face: as the neighbours' rays meet it.
float reachOf(vec3 n, Axes axes, vec3 ray, float deep) {
    vec3 right = rayAt(vec2(pixel) + vec2(1.5, 0.5)), up = rayAt(vec2(pixel) + vec2(0.5, 1.5));
    float off = deep * dot(ray, n);
    float least = 1e-4 * abs(dot(ray, n)) + 1e-9;
    vec3 toRight = right * (off / min(dot(right, n), -least)) - ray * deep;
    vec3 toUp = up * (off / min(dot(up, n), -least)) - ray * deep;
    return max(length(onFace(axes, toRight)), length(onFace(axes, toUp)));
}

vec4 meshAt(uvec2 thin, vec3 ray, float deep) {
    Mesh mesh = meshes[meshOf(thin)];
    vec3 place = eyeAt + ray * deep, facing = normalOf(thin);
    vec3 n = towardEye(facing, place);
    Axes axes = axesOf(n);
    uint sod = thin.y >> 12u & 1u, aux = thin.y >> 13u & 4095u;
    Surface here = Surface(place - vec3(0.0, 0.0, mesh.baseRise.w), facing,
                           uvec4(thin.x >> 30u, sod, aux & 255u, thin.x >> 24u & 63u),
                           float(aux) / 8000.0 - 0.02, 0.0, 0.0, (toShadow * vec4(place, 1.0)).xyz);
    Coat coat = Coat(mesh.baseRise.rgb, mesh.coat.x, mesh.coat.y, mesh.coat.z != 0, false, mesh.coat.w,
                     mesh.fadeTinted.x, mesh.fadeTinted.y, mesh.baseRise.w);
    return coated(here, coat, n, axes, reachOf(n, axes, ray, deep));
}

void main() {
    pixel = ivec2(gl_GlobalInvocationID.xy);
    last = ivec2(frame) - 1;
    if (any(greaterThan(pixel, last))) return;
    uvec2 thin = thinAt(pixel);
    vec3 ray = rayAt(vec2(pixel) + 0.5);
    float deep = metresAt(pixel);
    vec4 c = vec4(paper, 0.0);
    if (meshOf(thin) != 0) {
        c = meshAt(thin, ray, deep);
    } else if (deep < nearFar.y) {
        vec3 place = eyeAt + ray * deep;
        c = paperAt(place.xy, (toShadow * vec4(place, 1.0)).xyz);
    }
    float sky = darken == 1 ? openSky(pixel, deep) : 1.0;
    vec3 whole = mix(c.rgb * mix(1.0, sky, c.a), ink, inkOfPixel());
    imageStore(result, corner + pixel, vec4(toScreen(clamp(whole, 0.0, 1.0)), 1.0));
}
