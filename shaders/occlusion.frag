layout(location = 0) out vec2 result;

void main() { result = contactAt(ivec2(gl_FragCoord.xy)); }
