// The region taken away by a cut of several legs. Shared by the fragment stages.
uniform samplerBuffer region;
uniform int regionCorners;  // 0: nothing

bool inRegion(vec2 p) {
    bool inside = false;
    vec2 b = regionCorners > 0 ? texelFetch(region, regionCorners - 1).xy : vec2(0.0);
    for (int i = 0; i < regionCorners; ++i) {
        vec2 a = texelFetch(region, i).xy;
        if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) inside = !inside;
        b = a;
    }
    return inside;
}
