layout(location = 0) in vec3 place;
layout(location = 1) in vec4 normal;
layout(location = 2) in vec2 amounts;  // depth below the surface, thickness (or rider)
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
    vec4 ridden = ridePlane(amounts.y);
    local = vec3(place.xy, place.z + riseBy(ridden, place.xy));
    vec4 lifted = vec4(local.xy, local.z + rise, 1.0);
    gl_Position = toClip * lifted;
    inShadow = (toShadow * lifted).xyz;
    amount = amounts;
    facing = normalize(vec3(normal.xy - ridden.xy * normal.z, normal.z));
    fact = facts;
    clipAway(place.xy);
}
