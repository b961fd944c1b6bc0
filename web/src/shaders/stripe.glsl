// The stripe function, twin of the core's `highlight::stripe_value`; a browser test bounds the difference.
uniform int stripe_family;        // 0 none, 1 isophote, 2 highlight line, 3 reflection line
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

// Length of stripe below a place, counted from lamp `whole` on so that large places keep their digits.
float stripe_below(float place, float whole) {
    float y = clamp(place + 0.5, 0.0, lamp_count);
    float k = floor(y);
    return (k - whole) * lamp_share + clamp(y - k - 0.5 * (1.0 - lamp_share), 0.0, lamp_share);
}

// Share of a window of `width` lamps around `place` that lies in stripes.
float stripe_cover(float place, float width) {
    float w = clamp(width, 1e-5, 1e4);
    float whole = floor(clamp(place + 0.5, 0.0, lamp_count));
    return clamp((stripe_below(place + 0.5 * w, whole) - stripe_below(place - 0.5 * w, whole)) / w, 0.0, 1.0);
}
