// At rest, seen near: the surface point on this pixel's own ray and the normal there, both less those of a base point on
// the surface. The surface is given as what it does beyond the base's tangent plane, so that nothing cancels.
//
// Coordinates are relative to the base.

const int QUADRIC = 1;
const int TORUS = 2;
const int SPLINE = 3;

uniform vec2 frame_size;          // device pixels
uniform vec3 ray_base;            // where the view's axis passes the base's depth
uniform vec3 ray_x;               // one pixel to the right, at that depth
uniform vec3 ray_y;               // one pixel up
uniform vec3 ray_forward;         // from the eye to that depth, along the axis
uniform float perspective;        // 1 or 0
uniform int kind;
uniform vec3 base;                // relative to the face's origin
uniform vec3 base_normal;
uniform vec3 axis;
uniform vec2 quadric;             // factor of what lies square to the axis, and along it
uniform vec3 out_base;            // from the axis to the base, unit
uniform vec4 tube;                // distance of the base from the axis; from the tube's middle to the base; tube's radius
uniform vec2 turned;              // torus: half, and normal out of the tube or into it; spline: −1 against the surface's normal
uniform vec3 along_u;             // the base's tangents, one window long
uniform vec3 along_v;
uniform vec4 from_uv;             // window's parameters from the face's: factors, then what is added

// Change of a unit normal that something is added to.
vec3 turn_by(vec3 added) {
    float q = 2.0 * dot(base_normal, added) + dot(added, added);
    float size = sqrt(1.0 + q);
    return added / size - base_normal * (q / (size * (1.0 + size)));
}

vec3 bent(vec3 d) {
    vec3 z = axis * dot(axis, d);
    return quadric.x * (d - z) + quadric.y * z;
}

// Distance from the torus and the change of its normal.
float off_torus(vec3 d, out vec3 turn) {
    float dz = dot(axis, d);
    vec3 flat_d = d - axis * dz;
    vec3 from_axis = out_base * tube.x + flat_d;
    float ring = length(from_axis);
    float grown = (2.0 * tube.x * dot(out_base, flat_d) + dot(flat_d, flat_d)) / (ring + tube.x);
    vec3 out_turn = (flat_d - out_base * grown) / ring;
    vec2 moved = vec2(turned.x * grown, dz);
    turn = turned.y * (turned.x * (out_turn * (tube.y + moved.x) + out_base * moved.x) + axis * dz) / tube.w;
    return turned.y * (2.0 * dot(tube.yz, moved) + dot(moved, moved)) / (2.0 * tube.w);
}

void main() {
    vec2 place = gl_FragCoord.xy - 0.5 * frame_size;
    vec3 across = place.x * ray_x + place.y * ray_y;
    vec3 start = ray_base + across;
    vec3 ray = normalize(ray_forward + perspective * across);
    // Of a pixel; what is left then is squared by the last step.
    float close = 0.01 * length(ray_x);
    vec3 point = start + ray * dot(v_point - base - start, ray);
    vec3 turn = vec3(0.0);

    if (kind == SPLINE) {
        vec2 uv = v_uv * from_uv.xy + from_uv.zw;
        int nets = shape.z + shape.w + 2;
        int block = (shape.x + 1) * (shape.y + 1);
        vec3 flat_cross = cross(along_u, along_v);
        float flat_size = length(flat_cross);
        for (int k = 0; k < 6; k++) {
            ivec2 cell = ivec2(span_of(0, shape.z, uv.x), span_of(shape.z + 1, shape.w, uv.y));
            vec2 from_u = texel(cell.x).xy;
            vec2 from_v = texel(shape.z + 1 + cell.y).xy;
            vec2 t = vec2((uv.x - from_u.x) * from_u.y, (uv.y - from_v.x) * from_v.y);
            Spot bend = spline(nets + (cell.y * shape.z + cell.x) * block, t);
            vec3 bend_u = bend.su * from_u.y;
            vec3 bend_v = bend.sv * from_v.y;
            vec3 added = cross(along_u, bend_v) + cross(bend_u, along_v) + cross(bend_u, bend_v);
            turn = turn_by(turned.y * added / flat_size);
            vec3 su = along_u + bend_u;
            vec3 sv = along_v + bend_v;
            vec3 n = flat_cross + added;
            point = along_u * uv.x + along_v * uv.y + bend.s;
            vec3 off = point - start;
            off -= ray * dot(off, ray);
            float det = dot(n, ray);
            if (dot(off, off) < close * close || abs(det) < 0.01 * length(n)) { break; }
            vec2 move = -vec2(dot(off, cross(sv, ray)), dot(off, cross(ray, su))) / det;
            // A window at most: a start seen edge-on would else leave the patch.
            uv += move * min(1.0, 1.0 / max(max(abs(move.x), abs(move.y)), 1e-9));
        }
    } else if (kind == QUADRIC) {
        // a t² + b t + c = 0 along the ray; the root nearer the mesh.
        vec3 q = bent(point);
        float a = dot(ray, bent(ray));
        float b = dot(base_normal + 2.0 * q, ray);
        float c = dot(base_normal, point) + dot(point, q);
        float root = sqrt(max(b * b - 4.0 * a * c, 0.0));
        float sum = b + (b < 0.0 ? -root : root);
        if (abs(sum) > 1e-6) { point -= ray * (2.0 * c / sum); }
        turn = turn_by(2.0 * bent(point));
    } else {
        for (int k = 0; k < 6; k++) {
            float f = off_torus(point, turn);
            float rate = dot(base_normal + turn, ray);
            if (abs(f) < 0.1 * close || abs(rate) < 0.01) { break; }
            point -= ray * clamp(f / rate, -0.5 * tube.w, 0.5 * tube.w);
        }
    }
    leave(point, turn);
}
