// Reads the thin buffer (thin.vert) for the compute stages.
layout(local_size_x = 8, local_size_y = 8) in;

uniform usampler2D thinMap;
uniform sampler2D depthMap;
uniform vec3 eyeAt;
uniform vec3 lookRight;    // the eye's axes
uniform vec3 lookUp;
uniform vec3 lookAhead;
uniform float paperHeight; // of the sheet, where it is seen from above; else far below
uniform vec3 paperSheet;   // its middle, half its side

// Metres before the eye a ray meets the paper; far away where it does not.
float metresToPaper(vec3 ray) {
    float deep = ray.z < 0.0 ? (paperHeight - eyeAt.z) / ray.z : nearFar.y;
    vec2 off = abs(eyeAt.xy + deep * ray.xy - paperSheet.xy);
    return deep > 0.0 && max(off.x, off.y) < paperSheet.z ? min(deep, nearFar.y) : nearFar.y;
}
// From the eye through a place of the frame, one metre deep.
vec3 rayAt(vec2 pixel) {
    vec2 slant = slantAt(pixel / frame);
    return lookAhead + lookRight * slant.x + lookUp * slant.y;
}
float metresAt(ivec2 pixel) {
    float depth = texelFetch(depthMap, pixel, 0).r;
    return depth < 1.0 ? metresDeep(depth) : metresToPaper(rayAt(vec2(pixel) + 0.5));
}
// Where nothing is drawn the buffer holds anything: there it is the paper's 0.
uvec2 thinAt(ivec2 pixel) {
    return texelFetch(depthMap, pixel, 0).r < 1.0 ? texelFetch(thinMap, pixel, 0).xy : uvec2(0u);
}
vec3 normalOf(uvec2 thin) {
    return normalize(vec3(int(thin.x << 24u) >> 24, int(thin.x << 16u) >> 24, int(thin.x << 8u) >> 24));
}
int meshOf(uvec2 thin) { return int(thin.y & 4095u); }
