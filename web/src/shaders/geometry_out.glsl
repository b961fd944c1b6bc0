// What the surface passes leave for shading: normal and face, point and depth, as raw float bits.
// Integer targets are part of the core standard, so no device needs a lesser path.
layout(location = 0) out highp uvec4 out_normal;
layout(location = 1) out highp uvec4 out_point;

in vec3 v_point;
in vec2 v_uv;
in vec3 v_normal;

uniform highp uint face_code;     // face id + 1; 0 is the background
uniform vec3 scene_shift;         // from the scene's origin to the face's
uniform vec4 depth_plane;         // depth in front of the eye of a point relative to the face's origin

void leave(vec3 point, vec3 normal) {
    out_normal = uvec4(floatBitsToUint(normal), face_code);
    float depth = dot(depth_plane.xyz, point) + depth_plane.w;
    out_point = uvec4(floatBitsToUint(point + scene_shift), floatBitsToUint(depth));
}
