// The thin buffer: what of a surface the compute stage cannot work out itself, in 8 bytes a pixel.
//   x: normal, a byte each; course, 6 bits; kind, 2 bits
//   y: mesh, 12 bits, 0 the paper; sod, 1 bit; 12 bits: variation, or depth below the sod
layout(location = 0) in vec3 place;
layout(location = 1) in vec4 normal;
layout(location = 2) in vec2 amounts;
layout(location = 3) in uvec4 facts;

uniform mat4 toClip;
uniform float rise;
uniform int mesh;

flat out uvec2 code;
out float below;
out vec2 plan;

void main() {
    vec4 ridden = ridePlane(amounts.y);
    gl_Position = toClip * vec4(place.xy, place.z + riseBy(ridden, place.xy) + rise, 1.0);
    vec3 n = normal.xyz;
    if (rides != 0) n = normalize(vec3(n.xy - ridden.xy * n.z, n.z));
    uvec3 bytes = uvec3(ivec3(round(n * 127.0))) & 255u;
    code = uvec2(bytes.x | bytes.y << 8u | bytes.z << 16u | (facts.w & 63u) << 24u | facts.x << 30u,
                 uint(mesh) | facts.y << 12u | facts.z << 13u);
    below = amounts.x;
    plan = place.xy;
    clipAway(place.xy);
}
