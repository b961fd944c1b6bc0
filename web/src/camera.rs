//! The camera: where the eye stands, and what a pixel sees.
//!
//! No browser types, so every rule here is tested natively. Lengths are mm, angles radians,
//! pixels device pixels with the origin at the top left and centres at half integers.
//! The camera keeps the model's z axis upright on the screen (it never rolls).

use crate::bounds::Bounds;
use glam::{DMat4, DVec2, DVec3, DVec4};
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI};

/// Vertical opening angle of the perspective view, radians. Larger bends shapes near the
/// frame's edge so that they are misjudged; smaller flattens depth until orbiting is needed to read it.
const OPENING: f64 = 0.5;
/// Share of the frame that a fitted model leaves free at the tighter side. Smaller lets the
/// outline touch the frame; larger wastes pixels that stripes need.
const FIT_MARGIN: f64 = 0.08;
/// Nearest and farthest distance from eye to target in units of the model's radius. Beyond
/// these bounds single-precision depth no longer tells the faces apart.
const DISTANCE_RANGE: (f64, f64) = (1e-5, 1e3);

/// How space is mapped to the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Projection {
    /// Rays leave one eye point.
    Perspective,
    /// Rays are parallel; lengths across the view are true.
    Orthographic,
}

/// Ray of sight: `base` lies on it in the plane of the target, `direction` points away from the eye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ray {
    /// Point of the ray in the plane through the target across the view, mm.
    pub base: DVec3,
    /// Unit direction, away from the eye.
    pub direction: DVec3,
}

/// Eye, target, projection and frame size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Camera {
    /// The point turned about, mm.
    pub target: [f64; 3],
    /// Compass angle of the eye seen from the target, radians from +x towards +y.
    pub yaw: f64,
    /// Height angle of the eye over the xy plane, radians, −π/2 to π/2.
    pub pitch: f64,
    /// Distance from eye to target, mm; also sets the size of an orthographic view.
    pub distance: f64,
    /// Perspective or orthographic.
    pub projection: Projection,
    /// Frame width, device pixels.
    pub width: f64,
    /// Frame height, device pixels.
    pub height: f64,
}

impl Default for Camera {
    fn default() -> Self {
        Camera { target: [0.0; 3], yaw: -0.9, pitch: 0.45, distance: 1000.0, projection: Projection::Perspective, width: 1.0, height: 1.0 }
    }
}

impl Camera {
    /// The target as a vector, mm.
    pub fn target(&self) -> DVec3 {
        DVec3::from_array(self.target)
    }

    /// Axes of the view in model space: right, up, and back (from target to eye), unit length.
    pub fn axes(&self) -> (DVec3, DVec3, DVec3) {
        let (sy, cy) = (self.yaw.sin(), self.yaw.cos());
        let (sp, cp) = (self.pitch.sin(), self.pitch.cos());
        (DVec3::new(-sy, cy, 0.0), DVec3::new(-sp * cy, -sp * sy, cp), DVec3::new(cp * cy, cp * sy, sp))
    }

    /// The eye point, mm; in an orthographic view a point on the axis, as far away.
    pub fn eye(&self) -> DVec3 {
        self.target() + self.axes().2 * self.distance
    }

    /// Half the width and height of the frame in the plane of the target, mm.
    pub fn half_extent(&self) -> DVec2 {
        let half = self.distance * (OPENING / 2.0).tan();
        DVec2::new(half * self.aspect(), half)
    }

    /// Length in mm of one device pixel in the plane of the target.
    pub fn pixel_size(&self) -> f64 {
        2.0 * self.half_extent().y / self.height.max(1.0)
    }

    /// The ray of sight through a pixel position.
    pub fn ray(&self, x: f64, y: f64) -> Ray {
        let (right, up, back) = self.axes();
        let half = self.half_extent();
        let ndc = self.ndc(x, y);
        let across = right * (ndc.x * half.x) + up * (ndc.y * half.y);
        let direction = match self.projection {
            Projection::Perspective => (across - back * self.distance).normalize(),
            Projection::Orthographic => -back,
        };
        Ray { base: self.target() + across, direction }
    }

    /// Pixel position and depth (mm in front of the eye) of a point; `None` behind the eye.
    pub fn project(&self, point: DVec3) -> Option<DVec3> {
        let (right, up, back) = self.axes();
        let from = point - self.target();
        let depth = self.distance - back.dot(from);
        let half = self.half_extent();
        let scale = match self.projection {
            Projection::Perspective if depth <= self.distance * 1e-9 => return None,
            Projection::Perspective => self.distance / depth,
            Projection::Orthographic => 1.0,
        };
        let nx = right.dot(from) * scale / half.x;
        let ny = up.dot(from) * scale / half.y;
        Some(DVec3::new((nx + 1.0) / 2.0 * self.width, (1.0 - ny) / 2.0 * self.height, depth))
    }

    /// Matrix from coordinates relative to `origin` to clip space, with the depth range set to
    /// hold `bounds`.
    pub fn clip_from(&self, origin: DVec3, bounds: &Bounds) -> DMat4 {
        let (right, up, back) = self.axes();
        let from = origin - self.target();
        let half = self.half_extent();
        let (near, far) = self.depth_range(bounds);
        let depth_shift = self.distance - back.dot(from);
        let span = far - near;
        let (scale, a, b, w_axis, w_shift) = match self.projection {
            Projection::Perspective => (self.distance, (far + near) / span, -2.0 * far * near / span, -back, depth_shift),
            Projection::Orthographic => (1.0, 2.0 / span, -(far + near) / span, DVec3::ZERO, 1.0),
        };
        let row = |axis: DVec3, size: f64| (axis * (scale / size)).extend(axis.dot(from) * scale / size);
        let rows = [row(right, half.x), row(up, half.y), (-back * a).extend(depth_shift * a + b), w_axis.extend(w_shift)];
        DMat4::from_cols(
            DVec4::new(rows[0].x, rows[1].x, rows[2].x, rows[3].x),
            DVec4::new(rows[0].y, rows[1].y, rows[2].y, rows[3].y),
            DVec4::new(rows[0].z, rows[1].z, rows[2].z, rows[3].z),
            DVec4::new(rows[0].w, rows[1].w, rows[2].w, rows[3].w),
        )
    }

    /// Nearest and farthest depth (mm in front of the eye) that hold `bounds`.
    pub fn depth_range(&self, bounds: &Bounds) -> (f64, f64) {
        let back = self.axes().2;
        let depths = bounds.corners().map(|c| self.distance - back.dot(c - self.target()));
        let least = depths.iter().copied().fold(f64::INFINITY, f64::min);
        let most = depths.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let slack = (most - least).abs().max(self.distance * 1e-3) * 0.01;
        match self.projection {
            Projection::Perspective => {
                let near = (least - slack).max(self.distance * 1e-3);
                (near, (most + slack).max(near * 1.001))
            }
            Projection::Orthographic => (least - slack, most + slack),
        }
    }

    /// Turns about the target by a drag of `dx`, `dy` pixels; a drag over the frame's height is half a turn.
    pub fn orbit(&mut self, dx: f64, dy: f64) {
        let turn = PI / self.height.max(1.0);
        self.yaw = wrap_angle(self.yaw - dx * turn);
        self.pitch = (self.pitch + dy * turn).clamp(-FRAC_PI_2, FRAC_PI_2);
    }

    /// Shifts the target so that the plane through it follows a drag of `dx`, `dy` pixels.
    pub fn pan(&mut self, dx: f64, dy: f64) {
        let (right, up, _) = self.axes();
        let size = self.pixel_size();
        let target = self.target() - right * (dx * size) + up * (dy * size);
        self.target = target.to_array();
    }

    /// Scales the view about `anchor` so that the anchor keeps its pixel; `factor` > 1 comes nearer.
    pub fn zoom(&mut self, factor: f64, anchor: DVec3, radius: f64) {
        if !(factor.is_finite() && factor > 0.0) {
            return;
        }
        let (least, most) = (radius * DISTANCE_RANGE.0, radius * DISTANCE_RANGE.1);
        let distance = (self.distance / factor).clamp(least, most);
        let k = distance / self.distance;
        self.target = (anchor + (self.target() - anchor) * k).to_array();
        self.distance = distance;
    }

    /// Moves so that `points` just fit the frame from the present side, middle to middle; no points: nothing moves.
    pub fn fit(&mut self, points: &[DVec3]) {
        let (right, up, back) = self.axes();
        let slope = (OPENING / 2.0).tan() * (1.0 - FIT_MARGIN);
        let (slope_x, slope_y) = (slope * self.aspect(), slope);
        let range = |f: &dyn Fn(&DVec3) -> f64| {
            points.iter().map(f).fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
        };
        let (x0, x1) = range(&|p| right.dot(*p));
        let (y0, y1) = range(&|p| up.dot(*p));
        let (z0, z1) = range(&|p| back.dot(*p));
        if !(x0 <= x1 && y0 <= y1 && z0 <= z1) {
            return;
        }
        let depth = (z0 + z1) / 2.0;
        let least = ((x1 - x0) + (y1 - y0) + (z1 - z0)).max(1e-3) * 1e-3;
        let (x, y, distance) = match self.projection {
            Projection::Orthographic => {
                let half = ((x1 - x0) / slope_x).max((y1 - y0) / slope_y) / 2.0;
                ((x0 + x1) / 2.0, (y0 + y1) / 2.0, half)
            }
            // A side of the view is a plane through the eye: along the two sides of an axis the points reach
            // farthest at `far` and `near`; where both are met stands the nearest eye that sees all.
            Projection::Perspective => {
                let reach = |axis: DVec3, k: f64| {
                    let far = points.iter().map(|p| axis.dot(*p) + k * (back.dot(*p) - depth)).fold(f64::NEG_INFINITY, f64::max);
                    let near = points.iter().map(|p| -axis.dot(*p) + k * (back.dot(*p) - depth)).fold(f64::NEG_INFINITY, f64::max);
                    ((far - near) / 2.0, (far + near) / (2.0 * k))
                };
                let ((x, dx), (y, dy)) = (reach(right, slope_x), reach(up, slope_y));
                (x, y, dx.max(dy))
            }
        };
        self.target = (right * x + up * y + back * depth).to_array();
        self.distance = distance.max(least);
    }

    /// Looks along the inward `normal` of a surface; a zero normal keeps the side.
    pub fn face(&mut self, normal: DVec3) {
        let Some(n) = normal.try_normalize() else {
            return;
        };
        self.pitch = n.z.clamp(-1.0, 1.0).asin();
        if n.x.abs() + n.y.abs() > 1e-9 {
            self.yaw = n.y.atan2(n.x);
        }
    }

    /// Turns to a named side: front, back, left, right, top, bottom or corner. Front looks along
    /// +x (vehicles run towards −x by common practice, no source). False when the name is unknown.
    pub fn standard_view(&mut self, name: &str) -> bool {
        let (yaw, pitch) = match name {
            "front" => (PI, 0.0),
            "back" => (0.0, 0.0),
            "left" => (-FRAC_PI_2, 0.0),
            "right" => (FRAC_PI_2, 0.0),
            "top" => (-FRAC_PI_2, FRAC_PI_2),
            "bottom" => (-FRAC_PI_2, -FRAC_PI_2),
            "corner" => (-0.7 * PI, 0.45),
            _ => return false,
        };
        (self.yaw, self.pitch) = (yaw, pitch);
        true
    }

    /// True when every number is finite and in range, so that a camera from a link may be used.
    pub fn is_sound(&self) -> bool {
        self.target.iter().all(|x| x.is_finite() && x.abs() < 1e9)
            && self.yaw.is_finite()
            && self.pitch.abs() <= FRAC_PI_2
            && self.distance.is_finite()
            && self.distance > 0.0
            && self.distance < 1e9
    }

    fn aspect(&self) -> f64 {
        self.width.max(1.0) / self.height.max(1.0)
    }

    fn ndc(&self, x: f64, y: f64) -> DVec2 {
        DVec2::new(2.0 * x / self.width.max(1.0) - 1.0, 1.0 - 2.0 * y / self.height.max(1.0))
    }
}

/// The same angle between −π and π.
pub fn wrap_angle(angle: f64) -> f64 {
    let turns = (angle / (2.0 * PI)).round();
    angle - turns * 2.0 * PI
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cameras() -> Vec<(Camera, Bounds)> {
        let mut out = Vec::new();
        for projection in [Projection::Perspective, Projection::Orthographic] {
            for (yaw, pitch) in [(0.3, 0.2), (-2.5, -1.1), (1.0, FRAC_PI_2), (PI, 0.0)] {
                for (width, height) in [(1440.0, 900.0), (390.0, 844.0), (256.0, 256.0)] {
                    let bounds = Bounds { min: DVec3::new(100.0, -730.0, 12.0), max: DVec3::new(1300.0, -20.0, 512.0) };
                    let mut camera = Camera { yaw, pitch, projection, width, height, ..Camera::default() };
                    camera.fit(&bounds.corners());
                    out.push((camera, bounds));
                }
            }
        }
        out
    }

    #[test]
    fn a_fitted_box_lies_inside_the_frame_and_touches_the_margin() {
        for (camera, bounds) in cameras() {
            let mut tightest = f64::INFINITY;
            let mut middle = DVec2::ZERO;
            for corner in bounds.corners() {
                let p = camera.project(corner).expect("in front of the eye");
                let room = [p.x / camera.width, 1.0 - p.x / camera.width, p.y / camera.height, 1.0 - p.y / camera.height];
                let least = room.into_iter().fold(f64::INFINITY, f64::min);
                assert!(least > FIT_MARGIN / 2.0 - 1e-9, "{camera:?} {least}");
                if camera.projection == Projection::Orthographic {
                    middle += p.truncate() / 8.0;
                }
                tightest = tightest.min(least);
            }
            assert!(tightest < FIT_MARGIN / 2.0 + 1e-6, "{tightest}");
            if camera.projection == Projection::Orthographic {
                assert!(middle.distance(DVec2::new(camera.width, camera.height) / 2.0) < 1e-6);
            }
        }
    }

    #[test]
    fn ray_and_projection_are_inverse() {
        for (camera, _) in cameras() {
            for (x, y) in [(0.5, 0.5), (200.5, 31.5), (77.0, 140.25)] {
                let ray = camera.ray(x, y);
                for t in [-0.3, 0.0, 0.4] {
                    let point = ray.base + ray.direction * (t * camera.distance);
                    let p = camera.project(point).expect("in front of the eye");
                    assert!((p.x - x).abs() < 1e-7 && (p.y - y).abs() < 1e-7, "{p} {x} {y}");
                }
            }
        }
    }

    #[test]
    fn the_matrix_agrees_with_the_projection() {
        for (camera, bounds) in cameras() {
            let origin = DVec3::new(433.0, -512.0, 80.0);
            let clip = camera.clip_from(origin, &bounds);
            for corner in bounds.corners() {
                let c = clip * (corner - origin).extend(1.0);
                let p = camera.project(corner).expect("in front of the eye");
                let x = (c.x / c.w + 1.0) / 2.0 * camera.width;
                let y = (1.0 - c.y / c.w) / 2.0 * camera.height;
                assert!((x - p.x).abs() < 1e-6 && (y - p.y).abs() < 1e-6);
                assert!((c.z / c.w).abs() <= 1.0, "outside the depth range: {}", c.z / c.w);
            }
        }
    }

    #[test]
    fn zoom_keeps_the_anchor_on_its_pixel_in_both_projections() {
        for (camera, bounds) in cameras() {
            for factor in [0.25, 0.9, 1.1, 7.0] {
                let ray = camera.ray(140.0, 90.0);
                let anchor = ray.base + ray.direction * (0.1 * camera.distance);
                let mut zoomed = camera;
                zoomed.zoom(factor, anchor, bounds.radius());
                let p = zoomed.project(anchor).expect("in front of the eye");
                assert!((p.x - 140.0).abs() < 1e-6 && (p.y - 90.0).abs() < 1e-6);
                assert!((zoomed.distance * factor / camera.distance - 1.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn pan_moves_the_target_plane_with_the_pointer() {
        for (camera, _) in cameras() {
            let held = camera.ray(100.0, 60.0).base;
            let mut panned = camera;
            panned.pan(13.0, -7.0);
            let p = panned.project(held).expect("in front of the eye");
            assert!((p.x - 113.0).abs() < 1e-7 && (p.y - 53.0).abs() < 1e-7, "{p}");
        }
    }

    #[test]
    fn orbit_keeps_target_and_distance_and_stops_upright() {
        for (camera, _) in cameras() {
            let mut turned = camera;
            turned.orbit(91.0, 1e6);
            assert_eq!(turned.target, camera.target);
            assert_eq!(turned.distance, camera.distance);
            assert_eq!(turned.pitch, FRAC_PI_2);
            let (right, up, back) = turned.axes();
            assert!(right.z.abs() < 1e-12 && right.cross(up).distance(back) < 1e-12);
        }
    }

    #[test]
    fn facing_a_normal_puts_the_eye_on_its_line() {
        for n in [DVec3::new(0.2, -0.5, 0.7), DVec3::Z, -DVec3::Z, DVec3::X, -DVec3::Y] {
            let mut camera = Camera::default();
            camera.face(n * 3.0);
            assert!(camera.axes().2.distance(n.normalize()) < 1e-9, "{n}");
        }
        let before = Camera::default();
        let mut after = before;
        after.face(DVec3::ZERO);
        assert_eq!(before, after);
    }

    #[test]
    fn named_sides_look_along_the_axes() {
        for (name, back) in
            [("front", -DVec3::X), ("back", DVec3::X), ("left", -DVec3::Y), ("right", DVec3::Y), ("top", DVec3::Z), ("bottom", -DVec3::Z)]
        {
            let mut camera = Camera::default();
            assert!(camera.standard_view(name));
            assert!(camera.axes().2.distance(back) < 1e-12, "{name}");
        }
        assert!(!Camera::default().standard_view("inside"));
    }

    #[test]
    fn a_camera_from_a_link_is_checked() {
        assert!(Camera::default().is_sound());
        for broken in [
            Camera { distance: 0.0, ..Camera::default() },
            Camera { distance: f64::NAN, ..Camera::default() },
            Camera { pitch: 2.0, ..Camera::default() },
            Camera { target: [f64::INFINITY, 0.0, 0.0], ..Camera::default() },
        ] {
            assert!(!broken.is_sound());
        }
    }
}
