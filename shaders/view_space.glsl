// From the depth buffer back to metres before the eye.
uniform vec4 unproject;  // tangents of the half frame, shift of the frame
uniform vec2 nearFar;
uniform vec2 frame;      // pixels

float metresDeep(float depth) {
    float z = depth * 2.0 - 1.0;
    return 2.0 * nearFar.x * nearFar.y / (nearFar.y + nearFar.x - z * (nearFar.y - nearFar.x));
}
vec2 slantAt(vec2 uv) { return (uv * 2.0 - 1.0 - unproject.zw) * unproject.xy; }
vec3 viewPlace(vec2 uv, float deep) { return vec3(slantAt(uv) * deep, -deep); }
vec2 onFrame(vec3 p) { return (p.xy / (unproject.xy * -p.z) + unproject.zw) * 0.5 + 0.5; }
