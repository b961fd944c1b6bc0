//! The camera: where the eye stands, and what a pixel sees.
//!
//! No browser types, so every rule here is tested natively. Lengths are mm, angles radians,
//! pixels device pixels with the origin at the top left and centres at half integers.
//! The camera keeps the model's z axis upright on the screen (it never rolls).

mod fit;
mod motion;
mod sight;
#[cfg(test)]
mod tests;

pub use motion::wrap_angle;

use crate::bounds::Bounds;
use glam::{DMat4, DVec2, DVec3, DVec4};
use rakelight_core::highlight::Eye;
use serde::{Deserialize, Serialize};
use std::f64::consts::FRAC_PI_2;

/// Vertical opening angle of the perspective view, radians. Larger bends shapes near the
/// frame's edge so that they are misjudged; smaller flattens depth until orbiting is needed to read it.
const OPENING: f64 = 0.5;
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

/// A camera made ready to project many points.
#[derive(Clone, Copy, Debug)]
pub struct Projector {
    camera: Camera,
    axes: (DVec3, DVec3, DVec3),
    half: DVec2,
}

impl Projector {
    /// Pixel position and depth (mm in front of the eye) of a point; `None` behind the eye.
    pub fn project(&self, point: DVec3) -> Option<DVec3> {
        let (camera, (right, up, back)) = (&self.camera, self.axes);
        let from = point - camera.target();
        let depth = camera.distance - back.dot(from);
        let scale = match camera.projection {
            Projection::Perspective if depth <= camera.distance * 1e-9 => return None,
            Projection::Perspective => camera.distance / depth,
            Projection::Orthographic => 1.0,
        };
        let nx = right.dot(from) * scale / self.half.x;
        let ny = up.dot(from) * scale / self.half.y;
        Some(DVec3::new((nx + 1.0) / 2.0 * camera.width, (1.0 - ny) / 2.0 * camera.height, depth))
    }
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

    /// The eye as the stripes' rig knows it.
    pub fn sight(&self) -> Eye {
        match self.projection {
            Projection::Perspective => Eye::At(self.eye()),
            Projection::Orthographic => Eye::Far(self.axes().2),
        }
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

    /// Length in mm of one device pixel at the depth of a point; 0 beside or behind the eye.
    pub fn pixel_at(&self, point: DVec3) -> f64 {
        let depth = self.distance - self.axes().2.dot(point - self.target());
        match self.projection {
            Projection::Perspective => self.pixel_size() * (depth / self.distance).max(0.0),
            Projection::Orthographic => self.pixel_size(),
        }
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
        self.projector().project(point)
    }

    /// What projects many points.
    pub fn projector(&self) -> Projector {
        Projector { camera: *self, axes: self.axes(), half: self.half_extent() }
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
