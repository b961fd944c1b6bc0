// One segment an instance, widened on the screen to a strip.
layout(location = 0) in vec3 tail;
layout(location = 1) in vec3 head;
layout(location = 2) in vec2 level;     // value at both ends, 0 to 1; negative: not applicable

uniform mat4 clip;
uniform vec4 depth_plane;
uniform vec2 frame_size;
uniform float reach;                    // half the widest stroke, device pixels

flat out vec2 v_tail;
flat out vec2 v_head;
flat out vec2 v_depth;
flat out vec2 v_level;

vec2 on_screen(vec4 c) {
    return (c.xy / c.w * 0.5 + 0.5) * frame_size;
}

void main() {
    vec4 a = clip * vec4(tail, 1.0);
    vec4 b = clip * vec4(head, 1.0);
    v_depth = vec2(dot(depth_plane.xyz, tail), dot(depth_plane.xyz, head)) + depth_plane.w;
    v_level = level;
    // Behind the eye there is no screen place; segments are short, so the whole one is dropped.
    if (a.w <= 0.0 || b.w <= 0.0) {
        v_tail = vec2(0.0);
        v_head = vec2(0.0);
        gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
        return;
    }
    v_tail = on_screen(a);
    v_head = on_screen(b);
    vec2 along = v_head - v_tail;
    float size = length(along);
    along = size > 1e-6 ? along / size : vec2(1.0, 0.0);
    vec2 side = vec2(-along.y, along.x);
    float margin = reach + 1.5;
    vec2 corner = (gl_VertexID & 1) == 0 ? v_tail - along * margin : v_head + along * margin;
    corner += side * ((gl_VertexID & 2) == 0 ? -margin : margin);
    gl_Position = vec4(corner / frame_size * 2.0 - 1.0, 0.0, 1.0);
}
