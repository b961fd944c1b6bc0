//! How many mesh cells a surface needs per unit of each parameter, from its derivatives at a point.

use super::Tolerance;
use crate::math::Vec3;
use crate::nurbs::SurfaceDerivs;

/// Cells wanted per unit of u and of v at one place.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Density {
    /// Per unit of u.
    pub u: f64,
    /// Per unit of v.
    pub v: f64,
}

/// Cells wanted at a point with derivatives to order two. Zero along straight directions, and at singular points.
///
/// Along u: the sagitta |Suu·n| h²/8 stays within half the chord limit (the other half is left to v, and to the
/// twist), the normal turns by no more than the angle limit, and the speed |Su| changes by no more than half (so
/// that (u, v) interpolated across a cell stays close to the point seen). A cell is never asked to be smaller than
/// two chord limits: below that no turn can be seen.
pub(super) fn density(d: &SurfaceDerivs, tolerance: &Tolerance) -> Density {
    let cross = d.su.cross(d.sv);
    let area = cross.length();
    // Relative to |Su||Sv| this is the sine between them; below it the normal is rounding noise (a pole or cusp).
    if !area.is_finite() || area <= 1e-9 * d.su.length() * d.sv.length() || area == 0.0 {
        return Density::default();
    }
    let n = cross / area;
    let turn = |change: Vec3| (change - n * change.dot(n)).length() / area;
    let along = |first: Vec3, second: Vec3, turn: f64| {
        let speed = first.length();
        let chord = (second.dot(n).abs() / (4.0 * tolerance.chord)).sqrt();
        let flow = 0.5 * second.length() / speed;
        chord.max(turn / tolerance.angle).max(flow).min(0.5 * speed / tolerance.chord)
    };
    let turn_u = turn(d.suu.cross(d.sv) + d.su.cross(d.suv));
    let turn_v = turn(d.suv.cross(d.sv) + d.su.cross(d.svv));
    Density { u: finite(along(d.su, d.suu, turn_u)), v: finite(along(d.sv, d.svv, turn_v)) }
}

fn finite(x: f64) -> f64 {
    if x.is_finite() { x } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cylinder, Plane, Sphere};
    use crate::math::{Frame, Point3};

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(3.0, -8.0, 1.0), Some(Vec3::new(1.0, 3.0, -2.0)), Some(Vec3::X))
    }

    /// Sagitta of an arc: r (1 − cos(h/2)) ≈ r h²/8.
    #[test]
    fn cells_of_round_surfaces_keep_both_limits() {
        for radius in [0.3, 5.0, 120.0, 9e4] {
            for (chord, angle) in [(1e-4, 3.0), (0.05, 3.0), (1.0, 0.1), (0.01, 0.2)] {
                let t = Tolerance { chord: chord * radius * 0.1, angle, max_triangles: 1000 };
                let c = Cylinder { frame: frame(), radius };
                let got = density(&c.derivs(0.7, 3.0), &t);
                let h = 1.0 / got.u;
                assert!(h <= angle * (1.0 + 1e-12) || h <= 2.0 * t.chord / radius * 1.0001);
                assert!(radius * h * h / 8.0 <= 0.5 * t.chord * (1.0 + 1e-12) || got.u == 0.5 * radius / t.chord);
                assert!(got.v == 0.0, "a generator is straight: {}", got.v);
                let s = Sphere { frame: frame(), radius };
                let got = density(&s.derivs(0.7, 0.3), &t);
                assert!((got.v - 1.0 / h).abs() < 1e-9 * got.v, "a meridian is a great circle");
            }
        }
    }

    #[test]
    fn flat_and_singular_places_want_no_cells() {
        let t = Tolerance::for_size(100.0);
        assert_eq!(density(&Plane { frame: frame() }.derivs(2.0, 5.0), &t), Density::default());
        let pole = Sphere { frame: frame(), radius: 4.0 }.derivs(1.0, core::f64::consts::FRAC_PI_2);
        let d = density(&pole, &t);
        assert!(d.u.is_finite() && d.v.is_finite());
        assert_eq!(density(&SurfaceDerivs::default(), &t), Density::default());
    }
}
