//! The stripe function at a point of a surface, with its derivatives: gradient on the surface, tangent and curvature of
//! the stripe.

use crate::highlight::{Family, LampRig, Pierce, pierce, stripe_of};
use crate::math::{Jet2, Vec2, Vec3};
use crate::nurbs::SurfaceDerivs;

/// The stripe function at one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Value, gradient and Hessian in (u, v); value in the unit of the rig's spacing.
    pub f: Jet2,
    /// The surface there, to order three.
    pub derivs: SurfaceDerivs,
}

/// The line of constant value through a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stripe {
    /// Unit tangent; values rise on its left, seen against Su × Sv.
    pub tangent: Vec3,
    /// Curvature vector, 1/mm, square to the tangent.
    pub curvature: Vec3,
}

impl Reading {
    /// Reads the stripe function; `derivs` to order three, which second derivatives of the normal need. None where the
    /// function is not defined ([`crate::highlight::stripe_value`]).
    pub fn at(rig: &LampRig, derivs: &SurfaceDerivs) -> Option<Self> {
        let d = derivs;
        let point = jets(d.s.to_vec(), [d.su, d.sv, d.suu, d.suv, d.svv]);
        let su = jets(d.su, [d.suu, d.suv, d.suuu, d.suuv, d.suvv]);
        let sv = jets(d.sv, [d.suv, d.svv, d.suuv, d.suvv, d.svvv]);
        let normal = [su[1] * sv[2] - su[2] * sv[1], su[2] * sv[0] - su[0] * sv[2], su[0] * sv[1] - su[1] * sv[0]];
        let f = stripe_of(rig, point, normal).filter(|f| f.f.is_finite())?;
        Some(Self { f, derivs: *derivs })
    }

    /// The move in (u, v) that raises the value by `rise`, to first order, by the shortest way on the surface. None
    /// where the value does not change to first order, or Su and Sv are parallel.
    pub fn climb(&self, rise: f64) -> Option<Vec2> {
        let (way, square) = self.steepest()?;
        Some(way * (rise / square))
    }

    /// The gradient on the surface as a tangent vector, change of value per mm. None as for [`Reading::climb`].
    pub fn gradient(&self) -> Option<Vec3> {
        let (way, _) = self.steepest()?;
        Some(self.derivs.su * way.x + self.derivs.sv * way.y)
    }

    /// Tangent and curvature of the stripe. None as for [`Reading::climb`].
    pub fn stripe(&self) -> Option<Stripe> {
        let (f, d) = (&self.f, &self.derivs);
        let along = d.su * f.v - d.sv * f.u;
        let speed = along.length();
        let (u, v) = (f.v / speed, -f.u / speed);
        let tangent = along / speed;
        // By arc length: fu u″ + fv v″ = −(fuu u′² + 2 fuv u′v′ + fvv v′²) keeps to the line, and
        // t·(Su u″ + Sv v″) = −t·(Suu u′² + 2 Suv u′v′ + Svv v′²) keeps to its length.
        let bend = d.suu * (u * u) + d.suv * (2.0 * u * v) + d.svv * (v * v);
        let right = -(f.uu * u * u + 2.0 * f.uv * u * v + f.vv * v * v);
        let (a, b) = (tangent.dot(d.su), tangent.dot(d.sv));
        let det = f.u * b - f.v * a;
        let length = -tangent.dot(bend);
        let (uu, vv) = ((right * b - length * f.v) / det, (f.u * length - a * right) / det);
        let curvature = bend + d.su * uu + d.sv * vv;
        (tangent.is_finite() && curvature.is_finite()).then_some(Stripe { tangent, curvature })
    }

    /// Direction of steepest rise in (u, v), G⁻¹ ∇f, and the square of the rise per mm.
    fn steepest(&self) -> Option<(Vec2, f64)> {
        let (f, d) = (&self.f, &self.derivs);
        let (e, m, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - m * m;
        // Relative to e·g this is the squared sine between Su and Sv.
        if det.is_nan() || det <= 1e-24 * e * g {
            return None;
        }
        let way = Vec2::new((g * f.u - m * f.v) / det, (e * f.v - m * f.u) / det);
        let square = way.x * f.u + way.y * f.v;
        (square.is_finite() && square > 0.0).then_some((way, square))
    }
}

/// The stripe function at a point as what is above a value and what below: smooth along the horizon too, where the
/// function itself runs to infinity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    level: Level,
    /// The function; None where it is not defined.
    pub reading: Option<Reading>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Level {
    Angle(f64),
    Place(Pierce<f64>),
    Nothing,
}

impl Sample {
    /// Samples; `derivs` to order three.
    pub fn at(rig: &LampRig, derivs: &SurfaceDerivs) -> Self {
        let reading = Reading::at(rig, derivs);
        let level = match rig.family {
            Family::Isophote => reading.map_or(Level::Nothing, |r| Level::Angle(r.f.f)),
            _ => {
                let normal = derivs.su.cross(derivs.sv);
                match normal.try_normalize().filter(|_| derivs.s.is_finite()) {
                    Some(n) => Level::Place(pierce(rig, derivs.s.to_vec().to_array(), n.to_array())),
                    None => Level::Nothing,
                }
            }
        };
        Self { level, reading }
    }

    /// Above zero on one side of the line of value c, below on the other; None without a normal.
    pub fn excess(&self, c: f64) -> Option<f64> {
        match &self.level {
            Level::Angle(f) => Some(f - c),
            Level::Place(p) => Some(p.excess(c)),
            Level::Nothing => None,
        }
    }

    /// On which side of the horizon, where values run from one infinity to the other.
    pub fn is_facing(&self) -> bool {
        !matches!(&self.level, Level::Place(p) if p.towards < 0.0)
    }
}

/// The components of a vector that depends on (u, v) as jets: value, then by u, v, uu, uv, vv.
fn jets(f: Vec3, by: [Vec3; 5]) -> [Jet2; 3] {
    let [u, v, uu, uv, vv] = by.map(|d| d.to_array());
    let f = f.to_array();
    core::array::from_fn(|k| Jet2 { f: f[k], u: u[k], v: v[k], uu: uu[k], uv: uv[k], vv: vv[k] })
}
