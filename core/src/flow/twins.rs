//! A stripe edge of a face beside the same edge of its fair reference.

use super::face_trace::Piece;
use super::reading::Reading;
use super::smooth::{Node, onto};
use super::walk::Stop;
use crate::geometry::Surface;
use crate::highlight::LampRig;
use crate::math::{Point2, Point3};
use crate::model::FaceId;

/// A place on a stripe edge, with the place across from it on the edge of the same value on the reference, its twin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twin {
    /// On the face; its normal is that of Su × Sv.
    pub own: Stop,
    /// There, in the face's parameters.
    pub uv: Point2,
    /// On the reference, nearest to it along the twin.
    pub fair: Stop,
    /// From the twin to the edge across it, mm, positive to the left of the twin seen against its Su × Sv.
    pub across: f64,
}

/// Value error accepted, as a share of the lamp spacing.
const SMALL: f64 = 1e-12;

/// Steps to the place on the twin straight across. Each removes what is left along it to first order.
const STEPS: usize = 6;

/// `places` steps of even length along the edge `piece`, traced on the `surface` of `face`, beside its twin on `reference`, a
/// surface over nearly the same parameters. Places whose twin is not found are left out.
pub fn twins(rig: &LampRig, (face, surface): (FaceId, &Surface), piece: &Piece, reference: &Surface, places: usize) -> Vec<Twin> {
    let small = SMALL * rig.spacing;
    let on = |s: &Surface, start: Point2| onto(start, piece.value, small, &|uv| Reading::at(rig, &s.derivs(uv.u, uv.v, 3)));
    let mut all: Vec<Twin> = Vec::new();
    for start in even(piece, places) {
        let Some(own) = on(surface, start) else { continue };
        let point = own.reading.derivs.s;
        let Some(twin) = facing(point, own.uv, &|start| on(reference, start)) else { continue };
        let gone = |of: fn(&Twin) -> &Stop, to: Point3| all.last().map(of).map_or(0.0, |s| s.along + s.point.distance(to));
        let (along, beside) = (gone(|t| &t.own, point), gone(|t| &t.fair, twin.reading.derivs.s));
        let (Some(own_stop), Some(fair)) = (stop(rig, face, &own, along), stop(rig, face, &twin, beside)) else { continue };
        let across = (point - fair.point).dot(fair.normal.cross(fair.tangent));
        all.push(Twin { own: own_stop, uv: own.uv, fair, across });
    }
    all
}

/// Parameters at even steps along the straight lines between the points of a piece, both ends included.
fn even(piece: &Piece, places: usize) -> Vec<Point2> {
    let mut lengths = vec![0.0];
    for w in piece.points.windows(2) {
        lengths.push(lengths.last().copied().unwrap_or(0.0) + w[0].distance(w[1]));
    }
    let whole = lengths.last().copied().unwrap_or(0.0);
    let at = |k: usize| {
        let wanted = whole * k as f64 / places.max(1) as f64;
        let after = lengths.partition_point(|&l| l < wanted).clamp(1, lengths.len().max(2) - 1);
        let (l0, l1) = (*lengths.get(after - 1)?, *lengths.get(after)?);
        let (a, b) = (piece.uv.get(after - 1)?, piece.uv.get(after)?);
        let t = if l1 > l0 { (wanted - l0) / (l1 - l0) } else { 0.0 };
        Some(Point2::new(a.u + (b.u - a.u) * t, a.v + (b.v - a.v) * t))
    };
    (0..=places).filter_map(at).collect()
}

/// The place on the twin nearest to a point.
fn facing(point: Point3, start: Point2, on: &dyn Fn(Point2) -> Option<Node>) -> Option<Node> {
    let mut node = on(start)?;
    for _ in 0..STEPS {
        let (d, stripe) = (node.reading.derivs, node.reading.stripe()?);
        let left = (point - d.s).dot(stripe.tangent);
        if left.abs() < 1e-9 {
            break;
        }
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        let step = stripe.tangent * left;
        let (a, b) = (step.dot(d.su), step.dot(d.sv));
        node = on(Point2::new(node.uv.u + (g * a - f * b) / det, node.uv.v + (e * b - f * a) / det))?;
    }
    Some(node)
}

fn stop(rig: &LampRig, face: FaceId, node: &Node, along: f64) -> Option<Stop> {
    let (d, r) = (&node.reading.derivs, &node.reading);
    let normal = d.su.cross(d.sv).try_normalize()?;
    Some(Stop { along, point: d.s, face, tangent: r.stripe()?.tangent, normal, spacing: rig.spacing / r.gradient()?.length() })
}
