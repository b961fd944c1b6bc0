// Principal curvatures at the exact point, larger first, positive where the surface bends towards the normal.

// Bernstein polynomials of a degree with first and second derivatives (The NURBS Book, A1.3 and eq. 1.9).
void bernstein_twice(int degree, float t, out float b[MAX_DEGREE + 1], out float d[MAX_DEGREE + 1], out float e[MAX_DEGREE + 1]) {
    float r = 1.0 - t;
    b[0] = 1.0;
    d[0] = 0.0;
    e[0] = 0.0;
    for (int k = 1; k <= degree; k++) {
        if (k == degree - 1) {
            // Those of degree − 2, from which the second derivatives come.
            for (int j = 0; j <= degree; j++) {
                float two = j >= 2 ? b[j - 2] : 0.0;
                float one = j >= 1 && j < degree ? b[j - 1] : 0.0;
                float none = j <= degree - 2 ? b[j] : 0.0;
                e[j] = float(degree * (degree - 1)) * (two - 2.0 * one + none);
            }
        }
        if (k == degree) {
            float before = 0.0;
            for (int j = 0; j < k; j++) {
                d[j] = float(degree) * (before - b[j]);
                before = b[j];
            }
            d[k] = float(degree) * before;
            if (degree == 1) { e[0] = 0.0; e[1] = 0.0; }
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

// Of a spline's span at its own parameters. Control points are taken relative to the point itself, so that single
// precision keeps the second derivatives' digits.
vec2 spline_bends(int first, vec2 t, vec3 s, vec3 normal) {
    float bu[MAX_DEGREE + 1];
    float du[MAX_DEGREE + 1];
    float eu[MAX_DEGREE + 1];
    float bv[MAX_DEGREE + 1];
    float dv[MAX_DEGREE + 1];
    float ev[MAX_DEGREE + 1];
    bernstein_twice(shape.x, t.x, bu, du, eu);
    bernstein_twice(shape.y, t.y, bv, dv, ev);
    vec4 h = vec4(0.0);
    vec4 hu = vec4(0.0);
    vec4 hv = vec4(0.0);
    vec3 huu = vec3(0.0);
    vec3 huv = vec3(0.0);
    vec3 hvv = vec3(0.0);
    int at = first;
    for (int j = 0; j <= shape.y; j++) {
        vec4 row = vec4(0.0);
        vec4 row_u = vec4(0.0);
        vec3 row_uu = vec3(0.0);
        for (int i = 0; i <= shape.x; i++) {
            vec4 c = texel(at);
            c.xyz -= s * c.w;
            row += bu[i] * c;
            row_u += du[i] * c;
            row_uu += eu[i] * c.xyz;
            at++;
        }
        h += bv[j] * row;
        hu += bv[j] * row_u;
        hv += dv[j] * row;
        huu += bv[j] * row_uu;
        huv += dv[j] * row_u.xyz;
        hvv += ev[j] * row.xyz;
    }
    // Relative to the point itself S = 0, so the second derivatives of the weight drop out.
    vec3 su = hu.xyz / h.w;
    vec3 sv = hv.xyz / h.w;
    vec3 suu = (huu - 2.0 * hu.w * su) / h.w;
    vec3 suv = (huv - hu.w * sv - hv.w * su) / h.w;
    vec3 svv = (hvv - 2.0 * hv.w * sv) / h.w;
    return principal(dot(su, su), dot(su, sv), dot(sv, sv), dot(suu, normal), dot(suv, normal), dot(svv, normal));
}

// Of an analytic surface, against its own normal off the axis.
vec2 round_bends(vec3 p, vec3 normal) {
    if (kind == PLANE) { return vec2(0.0); }
    float along = 0.0;
    float around;
    if (kind == CYLINDER) {
        around = -1.0 / radii.x;
    } else if (kind == SPHERE) {
        around = -1.0 / radii.x;
        along = around;
    } else {
        vec3 q = (p - centre) * axes;
        // Meusnier: the parallel's curvature as the normal sees it.
        around = -dot(q.xy, (normal * axes).xy) / max(dot(q.xy, q.xy), 1e-30);
        if (kind == TORUS) { along = -1.0 / radii.y; }
    }
    return vec2(max(around, along), min(around, along));
}
