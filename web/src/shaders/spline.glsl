// Rational Bézier patches side by side, from a texture of control points.
uniform ivec4 shape;              // degree u, v; spans u, v
uniform highp sampler2D net;      // breakpoints u, breakpoints v, then the spans' control points

struct Spot { vec3 s; vec3 su; vec3 sv; };

vec4 texel(int i) {
    return texelFetch(net, ivec2(i & (NET_WIDTH - 1), i / NET_WIDTH), 0);
}

// Index of the span that holds t among n spans whose breakpoints start at texel `base`.
int span_of(int base, int n, float t) {
    int low = 0;
    int high = n;
    while (high - low > 1) {
        int middle = (low + high) / 2;
        if (texel(base + middle).x <= t) { low = middle; } else { high = middle; }
    }
    return low;
}

// Bernstein polynomials of a degree and their derivatives (The NURBS Book, A1.3 and eq. 1.9).
void bernstein(int degree, float t, out float b[MAX_DEGREE + 1], out float d[MAX_DEGREE + 1]) {
    float r = 1.0 - t;
    b[0] = 1.0;
    d[0] = 0.0;
    for (int k = 1; k <= degree; k++) {
        if (k == degree) {
            float before = 0.0;
            for (int j = 0; j < k; j++) {
                d[j] = float(degree) * (before - b[j]);
                before = b[j];
            }
            d[k] = float(degree) * before;
        }
        float carry = 0.0;
        for (int j = 0; j < k; j++) {
            float old = b[j];
            b[j] = carry + r * old;
            carry = t * old;
        }
        b[k] = carry;
    }
}

Spot spline(int first, vec2 t) {
    float bu[MAX_DEGREE + 1];
    float du[MAX_DEGREE + 1];
    float bv[MAX_DEGREE + 1];
    float dv[MAX_DEGREE + 1];
    bernstein(shape.x, t.x, bu, du);
    bernstein(shape.y, t.y, bv, dv);
    vec4 h = vec4(0.0);
    vec4 hu = vec4(0.0);
    vec4 hv = vec4(0.0);
    int at = first;
    for (int j = 0; j <= shape.y; j++) {
        vec4 row = vec4(0.0);
        vec4 row_u = vec4(0.0);
        for (int i = 0; i <= shape.x; i++) {
            vec4 c = texel(at);
            row += bu[i] * c;
            row_u += du[i] * c;
            at++;
        }
        h += bv[j] * row;
        hu += bv[j] * row_u;
        hv += dv[j] * row;
    }
    vec3 s = h.xyz / h.w;
    return Spot(s, (hu.xyz - s * hu.w) / h.w, (hv.xyz - s * hv.w) / h.w);
}
