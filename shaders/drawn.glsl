// What the fragment stage has drawn, for the passes over the whole frame. SAMPLES of a pixel: 1 or 4.
#if SAMPLES > 1
#define Drawn sampler2DMS
#else
#define Drawn sampler2D
#endif
uniform Drawn depthMap;
uniform Drawn marksMap;
uniform mat3 toView;     // turns directions from the model to the eye

float metresAt(ivec2 pixel) { return metresDeep(texelFetch(depthMap, pixel, 0).r); }
vec3 normalAt(ivec2 pixel) {
    vec2 oct = texelFetch(marksMap, pixel, 0).xy * 2.0 - 1.0;
    vec3 n = vec3(oct, 1.0 - abs(oct.x) - abs(oct.y));
    if (n.z < 0.0) n.xy = (1.0 - abs(n.yx)) * vec2(n.x >= 0.0 ? 1.0 : -1.0, n.y >= 0.0 ? 1.0 : -1.0);
    return normalize(toView * n);
}
