//! The remedy of a ridge that changes its sign.

use super::ground::Ground;
use super::{NoRemedy, Remedy};
use crate::finding::Finding;
use crate::geometry::{Surface, SurfaceSearch};
use crate::math::real;
use crate::measure::Subject;
use crate::model::FaceId;
use crate::nurbs::{BasisDerivs, KnotVector};
use crate::trial::{Drag, Edit, RidgePlace, RidgeSign, second_row_pace, side as box_side};

/// Least angle that a ridge is given, degrees: beyond that up to which a crease counts as a break. A fainter ridge gets as much of its
/// own mean. Common practice, no source.
const LEAST: f64 = 3.0;
const SHARE: f64 = 0.6;

/// How much farther a control point is moved than is missing.
const MORE: f64 = 1.02;

/// Places looked at along the ridge.
const LOOKS: usize = 128;

/// Share of its greatest influence below which a control point is not asked to mend a place.
const FAINT: f64 = 1e-3;

/// One control point beside the line lifted, other sides kept to the order they have; or the whole row turned where the flip is.
pub(super) fn kept(subject: &Subject<'_>, finding: &Finding) -> Result<Vec<Remedy>, NoRemedy> {
    let joins = finding.join.into_iter().chain(finding.also.iter().copied());
    let away = |j: usize| {
        let tracks = subject.graph.tracks(j).iter();
        tracks.filter_map(|t| t.nearest(&subject.sheets, finding.place.point)).map(|n| n.1).fold(f64::INFINITY, f64::min)
    };
    let nearest = joins.map(|j| (away(j), j)).reduce(|a, b| if b.0 < a.0 { b } else { a });
    let join = nearest.and_then(|(_, j)| subject.graph.joins.get(j).map(|join| (j, join)));
    let (index, join) = join.ok_or_else(|| NoRemedy::new("the line follows no join"))?;
    let [a, b] = join.faces[..] else { return Err(NoRemedy::new("the line follows no join of two faces")) };
    // The cheek of a hood before the hood: the smaller face is turned.
    let order = if join.larger == Some(b) { [(a, b), (b, a)] } else { [(b, a), (a, b)] };
    let (mut points, mut rows) = (Vec::new(), Vec::new());
    for (face, beside) in order {
        let Ok(ground) = Ground::new(subject, face) else { continue };
        let Some(side) = ground.side_on(index) else { continue };
        let Some((places, least, sign)) = places(subject, &ground, side, beside) else { continue };
        points.extend(lifted(&ground, side, &places, least, sign));
        if ground.whole {
            let search = subject.graph.search;
            let edit = RidgeSign { face, side: box_side(side), beside, least, search };
            let name = format!("Turn the row of face {} beside the ridge to {least:.1} degrees at least", face.index());
            rows.push(Remedy::one(name, Edit::RidgeSign(edit)));
        }
    }
    points.extend(rows);
    if points.is_empty() { Err(NoRemedy::new("the line runs along no side of a patch whose row could be lifted")) } else { Ok(points) }
}

/// Places along the ridge, the least angle asked for, and the sign that most of it has.
fn places(subject: &Subject<'_>, ground: &Ground, side: usize, beside: FaceId) -> Option<(Vec<RidgePlace>, f64, f64)> {
    let other: &Surface = &subject.sheets.face(beside)?.surface;
    let search = SurfaceSearch::new(other);
    let side = box_side(side);
    let (u, v) = ground.patch.domain();
    let (end, over) = if side.of_u { (u, v) } else { (v, u) };
    let edge = if side.high { end.high } else { end.low };
    let mut all = Vec::new();
    for i in 0..=LOOKS {
        let t = over.at(i as f64 / LOOKS as f64);
        let d = if side.of_u { ground.patch.derivs(edge, t, 1) } else { ground.patch.derivs(t, edge, 1) };
        let foot = search.closest(other, d.s);
        if foot.distance > subject.graph.search {
            continue;
        }
        let normal = other.normal(foot.uv.u, foot.uv.v)?;
        all.push(RidgePlace::new(side, t, &d, normal)?);
    }
    let angles: Vec<f64> = all.iter().map(|p| p.angle().to_degrees()).collect();
    let mean = angles.iter().sum::<f64>() / angles.len().max(1) as f64;
    (mean != 0.0).then(|| (all, LEAST.min(SHARE * mean.abs()), if mean < 0.0 { -1.0 } else { 1.0 }))
}

/// The control point of the second row that mends the whole flip by the smallest move.
fn lifted(ground: &Ground, side: usize, places: &[RidgePlace], least: f64, sign: f64) -> Option<Remedy> {
    let at = box_side(side);
    let patch = &ground.patch;
    let (across, along): (&KnotVector, &KnotVector) =
        if at.of_u { (patch.knots_u(), patch.knots_v()) } else { (patch.knots_v(), patch.knots_u()) };
    let rows = across.point_count();
    let steep = real::tan(least.to_radians());
    let missing = |p: &RidgePlace| p.missing(steep, sign);
    let worst = places.iter().reduce(|a, b| if missing(b) > missing(a) { b } else { a }).filter(|p| missing(p) > 0.0)?;
    let way = worst.normal * sign;
    let pace = second_row_pace(across, at.high);
    let basis = |t: f64, column: usize| {
        let span = along.span(t);
        let b = BasisDerivs::<1>::at(along, span, t, 0);
        column.checked_sub(b.first).filter(|&k| k <= along.degree()).and_then(|k| b.rows[0].get(k)).copied().unwrap_or(0.0)
    };
    let mut best: Option<(f64, (usize, usize))> = None;
    for column in 0..along.point_count() {
        let row = if at.high { rows.checked_sub(2)? } else { 1 };
        let point = if at.of_u { (row, column) } else { (column, row) };
        if !ground.moves(point, Some(side)) {
            continue;
        }
        let need = |p: &RidgePlace| {
            let share = basis(p.t, column);
            let gain = share * pace * (way.dot(p.normal) * sign - steep * way.dot(p.on));
            if missing(p) <= 0.0 {
                0.0
            } else if share > FAINT && gain > 0.0 {
                missing(p) / gain
            } else {
                f64::INFINITY
            }
        };
        let by = places.iter().map(need).fold(0.0, f64::max);
        if by.is_finite() && best.is_none_or(|b| by < b.0) {
            best = Some((by, point));
        }
    }
    let (by, point) = best?;
    let name = format!(
        "Lift the control point of face {} in row {}, column {} by {:.2} mm, so that the ridge keeps {least:.1} degrees",
        ground.face.index(),
        point.0 + 1,
        point.1 + 1,
        MORE * by
    );
    let drag = Drag { face: ground.face, point, by: way * (MORE * by), reach: (0, 0), locks: ground.locks(Some(side)), twin: None };
    Some(Remedy::one(name, Edit::Drag(drag)))
}
