//! Surfaces of every kind.

use super::{Cone, Cylinder, Extrusion, Offset, Plane, Revolution, Ruled, Sphere, Torus};
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
    /// A curve turned about an axis.
    Revolution(Revolution),
    /// A curve pushed along a direction.
    Extrusion(Extrusion),
    /// Straight lines between two curves.
    Ruled(Ruled),
    /// At a distance from another surface.
    Offset(Offset),
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
    Revolution,
    Extrusion,
    Ruled,
    Offset,
}

/// Parameters where spans meet, each with whether the surface may have a crease there.
pub type Spans = Vec<(f64, bool)>;

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
            Self::Revolution => "revolution",
            Self::Extrusion => "extrusion",
            Self::Ruled => "ruled",
            Self::Offset => "offset",
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
            Self::Revolution(_) => SurfaceKind::Revolution,
            Self::Extrusion(_) => SurfaceKind::Extrusion,
            Self::Ruled(_) => SurfaceKind::Ruled,
            Self::Offset(_) => SurfaceKind::Offset,
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
            Self::Revolution(s) => s.derivs(u, v, order),
            Self::Extrusion(s) => s.derivs(u, v, order),
            Self::Ruled(s) => s.derivs(u, v, order),
            Self::Offset(s) => s.derivs(u, v, order),
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

    /// Parameter domain in u and v; unbounded for planes and along cylinders, cones, extrusions and profiles without end.
    pub fn domain(&self) -> (Interval, Interval) {
        let turn = Interval::new(0.0, real::TAU);
        match self {
            Self::Plane(_) => (Interval::ALL, Interval::ALL),
            Self::Cylinder(_) | Self::Cone(_) => (turn, Interval::ALL),
            Self::Sphere(_) => (turn, Interval::new(-real::FRAC_PI_2, real::FRAC_PI_2)),
            Self::Torus(_) => (turn, turn),
            Self::Nurbs(s) => s.domain(),
            Self::Revolution(s) => (turn, s.range),
            Self::Extrusion(s) => (s.range, Interval::ALL),
            Self::Ruled(_) => (Interval::new(0.0, 1.0), Interval::new(0.0, 1.0)),
            Self::Offset(s) => s.basis.domain(),
        }
    }

    /// Periods in u and v where the parameter runs on for ever: angles, and closed conics swept whole. Closed spline
    /// patches, and surfaces swept by closed splines, are not periodic: their seam is a boundary.
    pub fn periods(&self) -> (Option<f64>, Option<f64>) {
        match self {
            Self::Plane(_) | Self::Nurbs(_) | Self::Ruled(_) => (None, None),
            Self::Revolution(s) => (Some(real::TAU), s.period()),
            Self::Extrusion(s) => (s.period(), None),
            Self::Offset(s) => s.basis.periods(),
            Self::Cylinder(_) | Self::Cone(_) | Self::Sphere(_) => (Some(real::TAU), None),
            Self::Torus(_) => (Some(real::TAU), Some(real::TAU)),
        }
    }

    /// Parameters in u and in v at which smoothness may break: inner knots, and breaks of swept curves. Rising, ends
    /// left out.
    pub fn breaks(&self) -> (Vec<f64>, Vec<f64>) {
        let (u, v) = self.spans();
        let places = |all: Vec<(f64, bool)>| all.into_iter().map(|(t, _)| t).collect();
        (places(u), places(v))
    }

    /// As [`Surface::breaks`], each with whether the tangent plane may jump there (a crease).
    pub fn spans(&self) -> (Spans, Spans) {
        let inner = |k: &nurbs::KnotVector| k.interior().into_iter().map(|(t, m)| (t, m >= k.degree())).collect();
        match self {
            Self::Plane(_) | Self::Cylinder(_) | Self::Cone(_) | Self::Sphere(_) | Self::Torus(_) => (Vec::new(), Vec::new()),
            Self::Nurbs(s) => (inner(s.knots_u()), inner(s.knots_v())),
            Self::Revolution(s) => (Vec::new(), s.profile.spans_between(s.range.low, s.range.high)),
            Self::Extrusion(s) => (s.directrix.spans_between(s.range.low, s.range.high), Vec::new()),
            Self::Ruled(s) => (s.breaks(), Vec::new()),
            Self::Offset(s) => s.basis.spans(),
        }
    }

    /// Bounds of the search for feet on surfaces without a closed form: the domain, unbounded in periodic directions.
    /// None for planes, cylinders, cones, spheres and tori, whose feet are closed forms.
    pub(crate) fn limits(&self) -> Option<(Interval, Interval)> {
        match self {
            Self::Plane(_) | Self::Cylinder(_) | Self::Cone(_) | Self::Sphere(_) | Self::Torus(_) => None,
            _ => {
                let ((u, v), (pu, pv)) = (self.domain(), self.periods());
                Some((if pu.is_some() { Interval::ALL } else { u }, if pv.is_some() { Interval::ALL } else { v }))
            }
        }
    }

    /// The point at the parameters nearest to (u, v) at which a patch is defined; surfaces without borders are not held.
    /// Beyond its border a patch's polynomials run away, so that distances to them there say nothing.
    pub(crate) fn held_point(&self, u: f64, v: f64) -> Point3 {
        match self.limits() {
            Some((within_u, within_v)) => self.point(within_u.clamp(u), within_v.clamp(v)),
            None => self.point(u, v),
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
            Self::Revolution(s) => {
                let profile = Box::new(s.profile.transformed(by));
                (Self::Revolution(Revolution { frame: moved(&s.frame, by), profile, range: s.range }), (1.0, 1.0))
            }
            Self::Extrusion(s) => {
                let directrix = Box::new(s.directrix.transformed(by));
                (Self::Extrusion(Extrusion { directrix, direction: by.vector(s.direction), range: s.range }), (1.0, 1.0))
            }
            Self::Ruled(s) => {
                let (first, second) = (Box::new(s.first.transformed(by)), Box::new(s.second.transformed(by)));
                (Self::Ruled(Ruled { first, second, ..s.clone() }), (1.0, 1.0))
            }
            Self::Offset(s) => {
                let (basis, factors) = s.basis.transformed(by);
                // The basis's Su × Sv has turned round under a reflection.
                let distance = if by.is_reflection() { -s.distance * k } else { s.distance * k };
                (Self::Offset(Offset { basis: Box::new(basis), distance }), factors)
            }
        }
    }
}

/// The frame carried along; left-handed after a reflection, so that parameters keep their meaning.
pub(super) fn moved(f: &Frame, by: &Similarity) -> Frame {
    Frame { origin: by.point(f.origin), x: by.direction(f.x), y: by.direction(f.y), z: by.direction(f.z) }
}
