in vec3 local;
in vec3 inShadow;
in vec2 amount;
flat in vec3 facing;
flat in uvec4 fact;

layout(location = 0) out vec4 colour;   // root of linear: cheaper to keep than sRGB, as fine; alpha: how much contact darkening counts
layout(location = 1) out vec4 marks;    // normal, object, kind and course: for contact darkening and ink lines

uniform vec3 baseColour;   // linear
// One program for each kind, so that none carries the others' work: GRAIN and HATCH as in Coat, 20 the paper;
// CAP, FIELD (coloured by thickness) and REGION (cut along several legs) 0 or 1.
uniform int object;
uniform float fade;
uniform float tinted;
uniform float rise;

void main() {
#if REGION
    if (inRegion(local.xy)) discard;
#endif
#if GRAIN == 20
    vec4 sheetHere = paperAt(local.xy, inShadow);
    colour = vec4(sqrt(sheetHere.rgb), sheetHere.a);
    marks = vec4(0.5, 0.5, 0.0, 0.0);
#else
    vec3 n = towardEye(facing, vec3(local.xy, local.z + rise));
    Axes axes = axesOf(n);
    vec2 p = onFace(axes, local);
    float pixel = max(length(dFdx(p)), length(dFdy(p)));
    float steep = FIELD == 1 ? fwidth(amount.y) : 0.0;
    Coat coat = Coat(baseColour, GRAIN, HATCH, CAP == 1, FIELD == 1, object, fade, tinted, rise);
    vec4 here = coated(Surface(local, facing, fact, amount.x, amount.y, steep, inShadow), coat, n, axes, pixel);
    colour = vec4(sqrt(here.rgb), here.a);
    uint bits = (CAP == 1 ? 128u : 0u) | (fact.x == 2u ? 64u : 0u) | (fact.w & 63u);
    vec3 o = facing / (abs(facing.x) + abs(facing.y) + abs(facing.z));
    vec2 oct = o.z >= 0.0 ? o.xy : (1.0 - abs(o.yx)) * vec2(o.x >= 0.0 ? 1.0 : -1.0, o.y >= 0.0 ? 1.0 : -1.0);
    marks = vec4(oct * 0.5 + 0.5, float(object) / 255.0, float(bits) / 255.0);
#endif
}
