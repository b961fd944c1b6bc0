//! The remedy of a row whose control points are unevenly spread.

use super::ground::Ground;
use super::refit::{face_of, few_spans, smallest};
use super::turn::least;
use super::{NoRemedy, Remedy};
use crate::finding::Finding;
use crate::math::Vec3;
use crate::measure::{Subject, row_readings};
use crate::nurbs::Surface;
use crate::trial::{Drag, Edit};

/// The control point slid along its row to where the rows through it are most even, sides kept; where one point cannot, another net.
pub(super) fn evened(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let ground = Ground::new(subject, face_of(finding)?)?;
    let mut all = slid(&ground).into_iter().collect::<Vec<_>>();
    all.push(smallest(&ground));
    all.extend(few_spans(&ground));
    Ok(all)
}

/// The largest unevenness of any row of a net.
fn unevenness(patch: &Surface) -> f64 {
    [true, false].iter().flat_map(|&u| row_readings(patch, u)).filter_map(|r| r.evenness).fold(0.0, f64::max)
}

fn with(patch: &Surface, index: usize, by: Vec3) -> Option<Surface> {
    let points = patch.points().iter().enumerate().map(|(k, &p)| if k == index { p + by } else { p }).collect();
    Surface::new(patch.knots_u().clone(), patch.knots_v().clone(), points, patch.weights().map(<[f64]>::to_vec)).ok()
}

/// The one move along the most uneven row that evens the net most.
fn slid(ground: &Ground) -> Option<Remedy> {
    let patch = &ground.patch;
    let columns = patch.size().1;
    let rows = [true, false].into_iter().flat_map(|u| row_readings(patch, u));
    let row = rows.filter(|r| r.evenness.is_some()).reduce(|a, b| if b.evenness > a.evenness { b } else { a })?;
    let leg = row.bends.iter().position(|b| b.is_some_and(|b| Some(b.abs()) == row.evenness))?;
    let start = unevenness(patch);
    let mut best: Option<(f64, (usize, usize), Vec3)> = None;
    for at in leg.saturating_sub(1)..=leg + 2 {
        let point = if row.along_u { (at, row.index) } else { (row.index, at) };
        let (Some(&p), true) = (row.points.get(at), ground.moves(point, None)) else { continue };
        let ends = [at.checked_sub(1), at.checked_add(1)].map(|i| row.points.get(i?).copied());
        let [Some(before), Some(after)] = ends else { continue };
        let reach = p.distance(before).max(p.distance(after));
        for way in [after - p, before - p, after - before] {
            let Some(way) = way.try_normalize() else { continue };
            let left = |by: f64| with(patch, point.0 * columns + point.1, way * by).map_or(f64::INFINITY, |s| unevenness(&s));
            let (by, value) = least(-reach, reach, left);
            if best.is_none_or(|b| value < b.0) {
                best = Some((value, point, way * by));
            }
        }
    }
    let (value, point, by) = best.filter(|b| b.0 < start)?;
    let name = format!(
        "Slide the control point in row {}, column {} by {:.2} mm: unevenness {start:.2} to {value:.2}",
        point.0 + 1,
        point.1 + 1,
        by.length()
    );
    let drag = Drag { face: ground.face, point, by, reach: (0, 0), locks: ground.locks(None), twin: None };
    Some(Remedy::one(name, Edit::Drag(drag)))
}
