// What is taken away. Shared by the vertex stages.
uniform vec4 straightCut;  // plan normal, its offset, 1 when it counts: kept where dot(p, n) <= offset
uniform vec3 peel;         // plan direction and limit: kept where dot(p, d) <= limit

void clipAway(vec2 plan) {
    gl_ClipDistance[0] = straightCut.w > 0.5 ? straightCut.z - dot(plan, straightCut.xy) : 1.0;
    gl_ClipDistance[1] = peel.z - dot(plan, peel.xy);
}
