//! Surfaces of every kind.

use super::{Cone, Cylinder, Plane, Sphere, Torus};
use crate::math::{Frame, Interval, Point3, Similarity, Vec3, real};
use crate::nurbs::{self, SurfaceDerivs};

/// A surface S(u, v), mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Surface {
    /// Flat.
    Plane(Plane),
    /// Circular cylinder.
    Cylinder(Cylinder),
    /// Circular cone.
    Cone(Cone),
    /// Sphere.
    Sphere(Sphere),
    /// Torus.
    Torus(Torus),
    /// Spline patch.
    Nurbs(nurbs::Surface),
}

/// The kinds of surface, for counting and naming.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // named as the variants of `Surface`
pub enum SurfaceKind {
    Plane,
    Cylinder,
    Cone,
    Sphere,
    Torus,
    Nurbs,
}

impl SurfaceKind {
    /// The stable lower-case name used in output.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plane => "plane",
            Self::Cylinder => "cylinder",
            Self::Cone => "cone",
            Self::Sphere => "sphere",
            Self::Torus => "torus",
            Self::Nurbs => "nurbs",
        }
    }
}

impl Surface {
    /// Which kind it is.
    pub fn kind(&self) -> SurfaceKind {
        match self {
            Self::Plane(_) => SurfaceKind::Plane,
            Self::Cylinder(_) => SurfaceKind::Cylinder,
            Self::Cone(_) => SurfaceKind::Cone,
            Self::Sphere(_) => SurfaceKind::Sphere,
            Self::Torus(_) => SurfaceKind::Torus,
            Self::Nurbs(_) => SurfaceKind::Nurbs,
        }
    }

    /// Position and partial derivatives up to total `order` ≤ 3. Analytic kinds always give all.
    pub fn derivs(&self, u: f64, v: f64, order: usize) -> SurfaceDerivs {
        match self {
            Self::Plane(s) => s.derivs(u, v),
            Self::Cylinder(s) => s.derivs(u, v),
            Self::Cone(s) => s.derivs(u, v),
            Self::Sphere(s) => s.derivs(u, v),
            Self::Torus(s) => s.derivs(u, v),
            Self::Nurbs(s) => s.derivs(u, v, order),
        }
    }

    /// Position, mm.
    pub fn point(&self, u: f64, v: f64) -> Point3 {
        self.derivs(u, v, 0).s
    }

    /// Unit normal Su × Sv; None where the two are parallel or vanish.
    pub fn normal(&self, u: f64, v: f64) -> Option<Vec3> {
        let d = self.derivs(u, v, 1);
        d.su.cross(d.sv).try_normalize()
    }

    /// Parameter domain in u and v; unbounded for planes and along cylinders and cones.
    pub fn domain(&self) -> (Interval, Interval) {
        let turn = Interval::new(0.0, real::TAU);
        match self {
            Self::Plane(_) => (Interval::ALL, Interval::ALL),
            Self::Cylinder(_) | Self::Cone(_) => (turn, Interval::ALL),
            Self::Sphere(_) => (turn, Interval::new(-real::FRAC_PI_2, real::FRAC_PI_2)),
            Self::Torus(_) => (turn, turn),
            Self::Nurbs(s) => s.domain(),
        }
    }

    /// Periods in u and v of the analytic kinds. Closed spline patches are not periodic: their seam is a boundary.
    pub fn periods(&self) -> (Option<f64>, Option<f64>) {
        match self {
            Self::Plane(_) | Self::Nurbs(_) => (None, None),
            Self::Cylinder(_) | Self::Cone(_) | Self::Sphere(_) => (Some(real::TAU), None),
            Self::Torus(_) => (Some(real::TAU), Some(real::TAU)),
        }
    }

    /// The image under a similarity, with (u, v) of a point scaled by the returned factors: lengths among the
    /// parameters scale, angles and spline parameters stay. Under a reflection Su × Sv turns round.
    pub fn transformed(&self, by: &Similarity) -> (Surface, (f64, f64)) {
        let k = by.scale;
        match self {
            Self::Plane(s) => (Self::Plane(Plane { frame: moved(&s.frame, by) }), (k, k)),
            Self::Cylinder(s) => (Self::Cylinder(Cylinder { frame: moved(&s.frame, by), radius: s.radius * k }), (1.0, k)),
            Self::Cone(s) => (Self::Cone(Cone { frame: moved(&s.frame, by), radius: s.radius * k, half_angle: s.half_angle }), (1.0, k)),
            Self::Sphere(s) => (Self::Sphere(Sphere { frame: moved(&s.frame, by), radius: s.radius * k }), (1.0, 1.0)),
            Self::Torus(s) => (Self::Torus(Torus { frame: moved(&s.frame, by), major: s.major * k, minor: s.minor * k }), (1.0, 1.0)),
            Self::Nurbs(s) => (Self::Nurbs(s.map(|p| by.point(p))), (1.0, 1.0)),
        }
    }
}

/// The frame carried along; left-handed after a reflection, so that parameters keep their meaning.
pub(super) fn moved(f: &Frame, by: &Similarity) -> Frame {
    Frame { origin: by.point(f.origin), x: by.direction(f.x), y: by.direction(f.y), z: by.direction(f.z) }
}
