//! The wheel-arch lip: a rolled fillet along the cheek's lower edge and a flange that follows it inwards.

use super::fit::{even_knots, surface, through};
use super::patch::Patch;
use crate::math::Vec3;
use crate::nurbs;

/// Setbacks of the fillet everywhere but at a seeded fault, mm: the radius of its circular section.
pub(super) const SETBACK: f64 = 7.0;
/// Width of the flange, mm: more than twice the fillet, so that the fillet reads as the transition.
const FLANGE: f64 = 32.0;
/// Spans along a lip. Fewer: its first row leaves the cheek's tangent plane by more than 0.001°; more: needless.
const SPANS: usize = 6;

/// The lip of one cheek patch along u = 1: fillet and flange, both with u from the cheek on and v along it.
///
/// `setbacks(v)` gives the distances of the fillet's two edges from the theoretical edge, in the cheek and in the
/// flange. The section is the quarter ellipse with these half-axes, a circle where they are equal.
pub(super) fn lip(cheek: &Patch, setbacks: impl Fn(f64) -> (f64, f64)) -> (nurbs::Surface, nurbs::Surface) {
    let knots = even_knots(SPANS);
    let row = |k: usize| through(&knots, |v| section(cheek, v, setbacks(v))[k]);
    let rows = [row(0), row(1), row(2), row(3)];
    let quarter = [1.0, core::f64::consts::FRAC_1_SQRT_2, 1.0];
    (surface(&rows[0..3], Some(&quarter), &knots), surface(&rows[2..4], None, &knots))
}

/// Control points across the lip at v.
fn section(cheek: &Patch, v: f64, (a, b): (f64, f64)) -> [Vec3; 4] {
    let d = cheek.derivs(1.0, v);
    let along = d.sv.normalize();
    let leaving = (d.su - along * along.dot(d.su)).normalize();
    let inward = d.su.cross(d.sv).normalize();
    let edge = d.s.to_vec();
    let corner = edge + leaving * a;
    [edge, corner, corner + inward * b, corner + inward * (b + FLANGE)]
}
