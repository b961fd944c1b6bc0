//! Corners: places where joins end together and three or more patches meet.

use super::ends::{JoinTip, meeting, tips};
use super::graph::JoinGraph;
use super::judge::Role;
use super::sheets::Sheets;
use super::{Border, Class, FLAT_RADIUS, Join, Sides, Track};
use crate::geometry::{curvatures, principal};
use crate::math::{Arrange, Point3, Vec3, real, sets};
use crate::model::FaceId;

/// A place where three or more patches meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// The middle of the joins' ends, mm.
    pub point: Point3,
    /// Indices of the joins that end here, rising.
    pub joins: Vec<usize>,
    /// The faces, rising; three or more.
    pub faces: Vec<FaceId>,
    /// Largest angle between the normals of two patches that no crease parts, degrees. None where fewer than two of them have
    /// a normal.
    pub normals: Option<f64>,
    /// Largest angle between the borders of the two faces of a join at its end here, degrees.
    pub tangents: Option<f64>,
    /// Largest difference of normal curvature in one direction between two patches that no crease parts, 1/mm.
    pub curvature: Option<f64>,
    /// Largest curvature within one fillet radius of the corner over that of the tightest fillet that enters it. None where no
    /// fillet does.
    pub peak: Option<f64>,
    /// Smooth joins across which the Gaussian curvature changes its sign here.
    pub flips: usize,
}

/// The end of a join at a corner.
struct End<'a> {
    index: usize,
    join: &'a Join,
    track: &'a Track,
    at_start: bool,
    point: Point3,
    a: Border,
    b: Border,
}

/// A patch at a corner: its normal on the skin's side, its border there, and the sign of Su × Sv against that normal.
struct Patch {
    face: FaceId,
    normal: Vec3,
    border: Border,
}

/// Places looked at on each piece that enters a corner, for the peak of curvature. Larger: slower; smaller: a narrow peak is
/// missed. The ends of the corner's own patches are always among them.
const PLACES: u32 = 8;

/// All corners, by their first join.
pub fn corners(sheets: &Sheets<'_>, graph: &JoinGraph) -> Vec<Corner> {
    let touching = graph.joins.iter().enumerate().filter(|(_, j)| j.faces.len() == 2 && !j.interior && j.class.meets());
    let ends: Vec<End<'_>> = touching.flat_map(|(i, _)| tips(sheets, graph, i)).filter_map(end).collect();
    let points: Vec<Point3> = ends.iter().map(|e| e.point).collect();
    let mut groups = meeting(&points, graph.search);
    groups.arrange();
    groups.iter().filter_map(|g| corner(sheets, graph, &g.iter().filter_map(|&i| ends.get(i)).collect::<Vec<_>>())).collect()
}

fn end(tip: JoinTip<'_>) -> Option<End<'_>> {
    let JoinTip { index, join, track, at_start, point, a, b } = tip;
    Some(End { index, join, track, at_start, point, a, b: b? })
}

fn corner(sheets: &Sheets<'_>, graph: &JoinGraph, ends: &[&End<'_>]) -> Option<Corner> {
    let mut faces: Vec<FaceId> = ends.iter().flat_map(|e| e.join.faces.iter().copied()).collect();
    faces.arrange();
    faces.dedup();
    if faces.len() < 3 {
        return None;
    }
    let middle = ends.iter().map(|e| e.point.to_vec()).sum::<Vec3>() / ends.len() as f64;
    let point = Point3::from_vec(middle);
    let patches: Vec<Patch> = faces.iter().filter_map(|&f| patch(graph, ends, point, f)).collect();
    // Patches that are to run on into each other: linked by joins that are no crease.
    let mut groups: Vec<usize> = (0..patches.len()).collect();
    let index = |f: Option<&FaceId>| patches.iter().position(|p| Some(&p.face) == f);
    let smooth = || ends.iter().filter(|e| e.join.class != Class::Crease);
    for e in smooth() {
        if let (Some(a), Some(b)) = (index(e.join.faces.first()), index(e.join.faces.last())) {
            sets::unite(&mut groups, a, b);
        }
    }
    let (mut normals, mut curvature) = (None::<f64>, None::<f64>);
    for group in sets::groups(&mut groups) {
        for (n, &i) in group.iter().enumerate() {
            for &j in group.iter().skip(n + 1) {
                let (Some(a), Some(b)) = (patches.get(i), patches.get(j)) else { continue };
                let angle = real::angle_between(a.normal, b.normal).to_degrees();
                normals = Some(normals.map_or(angle, |m| m.max(angle)));
                if let Some(c) = bending(a, b) {
                    curvature = Some(curvature.map_or(c, |m| m.max(c)));
                }
            }
        }
    }
    let tangents = ends.iter().filter_map(|e| {
        let turn = real::angle_between(e.a.along.try_normalize()?, e.b.along.try_normalize()?);
        Some(turn.min(real::PI - turn).to_degrees())
    });
    let gaussian = |i: usize| {
        let p = patches.get(i)?;
        let k = curvatures(&p.border.derivs, p.normal)?.gaussian();
        (k.abs() > 1.0 / (FLAT_RADIUS * FLAT_RADIUS)).then_some(k > 0.0)
    };
    let flips = smooth()
        .filter(|e| {
            let sign = |f| index(f).and_then(gaussian);
            matches!((sign(e.join.faces.first()), sign(e.join.faces.last())), (Some(a), Some(b)) if a != b)
        })
        .count();
    let mut joins: Vec<usize> = ends.iter().map(|e| e.index).collect();
    joins.arrange();
    joins.dedup();
    let tangents = tangents.reduce(f64::max);
    Some(Corner { point, joins, faces, normals, tangents, curvature, peak: peak(sheets, graph, ends, point), flips })
}

/// The patch of a face at a corner, from the join end nearest to it.
fn patch(graph: &JoinGraph, ends: &[&End<'_>], point: Point3, face: FaceId) -> Option<Patch> {
    let own = ends.iter().flat_map(|e| e.join.faces.iter().zip([e.a, e.b])).filter(|(f, _)| **f == face).map(|x| x.1);
    let border = own.min_by(|a, b| a.point().distance(point).total_cmp(&b.point().distance(point)))?;
    Some(Patch { face, normal: border.normal()? * graph.orientation.sign(face), border })
}

/// Largest difference of normal curvature in one direction, 1/mm: the second fundamental forms are taken in one basis, and the
/// largest absolute eigenvalue of their difference is the most that any direction shows.
fn bending(a: &Patch, b: &Patch) -> Option<f64> {
    let axis = a.border.derivs.su.try_normalize()?;
    let form = |p: &Patch| {
        let x = (axis - p.normal * axis.dot(p.normal)).try_normalize()?;
        let y = p.normal.cross(x);
        let k = principal(&p.border.derivs, p.normal)?;
        let entry = |v: Vec3, w: Vec3| {
            let (c, along, across) = (k.curvatures, k.along, k.across);
            c.max * v.dot(along) * w.dot(along) + c.min * v.dot(across) * w.dot(across)
        };
        Some([entry(x, x), entry(x, y), entry(y, y)])
    };
    let (f, g) = (form(a)?, form(b)?);
    let [l, m, n] = [f[0] - g[0], f[1] - g[1], f[2] - g[2]];
    let largest = (0.5 * (l + n)).abs() + real::hypot(0.5 * (l - n), m);
    largest.is_finite().then_some(largest)
}

/// The peak of curvature within one fillet radius over that of the tightest entering fillet.
fn peak(sheets: &Sheets<'_>, graph: &JoinGraph, ends: &[&End<'_>], point: Point3) -> Option<f64> {
    let role = |f: Option<&FaceId>| f.and_then(|f| graph.roles.get(f.index())).copied();
    // A fillet's own curvature: the median across one of its long sides, so that neither end of it decides.
    let entering = ends.iter().flat_map(|e| {
        let of = |side: fn(&Sides) -> f64| median(e.join.stations.iter().filter_map(|s| s.measures.curvature).map(|k| side(&k).abs()));
        let (a, b) = (role(e.join.faces.first()), role(e.join.faces.last()));
        // Where both are fillets the join runs across them.
        match (a, b) {
            (Some(Role::Transition), Some(Role::Primary | Role::Detail)) => of(|k| k.a),
            (Some(Role::Primary | Role::Detail), Some(Role::Transition)) => of(|k| k.b),
            _ => None,
        }
    });
    let fillet = entering.filter(|k| *k > 1.0 / FLAT_RADIUS).reduce(f64::max)?;
    let radius = 1.0 / fillet;
    let mut most = 0.0_f64;
    for e in ends {
        for i in 0..=PLACES {
            let x = f64::from(i) / f64::from(PLACES);
            let Some(m) = e.track.at(sheets, if e.at_start { x } else { 1.0 - x }) else { continue };
            if m.p().distance(point) > radius {
                break;
            }
            for border in [Some(m.a), m.b].into_iter().flatten() {
                let k = border.normal().and_then(|n| curvatures(&border.derivs, n));
                most = k.map_or(most, |k| most.max(k.tightest().abs()));
            }
        }
    }
    let ratio = most / fillet;
    ratio.is_finite().then_some(ratio)
}

fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut all: Vec<f64> = values.collect();
    all.arrange_by(f64::total_cmp);
    all.get(all.len() / 2).copied()
}
