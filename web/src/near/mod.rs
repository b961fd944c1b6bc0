//! Faces seen near: each gets a base point on itself, and its surface written as what it does beyond the tangent plane
//! there.
//!
//! Single precision keeps seven digits of the numbers it is given. Two hundred times nearer than fitted, the turn of a
//! nearly flat panel's normal over one pixel is the eighth digit of the normal itself, but the first digit of its turn
//! away from the base's. So the shaders are given and leave only differences from a base that is known in double
//! precision, and the stripe function's value there is taken in double precision too.

mod bend;
mod window;

pub use bend::{Bend, SplineBend};

use crate::camera::Camera;
use crate::scene::SceneFace;
use glam::DVec3;
use rakelight_core::geometry::Surface;
use window::Window;

/// How many pixels a face, or its distance from the scene's origin, must measure before it is drawn from a base.
/// Single precision tells 2²⁴ places over it: a pixel is 4096 of them here, and with the hundred steps of an evaluation
/// 1/40 of a pixel is kept on radii up to the face's own size, 1/8 on radii of several times that. Larger leaves edges
/// of stripes on flat faces to rounding; smaller makes bases where nobody sees a difference.
const FAR: f64 = 4096.0;

/// A face as it is seen from near.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// Point of the surface near the middle of what is seen, mm.
    pub base: DVec3,
    /// Unit normal there, to the face's outward side.
    pub normal: DVec3,
    /// The surface relative to both.
    pub bend: Bend,
}

impl Near {
    /// The face seen by a camera from so near that it needs a base; `None` for one that does not, that is not in the
    /// frame, or that has no exact surface.
    pub fn of(face: &SceneFace, scene_origin: DVec3, camera: &Camera) -> Option<Near> {
        let reach = (2.0 * face.bounds.radius()).max(face.origin().distance(scene_origin));
        let finest = face.bounds.corners().map(|corner| camera.pixel_at(corner)).into_iter().fold(f64::INFINITY, f64::min);
        if reach < FAR * finest {
            return None;
        }
        let window = Window::of(face, camera)?;
        let surface = face.surface()?;
        let at = surface.derivs(window.middle[0], window.middle[1], 1);
        let cross = at.su.cross(at.sv);
        // Where the two directions fall together (a collapsed side) there is no tangent plane to start from.
        let least = 1e-6 * at.su.length() * at.sv.length();
        if cross.length() <= least || !cross.is_finite() {
            return None;
        }
        let base = at.s.to_vec();
        if reach < FAR * camera.pixel_at(base) {
            return None;
        }
        let side = if face.packet.reversed { -1.0 } else { 1.0 };
        let normal = cross.normalize() * side;
        let bend = match surface {
            Surface::Nurbs(spline) => Bend::Spline(SplineBend::of(spline, &window, &at, &face.packet.uv_box, side)?),
            _ => bend::analytic(surface, base, normal)?,
        };
        Some(Near { base, normal, bend })
    }
}
