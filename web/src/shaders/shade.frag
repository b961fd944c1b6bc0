// Paint, stripes and selection from what the surface passes left.
//
// Compiled apart for what is drawn: software devices pay for branches they do not take. STRIPES: lamps; FORM: colours by
// curvature; CLASSED: colours by face; NEAR: some faces are relative to a base; FINE: slopes from neighbours on the same
// face instead of the device's own derivatives, which are rough at outlines.
uniform highp usampler2D normals;
uniform highp usampler2D points;
uniform vec3 view_back;           // from target to eye
uniform vec3 eye;                 // relative to the scene's origin
uniform float perspective;
uniform vec3 paper;
uniform float ground;             // 1: paper where the model is not, 0: nothing
uniform vec3 paint;
uniform vec3 stripe_ink;
uniform vec3 accent;
uniform float relief;             // 0 flat paint, 1 full shading
uniform highp uint chosen;        // face id + 1, 0 none
uniform float ratio;              // device pixels per CSS pixel

// Marks in a face's code: drawn whole without its boundary; only seen, not reviewed; point and normal relative to a base.
const uint UNTRIMMED = 0x40000000u;
const uint REFERENCE = 0x80000000u;
const uint IS_NEAR = 0x20000000u;
const uint IDS = 0x1fffffffu;

// Hatching of untrimmed faces: strokes from the lower left to the upper right, every second one broken.
const float HATCH_PITCH = 9.0;    // CSS pixels from stroke to stroke
const float HATCH_WIDTH = 1.7;
const float HATCH_DASH = 14.0;

float hatch_cover(vec2 at) {
    vec2 turned = vec2(at.x + at.y, at.y - at.x) * (0.70710678 / ratio);
    float stroke = turned.y / HATCH_PITCH;
    float away = abs(fract(stroke) - 0.5) * HATCH_PITCH;
    float cover = clamp((0.5 * HATCH_WIDTH - away) * ratio + 0.5, 0.0, 1.0);
    bool broken = (int(floor(stroke)) & 1) == 1;
    return broken && fract(turned.x / HATCH_DASH) > 0.6 ? 0.0 : cover;
}

out vec4 colour;

#ifdef NEAR
uniform highp sampler2D bases;    // of faces seen near, four texels a face

vec4 base_texel(uint code, int which) {
    int i = 4 * (int(code & IDS) - 1) + which;
    return texelFetch(bases, ivec2(i & (NET_WIDTH - 1), i / NET_WIDTH), 0);
}

Base base_of(uint code) {
    vec4 a = base_texel(code, 0);
    vec4 b = base_texel(code, 1);
    vec4 c = base_texel(code, 2);
    return Base(a.xyz, b.xyz, c.xyz, c.w, a.w, b.w, base_texel(code, 3).x > 0.5);
}
#endif

// What the surface passes left at a pixel.
struct Seen {
    uint code;
    vec3 point;      // relative to the scene's origin
    vec3 normal;
    vec2 place;      // in units of lamps, in two parts
};

Seen seen_at(ivec2 at) {
    uvec4 n = texelFetch(normals, at, 0);
    vec3 point = uintBitsToFloat(texelFetch(points, at, 0).xyz);
    vec3 normal = uintBitsToFloat(n.xyz);
    Seen seen = Seen(n.w, point, normal, vec2(0.0));
    if (n.w == 0u) { return seen; }
#ifdef NEAR
    if ((n.w & IS_NEAR) != 0u) {
        Base base = base_of(n.w);
        seen.point += base.point;
        seen.normal = normalize(seen.normal + base.normal);
#ifdef STRIPES
        if (base.lit) {
            seen.place = vec2(near_place(base, point, normal), base.whole);
            return seen;
        }
#endif
    }
#endif
#ifdef STRIPES
    seen.place = vec2(lamp_place(seen.point, seen.normal), 0.0);
#endif
    return seen;
}

#if defined(STRIPES) && defined(FINE)
// Change of the place over one pixel along `way`, from neighbours on the same face.
float slope(ivec2 at, ivec2 way, Seen here) {
    ivec2 last = textureSize(normals, 0) - 1;
    Seen a = seen_at(max(at - way, ivec2(0)));
    Seen b = seen_at(min(at + way, last));
    bool low = a.code == here.code && all(greaterThanEqual(at - way, ivec2(0)));
    bool high = b.code == here.code && all(lessThanEqual(at + way, last));
    float fall = abs(lamps_between(a.place, here.place));
    float rise = abs(lamps_between(here.place, b.place));
    if (low && high) {
        // Where a face hides a part of itself one neighbour lies on another sheet: then only the other one counts.
        float least = min(fall, rise);
        return max(fall, rise) > 3.0 * least + 0.02 ? least : 0.5 * abs(lamps_between(a.place, b.place));
    }
    if (high) { return rise; }
    if (low) { return fall; }
    return 0.5;
}

#endif

#if defined(FORM) && defined(FINE)
// The same for the axis of the form's values.
float form_slope(ivec2 at, ivec2 way, uint code, float here) {
    ivec2 last = textureSize(normals, 0) - 1;
    ivec2 p = clamp(at - way, ivec2(0), last);
    ivec2 q = clamp(at + way, ivec2(0), last);
    vec2 a = bends_at(p);
    vec2 b = bends_at(q);
    bool low = p != at && texelFetch(normals, p, 0).w == code && a.x < UNKNOWN;
    bool high = q != at && texelFetch(normals, q, 0).w == code && b.x < UNKNOWN;
    float fall = low ? abs(here - form_axis(a)) : 0.0;
    float rise = high ? abs(form_axis(b) - here) : 0.0;
    if (low && high) { return max(fall, rise) > 3.0 * min(fall, rise) + 0.02 * form_step ? min(fall, rise) : 0.5 * (fall + rise); }
    return fall + rise;
}

#endif

vec3 at_pixel(Seen seen, float width, vec2 k, float place, float rate) {
    vec3 to_eye = perspective > 0.5 ? normalize(eye - seen.point) : view_back;
    float facing = dot(seen.normal, to_eye);
    vec3 normal = facing < 0.0 ? -seen.normal : seen.normal;
    // Sky above, warm ground below, and a soft fall-off towards the outline.
    float sky = 0.5 + 0.5 * normal.z;
    float light = mix(0.78, 1.04, sky) * mix(0.76, 1.0, sqrt(abs(facing)));
    vec3 tint = mix(vec3(1.0, 0.975, 0.94), vec3(0.985, 1.0, 1.015), sky);
    vec3 tone = paint * mix(vec3(1.0), light * tint, relief);
    vec3 dark = stripe_ink * mix(1.0, 0.7 + 0.3 * light, relief);
    if ((seen.code & REFERENCE) != 0u) {
        // Unpainted: grey, so that nobody takes it for what is reviewed.
        tone = vec3(dot(tone, vec3(0.3, 0.59, 0.11)) * 0.86);
    } else if ((seen.code & UNTRIMMED) != 0u) {
        tone = mix(tone, dark, hatch_cover(gl_FragCoord.xy));
    } else {
#if defined(CLASSED)
        tone = class_colour((seen.code & IDS) - 1u, gl_FragCoord.xy, ratio) * mix(1.0, light, 0.6 * relief);
#elif defined(FORM)
        if (k.x < UNKNOWN) {
            // Half the shading: the eye needs some of it for the shape, and all of the colour for the value.
            tone = by_form(k, place, rate, gl_FragCoord.xy, ratio) * mix(1.0, light, 0.5 * relief);
        }
#elif defined(STRIPES)
        tone = mix(tone, dark, stripe_cover(seen.place, width));
#endif
    }
    if ((seen.code & IDS) == chosen && (seen.code & REFERENCE) == 0u) { tone = mix(tone, accent, 0.28); }
    return tone;
}

void main() {
    ivec2 at = ivec2(gl_FragCoord.xy);
    Seen seen = seen_at(at);
    vec2 k = vec2(UNKNOWN);
    float tone = 0.0;
    // Derivatives are defined only where all pixels of a block come by.
    vec2 rate = vec2(0.0);
    vec2 tone_rate = vec2(0.0);
#ifdef STRIPES
    float place = seen.place.x + seen.place.y;
    rate = vec2(dFdx(place), dFdy(place));
#endif
#ifdef FORM
    if (seen.code != 0u) {
        k = bends_at(at);
        tone = form_axis(k);
    }
    tone_rate = vec2(dFdx(tone), dFdy(tone));
#endif
    if (seen.code == 0u) {
        colour = vec4(paper, 1.0) * ground;
        return;
    }
#if defined(STRIPES) && defined(FINE)
    rate = vec2(slope(at, ivec2(1, 0), seen), slope(at, ivec2(0, 1), seen));
#endif
#if defined(FORM) && defined(FINE)
    if (form_step > 0.0 && k.x < UNKNOWN) {
        tone_rate = vec2(form_slope(at, ivec2(1, 0), seen.code, tone), form_slope(at, ivec2(0, 1), seen.code, tone));
    }
#endif
    colour = vec4(at_pixel(seen, length(rate), k, tone, length(tone_rate)), 1.0);
}
