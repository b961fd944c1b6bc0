//! Sections as curves.

use super::net::{SectionFace, Side};
use super::plane::Plane;
use crate::flow::chains;
use crate::geometry::{Surface, section as normal_section};
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Arrange, Point2, Point3, Vec2, Vec3, real, root};
use crate::model::FaceId;
use std::collections::BTreeMap;

/// How finely sections are traced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// Largest distance of the section from the straight lines between its points, mm, > 0. The points themselves lie on it.
    pub sag: f64,
    /// Largest turn of its tangent from point to point, radians, > 0.
    pub turn: f64,
    /// Largest distance from point to point, mm, > 0.
    pub step: f64,
}

impl Default for Precision {
    fn default() -> Self {
        Self { sag: 0.01, turn: 0.05, step: 20.0 }
    }
}

/// Distance of a point from its plane accepted, mm. Larger: points leave the plane by more than is promised; smaller: rounding is
/// chased on models far from the origin.
const SMALL: f64 = 1e-9;

/// Distance from the plane within which a vertex lies in it, mm. Larger: sections beside a vertex jump to it; smaller: a border laid in
/// the plane by a file of twelve digits is cut to bits.
const TOUCH: f64 = 1e-7;

/// Times a stretch between two points may be halved.
const DEPTH: u32 = 14;

/// A point of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionPoint {
    /// Position, mm.
    pub point: Point3,
    /// The face.
    pub face: FaceId,
    /// Parameters on its surface.
    pub uv: Point2,
    /// Unit normal of the surface on the skin's outward side.
    pub normal: Vec3,
    /// Unit tangent of the section.
    pub tangent: Vec3,
    /// Curvature of the section as a plane curve, 1/mm: positive where it is convex seen from the outward side.
    pub curvature: f64,
    /// Arc length from the start, mm: chords lengthened to arcs of circle, of fourth order in the step. Gaps at joins count.
    pub along: f64,
}

/// A section from end to end, over all its faces.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionLine {
    /// Its points; of a closed one the first comes again at the end.
    pub points: Vec<SectionPoint>,
    /// Indices of the points at which another face begins, rising; the first point is none.
    pub starts: Vec<usize>,
    /// True when it runs back into itself.
    pub closed: bool,
}

/// All curves of a plane and the faces given, each with its id, in the order found. Faces that lie in the plane have none there; a
/// closed curve smaller than a triangle of the mesh may be missed. Faces are followed from one to the next where their sections end
/// within the graph's search distance of each other.
pub fn section(plane: &Plane, faces: &[(FaceId, SectionFace<'_>)], graph: &JoinGraph, precision: &Precision) -> Vec<SectionLine> {
    let mut pieces: Vec<Vec<SectionPoint>> = Vec::new();
    for (id, face) in faces {
        pieces.extend(cut(plane, *id, face, graph.orientation.sign(*id), precision));
    }
    // A surface that closes has no borders to search between; its ends meet up to rounding.
    let reach = graph.search.max(1e-6);
    for (id, face) in faces {
        for piece in touched(plane, *id, face, graph.orientation.sign(*id), precision) {
            if !is_there(&piece, &pieces, reach) {
                pieces.push(piece);
            }
        }
    }
    linked(pieces, reach)
}

/// The faces of a model that can be cut: with domain and mesh, and no copies of others.
impl<'a> SectionFace<'a> {
    /// Of a whole model, from its meshes.
    pub fn all(sheets: &Sheets<'a>, meshes: &crate::tessellate::Tessellation, graph: &JoinGraph) -> Vec<(FaceId, SectionFace<'a>)> {
        let one = |(id, face): (FaceId, &'a crate::model::Face)| {
            let domain = sheets.domain(id).filter(|_| !graph.is_copy(id))?;
            let mesh = meshes.faces.get(id.index())?.as_ref()?;
            Some((id, SectionFace::new(&face.surface, domain, mesh)))
        };
        sheets.model.faces().filter_map(one).collect()
    }
}

/// The pieces of a section on one face.
fn cut(plane: &Plane, id: FaceId, face: &SectionFace<'_>, side: f64, precision: &Precision) -> Vec<Vec<SectionPoint>> {
    let heights: Vec<f64> = face.on.iter().map(|p| plane.distance(*p)).collect();
    if heights.iter().all(|h| *h > 0.0) || heights.iter().all(|h| *h < 0.0) || heights.iter().all(|h| h.abs() < SMALL) {
        return Vec::new();
    }
    // A vertex in the plane counts as above it, so that a curve along triangles' sides is found once.
    let above = |n: u32| heights.get(n as usize).is_some_and(|h| *h >= -TOUCH);
    let mut numbers: BTreeMap<Side, u32> = BTreeMap::new();
    let mut places: Vec<Option<Point2>> = Vec::new();
    let mut pairs = Vec::new();
    for &[a, b, c] in &face.triangles {
        let crossed = [(a, b), (b, c), (c, a)].into_iter().filter(|&(p, q)| above(p) != above(q));
        let met: Vec<u32> = crossed
            .map(|(p, q)| {
                let at = (p.min(q), p.max(q));
                *numbers.entry(face.named(at)).or_insert_with(|| {
                    places.push(crossing(plane, face, at, &heights));
                    places.len() as u32 - 1
                })
            })
            .collect();
        if let [x, y] = met[..] {
            pairs.push((x, y));
        }
    }
    let at = |n: &u32| places.get(*n as usize).copied().flatten();
    let runs = chains(&pairs).into_iter().map(|c| c.iter().filter_map(at).collect::<Vec<Point2>>());
    runs.filter_map(|run| piece(plane, id, face, side, &run, precision)).collect()
}

/// The pieces of a face's border that lie in the plane with the face above it: a half model touches its centre plane so, and no side
/// of a triangle crosses.
fn touched(plane: &Plane, id: FaceId, face: &SectionFace<'_>, side: f64, precision: &Precision) -> Vec<Vec<SectionPoint>> {
    let height = |n: u32| face.on.get(n as usize).map_or(f64::NAN, |p| plane.distance(*p));
    let mut pairs = Vec::new();
    for &[a, b, c] in &face.triangles {
        for (p, q, r) in [(a, b, c), (b, c, a), (c, a, b)] {
            if face.is_border((p.min(q), p.max(q))) && height(p).abs() <= TOUCH && height(q).abs() <= TOUCH && height(r) > TOUCH {
                pairs.push((p, q));
            }
        }
    }
    let at = |n: &u32| face.uv.get(*n as usize).copied();
    let runs = chains(&pairs).into_iter().map(|c| c.iter().filter_map(at).collect::<Vec<Point2>>());
    runs.filter_map(|run| piece(plane, id, face, side, &run, precision)).collect()
}

/// True when the middle of a piece lies on another one, within `reach`, mm.
fn is_there(piece: &[SectionPoint], others: &[Vec<SectionPoint>], reach: f64) -> bool {
    let Some(middle) = piece.get(piece.len() / 2) else { return true };
    let near = |w: &[SectionPoint]| {
        let (a, b) = (w[0].point, w[1].point);
        let way = b - a;
        let t = ((middle.point - a).dot(way) / way.length_squared()).clamp(0.0, 1.0);
        middle.point.distance(a + way * t) <= reach
    };
    others.iter().any(|o| o.windows(2).any(near))
}

/// Where the plane crosses a side between two vertices.
fn crossing(plane: &Plane, face: &SectionFace<'_>, side: Side, heights: &[f64]) -> Option<Point2> {
    let height = |n: u32| heights.get(n as usize).copied();
    let at = |t: f64| face.between(side, t);
    let f = |t: f64| at(t).map(|p| plane.distance(face.surface.point(p.u, p.v)));
    let t = root((0.0, height(side.0)?), (1.0, height(side.1)?), SMALL, f)?;
    at(t)
}

fn piece(plane: &Plane, id: FaceId, face: &SectionFace<'_>, side: f64, run: &[Point2], precision: &Precision) -> Option<Vec<SectionPoint>> {
    let point = |uv: Point2| seen(plane, id, face.surface, side, uv);
    let mut all: Vec<SectionPoint> = vec![point(*run.first()?)?];
    for &uv in run.get(1..)? {
        let (Some(last), Some(next)) = (all.last().copied(), point(uv)) else { continue };
        if last.point.distance(next.point) <= SMALL {
            continue;
        }
        fill(plane, face.surface, &point, (last, next), DEPTH, precision, &mut all);
        all.push(next);
    }
    if all.len() < 2 {
        return None;
    }
    // With the tangents' side: neighbouring faces then run the same way.
    let forward: f64 = all.windows(2).map(|w| (w[1].point - w[0].point).dot(w[0].tangent + w[1].tangent)).sum();
    if forward < 0.0 {
        all.reverse();
    }
    Some(all)
}

/// Points between two, until the straight lines keep to the section.
fn fill(
    plane: &Plane,
    surface: &Surface,
    point: &impl Fn(Point2) -> Option<SectionPoint>,
    (a, b): (SectionPoint, SectionPoint),
    depth: u32,
    precision: &Precision,
    out: &mut Vec<SectionPoint>,
) {
    let middle = Point2::new(0.5 * (a.uv.u + b.uv.u), 0.5 * (a.uv.v + b.uv.v));
    let Some(m) = onto(plane, surface, middle).and_then(point).filter(|_| depth > 0) else { return };
    let chord = b.point - a.point;
    let off = (m.point - a.point).cross(chord).length() / chord.length();
    let turn = real::angle_between(a.tangent, m.tangent) + real::angle_between(m.tangent, b.tangent);
    if off > precision.sag || turn > precision.turn || chord.length() > precision.step {
        fill(plane, surface, point, (a, m), depth - 1, precision, out);
        out.push(m);
        fill(plane, surface, point, (m, b), depth - 1, precision, out);
    }
}

/// The place on the plane nearest to one beside it, by Newton's steps along the steepest way on the surface.
fn onto(plane: &Plane, surface: &Surface, mut uv: Point2) -> Option<Point2> {
    for _ in 0..12 {
        let d = surface.derivs(uv.u, uv.v, 1);
        let off = plane.distance(d.s);
        if off.abs() <= SMALL {
            return Some(uv);
        }
        let by = Vec2::new(d.su.dot(plane.normal), d.sv.dot(plane.normal));
        let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
        let det = e * g - f * f;
        let way = Vec2::new((g * by.x - f * by.y) / det, (e * by.y - f * by.x) / det);
        let step = way * (-off / way.dot(by));
        uv = Point2::new(uv.u + step.x, uv.v + step.y);
        if !step.is_finite() {
            return None;
        }
    }
    None
}

/// The section at a place on the plane. None where the surface has no normal, or lies in the plane.
fn seen(plane: &Plane, face: FaceId, surface: &Surface, side: f64, uv: Point2) -> Option<SectionPoint> {
    let d = surface.derivs(uv.u, uv.v, 2);
    let normal = d.su.cross(d.sv).try_normalize()? * side;
    let tangent = plane.normal.cross(normal).try_normalize()?;
    // Outwards in the plane.
    let out = (normal - plane.normal * normal.dot(plane.normal)).try_normalize()?;
    // Meusnier: the section's curvature is the normal curvature over the cosine between the surface's normal and the plane.
    let curvature = -normal_section(&d, normal, tangent)?.curvature / normal.dot(out);
    (curvature.is_finite() && d.s.is_finite()).then_some(SectionPoint { point: d.s, face, uv, normal, tangent, curvature, along: 0.0 })
}

/// Pieces joined end to start where they meet within `reach`, mm; nearest ones first.
fn linked(pieces: Vec<Vec<SectionPoint>>, reach: f64) -> Vec<SectionLine> {
    let closed =
        |p: &[SectionPoint]| matches!((p.first(), p.last()), (Some(a), Some(b)) if p.len() > 2 && a.point.distance(b.point) <= SMALL);
    let mut near: Vec<(f64, usize, usize)> = Vec::new();
    for (i, p) in pieces.iter().enumerate().filter(|(_, p)| !closed(p)) {
        for (j, q) in pieces.iter().enumerate().filter(|(_, q)| !closed(q)) {
            if let (Some(end), Some(start)) = (p.last(), q.first())
                && end.point.distance(start.point) <= reach
            {
                near.push((end.point.distance(start.point), i, j));
            }
        }
    }
    near.arrange_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let (mut next, mut before) = (vec![None; pieces.len()], vec![None; pieces.len()]);
    for (_, i, j) in near {
        // A piece as short as the reach would else be linked to itself.
        let itself = i == j && pieces.get(i).is_some_and(|p| length(p) <= 4.0 * reach);
        if next.get(i) == Some(&None) && before.get(j) == Some(&None) && !itself {
            next[i] = Some(j);
            before[j] = Some(i);
        }
    }
    let mut used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    let heads = (0..pieces.len()).filter(|&i| before[i].is_none()).chain(0..pieces.len()).collect::<Vec<_>>();
    for head in heads {
        let mut run = Vec::new();
        let mut at = Some(head);
        while let Some(i) = at.filter(|&i| used.get(i) == Some(&false)) {
            used[i] = true;
            run.push(i);
            at = next[i];
        }
        if !run.is_empty() {
            let back = run.last().and_then(|&i| next[i]) == Some(head);
            lines.push(line(&pieces, &run, back));
        }
    }
    lines
}

fn length(points: &[SectionPoint]) -> f64 {
    points.windows(2).map(|w| w[0].point.distance(w[1].point)).sum()
}

fn line(pieces: &[Vec<SectionPoint>], run: &[usize], back: bool) -> SectionLine {
    let (mut points, mut starts): (Vec<SectionPoint>, Vec<usize>) = (Vec::new(), Vec::new());
    for &i in run {
        if !points.is_empty() {
            starts.push(points.len());
        }
        points.extend(pieces.get(i).into_iter().flatten().copied());
    }
    let ends = |p: &[SectionPoint]| Some(p.first()?.point.distance(p.last()?.point) <= SMALL);
    let closed = back || (run.len() == 1 && points.len() > 2 && ends(&points) == Some(true));
    if let (true, Some(first)) = (back, points.first().copied()) {
        starts.push(points.len());
        points.push(first);
    }
    let mut along = 0.0;
    for i in 1..points.len() {
        let (a, b) = (points[i - 1], points[i]);
        let chord = a.point.distance(b.point);
        let half = 0.5 * real::angle_between(a.tangent, b.tangent);
        let arc = a.face == b.face && half > 1e-4 && half < 1.0;
        along += if arc { chord * half / real::sin(half) } else { chord };
        points[i].along = along;
    }
    SectionLine { points, starts, closed }
}
