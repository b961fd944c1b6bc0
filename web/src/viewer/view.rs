//! What the camera means to the shaders, in single precision around each face's own origin.

use super::Gl;
use super::program::Program;
use super::settle::Rect;
use crate::bounds::Bounds;
use crate::camera::{Camera, Projection, Projector};
use glam::DVec3;

/// A camera with the depth range of what is shown.
pub struct View {
    /// The camera.
    pub camera: Camera,
    /// Box that the depth range holds.
    pub bounds: Bounds,
    projector: Projector,
}

impl View {
    /// A camera that sees a box.
    pub fn new(camera: Camera, bounds: Bounds) -> View {
        View { camera, bounds, projector: camera.projector() }
    }

    /// 1 in perspective, 0 otherwise.
    pub fn perspective(&self) -> f32 {
        f32::from(self.camera.projection == Projection::Perspective)
    }

    /// Frame size in device pixels.
    pub fn size(&self) -> [f32; 2] {
        [self.camera.width as f32, self.camera.height as f32]
    }

    /// Sets the clip matrix and the depth plane for coordinates relative to `origin`.
    pub fn place(&self, gl: &Gl, program: &Program, origin: DVec3) {
        let clip = self.camera.clip_from(origin, &self.bounds).as_mat4();
        program.mat4(gl, "clip", &clip.to_cols_array());
        self.depth_from(gl, program, origin);
    }

    /// Sets the depth plane for coordinates relative to `origin`.
    pub fn depth_from(&self, gl: &Gl, program: &Program, origin: DVec3) {
        let back = self.camera.axes().2;
        let depth = self.camera.distance - back.dot(origin - self.camera.target());
        program.vec4(gl, "depth_plane", (-back).as_vec3().extend(depth as f32).to_array());
    }

    /// Sets the rays of sight that do not depend on the face.
    pub fn rays(&self, gl: &Gl, program: &Program) {
        self.rays_at(gl, program, self.camera.distance, self.camera.pixel_size());
    }

    /// Sets the base of the rays for coordinates relative to `origin`.
    pub fn ray_base(&self, gl: &Gl, program: &Program, origin: DVec3) {
        program.vec3(gl, "ray_base", (self.camera.target() - origin).as_vec3().to_array());
    }

    /// Sets the rays through the plane across the view at the depth of `base`, for coordinates relative to it: all
    /// lengths are of the size of what is seen.
    pub fn rays_near(&self, gl: &Gl, program: &Program, base: DVec3) {
        let back = self.camera.axes().2;
        let from = base - self.camera.target();
        let depth = self.camera.distance - back.dot(from);
        self.rays_at(gl, program, depth, self.camera.pixel_at(base));
        program.vec3(gl, "ray_base", (back * back.dot(from) - from).as_vec3().to_array());
    }

    fn rays_at(&self, gl: &Gl, program: &Program, depth: f64, pixel: f64) {
        let (right, up, back) = self.camera.axes();
        program.vec2(gl, "frame_size", self.size());
        program.vec3(gl, "ray_x", (right * pixel).as_vec3().to_array());
        program.vec3(gl, "ray_y", (up * pixel).as_vec3().to_array());
        program.vec3(gl, "ray_forward", (-back * depth).as_vec3().to_array());
        program.float(gl, "perspective", self.perspective());
    }

    /// The part of the frame a box can cover; the whole frame when it reaches behind the eye.
    pub fn covered(&self, bounds: &Bounds) -> Rect {
        let (w, h) = (self.camera.width as i32, self.camera.height as i32);
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for corner in bounds.corners() {
            let Some(p) = self.projector.project(corner) else {
                return Rect { x: 0, y: 0, w, h };
            };
            let place = [p.x, self.camera.height - p.y];
            for k in 0..2 {
                low[k] = low[k].min(place[k]);
                high[k] = high[k].max(place[k]);
            }
        }
        let cut = |x: f64, limit: i32| x.clamp(-4.0, f64::from(limit) + 4.0) as i32;
        let (x, y) = (cut(low[0] - 2.0, w), cut(low[1] - 2.0, h));
        Rect { x, y, w: cut(high[0] + 3.0, w) - x, h: cut(high[1] + 3.0, h) - y }.inside(w, h)
    }
}
