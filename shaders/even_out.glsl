// Takes the 4 x 4 pattern out of the contact darkening, not across edges in depth.
uniform sampler2D occlusionMap;

// Open sky, metres deep.
vec2 evenedAt(ivec2 pixel) {
    ivec2 last = textureSize(occlusionMap, 0) - 1;
    float depth = texelFetch(occlusionMap, pixel, 0).y;
    float steep = -40.0 / max(depth, 0.01), sum = 0.0, weight = 0.0;
    for (int y = -2; y < 2; ++y)
        for (int x = -2; x < 2; ++x) {
            vec2 other = texelFetch(occlusionMap, clamp(pixel + ivec2(x, y), ivec2(0), last), 0).xy;
            float w = exp(steep * abs(other.y - depth)) + 1e-4;
            sum += w * other.x;
            weight += w;
        }
    return vec2(sum / weight, depth);
}
