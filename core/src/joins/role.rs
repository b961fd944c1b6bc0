//! What faces are for: primaries, transitions between them, details.

use super::FLAT_RADIUS;
use super::join::Join;
use super::judge::Role;
use super::sheets::Sheets;
use crate::geometry::{Surface, curvatures};
use crate::math::{Interval, Point2};
use crate::model::FaceId;

/// How much more a transition is curved than its neighbours are across the join. Larger: soft fillets are held to
/// curvature continuity; smaller: tight panels pass as fillets. Common practice, no source.
const MORE_CURVED: f64 = 3.0;
/// How wide a transition may be, as a share of its neighbours' width. Common practice, no source.
const NARROWER: f64 = 0.5;
/// Part of its perimeter a transition must share with such neighbours: its two long sides, with room for outlines.
const LONG_SIDES: f64 = 0.4;
/// Part of the model's area below which a face is a detail. Common practice, no source.
const SMALL: f64 = 0.01;
/// Angle below which a join is smooth enough to lead over, degrees: the crease limit.
const SMOOTH: f64 = 2.0;
/// Places looked at in each direction for the peak curvature of a patch.
const GRID: usize = 7;

/// The role of every face, in the order of the model. `areas` in mm², one a face.
pub fn roles(sheets: &Sheets<'_>, joins: &[Join], areas: &[f64]) -> Vec<Role> {
    let total: f64 = areas.iter().sum();
    let mut along: Vec<Vec<usize>> = vec![Vec::new(); sheets.model.faces.len()];
    for (i, join) in joins.iter().enumerate().filter(|(_, j)| !j.interior) {
        let mut faces = join.faces.clone();
        faces.dedup();
        for f in faces {
            if let Some(list) = along.get_mut(f.index()) {
                list.push(i);
            }
        }
    }
    let area = |f: FaceId| areas.get(f.index()).copied().unwrap_or(0.0);
    let is_transition = |face: FaceId| {
        let of_face: Vec<&Join> = along.get(face.index()).into_iter().flatten().filter_map(|&i| joins.get(i)).collect();
        // A join of a face with itself lies twice on its perimeter.
        let perimeter: f64 =
            of_face.iter().map(|j| j.length * if j.faces.len() == 2 && j.faces.first() == j.faces.last() { 2.0 } else { 1.0 }).sum();
        let smooth: Vec<&&Join> = of_face.iter().filter(|j| leads_over(j) && j.faces.first() != j.faces.last()).collect();
        if smooth.is_empty() {
            return false;
        }
        let peak = peak_curvature(sheets, face);
        let shared: f64 = smooth
            .iter()
            .filter(|j| {
                let first = j.faces.first() == Some(&face);
                let Some(&other) = (if first { j.faces.last() } else { j.faces.first() }) else { return false };
                let across = j.stations.iter().filter_map(|s| s.measures.curvature).map(|k| if first { k.b.abs() } else { k.a.abs() });
                let beside = across.fold(1.0 / FLAT_RADIUS, f64::max);
                peak >= MORE_CURVED * beside && area(face) < NARROWER * area(other)
            })
            .map(|j| j.length)
            .sum();
        shared >= LONG_SIDES * perimeter
    };
    sheets
        .model
        .faces()
        .map(|(id, _)| {
            if is_transition(id) {
                Role::Transition
            } else if area(id) < SMALL * total {
                Role::Detail
            } else {
                Role::Primary
            }
        })
        .collect()
}

/// True when the surface runs on over a join, at least in part.
fn leads_over(join: &Join) -> bool {
    join.class.runs_on() && join.summaries.angle.is_some_and(|s| s.mean < SMOOTH)
}

/// Largest principal curvature of a face, 1/mm: in closed form, or over a grid of places inside.
pub fn peak_curvature(sheets: &Sheets<'_>, face: FaceId) -> f64 {
    let (Some(f), Some(domain)) = (sheets.face(face), sheets.domain(face)) else { return 0.0 };
    match &f.surface {
        Surface::Plane(_) => return 0.0,
        Surface::Cylinder(s) => return 1.0 / s.radius,
        Surface::Sphere(s) => return 1.0 / s.radius,
        Surface::Torus(s) => return 1.0 / s.minor,
        _ => {}
    }
    let (u, v) = domain.bounds();
    let at = |i: Interval, n: usize| i.at((n as f64 + 0.5) / GRID as f64);
    let places = (0..GRID).flat_map(|i| (0..GRID).map(move |j| (i, j))).map(|(i, j)| Point2::new(at(u, i), at(v, j)));
    let curvature = |p: Point2| {
        let d = f.surface.derivs(p.u, p.v, 2);
        let k = curvatures(&d, d.su.cross(d.sv).try_normalize()?)?;
        Some(k.max.abs().max(k.min.abs()))
    };
    places.filter(|&p| domain.contains(p)).filter_map(curvature).filter(|k| k.is_finite()).fold(0.0, f64::max)
}
