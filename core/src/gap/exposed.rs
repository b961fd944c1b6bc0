//! Edges that a ball can touch from outside.

use super::Gap;
use super::obstacles::Obstacles;
use crate::geometry::{FormSample, Region, Surface, convexity, form_samples};
use crate::joins::{Border, Class, Join, JoinGraph, Sheets, Track};
use crate::layout::{Boxes, Item};
use crate::math::{Point2, Point3, Vec3, real};
use crate::model::FaceId;
use std::collections::{BTreeMap, BTreeSet};

/// Radius of the ball, mm: a sphere of 100 mm diameter (UN Regulation No. 26, external projections; from memory).
pub const BALL: f64 = 50.0;

/// Least angle, degrees, by which a convex crease turns to be an edge. Larger: blunt edges go unseen; smaller: feature lines of a panel
/// count. Common practice, no source.
const EDGE: f64 = 30.0;

/// Convex radius, mm, up to which a face counts as an edge: larger ones are tight for nobody.
const TIGHT: f64 = 5.0;

/// Distance between places at which edges are tested, mm, and about the most places of a model. More: slower; fewer: short free
/// stretches are missed.
const SPACING: f64 = 25.0;
const MOST: f64 = 600.0;

/// Places a way on a face that is looked at for its tightest convex radius, and how many of them the ball is tried at.
const LINES: usize = 7;
const TRIED: usize = 4;

/// Steps of the search for the tightest place about each.
const TIGHTEN: usize = 14;

/// What is exposed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ExposedKind {
    /// The outline of a sheet: no rounding is modelled.
    Outline,
    /// A convex crease: no rounding is modelled.
    Crease,
    /// A face that bends tightly.
    Tight,
}

impl ExposedKind {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            ExposedKind::Outline => "outline",
            ExposedKind::Crease => "crease",
            ExposedKind::Tight => "tight",
        }
    }
}

/// All exposed edges of one kind on one skin.
#[derive(Debug, Clone, PartialEq)]
pub struct Exposed {
    /// The kind.
    pub kind: ExposedKind,
    /// The faces concerned, rising.
    pub faces: Vec<FaceId>,
    /// Smallest radius, mm; 0 where none is modelled.
    pub radius: f64,
    /// Where, mm.
    pub place: Point3,
    /// Length of the edges that the ball touches, mm.
    pub length: f64,
    /// Those edges as polylines, mm; none of faces.
    pub lines: Vec<Vec<Point3>>,
}

/// A short stretch that the ball may touch at its middle, from one of some directions.
struct Cell {
    kind: ExposedKind,
    faces: Vec<FaceId>,
    points: Vec<Point3>,
    at: Point3,
    from: Vec<Vec3>,
    radius: f64,
    length: f64,
}

/// All edges that the ball can touch, by skin and kind. Those of gaps are left to the gaps.
pub fn exposed(sheets: &Sheets<'_>, graph: &JoinGraph, gaps: &[Gap]) -> Vec<Exposed> {
    let total: f64 = graph.joins.iter().filter(|j| kind_of(j).is_some()).map(|j| j.length).sum();
    let spacing = SPACING.max(total / MOST);
    let behind: BTreeSet<FaceId> = gaps.iter().flat_map(|g| &g.stations).flat_map(|s| &s.sides).filter_map(|s| s.behind).collect();
    let rims: Vec<(Point3, f64)> = gaps.iter().flat_map(rims).collect();
    let mut cells: Vec<Cell> = Vec::new();
    for (i, join) in graph.joins.iter().enumerate() {
        if let Some(kind) = kind_of(join)
            && !join.faces.iter().any(|f| behind.contains(f))
        {
            cells.extend(along(sheets, graph, i, kind, spacing));
        }
    }
    let item = |(id, (p, reach)): (usize, &(Point3, f64))| {
        let (p, r) = (p.to_vec(), Vec3::splat(*reach));
        Item { low: p - r, high: p + r, id }
    };
    let rims = Boxes::new(rims.iter().enumerate().map(item).collect());
    cells.retain(|c| rims.near(c.at, 0.0).is_empty());
    cells.extend(
        sheets.model.faces().filter(|(id, _)| !behind.contains(id) && !graph.is_copy(*id)).flat_map(|(id, _)| tight(sheets, graph, id)),
    );
    if cells.is_empty() {
        return Vec::new();
    }
    let obstacles = Obstacles::new(sheets, graph);
    cells.retain(|c| c.from.iter().any(|d| obstacles.is_free(c.at, *d, BALL)));
    grouped(graph, cells)
}

/// Points of a gap's borders, each with how far the next one is.
fn rims(gap: &Gap) -> impl Iterator<Item = (Point3, f64)> {
    let step = gap.length / gap.stations.len().max(1) as f64;
    gap.stations.iter().flat_map(|s| s.sides.iter().map(|x| x.border)).map(move |p| (p, 2.0 * step.max(1.0)))
}

fn kind_of(join: &Join) -> Option<ExposedKind> {
    match join.class {
        Class::Outline if !join.mirrored => Some(ExposedKind::Outline),
        class if class.meets() && !join.interior && !join.mirrored => {
            join.summaries.angle.filter(|a| a.max.value >= EDGE).map(|_| ExposedKind::Crease)
        }
        _ => None,
    }
}

fn along(sheets: &Sheets<'_>, graph: &JoinGraph, join: usize, kind: ExposedKind, spacing: f64) -> Vec<Cell> {
    let mut all = Vec::new();
    let tracks = graph.tracks(join);
    let length = graph.joins.get(join).map_or(0.0, |j| j.length) / tracks.len().max(1) as f64;
    let outward = |b: &Border, face: FaceId| Some(b.normal()? * graph.orientation.sign(face));
    for track in tracks {
        let count = (length / spacing).ceil().max(1.0) as usize;
        let at = |x: f64| track.at(sheets, x / (2 * count) as f64);
        for k in 0..count {
            let steps = [0.0, 1.0, 2.0].map(|h| at(2.0 * k as f64 + h));
            let Some(points) = steps.iter().map(|m| m.as_ref().map(|m| m.p())).collect::<Option<Vec<Point3>>>() else { continue };
            let Some(middle) = steps[1] else { continue };
            let from = match (kind, track) {
                (ExposedKind::Outline, Track::Alone { .. }) => outward(&middle.a, track.first_face())
                    .zip(middle.a.conormal())
                    .map(|(n, inward)| [(1.0, 1.0), (3.0, 1.0), (1.0, 3.0)].map(|(a, b)| n * a - inward * b).to_vec()),
                _ => crease(&middle, track, &outward),
            };
            let from: Vec<Vec3> = from.into_iter().flatten().filter_map(Vec3::try_normalize).collect();
            if !from.is_empty() {
                let length = points.windows(2).map(|w| w[0].distance(w[1])).sum();
                let faces = [Some(track.first_face()), track.second_face()].into_iter().flatten().collect();
                all.push(Cell { kind, faces, at: points[1], points, from, radius: 0.0, length });
            }
        }
    }
    all
}

/// Directions between the normals of a convex crease; None of a hollow or blunt one.
fn crease(m: &crate::joins::Meeting, track: &Track, outward: &dyn Fn(&Border, FaceId) -> Option<Vec3>) -> Option<Vec<Vec3>> {
    let b = m.b.as_ref()?;
    let (n, k) = (outward(&m.a, track.first_face())?, outward(b, track.second_face()?)?);
    let convex = b.conormal()?.dot(n) < 0.0;
    let sharp = real::angle_between(n, k).to_degrees() >= EDGE;
    (convex && sharp).then(|| [0.5, 0.15, 0.85].map(|s| n * (1.0 - s) + k * s).to_vec())
}

/// The tightest convex places of a face that bends by less than [`TIGHT`].
fn tight(sheets: &Sheets<'_>, graph: &JoinGraph, id: FaceId) -> Vec<Cell> {
    let (Some(face), Some(domain)) = (sheets.face(id), sheets.domain(id)) else { return Vec::new() };
    if matches!(face.surface, Surface::Plane(_)) {
        return Vec::new();
    }
    let side = graph.orientation.sign(id);
    let region = Region::new(domain);
    let samples = form_samples(&face.surface, &region, LINES, side);
    let mut tight: Vec<FormSample> = samples.into_iter().filter(|s| s.curvatures.max * TIGHT >= 1.0).collect();
    tight.sort_by(|a, b| b.curvatures.max.total_cmp(&a.curvatures.max));
    // The tightest one, and some of the others.
    let each = tight.len().div_ceil(TRIED).max(1);
    let tight: Vec<FormSample> = tight.into_iter().step_by(each).collect();
    let length = 0.5 * sheets.perimeter(id) / tight.len().max(1) as f64;
    let cell = |s: &FormSample| {
        let (uv, curvature) = tightest(&face.surface, &region, side, s);
        let normal = face.surface.normal(uv.u, uv.v)? * side;
        let at = face.surface.point(uv.u, uv.v);
        let radius = 1.0 / curvature;
        Some(Cell { kind: ExposedKind::Tight, faces: vec![id], points: Vec::new(), at, from: vec![normal], radius, length })
    };
    tight.iter().filter_map(cell).collect()
}

/// The tightest convex place between a sample and its neighbours, by a search over ever shorter steps.
fn tightest(surface: &Surface, region: &Region, side: f64, from: &FormSample) -> (Point2, f64) {
    let (u, v) = region.bounds();
    let mut best = (from.uv, from.curvatures.max);
    let mut step = 0.25 / LINES as f64;
    for _ in 0..TIGHTEN {
        let (du, dv) = (u.length() * step, v.length() * step);
        let around = [(du, 0.0), (-du, 0.0), (0.0, dv), (0.0, -dv)].map(|(x, y)| Point2::new(best.0.u + x, best.0.v + y));
        let known = around.into_iter().filter(|p| region.contains(*p)).filter_map(|p| Some((p, convexity(surface, p, side)?.max)));
        match known.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|x| x.1 > best.1) {
            Some(better) => best = better,
            None => step *= 0.5,
        }
    }
    best
}

/// Cells of one skin and kind together.
fn grouped(graph: &JoinGraph, cells: Vec<Cell>) -> Vec<Exposed> {
    let mut skin_of: BTreeMap<FaceId, usize> = BTreeMap::new();
    for (n, skin) in graph.orientation.skins.iter().enumerate() {
        skin_of.extend(skin.faces.iter().map(|f| (*f, n)));
    }
    let mut groups: BTreeMap<(usize, ExposedKind), Exposed> = BTreeMap::new();
    for c in cells {
        let Some(&skin) = c.faces.first().and_then(|f| skin_of.get(f)) else { continue };
        let new = || Exposed { kind: c.kind, faces: Vec::new(), radius: c.radius, place: c.at, length: 0.0, lines: Vec::new() };
        let group = groups.entry((skin, c.kind)).or_insert_with(new);
        if c.radius < group.radius {
            (group.radius, group.place) = (c.radius, c.at);
        }
        group.length += c.length;
        group.faces.extend(c.faces);
        match group.lines.last_mut() {
            Some(line) if line.last() == c.points.first() && !c.points.is_empty() => line.extend(c.points.into_iter().skip(1)),
            _ if !c.points.is_empty() => group.lines.push(c.points),
            _ => {}
        }
    }
    let sorted = |mut e: Exposed| {
        e.faces.sort_unstable();
        e.faces.dedup();
        e
    };
    groups.into_values().map(sorted).collect()
}
