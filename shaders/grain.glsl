// Grain of the materials, from where a point lies in the solid. Lengths in metres.

struct Grain {
    vec3 tint;   // multiplies the colour
    vec2 tilt;   // of the normal, along the face's two directions
};

float hash1(vec2 p) {
    vec3 q = fract(vec3(p.xyx) * 0.1031);
    q += dot(q, q.yzx + 33.33);
    return fract((q.x + q.y) * q.z);
}
vec2 hash2(vec2 p) {
    vec3 q = fract(vec3(p.xyx) * vec3(0.1031, 0.1030, 0.0973));
    q += dot(q, q.yzx + 33.33);
    return fract((q.xx + q.yz) * q.zy);
}
float smoothNoise(vec2 p) {
    vec2 cell = floor(p), f = p - cell;
    f = f * f * (3.0 - 2.0 * f);
    float a = hash1(cell), b = hash1(cell + vec2(1, 0)), c = hash1(cell + vec2(0, 1)), d = hash1(cell + vec2(1, 1));
    return mix(mix(a, b, f.x), mix(c, d, f.x), f.y);
}
float clouds(vec2 p) {
    return 0.57 * smoothNoise(p) + 0.29 * smoothNoise(p * 2.03 + 17.1) + 0.14 * smoothNoise(p * 4.07 + 41.7);
}

struct Piece {
    vec2 id;      // of the piece
    vec2 from;    // from its middle
    float nearest;
    float gap;    // distance to the line between it and the next, about
};
Piece pieces(vec2 p) {
    vec2 cell = floor(p), f = p - cell;
    Piece found = Piece(cell, vec2(0.0), 8.0, 0.0);
    float second = 8.0;
    for (int y = -1; y <= 1; ++y)
        for (int x = -1; x <= 1; ++x) {
            vec2 c = vec2(x, y);
            vec2 to = f - c - (0.12 + 0.76 * hash2(cell + c));
            float d = dot(to, to);
            if (d < found.nearest) {
                second = found.nearest;
                found.nearest = d;
                found.id = cell + c;
                found.from = to;
            } else if (d < second) {
                second = d;
            }
        }
    found.nearest = sqrt(found.nearest);
    found.gap = sqrt(second) - found.nearest;
    return found;
}

// 1 while a feature of this size can be seen, 0 when it is smaller than a pixel.
float seen(float size, float pixel) { return 1.0 - smoothstep(0.3 * size, 0.8 * size, pixel); }

Grain soilGrain(vec2 p, float pixel) {
    Piece clod = pieces(p / 0.062 + 0.35 * vec2(smoothNoise(p * 31.0), smoothNoise(p * 29.0 + 7.0)));
    float show = seen(0.05, pixel);
    float shade = 0.84 + 0.3 * clouds(p / 0.31);
    shade *= mix(1.0, (0.88 + 0.24 * hash1(clod.id)) * mix(0.66, 1.0, smoothstep(0.0, 0.22, clod.gap)), show);
    shade *= mix(1.0, 0.88 + 0.24 * smoothNoise(p / 0.008), seen(0.008, pixel));
    return Grain(vec3(shade), show * (0.5 * clod.from + 0.22 * (hash2(clod.id + 3.0) - 0.5)));
}
Grain fillGrain(vec2 p, float pixel) {
    Piece bit = pieces(p / 0.024);
    float show = seen(0.022, pixel);
    float shade = 0.9 + 0.2 * clouds(p / 0.19);
    shade *= mix(1.0, (0.9 + 0.2 * hash1(bit.id)) * mix(0.82, 1.0, smoothstep(0.0, 0.25, bit.gap)), show);
    float pebble = step(0.93, hash1(bit.id + 11.0)) * smoothstep(0.5, 0.35, bit.nearest) * show;
    return Grain(mix(vec3(shade), vec3(1.28, 1.3, 1.32), 0.6 * pebble), show * 0.3 * bit.from);
}
Grain stoneGrain(vec2 p, float pixel) {
    Piece stone = pieces(p / 0.034);
    float show = seen(0.03, pixel);
    vec2 r = hash2(stone.id + 5.0);
    float shade = mix(1.0, (0.74 + 0.5 * r.x) * mix(0.5, 1.0, smoothstep(0.03, 0.16, stone.gap)), show);
    shade *= 0.94 + 0.12 * clouds(p / 0.4);
    vec3 tone = mix(vec3(1.0), mix(vec3(1.04, 1.0, 0.95), vec3(0.96, 1.0, 1.05), r.y), show);
    return Grain(shade * tone, show * 0.85 * (hash2(stone.id + 9.0) - 0.5));
}
Grain sandGrain(vec2 p, float pixel) {
    float shade = 0.95 + 0.1 * clouds(p / 0.23);
    shade *= mix(1.0, 0.86 + 0.28 * hash1(floor(p / 0.0035)), 0.7 * seen(0.0055, pixel));
    shade *= mix(1.0, 0.95 + 0.1 * smoothNoise(p / 0.012), seen(0.012, pixel));
    vec2 ripple = vec2(smoothNoise(p / 0.02), smoothNoise(p / 0.02 + 31.0)) - 0.5;
    return Grain(vec3(shade), 0.14 * seen(0.02, pixel) * ripple);
}
Grain fabricGrain(vec2 p, float pixel) {
    vec2 w = p / 0.016;
    float over = mod(floor(w.x) + floor(w.y), 2.0);
    vec2 in2 = fract(w) - 0.5;
    float thread = over > 0.5 ? abs(in2.y) : abs(in2.x);
    float show = seen(0.014, pixel);
    float shade = mix(1.0, mix(1.2, 0.72, smoothstep(0.15, 0.5, thread)) * (over > 0.5 ? 1.06 : 0.94), show);
    shade *= 0.93 + 0.14 * clouds(p / 0.6);
    return Grain(vec3(shade), show * 0.35 * (over > 0.5 ? vec2(0.0, in2.y) : vec2(in2.x, 0.0)));
}
Grain panelGrain(vec2 p, float pixel) {
    vec2 w = p / vec2(1.18, 0.59);
    w.x += 0.5 * mod(floor(w.y), 2.0);
    vec2 edge = (0.5 - abs(fract(w) - 0.5)) * vec2(1.18, 0.59);
    float joint = 1.0 - smoothstep(0.0, max(0.006, 1.2 * pixel), min(edge.x, edge.y));
    float shade = (0.97 + 0.06 * hash1(floor(w))) * (1.0 - 0.45 * joint);
    return Grain(vec3(shade), vec2(0.0));
}
Grain unitGrain(vec2 p, float pixel, float variation) {
    float shade = 0.9 + 0.2 * variation;
    shade *= 0.95 + 0.1 * clouds(p / 0.09 + 57.0 * variation);
    float pore = smoothstep(0.72, 0.9, smoothNoise(p / 0.0045)) * seen(0.0055, pixel);
    float speck = (hash1(floor(p / 0.006)) - 0.5) * seen(0.006, pixel);
    shade *= 1.0 - 0.2 * pore + 0.1 * speck;
    float warm = fract(variation * 7.31) - 0.5;
    return Grain(shade * vec3(1.0 + 0.07 * warm, 1.0, 1.0 - 0.08 * warm), vec2(0.0));
}
Grain concreteGrain(vec2 p, float pixel) {
    float shade = 0.94 + 0.12 * clouds(p * vec2(1.0 / 0.5, 1.0 / 0.21));
    Piece stone = pieces(p / 0.03);
    float speck = step(0.72, hash1(stone.id)) * smoothstep(0.42, 0.25, stone.nearest) * seen(0.022, pixel);
    return Grain(vec3(shade) * (1.0 - 0.14 * speck), vec2(0.0));
}
Grain pebbleGrain(vec2 p, float pixel) {
    Piece stone = pieces(p / 0.036);
    float show = seen(0.032, pixel);
    vec2 r = hash2(stone.id + 2.0);
    float shade = mix(0.9, (0.8 + 0.3 * r.x) * mix(0.42, 1.0, smoothstep(0.02, 0.3, stone.gap)), show);
    vec3 tone = mix(vec3(1.06, 1.0, 0.92), vec3(0.94, 1.0, 1.05), r.y);
    return Grain(shade * mix(vec3(1.0), tone, show), show * 1.25 * stone.from);
}
Grain grassGrain(vec2 p, float pixel) {
    Piece tuft = pieces(p / 0.07 + 0.5 * vec2(smoothNoise(p * 23.0), smoothNoise(p * 23.0 + 19.0)));
    float show = seen(0.05, pixel);
    float shade = 0.88 + 0.24 * clouds(p / 0.45);
    shade *= mix(1.0, 0.93 + 0.14 * hash1(tuft.id), show);
    float lean = 6.2831853 * hash1(tuft.id + 8.0);
    vec2 q = mat2(cos(lean), sin(lean), -sin(lean), cos(lean)) * p;
    float blade = 0.6 * smoothNoise(q * vec2(240.0, 42.0)) + 0.4 * smoothNoise(p * vec2(130.0, 150.0));
    shade *= mix(1.0, 0.80 + 0.40 * blade, seen(0.009, pixel));
    vec3 dry = mix(vec3(1.0), vec3(1.07, 1.02, 0.90), smoothstep(0.45, 0.8, clouds(p / 0.33 + 90.0)));
    return Grain(shade * dry, show * 0.30 * (hash2(tuft.id + 4.0) - 0.5));
}
