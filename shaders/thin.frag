// SOD 1: keeps the depth below the surface in place of the variation, which soil has none of.
flat in uvec2 code;
in float below;
in vec2 plan;

layout(location = 0) out uvec2 thin;

void main() {
#if REGION
    if (inRegion(plan)) discard;
#endif
    thin = code;
#if SOD
    thin.y = (code.y & 8191u) | uint(clamp((below + 0.02) * 8000.0, 0.0, 4095.0) + 0.5) << 13u;
#endif
}
