// A stroke with round ends, hidden where the model lies in front of its middle.
flat in vec2 v_tail;
flat in vec2 v_head;
flat in vec2 v_depth;
flat in vec2 v_level;

uniform highp usampler2D normals;
uniform highp usampler2D points;
uniform vec2 stroke;                    // width at level 0 and at level 1, device pixels
uniform vec4 ink;                       // colour; alpha 0: from the map by level
uniform vec2 slack;                     // mm the stroke may lie behind the model: fixed, and per mm of depth
uniform float perspective;
uniform int quick;                      // 1: the one pixel below the stroke's middle decides
uniform vec3 map[MAP_SIZE];

out vec4 colour;

vec3 mapped(float level) {
    float at = clamp(level, 0.0, 1.0) * float(MAP_SIZE - 1);
    int i = min(int(at), MAP_SIZE - 2);
    return mix(map[i], map[i + 1], at - float(i));
}

// Depth of the surface at a pixel; huge where the background shows.
float depth_at(ivec2 at) {
    ivec2 p = clamp(at, ivec2(0), textureSize(normals, 0) - 1);
    return texelFetch(normals, p, 0).w == 0u ? 1e30 : uintBitsToFloat(texelFetch(points, p, 0).w);
}

// True when nothing lies in front of a place, or a pixel beside it shows the very surface it lies on: a line along an
// outline falls on either side of it. A surface far behind, seen beside the outline, does not count.
bool is_shown(ivec2 at, float depth) {
    float room = slack.x + slack.y * depth;
    if (depth <= depth_at(at) + room) { return true; }
    if (quick == 1) { return false; }
    for (int j = -1; j <= 1; j++) {
        for (int i = -1; i <= 1; i++) {
            if (abs(depth - depth_at(at + ivec2(i, j))) <= 2.0 * room) { return true; }
        }
    }
    return false;
}

void main() {
    vec2 along = v_head - v_tail;
    float size2 = dot(along, along);
    float t = size2 > 1e-9 ? clamp(dot(gl_FragCoord.xy - v_tail, along) / size2, 0.0, 1.0) : 0.0;
    vec2 middle = v_tail + along * t;
    float away = distance(gl_FragCoord.xy, middle);
    float level = min(v_level.x, v_level.y) < 0.0 ? -1.0 : mix(v_level.x, v_level.y, t);
    float radius = 0.5 * mix(stroke.x, stroke.y, clamp(level, 0.0, 1.0));
    float cover = clamp(radius - away + 0.5, 0.0, 1.0);
    if (cover <= 0.0) { discard; }
    // Along a straight line on the screen 1/depth runs evenly in perspective, depth itself otherwise.
    float depth = perspective > 0.5 ? 1.0 / mix(1.0 / v_depth.x, 1.0 / v_depth.y, t) : mix(v_depth.x, v_depth.y, t);
    if (!is_shown(ivec2(floor(middle)), depth)) { discard; }
    vec3 inner = ink.a > 0.0 ? ink.rgb : level < 0.0 ? vec3(0.55) : mapped(level);
    colour = vec4(inner, cover * (ink.a > 0.0 ? ink.a : 1.0));
}
