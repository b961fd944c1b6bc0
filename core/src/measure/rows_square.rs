//! `rows.square`: how far from square control rows meet the centre plane, within the surface. (Where the halves meet at
//! an angle, that is `centre.tangent`.)

use super::on_join::{across_centre, broken};
use super::{Judge, Subject};
use crate::finding::{Finding, MeasureId, Place};
use crate::geometry::Surface;
use crate::joins::{Class, Join, JoinGraph, Sheets};
use crate::layout::MirrorPlane;
use crate::math::{Point2, Point3, distinct, real};
use crate::model::FaceId;
use crate::nurbs;

/// How far a border row may lie off the centre plane, as a share of the net's size. Larger: borders near the plane are
/// taken for borders on it; smaller: written digits decide.
const ON_PLANE: f64 = 1e-6;

/// A border of a patch on the centre plane, with the row that meets the plane least squarely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowAngle {
    /// The face.
    pub face: FaceId,
    /// How far that row is off square, degrees.
    pub angle: f64,
    /// Where it crosses.
    pub point: Point3,
    /// Its parameters.
    pub uv: Point2,
    /// Length of the border's row of control points, mm.
    pub length: f64,
}

/// Every border of a spline patch that lies on the centre plane, copies left out.
pub fn row_angles(sheets: &Sheets<'_>, graph: &JoinGraph) -> Vec<RowAngle> {
    // A model that is neither half nor whole may still have borders on the usual plane.
    let plane = graph.mirror.as_ref().map_or(MirrorPlane::Y, |m| m.plane);
    let mut all = Vec::new();
    for (face, f) in sheets.model.faces().filter(|(id, _)| !graph.is_copy(*id)) {
        let Surface::Nurbs(patch) = &f.surface else { continue };
        for side in [Border::LowU, Border::HighU, Border::LowV, Border::HighV] {
            let Some((angle, uv, length)) = least_square(patch, side, plane) else { continue };
            all.push(RowAngle { face, angle, point: patch.derivs(uv.u, uv.v, 0).s, uv, length });
        }
    }
    all
}

/// The row least square to the centre plane, on every border of a patch that lies on the plane.
pub fn find(subject: &Subject<'_>, judge: &Judge<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    // Where the halves meet at an angle, that is the finding, and square rows would not mend it.
    let angle = |j: &Join| j.class == Class::Crease || broken(judge, MeasureId::CentreTangent, j, j.summaries.angle.map(|s| s.max));
    let sharp = distinct(across_centre(subject).filter(|(_, j)| angle(j)).flat_map(|(_, j)| j.faces.iter().copied()));
    for row in row_angles(&subject.sheets, subject.graph).into_iter().filter(|r| sharp.binary_search(&r.face).is_err()) {
        let Some(grade) = judge.grade(MeasureId::RowsSquare, &[row.face], row.angle) else { continue };
        let place = Place { point: row.point, face: Some(row.face), uv: Some(row.uv), along: None };
        let remedy = "Turn the first leg of the control row square to the centre plane, so that the mirrored half continues it.";
        all.push(Finding::new(MeasureId::RowsSquare, row.angle, grade, place).extent(row.length).remedy(remedy));
    }
    all
}

#[derive(Debug, Clone, Copy)]
enum Border {
    LowU,
    HighU,
    LowV,
    HighV,
}

/// Largest angle, degrees, by which a first leg leans along the border, where that is, and the border row's length. None where the border does not lie on the plane or the patch crosses it.
fn least_square(patch: &nurbs::Surface, side: Border, plane: MirrorPlane) -> Option<(f64, Point2, f64)> {
    let (nu, nv) = patch.size();
    let points = patch.points();
    let size = points.iter().map(|p| (*p - *points.first().unwrap_or(p)).length()).fold(0.0, f64::max);
    let slack = ON_PLANE * size;
    let one_side = points.iter().all(|p| plane.height(*p) >= -slack) || points.iter().all(|p| plane.height(*p) <= slack);
    let count = if matches!(side, Border::LowU | Border::HighU) { nv } else { nu };
    // Point k of the row `depth` rows in from the border.
    let row = |k: usize, depth: usize| {
        let (i, j) = match side {
            Border::LowU => (depth, k),
            Border::HighU => (nu.checked_sub(1 + depth)?, k),
            Border::LowV => (k, depth),
            Border::HighV => (k, nv.checked_sub(1 + depth)?),
        };
        points.get(i * nv + j).copied()
    };
    let border: Vec<Point3> = (0..count).filter_map(|k| row(k, 0)).collect();
    let length: f64 = border.windows(2).map(|w| w[0].distance(w[1])).sum();
    if !one_side || length <= slack || border.iter().any(|p| plane.height(*p).abs() > slack) {
        return None;
    }
    let (du, dv) = patch.domain();
    let along_u = matches!(side, Border::LowV | Border::HighV);
    let greville = if along_u { patch.knots_u().greville() } else { patch.knots_v().greville() };
    let at = |k: usize| {
        let g = *greville.get(k)?;
        Some(match side {
            Border::LowU => Point2::new(du.low, dv.clamp(g)),
            Border::HighU => Point2::new(du.high, dv.clamp(g)),
            Border::LowV => Point2::new(du.clamp(g), dv.low),
            Border::HighV => Point2::new(du.clamp(g), dv.high),
        })
    };
    let (mut worst, mut place) = (None::<f64>, at(0)?);
    for (k, &p) in border.iter().enumerate() {
        let leg = row(k, 1)? - p;
        let away = leg.dot(plane.normal()).abs();
        // A collapsed leg has no direction; a row within the plane does not cross it.
        if leg.length() <= slack || away <= slack {
            continue;
        }
        let uv = at(k)?;
        let d = patch.derivs(uv.u, uv.v, 1);
        // Seen square to the border and the plane's normal: a leg that leaves that plane is an angle between the halves.
        let Some(along) = (if along_u { d.su } else { d.sv }).try_normalize() else { continue };
        let off = real::atan2(leg.dot(along).abs(), away).to_degrees();
        if worst.is_none_or(|w| off > w) {
            (worst, place) = (Some(off), uv);
        }
    }
    Some((worst?, place, length))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nurbs::KnotVector;

    /// A patch whose first row lies on the plane; leg `k` of the crossing rows leans by `lean` along x.
    fn patch(k: usize, lean: f64, high: bool) -> nurbs::Surface {
        let mut net = Vec::new();
        for i in 0..5 {
            for j in 0..4 {
                let shift = if i == 1 && j == k { lean } else { 0.0 };
                net.push(Point3::new(40.0 * j as f64 + shift, 30.0 * i as f64, 5.0 * (i * i) as f64 * f64::from(u8::from(i > 1))));
            }
        }
        if high {
            let rows: Vec<Vec<Point3>> = net.chunks(4).map(<[Point3]>::to_vec).rev().collect();
            net = rows.concat();
        }
        nurbs::Surface::new(KnotVector::bezier(4).unwrap(), KnotVector::bezier(3).unwrap(), net, None).unwrap()
    }

    #[test]
    fn square_rows_read_nothing_and_a_leaning_one_its_angle() {
        for high in [false, true] {
            let side = if high { Border::HighU } else { Border::LowU };
            assert!(least_square(&patch(1, 0.0, high), side, MirrorPlane::Y).unwrap().0 < 1e-9);
            for (k, degrees) in [(0, 0.3), (2, 4.0), (3, -11.0)] {
                let lean = 30.0 * real::tan(f64::to_radians(degrees));
                let got = least_square(&patch(k, lean, high), side, MirrorPlane::Y).unwrap().0;
                assert!((got - degrees.abs()).abs() < 1e-9, "{got} against {degrees}");
            }
            let other = if high { Border::LowU } else { Border::HighU };
            assert!(least_square(&patch(1, 0.0, high), other, MirrorPlane::Y).is_none());
            assert!(least_square(&patch(1, 0.0, high), Border::LowV, MirrorPlane::Y).is_none());
        }
    }
}
