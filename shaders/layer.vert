layout(location = 0) in vec3 place;
layout(location = 1) in vec4 normal;
layout(location = 2) in vec2 amounts;  // depth below the surface, thickness
layout(location = 3) in uvec4 facts;   // kind, sod, variation, course

uniform mat4 toClip;
uniform mat4 toShadow;
uniform float rise;

out vec3 local;         // where it lies in the solid, before it is lifted
out vec3 inShadow;
out vec2 amount;
flat out vec3 facing;
flat out uvec4 fact;

void main() {
    vec4 lifted = vec4(place.xy, place.z + rise, 1.0);
    gl_Position = toClip * lifted;
    inShadow = (toShadow * lifted).xyz;
    local = place;
    amount = amounts;
    facing = normalize(normal.xyz);
    fact = facts;
    clipAway(place.xy);
}
