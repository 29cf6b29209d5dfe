layout(local_size_x = 8, local_size_y = 8) in;
uniform writeonly image2D result;

void main() {
    ivec2 at = ivec2(gl_GlobalInvocationID.xy);
    if (any(greaterThanEqual(at, imageSize(result)))) return;
    imageStore(result, at, vec4(evenedAt(at), 0.0, 0.0));
}
