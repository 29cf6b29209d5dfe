uniform writeonly image2D result;
uniform mat3 toView;

vec3 normalAt(ivec2 pixel) {
    uvec2 thin = thinAt(pixel);
    return toView * (meshOf(thin) == 0 ? vec3(0, 0, 1) : normalOf(thin));
}

void main() {
    ivec2 at = ivec2(gl_GlobalInvocationID.xy);
    if (any(greaterThanEqual(at, imageSize(result)))) return;
    imageStore(result, at, vec4(contactAt(at), 0.0, 0.0));
}
