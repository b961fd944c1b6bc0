// Vertices of one face, relative to the face's own origin.
layout(location = 0) in vec3 position;
layout(location = 1) in vec2 uv;
layout(location = 2) in vec3 normal;

uniform mat4 clip;

out vec3 v_point;
out vec2 v_uv;
out vec3 v_normal;

// Both surface programs must put a vertex on the very same depth, or the exact pass would miss pixels.
invariant gl_Position;

void main() {
    v_point = position;
    v_uv = uv;
    v_normal = normal;
    gl_Position = clip * vec4(position, 1.0);
}
