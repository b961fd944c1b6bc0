// Colours by form, twin of form_colour.rs; a browser test bounds the difference.
uniform highp usampler2D bends;   // principal curvatures, larger first, convex as positive
uniform highp usampler2D classes; // colour of each face, by face id
uniform int form_view;            // 1 Gaussian, 2 mean, 3 largest, 4 smallest, 5 radius, 6 a sampled value
uniform vec3 form_map[MAP_SIZE];
uniform vec2 form_range;          // the map's start and end
uniform float form_step;          // from isoline to isoline, 0 none
uniform float form_limit;         // radii below it are hatched
uniform float form_swapped;       // −1 when the other side counts as the outward one

const int GAUSSIAN = 1;
const int MEAN = 2;
const int LARGEST = 3;
const int SMALLEST = 4;
const int RADIUS = 5;
const int SAMPLED = 6;

// Stands for "not known"; no curvature is as large.
const float UNKNOWN = 1e30;
// Flatter than this, 1/mm, counts as this.
const float FLAT = 1e-9;
// Colours of Okabe & Ito (Color Universal Design, 2008), black left to the lines.
const vec3 CLASSES[8] = vec3[8](
    vec3(0.902, 0.624, 0.0), vec3(0.337, 0.706, 0.914), vec3(0.0, 0.620, 0.451), vec3(0.941, 0.894, 0.259),
    vec3(0.0, 0.447, 0.698), vec3(0.835, 0.369, 0.0), vec3(0.800, 0.475, 0.655), vec3(0.75, 0.75, 0.75));
const vec3 CONVEX_INK = vec3(0.902, 0.624, 0.0);
const vec3 HOLLOW_INK = vec3(0.337, 0.706, 0.914);
// Isolines are this wide, CSS pixels; the one of zero twice as wide.
const float LINE_WIDTH = 1.1;

vec2 bends_at(ivec2 at) {
    vec2 k = uintBitsToFloat(texelFetch(bends, at, 0).xy);
    return form_swapped < 0.0 && k.x < UNKNOWN && form_view != SAMPLED ? vec2(-k.y, -k.x) : k;
}

float tightest(vec2 k) {
    return abs(k.x) >= abs(k.y) ? k.x : k.y;
}

// Where a value stands on the axis that colours and isolines are even on.
float form_axis(vec2 k) {
    if (form_view == GAUSSIAN) { return k.x * k.y; }
    if (form_view == MEAN) { return 0.5 * (k.x + k.y); }
    if (form_view == LARGEST) { return k.x; }
    if (form_view == SMALLEST) { return k.y; }
    if (form_view == SAMPLED) { return form_swapped * k.x; }
    return -log2(max(abs(tightest(k)), FLAT));
}

vec3 form_colour(float place) {
    float level = clamp((place - form_range.x) / (form_range.y - form_range.x), 0.0, 1.0) * float(MAP_SIZE - 1);
    int i = min(int(level), MAP_SIZE - 2);
    return mix(form_map[i], form_map[i + 1], level - float(i));
}

// Share of a pixel under the isoline nearest to a place; `rate` is the change of the place over one pixel.
float isoline_cover(float place, float rate, float pixels) {
    float lines = place / form_step;
    float slope = rate / form_step;
    float whole = floor(lines + 0.5);
    float width = LINE_WIDTH * pixels * (whole == 0.0 && form_view != RADIUS ? 2.0 : 1.0);
    float cover = clamp(0.5 * width + 0.5 - abs(lines - whole) / max(slope, 1e-9), 0.0, 1.0);
    // Where less than three pixels lie between lines they say nothing any more; nor where the value hardly changes, as
    // single precision then decides where the line runs.
    return cover * (1.0 - smoothstep(0.2, 0.4, slope)) * smoothstep(5e-5, 2e-4, slope);
}

// Strokes `pitch` CSS pixels apart from the lower left up, or down with `down`; `dash` breaks every one.
float stroke_cover(vec2 at, float pixels, float pitch, float width, bool down, bool dash) {
    vec2 turned = vec2(at.x + at.y, at.y - at.x) * (0.70710678 / pixels);
    if (down) { turned = turned.yx; }
    float away = abs(fract(turned.y / pitch) - 0.5) * pitch;
    float cover = clamp((0.5 * width - away) * pixels + 0.5, 0.0, 1.0);
    return dash && fract(turned.x / 12.0) > 0.55 ? 0.0 : cover;
}

vec3 class_colour(uint face, vec2 at, float pixels) {
    int width = textureSize(classes, 0).x;
    int id = int(face);
    uint hue = id / width < textureSize(classes, 0).y ? texelFetch(classes, ivec2(id % width, id / width), 0).x & 7u : 0u;
    vec3 base = CLASSES[hue];
    // Each colour its own hatching: direction, broken or whole, wide or narrow.
    float pitch = (hue & 4u) == 0u ? 8.0 : 14.0;
    float cover = stroke_cover(at, pixels, pitch, 1.3, (hue & 1u) == 1u, (hue & 2u) == 2u);
    return mix(base, base * 0.62, cover);
}

vec3 by_form(vec2 k, float place, float rate, vec2 at, float pixels) {
    vec3 base = form_colour(place);
    if (form_view == RADIUS && place < form_limit) {
        // Convex strokes rise to the right, hollow ones fall: colour is not the only sign.
        bool hollow = tightest(k) < 0.0;
        return mix(form_map[0], hollow ? HOLLOW_INK : CONVEX_INK, stroke_cover(at, pixels, 7.0, 2.6, hollow, false));
    }
    if (form_step > 0.0) {
        float light = dot(base, vec3(0.3, 0.59, 0.11));
        base = mix(base, light > 0.35 ? vec3(0.1) : vec3(0.95), 0.8 * isoline_cover(place, rate, pixels));
    }
    return base;
}
