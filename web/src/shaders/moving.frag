// While the camera moves: the interpolated vertex normal, on the mesh.
void main() {
    leave(v_point, normalize(v_normal));
}
