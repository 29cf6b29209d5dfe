// Lays units that are far away into what the thin buffer has of their joints: looks up for each pixel which one lies
// there.
uniform writeonly uimage2D result;  // the thin buffer itself
uniform int joints;                 // meshes
uniform int units;
uniform vec2 low;                   // as view/unit_field.h
uniform float square;
uniform ivec2 squares;

layout(std430, binding = 1) readonly buffer Starts { uint starts[]; };
layout(std430, binding = 2) readonly buffer Entries { uint entries[]; };  // unit, first corner, corners and variation
layout(std430, binding = 3) readonly buffer Corners { vec2 corners[]; };

bool inOutline(uint first, uint count, vec2 p) {
    bool inside = false;
    vec2 b = corners[first + count - 1u];
    for (uint i = 0u; i < count; ++i) {
        vec2 a = corners[first + i];
        if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) inside = !inside;
        b = a;
    }
    return inside;
}

void main() {
    ivec2 pixel = ivec2(gl_GlobalInvocationID.xy);
    if (any(greaterThanEqual(pixel, ivec2(frame)))) return;
    uvec2 thin = thinAt(pixel);
    if (meshOf(thin) != joints) return;
    vec2 place = (eyeAt + rayAt(vec2(pixel) + 0.5) * metresAt(pixel)).xy;
    ivec2 at = ivec2(floor((place - low) / square));
    if (any(lessThan(at, ivec2(0))) || any(greaterThanEqual(at, squares))) return;
    int here = at.y * squares.x + at.x;
    for (uint e = starts[here]; e < starts[here + 1]; ++e) {
        uint unit = entries[3u * e], outline = entries[3u * e + 2u];
        if (!inOutline(entries[3u * e + 1u], outline & 0xFFFFFFu, place)) continue;
        thin.x = (thin.x & 0xFFFFFFu) | (unit & 63u) << 24u;
        thin.y = uint(units) | (outline >> 24u) << 13u;
        imageStore(result, pixel, uvec4(thin, 0u, 0u));
        return;
    }
}
