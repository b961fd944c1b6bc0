// The stripe function, twin of the core's `highlight::stripe_value`; a browser test bounds the difference.
// 1 isophote, 2 highlight line, 3 reflection line: fixed where a program is made for one of them.
#ifdef FAMILY
const int stripe_family = FAMILY;
#else
uniform int stripe_family;
#endif
uniform vec3 lamp_direction;
uniform vec3 lamp_across;
uniform vec3 lamp_centre;         // relative to the scene's origin
uniform float lamp_distance;
uniform float lamp_spacing;
uniform float lamp_share;         // width over spacing
uniform float lamp_count;         // huge for isophotes
uniform vec3 lamp_eye;            // place of the eye relative to the scene's origin, or direction to it
uniform int lamp_eye_near;        // 1: a place
uniform float lamp_middle;        // place of the rig's axis in units of lamps

// Place of a surface point in units of lamps: whole numbers are the lamps' middles.
float lamp_place(vec3 point, vec3 normal) {
    float facing = dot(normal, lamp_direction);
    if (stripe_family == 1) {
        return atan(length(cross(normal, lamp_direction)), abs(facing)) / lamp_spacing + lamp_middle;
    }
    vec3 from = point - lamp_centre;
    float height = lamp_distance - dot(from, lamp_direction);
    vec3 ray = normal;
    float towards = abs(facing) < 1e-6 ? 1e-6 : facing;
    if (stripe_family == 3) {
        vec3 to_eye = lamp_eye_near == 1 ? normalize(lamp_eye - point) : lamp_eye;
        ray = 2.0 * dot(to_eye, normal) * normal - to_eye;
        towards = dot(ray, lamp_direction);
        // The mirrored sight line runs away from the lamps.
        if (towards < 1e-6 || height <= 0.0) { return -1e6; }
    }
    float f = dot(from + ray * (height / towards), lamp_across);
    return f / lamp_spacing + lamp_middle;
}

// What a face seen near is relative to: a point of it, with the stripe function's value there from double precision.
struct Base {
    vec3 point;      // relative to the scene's origin
    vec3 normal;
    vec3 to_eye;     // unit
    float eye_near;  // one over the distance of the eye, 0 for a far one
    float part;      // place in units of lamps, less `whole`
    float whole;
    bool lit;        // false: there is no such value
};

// Place of a point `d` from a base with its normal turned by `turn`, less the base's `whole`. Every term is a difference
// from the base, so that nothing cancels.
float near_place(Base base, vec3 d, vec3 turn) {
    vec3 normal = base.normal + turn;
    if (stripe_family == 1) {
        float side = dot(base.normal, lamp_direction) < 0.0 ? -1.0 : 1.0;
        float c0 = side * dot(base.normal, lamp_direction);
        float dc = side * dot(turn, lamp_direction);
        float c = c0 + dc;
        // Beyond the horizon the angle to the other side counts.
        if (c < 0.0) { return lamp_place(base.point + d, normal) - base.whole; }
        float s0 = length(cross(base.normal, lamp_direction));
        float s = length(cross(normal, lamp_direction));
        float sine = -dc * ((c + c0) * c0 / max(s + s0, 1e-20) + s0);
        return base.part + atan(sine, c * c0 + s * s0) / lamp_spacing;
    }
    float height = lamp_distance - dot(base.point - lamp_centre, lamp_direction);
    float lower = -dot(d, lamp_direction);
    vec3 ray = base.normal;
    vec3 ray_turn = turn;
    if (stripe_family == 3) {
        float facing = dot(base.to_eye, base.normal);
        vec3 eye_turn = -base.eye_near * d;
        ray = 2.0 * facing * base.normal - base.to_eye;
        ray_turn = 2.0 * ((dot(eye_turn, normal) + dot(base.to_eye, turn)) * normal + facing * turn)
            - dot(turn, base.normal + normal) * (base.to_eye + eye_turn) - eye_turn;
    }
    float a0 = dot(ray, lamp_across);
    float t0 = dot(ray, lamp_direction);
    float a = dot(ray_turn, lamp_across);
    float t = dot(ray_turn, lamp_direction);
    float towards = t0 + t;
    bool away = stripe_family == 3 ? towards < 1e-6 || height + lower <= 0.0 : abs(towards) < 1e-6;
    if (away) { return -1e6; }
    float moved = dot(d, lamp_across) + (height * (a * t0 - a0 * t) + lower * (a0 + a) * t0) / (towards * t0);
    return base.part + moved / lamp_spacing;
}

// A place is kept in two parts, a whole number of lamps apart, so that one far from the first lamp keeps its digits.
float lamps_between(vec2 a, vec2 b) {
    return (b.x - a.x) + (b.y - a.y);
}

// Length of stripe below a place, counted from lamp `first` on.
float stripe_below(vec2 place, float first) {
    float y = clamp(place.x + 0.5, -place.y, lamp_count - place.y);
    float k = floor(y);
    return (k - first) * lamp_share + clamp(y - k - 0.5 * (1.0 - lamp_share), 0.0, lamp_share);
}

// Share of a window of `width` lamps around `place` that lies in stripes.
float stripe_cover(vec2 place, float width) {
    float w = clamp(width, 1e-6, 1e4);
    float first = floor(clamp(place.x + 0.5, -place.y, lamp_count - place.y));
    float above = stripe_below(vec2(place.x + 0.5 * w, place.y), first);
    float below = stripe_below(vec2(place.x - 0.5 * w, place.y), first);
    return clamp((above - below) / w, 0.0, 1.0);
}
