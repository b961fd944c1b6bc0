// Principal curvatures, left beside what geometry_out.glsl leaves where the picture is coloured by form.
layout(location = 2) out highp uvec2 out_bends;

uniform float skin_side;          // 1 where the skin's outward side is that of the normal left, else −1

const float UNKNOWN_BEND = 1e30;

// Takes them as positive where the surface bends towards the normal left, leaves them with convex as positive.
void leave_bends(vec2 k) {
    vec2 convex = k.x < UNKNOWN_BEND ? -skin_side * k : vec2(UNKNOWN_BEND);
    out_bends = floatBitsToUint(vec2(max(convex.x, convex.y), min(convex.x, convex.y)));
}

// From the two fundamental forms (do Carmo, Differential Geometry of Curves and Surfaces, §3.3).
vec2 principal(float e, float f, float g, float l, float m, float n) {
    float det = e * g - f * f;
    if (!(det > 1e-12 * e * g)) { return vec2(UNKNOWN_BEND); }
    float mean = (e * n - 2.0 * f * m + g * l) / (2.0 * det);
    float spread = sqrt(max(mean * mean - (l * n - m * m) / det, 0.0));
    return vec2(mean + spread, mean - spread);
}
