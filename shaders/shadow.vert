layout(location = 0) in vec3 place;

uniform mat4 toShadow;
uniform float rise;

out vec2 plan;

void main() {
    vec4 p = toShadow * vec4(place.xy, place.z + rise, 1.0);
    gl_Position = vec4(p.xyz * 2.0 - 1.0, 1.0);
    plan = place.xy;
    clipAway(place.xy);
}
