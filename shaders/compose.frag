// Puts the picture together: contact darkening, ink lines where things meet, samples averaged, to sRGB.
layout(location = 0) out vec4 result;

uniform Drawn colourMap;
uniform vec2 corner;         // of the frame in the target, pixels
uniform vec3 ink;            // linear

ivec2 pixel, last;

// Object and bits.
ivec2 markAt(int x, int y, int which) {
    return ivec2(texelFetch(marksMap, clamp(pixel + ivec2(x, y), ivec2(0), last), which).zw * 255.0 + 0.5);
}
float depthAt(int x, int y, int which) {
    return metresDeep(texelFetch(depthMap, clamp(pixel + ivec2(x, y), ivec2(0), last), which).r);
}

#if SAMPLES > 1
// The four samples of a pixel stand at (3, 1), (7, 3), (1, 5) and (5, 7) eighths. Each is held against the five
// nearest ones, about half a pixel off: a line is a pixel wide, and smooth.
vec4 inkOfSamples() {
    ivec2 m0 = markAt(0, 0, 0), m1 = markAt(0, 0, 1), m2 = markAt(0, 0, 2), m3 = markAt(0, 0, 3);
    ivec2 left1 = markAt(-1, 0, 1), left3 = markAt(-1, 0, 3), right0 = markAt(1, 0, 0), right2 = markAt(1, 0, 2);
    ivec2 low2 = markAt(0, -1, 2), low3 = markAt(0, -1, 3), high0 = markAt(0, 1, 0), high1 = markAt(0, 1, 1);
    float i01 = between(m0, m1), i02 = between(m0, m2), i13 = between(m1, m3), i23 = between(m2, m3);
    vec4 inked = vec4(max(max(i01, i02), max(between(m0, left1), max(between(m0, low3), between(m0, low2)))),
                      max(max(i01, i13), max(between(m1, low3), max(between(m1, right0), between(m1, right2)))),
                      max(max(i02, i23), max(between(m2, high0), max(between(m2, left1), between(m2, left3)))),
                      max(max(i13, i23), max(between(m3, right2), max(between(m3, high0), between(m3, high1)))));
    if (!(mayStandBefore(m0) || mayStandBefore(m1) || mayStandBefore(m2) || mayStandBefore(m3))) return inked;
    float d0 = depthAt(0, 0, 0), left = depthAt(-1, 0, 0), right = depthAt(1, 0, 0), low = depthAt(0, -1, 0),
          high = depthAt(0, 1, 0);
    if (!(apart(d0, left) || apart(d0, right) || apart(d0, low) || apart(d0, high))) return inked;
    float d1 = depthAt(0, 0, 1), d2 = depthAt(0, 0, 2), d3 = depthAt(0, 0, 3);
    float left1d = depthAt(-1, 0, 1), right2d = depthAt(1, 0, 2), low3d = depthAt(0, -1, 3);
    i01 = inDepth(m0, m1, d0, d1), i02 = inDepth(m0, m2, d0, d2);
    i13 = inDepth(m1, m3, d1, d3), i23 = inDepth(m2, m3, d2, d3);
    inked.x = max(inked.x, max(max(i01, i02), max(inDepth(m0, left1, d0, left1d), inDepth(m0, low3, d0, low3d))));
    inked.y = max(inked.y, max(max(i01, i13), max(inDepth(m1, right2, d1, right2d), inDepth(m1, low3, d1, low3d))));
    inked.z = max(inked.z, max(max(i02, i23), max(inDepth(m2, left1, d2, left1d), inDepth(m2, high0, d2, high))));
    inked.w = max(inked.w, max(max(i13, i23), max(inDepth(m3, right2, d3, right2d), inDepth(m3, high0, d3, high))));
    return inked;
}
#endif

void main() {
    pixel = ivec2(gl_FragCoord.xy - corner);
    last = ivec2(frame) - 1;
    float sky = darken == 1 ? openSky(pixel, depthAt(0, 0, 0)) : 1.0;
#if SAMPLES > 1
    vec4 inked = inkOfSamples();
    vec3 sum = vec3(0.0);
    for (int i = 0; i < SAMPLES; ++i) {
        vec4 c = texelFetch(colourMap, pixel, i);
        sum += mix(c.rgb * c.rgb * mix(1.0, sky, c.a), ink, inked[i]);
    }
    sum /= float(SAMPLES);
#else
    vec4 c = texelFetch(colourMap, pixel, 0);
    vec3 sum = mix(c.rgb * c.rgb * mix(1.0, sky, c.a), ink, inkOfPixel());
#endif
    result = vec4(toScreen(clamp(sum, 0.0, 1.0)), 1.0);
}
