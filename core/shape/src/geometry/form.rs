//! What the colours of a surface can stand for, as functions of its principal curvatures.

use super::{Curvatures, Region, Surface, curvatures};
use crate::math::Point2;

/// A value of form at a point. Signs take convex, seen from the outward side, as positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// Gaussian curvature, 1/mm²: positive on a dome and in a bowl, negative on a saddle, 0 on what unrolls.
    Gaussian,
    /// Mean curvature, 1/mm.
    Mean,
    /// Larger principal curvature, 1/mm: where it is negative all is hollow.
    Max,
    /// Smaller principal curvature, 1/mm: where it is negative something is hollow.
    Min,
    /// Smallest radius of curvature, mm; infinite on a plane.
    Radius,
}

impl Form {
    /// All of them.
    pub const ALL: [Form; 5] = [Form::Gaussian, Form::Mean, Form::Max, Form::Min, Form::Radius];

    /// Its stable lower-case name.
    pub fn name(self) -> &'static str {
        match self {
            Form::Gaussian => "gaussian",
            Form::Mean => "mean",
            Form::Max => "max",
            Form::Min => "min",
            Form::Radius => "radius",
        }
    }

    /// Its value for principal curvatures signed with convex as positive.
    pub fn of(self, k: Curvatures) -> f64 {
        match self {
            Form::Gaussian => k.gaussian(),
            Form::Mean => k.mean(),
            Form::Max => k.max,
            Form::Min => k.min,
            Form::Radius => 1.0 / k.tightest().abs(),
        }
    }
}

/// Principal curvatures of a surface at (u, v), convex seen from the outward side as positive. `side` is +1 where that side is the
/// one of Su × Sv, else −1. None where the surface has no tangent plane.
pub fn convexity(surface: &Surface, uv: Point2, side: f64) -> Option<Curvatures> {
    let d = surface.derivs(uv.u, uv.v, 2);
    let normal = d.su.cross(d.sv).try_normalize()?;
    // Curvature counts as positive where sections bend towards the normal given: here the inward one.
    curvatures(&d, normal * -side)
}

/// Curvature at a place, and the area it stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormSample {
    /// Where, in the surface's parameters.
    pub uv: Point2,
    /// Principal curvatures there, 1/mm, convex as positive.
    pub curvatures: Curvatures,
    /// mm².
    pub area: f64,
}

/// Curvatures at the inner places of a grid of `lines` × `lines` over a region; `side` as for [`convexity`].
pub fn form_samples(surface: &Surface, region: &Region, lines: usize, side: f64) -> Vec<FormSample> {
    let (bu, bv) = region.bounds();
    let share = |i: usize| (i as f64 + 0.5) / lines as f64;
    let cell = bu.length() * bv.length() / (lines * lines) as f64;
    let places = (0..lines).flat_map(|i| (0..lines).map(move |j| Point2::new(bu.at(share(i)), bv.at(share(j)))));
    places
        .filter(|&uv| region.contains(uv))
        .filter_map(|uv| {
            let d = surface.derivs(uv.u, uv.v, 2);
            let across = d.su.cross(d.sv);
            let curvatures = curvatures(&d, across.try_normalize()? * -side)?;
            Some(FormSample { uv, curvatures, area: across.length() * cell })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cylinder, Domain, Plane, Sphere, Torus};
    use crate::math::{Frame, Interval, Point3, Vec3, real};
    use crate::nurbs::{self, KnotVector};

    fn frame() -> Frame {
        Frame::from_axis(Point3::new(11.0, -7.0, 5.0), Some(Vec3::new(1.0, 2.0, 3.0)), Some(Vec3::new(0.3, -1.0, 0.2)))
    }

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-11 * want.abs().max(1e-3), "{got} against {want}");
    }

    /// A ball seen from outside is convex all over; do Carmo, *Differential Geometry of Curves and Surfaces*, §3.3.
    #[test]
    fn a_sphere_is_convex_outside_and_hollow_inside() {
        let ball = Surface::Sphere(Sphere { frame: frame(), radius: 12.0 });
        for side in [1.0, -1.0] {
            let k = convexity(&ball, Point2::new(0.7, -0.4), side).unwrap();
            let want = [1.0 / 144.0, side / 12.0, side / 12.0, side / 12.0, 12.0];
            Form::ALL.iter().zip(want).for_each(|(f, w)| close(f.of(k), w));
        }
    }

    /// K = cos v / (r (R + r cos v)), do Carmo §3.3, example 5.
    #[test]
    fn a_torus_is_a_saddle_within() {
        let (major, minor) = (20.0, 6.0);
        let ring = Surface::Torus(Torus { frame: frame(), major, minor });
        for v in [-2.9, -1.3, 0.2, 1.1, 2.4] {
            let k = convexity(&ring, Point2::new(0.9, v), 1.0).unwrap();
            let around = real::cos(v) / (major + minor * real::cos(v));
            close(Form::Gaussian.of(k), around / minor);
            close(Form::Mean.of(k), 0.5 * (around + 1.0 / minor));
            close(Form::Max.of(k), 1.0 / minor);
            close(Form::Min.of(k), around);
            close(Form::Radius.of(k), minor);
        }
    }

    /// z = x y: K = −1/(1 + x² + y²)², H = −x y/(1 + x² + y²)^(3/2) against the upward normal (do Carmo §3.3, example 6: the graph of
    /// a function); convex seen from above is the opposite sign.
    #[test]
    fn a_saddle_has_its_closed_form() {
        let knots = || KnotVector::bezier(1).unwrap();
        let net = [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)].map(|(x, y)| Point3::new(x, y, x * y));
        let saddle = Surface::Nurbs(nurbs::Surface::new(knots(), knots(), net.to_vec(), None).unwrap());
        for (x, y) in [(0.0, 0.0), (0.5, -0.25), (-0.75, -0.5), (0.9, 0.3)] {
            let uv = Point2::new(0.5 * (x + 1.0), 0.5 * (y + 1.0));
            let k = convexity(&saddle, uv, 1.0).unwrap();
            let w = 1.0 + x * x + y * y;
            close(Form::Gaussian.of(k), -1.0 / (w * w));
            close(Form::Mean.of(k), x * y / (w * w.sqrt()));
            assert!(k.min < 0.0 && k.max > 0.0);
        }
    }

    #[test]
    fn what_unrolls_has_no_gaussian_curvature_and_a_plane_no_radius() {
        let rod = convexity(&Surface::Cylinder(Cylinder { frame: frame(), radius: 8.0 }), Point2::new(0.3, 2.0), 1.0).unwrap();
        close(Form::Gaussian.of(rod), 0.0);
        close(Form::Radius.of(rod), 8.0);
        let flat = convexity(&Surface::Plane(Plane { frame: frame() }), Point2::new(0.3, 2.0), 1.0).unwrap();
        assert_eq!(Form::Radius.of(flat), f64::INFINITY);
    }

    /// Area of a zone of a sphere: r² Δφ (sin b − sin a) (Archimedes).
    #[test]
    fn samples_stand_for_the_area() {
        let ball = Surface::Sphere(Sphere { frame: frame(), radius: 12.0 });
        let domain = Domain::rectangle(&ball, Interval::new(0.1, 1.9), Interval::new(-0.4, 1.2)).unwrap();
        let all = form_samples(&ball, &Region::new(&domain), 40, 1.0);
        assert_eq!(all.len(), 1600);
        let want = 144.0 * 1.8 * (real::sin(1.2) - real::sin(-0.4));
        let got: f64 = all.iter().map(|s| s.area).sum();
        assert!((got - want).abs() < 1e-3 * want, "{got} against {want}");
        all.iter().for_each(|s| close(s.curvatures.min, 1.0 / 12.0));
    }
}
