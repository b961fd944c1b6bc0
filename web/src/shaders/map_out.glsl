// A value sampled over the face, left beside what geometry_out.glsl leaves, where curvatures would stand.
layout(location = 2) out highp uvec2 out_bends;

uniform highp sampler2D map_values; // on an even grid, row by row along u
uniform vec4 map_over;              // the grid's start and its rate, in the vertices' own (u, v)

const float UNKNOWN_VALUE = 1e30;

// Straight between the grid's values; unknown beside one that is. A texture of one texel: no values.
float mapped(vec2 uv) {
    ivec2 size = textureSize(map_values, 0);
    if (size.x < 2 || size.y < 2) { return UNKNOWN_VALUE; }
    vec2 at = clamp((uv - map_over.xy) * map_over.zw, 0.0, 1.0) * vec2(size - 1);
    ivec2 cell = min(ivec2(at), size - 2);
    vec2 t = at - vec2(cell);
    float a = texelFetch(map_values, cell, 0).x;
    float b = texelFetch(map_values, cell + ivec2(1, 0), 0).x;
    float c = texelFetch(map_values, cell + ivec2(0, 1), 0).x;
    float d = texelFetch(map_values, cell + ivec2(1, 1), 0).x;
    if (max(max(a, b), max(c, d)) >= UNKNOWN_VALUE) { return UNKNOWN_VALUE; }
    return mix(mix(a, b, t.x), mix(c, d, t.x), t.y);
}

void leave_mapped(vec2 uv) {
    out_bends = floatBitsToUint(vec2(mapped(uv)));
}
