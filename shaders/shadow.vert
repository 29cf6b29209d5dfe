layout(location = 0) in vec3 place;
layout(location = 2) in vec2 amounts;

uniform mat4 toShadow;
uniform float rise;

out vec2 plan;

void main() {
    float z = place.z + riseBy(ridePlane(amounts.y), place.xy);
    vec4 p = toShadow * vec4(place.xy, z + rise, 1.0);
    gl_Position = vec4(p.xyz * 2.0 - 1.0, 1.0);
    plan = place.xy;
    clipAway(place.xy);
}
