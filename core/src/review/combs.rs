//! Combs of a model: along and across joins, and on isoparametric curves of faces.

use super::Prepared;
use super::comb::{Comb, Tooth, comb};
use crate::geometry::{Domain, section};
use crate::joins::{Border, JoinGraph, Meeting, Track};
use crate::math::{Interval, Point2, Vec3};
use crate::model::FaceId;

/// Which way sections are taken at a join.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Normal to the join: how the form goes on from one face to the other.
    Across,
    /// Along the join: normal curvature of either face in its direction.
    Along,
}

/// Combs of a join on its first and on its second face, one pair a piece; `spacing` mm between teeth. A border with nothing beside
/// it has a first comb only; none of an unknown join.
pub fn join_combs(prepared: &Prepared, graph: &JoinGraph, join: usize, way: Way, spacing: f64) -> [Vec<Comb>; 2] {
    let sheets = prepared.sheets();
    let mut both = [Vec::new(), Vec::new()];
    for track in graph.tracks(join) {
        let signs = signs(graph, track);
        for (side, (out, sign)) in both.iter_mut().zip(signs).enumerate() {
            let tooth = |x: f64| {
                let Meeting { a, b, .. } = track.at(&sheets, x)?;
                tooth(if side == 0 { &a } else { b.as_ref()? }, way, sign)
            };
            out.extend(comb(spacing, tooth));
        }
    }
    both
}

/// Combs along all borders of a face, on the face; `spacing` mm between teeth.
pub fn border_combs(prepared: &Prepared, graph: &JoinGraph, face: FaceId, spacing: f64) -> Vec<Comb> {
    let own = graph.joins.iter().enumerate().filter(|(_, j)| !j.interior && j.faces.contains(&face));
    let of = |(i, j): (usize, &crate::joins::Join)| {
        let [first, second] = join_combs(prepared, graph, i, Way::Along, spacing);
        let (is_first, is_second) = (j.faces.first() == Some(&face), j.faces.get(1) == Some(&face));
        let first = if is_first { first } else { Vec::new() };
        first.into_iter().chain(if is_second { second } else { Vec::new() })
    };
    own.flat_map(of).collect()
}

/// +1 where the outward side of the first and second face is the one of Su × Sv, else −1. A mirror image turns it over.
fn signs(graph: &JoinGraph, track: &Track) -> [f64; 2] {
    let first = graph.orientation.sign(track.first_face());
    [first, track.second_face().map_or(-first, |f| graph.orientation.sign(f))]
}

fn tooth(border: &Border, way: Way, sign: f64) -> Option<Tooth> {
    let normal = border.normal()? * sign;
    let along = border.along.try_normalize()?;
    let direction = if way == Way::Along { along } else { normal.cross(along).try_normalize()? };
    // Sections that bend towards the outward normal are hollow.
    Some(Tooth { point: border.point(), normal, curvature: -section(&border.derivs, normal, direction)?.curvature })
}

/// Places looked at along an isoparametric curve for where it enters and leaves the face. Smaller: short stretches are missed.
const LOOKS: usize = 128;

/// Combs of the isoparametric curve of constant u (or v) at a share of the face's range from 0 to 1, one a stretch within the
/// face; `spacing` mm between teeth. The curvature is the surface's normal curvature in the curve's direction.
pub fn iso_combs(prepared: &Prepared, graph: &JoinGraph, face: FaceId, of_u: bool, share: f64, spacing: f64) -> Vec<Comb> {
    let (Some(f), Some(domain)) = (prepared.import.model.face(face), prepared.domains.get(face.index()).and_then(Option::as_ref)) else {
        return Vec::new();
    };
    let (bu, bv) = domain.bounds();
    let (fixed, over) = if of_u { (bu.at(share.clamp(0.0, 1.0)), bv) } else { (bv.at(share.clamp(0.0, 1.0)), bu) };
    let uv = |t: f64| if of_u { Point2::new(fixed, t) } else { Point2::new(t, fixed) };
    let sign = graph.orientation.sign(face);
    let at = |t: f64| {
        let p = uv(t);
        let d = f.surface.derivs(p.u, p.v, 2);
        let normal = d.su.cross(d.sv).try_normalize()? * sign;
        let along: Vec3 = if of_u { d.sv } else { d.su };
        Some(Tooth { point: d.s, normal, curvature: -section(&d, normal, along.try_normalize()?)?.curvature })
    };
    stretches(domain, over, uv).into_iter().filter_map(|part| comb(spacing, |x| at(part.at(x)))).collect()
}

/// The parts of an isoparametric curve within a face, their ends on the trims to a 2⁻³⁰th of the way between two looks.
fn stretches(domain: &Domain, over: Interval, uv: impl Fn(f64) -> Point2) -> Vec<Interval> {
    let inside = |t: f64| domain.contains(uv(t));
    // The borders themselves belong to neither side for certain: looks stand within.
    let looks: Vec<f64> = (0..LOOKS).map(|i| over.at((i as f64 + 0.5) / LOOKS as f64)).collect();
    let edge = |mut yes: f64, mut no: f64| {
        for _ in 0..30 {
            let middle = 0.5 * (yes + no);
            if inside(middle) { yes = middle } else { no = middle }
        }
        yes
    };
    let mut all = Vec::new();
    let mut begun: Option<f64> = None;
    let mut before = over.low;
    for t in looks.into_iter().chain([over.high]) {
        let here = t < over.high && inside(t);
        match (here, begun) {
            (true, None) => begun = Some(edge(t, before)),
            (false, Some(from)) => {
                all.push(Interval::new(from, edge(before, t)));
                begun = None;
            }
            _ => {}
        }
        before = t;
    }
    all
}
