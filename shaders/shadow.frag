in vec2 plan;

void main() {
    if (regionCorners > 0 && inRegion(plan)) discard;
}
