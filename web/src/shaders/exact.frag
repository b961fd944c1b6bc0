// At rest: the surface point on this pixel's own ray, and the normal there.
//
// Coordinates are relative to the face's origin. The mesh gives the start; the correction works
// on the difference between surface point and ray, so single precision holds far below a pixel.

const int PLANE = 1;
const int CYLINDER = 2;
const int CONE = 3;
const int SPHERE = 4;
const int TORUS = 5;
const int BEZIER = 6;

uniform vec2 frame_size;          // device pixels
uniform vec3 ray_base;            // the target, relative to the face's origin
uniform vec3 ray_x;               // one pixel to the right, in the plane of the target
uniform vec3 ray_y;               // one pixel up
uniform vec3 ray_forward;         // from eye to target
uniform float perspective;        // 1 or 0
uniform int kind;
uniform mat3 axes;                // columns: the frame's x, y, z
uniform vec3 centre;              // the frame's origin
uniform vec4 radii;               // radius or major; minor, or side of a spindle torus' inner half; sine, cosine of the half angle

// Signed distance from an analytic surface and its gradient, the unit normal. `side` is −1 on the
// half that lies across the axis (second nappe of a cone, inner half of a spindle torus).
float off_surface(vec3 p, float side, out vec3 gradient) {
    vec3 q = (p - centre) * axes;
    vec3 g;
    float f;
    float ring = length(q.xy);
    vec2 out_xy = ring > 0.0 ? q.xy / ring : vec2(0.0);
    if (kind == PLANE) {
        g = vec3(0.0, 0.0, 1.0);
        f = q.z;
    } else if (kind == CYLINDER) {
        g = vec3(out_xy, 0.0);
        f = ring - radii.x;
    } else if (kind == CONE) {
        g = vec3(side * out_xy * radii.w, -radii.z);
        f = (side * ring - radii.x) * radii.w - q.z * radii.z;
    } else if (kind == SPHERE) {
        float r = length(q);
        g = r > 0.0 ? q / r : vec3(0.0, 0.0, 1.0);
        f = r - radii.x;
    } else {
        vec2 tube = vec2(side * ring - radii.x, q.z);
        float r = length(tube);
        vec2 n = r > 0.0 ? tube / r : vec2(1.0, 0.0);
        g = vec3(side * out_xy * n.x, n.y);
        f = r - radii.y;
    }
    gradient = axes * g;
    return f;
}

#ifdef BENDS
vec2 spline_bends(int first, vec2 t, vec3 s, vec3 normal);
vec2 round_bends(vec3 p, vec3 normal);
#endif

void main() {
    vec2 place = gl_FragCoord.xy - 0.5 * frame_size;
    vec3 across = place.x * ray_x + place.y * ray_y;
    vec3 base = ray_base + across;
    vec3 ray = normalize(ray_forward + perspective * across);
    float depth = dot(depth_plane.xyz, v_point) + depth_plane.w;
    float pixel = length(ray_x) * mix(1.0, depth / length(ray_forward), perspective);
    // A hundredth of a pixel; looser shows in the stripes' edges, tighter is below what single
    // precision gives on large faces and only costs time.
    float close = 0.01 * pixel;
    vec3 rough = normalize(v_normal);
    vec3 point = base + ray * dot(v_point - base, ray);
    vec3 normal = rough;
#ifdef BENDS
    int bend_span = -1;
    vec2 bend_place = vec2(0.0);
#endif

    if (kind == BEZIER) {
        vec2 uv = v_uv;
        int nets = shape.z + shape.w + 2;
        int block = (shape.x + 1) * (shape.y + 1);
        for (int k = 0; k < 6; k++) {
            ivec2 cell = ivec2(span_of(0, shape.z, uv.x), span_of(shape.z + 1, shape.w, uv.y));
            vec2 from_u = texel(cell.x).xy;
            vec2 from_v = texel(shape.z + 1 + cell.y).xy;
            vec2 t = vec2((uv.x - from_u.x) * from_u.y, (uv.y - from_v.x) * from_v.y);
            Spot spot = spline(nets + (cell.y * shape.z + cell.x) * block, t);
            vec3 n = cross(spot.su, spot.sv);
            float size = length(n);
            // Where the two directions fall together (a collapsed side) the vertex normal stays.
            if (!(size > 1e-6 * max(dot(spot.su, spot.su), dot(spot.sv, spot.sv)))) { break; }
            normal = n / size;
#ifdef BENDS
            bend_span = nets + (cell.y * shape.z + cell.x) * block;
            bend_place = t;
#endif
            vec3 off = spot.s - base;
            off -= ray * dot(off, ray);
            point = spot.s;
            float det = dot(n, ray);
            if (dot(off, off) < close * close || abs(det) < 0.01 * size) { break; }
            vec2 move = -vec2(dot(off, cross(spot.sv, ray)), dot(off, cross(ray, spot.su))) / det;
            // Half a span at most: a start seen edge-on would else leave the patch.
            move *= min(1.0, 0.5 / max(max(abs(move.x), abs(move.y)), 1e-9));
            uv += move / vec2(from_u.y, from_v.y);
        }
    } else if (kind != 0) {
        float side = 1.0;
        if (kind == CONE) {
            vec3 q = (point - centre) * axes;
            side = radii.x * radii.w + q.z * radii.z < 0.0 ? -1.0 : 1.0;
        } else if (kind == TORUS && radii.y > radii.x) {
            // The spindle's inner half has its normals towards the other side of the axis.
            vec3 q = (point - centre) * axes;
            vec2 near = vec2(length(q.xy) - radii.x, q.z);
            vec2 far = vec2(-length(q.xy) - radii.x, q.z);
            side = abs(length(far) - radii.y) < abs(length(near) - radii.y) ? -1.0 : 1.0;
        }
        for (int k = 0; k < 5; k++) {
            vec3 g;
            float f = off_surface(point, side, g);
            float rate = dot(g, ray);
            normal = g;
            if (abs(f) < 0.1 * close || abs(rate) < 0.01) { break; }
            // The mesh lies within its sag of the surface; a longer step is a miss at the outline.
            point -= ray * clamp(f / rate, -64.0 * pixel, 64.0 * pixel);
        }
    }
    if (!(dot(normal, normal) > 0.5)) { normal = rough; }
    float turned = dot(normal, rough) < 0.0 ? -1.0 : 1.0;
    leave(point, turned * normal);
#ifdef BENDS
    vec2 k = vec2(UNKNOWN_BEND);
    if (kind == BEZIER) {
        if (bend_span >= 0) { k = spline_bends(bend_span, bend_place, point, normal); }
    } else if (kind != 0) {
        k = round_bends(point, normal);
    }
    leave_bends(k.x < UNKNOWN_BEND ? turned * k : k);
#endif
#ifdef MAPPED
    leave_mapped(v_uv);
#endif
}
