// While the camera moves: the interpolated vertex normal, on the mesh. References have no surface to be exact about:
// their facets show as they are.
uniform int faceted;

void main() {
    vec3 across = cross(dFdx(v_point), dFdy(v_point));
    bool facet = faceted == 1 && dot(across, across) > 0.0;
    leave(v_point, normalize(facet ? across : v_normal));
#ifdef BENDS
    // How the vertices' normals turn over a triangle: even all over it.
    vec3 x = dFdx(v_point);
    vec3 y = dFdy(v_point);
    vec3 turn_x = dFdx(v_normal);
    vec3 turn_y = dFdy(v_normal);
    float middle = -0.5 * (dot(turn_x, y) + dot(turn_y, x));
    vec2 bends = principal(dot(x, x), dot(x, y), dot(y, y), -dot(turn_x, x), middle, -dot(turn_y, y));
    leave_bends(faceted == 1 ? vec2(UNKNOWN_BEND) : bends);
#endif
#ifdef MAPPED
    leave_mapped(v_uv);
#endif
}
