// The model's mirror image: its triangles by vertex normals, to be laid thinly over the picture.
in vec3 v_point;
in vec2 v_uv;
in vec3 v_normal;

uniform vec3 view_back;
uniform vec3 tone;
uniform float share;              // how much of the picture it hides

out vec4 colour;

void main() {
    float facing = abs(dot(normalize(v_normal), view_back));
    // Darker towards its outline, where less of it would be seen.
    colour = vec4(tone * mix(0.45, 1.0, facing), share);
}
