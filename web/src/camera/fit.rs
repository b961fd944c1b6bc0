//! Where the camera must stand so that the frame just holds the model.

use super::{Camera, OPENING, Projection};
use glam::DVec3;

/// Share of the frame that a fitted model leaves free at the tighter side. Smaller lets the
/// outline touch the frame; larger wastes pixels that stripes need.
pub(super) const FIT_MARGIN: f64 = 0.08;
impl Camera {
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
}
