// What moves with heights that were moved after its mesh was made: units, edging and spikes. Shared by the vertex
// stages. Each rider has the plane that its cell moved by: rise at the origin in z, gradient in x and y.
uniform int rides;  // 1: this mesh does
uniform isamplerBuffer planeOfRider;
uniform samplerBuffer ridePlanes;

vec4 ridePlane(float rider) {
    if (rides == 0) return vec4(0.0);
    int plane = texelFetch(planeOfRider, int(rider + 0.5)).x;
    return plane < 0 ? vec4(0.0) : texelFetch(ridePlanes, plane);
}
float riseBy(vec4 plane, vec2 place) { return plane.z + dot(plane.xy, place); }
