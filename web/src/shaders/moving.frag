// While the camera moves: the interpolated vertex normal, on the mesh. References have no surface to be exact about:
// their facets show as they are.
uniform int faceted;

void main() {
    vec3 across = cross(dFdx(v_point), dFdy(v_point));
    bool facet = faceted == 1 && dot(across, across) > 0.0;
    leave(v_point, normalize(facet ? across : v_normal));
}
