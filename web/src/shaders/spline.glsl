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

// What a row of control points starting at texel `at` comes to without its last point, and without its first: the last step
// of de Casteljau's scheme (The NURBS Book, A1.5) is left, which gives the point and the derivative. The sums run by Horner's
// scheme with the binomial weights as they come, since arrays are slow in software rendering and take registers elsewhere.
void halves(int at, int degree, float t, out vec4 a, out vec4 b) {
    float s = 1.0 - t;
    float weight = 1.0;
    a = texel(at);
    b = vec4(0.0);
    for (int i = 1; i < degree; i++) {
        vec4 c = texel(at + i);
        b = b * s + weight * c;
        weight *= t * float(degree - i) / float(i);
        a = a * s + weight * c;
    }
    b = b * s + weight * texel(at + degree);
}

Spot spline(int first, vec2 t) {
    float s = 1.0 - t.y;
    float weight = 1.0;
    // Rows without the last, and without the first: of points, and of the differences that are the derivative along u.
    vec4 low = vec4(0.0);
    vec4 low_u = vec4(0.0);
    vec4 high = vec4(0.0);
    vec4 high_u = vec4(0.0);
    for (int j = 0; j <= shape.y; j++) {
        vec4 a;
        vec4 b;
        halves(first + j * (shape.x + 1), shape.x, t.x, a, b);
        vec4 row = mix(a, b, t.x);
        vec4 row_u = b - a;
        if (j > 0) {
            high = high * s + weight * row;
            high_u = high_u * s + weight * row_u;
            weight *= t.y * float(shape.y - j) / float(j);
        }
        if (j < shape.y) {
            low = low * s + weight * row;
            low_u = low_u * s + weight * row_u;
        }
    }
    vec4 h = mix(low, high, t.y);
    vec4 hu = float(shape.x) * mix(low_u, high_u, t.y);
    vec4 hv = float(shape.y) * (high - low);
    vec3 p = h.xyz / h.w;
    return Spot(p, (hu.xyz - p * hu.w) / h.w, (hv.xyz - p * hv.w) / h.w);
}
