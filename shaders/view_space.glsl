// From the depth buffer back to metres before the eye. SAMPLES of a pixel: 1 or 4.
#if SAMPLES > 1
#define Drawn sampler2DMS
#else
#define Drawn sampler2D
#endif
uniform Drawn depthMap;
uniform Drawn marksMap;
uniform vec4 unproject;  // tangents of the half frame, shift of the frame
uniform vec2 nearFar;
uniform vec2 frame;      // pixels

float metresDeep(float depth) {
    float z = depth * 2.0 - 1.0;
    return 2.0 * nearFar.x * nearFar.y / (nearFar.y + nearFar.x - z * (nearFar.y - nearFar.x));
}
vec3 viewPlace(vec2 uv, float depth) {
    float d = metresDeep(depth);
    return vec3((uv * 2.0 - 1.0 - unproject.zw) * unproject.xy * d, -d);
}
vec2 onFrame(vec3 p) { return (p.xy / (unproject.xy * -p.z) + unproject.zw) * 0.5 + 0.5; }
