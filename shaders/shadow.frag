in vec2 plan;

void main() {
#if REGION
    if (inRegion(plan)) discard;
#endif
}
