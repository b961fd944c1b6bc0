//! How the camera is moved: by drags, by the wheel, onto a face, to a named side.

use super::Camera;
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, PI};

/// Nearest and farthest distance from eye to target in units of the model's radius. Beyond
/// these bounds single-precision depth no longer tells the faces apart.
const DISTANCE_RANGE: (f64, f64) = (1e-5, 1e3);

impl Camera {
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
}

/// The same angle between −π and π.
pub fn wrap_angle(angle: f64) -> f64 {
    let turns = (angle / (2.0 * PI)).round();
    angle - turns * 2.0 * PI
}
