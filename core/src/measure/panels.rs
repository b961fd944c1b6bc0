//! Panels: primary faces that run on into each other, and curvature sampled over them.

use super::Subject;
use crate::finding::Place;
use crate::geometry::{FormSample, Region, Surface, curvatures};
use crate::joins::{Class, Order, Role};
use crate::math::Point2;
use crate::math::sets;
use crate::model::FaceId;

/// Size of the cells that a face is looked at in first, mm. Larger: small places are missed; smaller: slower.
const CELL: f64 = 12.0;

/// Least and most cells a way on one face.
const CELLS: (f64, f64) = (6.0, 40.0);

/// Times a cell is quartered where it is not of one kind. Larger: slower; smaller: areas stray by more than 2 %.
const DEPTH: u32 = 5;

/// The same where a trim runs through it: larger costs time on every face, smaller leaves a rougher border.
const TRIMS: u32 = 2;

/// Where the corners of a cell are looked at, as a share of the way there: on the border of a face they would be on neither side.
const CORNER: f64 = 0.98;

/// Faces of each panel, rising: primaries linked by joins that are asked for curvature continuity.
pub fn panels(subject: &Subject<'_>) -> Vec<Vec<FaceId>> {
    let roles = &subject.graph.roles;
    let primary = |f: FaceId| roles.get(f.index()) == Some(&Role::Primary) && !subject.graph.is_copy(f);
    let mut of: Vec<usize> = (0..roles.len()).collect();
    for j in subject.graph.joins.iter().filter(|j| j.required >= Order::G2 && j.class != Class::Crease) {
        if let [a, b] = j.faces.as_slice()
            && primary(*a)
            && primary(*b)
        {
            sets::unite(&mut of, a.index(), b.index());
        }
    }
    let all = sets::groups(&mut of).into_iter().map(|g| g.into_iter().map(FaceId::new).filter(|f| primary(*f)).collect::<Vec<_>>());
    all.filter(|g| !g.is_empty()).collect()
}

/// What the samples of one kind on a face come to.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Part {
    /// mm².
    pub area: f64,
    /// The sample nearest to their middle.
    pub middle: Option<FormSample>,
}

/// The part of a face whose samples `kind` says 1 of, and the part of those it says −1 of; kept under `name`, as no limit changes
/// them.
pub fn parts(subject: &Subject<'_>, name: &'static str, id: FaceId, kind: fn(&FormSample) -> i8) -> [Part; 2] {
    *subject.memo.keep(name, id.index(), || {
        let all = samples(subject, id, kind);
        [1, -1].map(|of| {
            let some: Vec<FormSample> = all.iter().filter(|s| kind(s) == of).copied().collect();
            Part { area: some.iter().map(|s| s.area).sum(), middle: central(&some) }
        })
    })
}

/// Samples of a face, convex as positive, each with the area it stands for: cells are quartered where `kind` is not the same in
/// their corners and in the middles of their quarters. None of a face without domain.
fn samples<K: PartialEq>(subject: &Subject<'_>, id: FaceId, kind: impl Fn(&FormSample) -> K) -> Vec<FormSample> {
    let (Some(face), Some(domain)) = (subject.sheets.face(id), subject.sheets.domain(id)) else { return Vec::new() };
    let region = Region::new(domain);
    let (u, v) = region.bounds();
    let middle = face.surface.derivs(u.at(0.5), v.at(0.5), 1);
    let count = |length: f64| (length / CELL).ceil().clamp(CELLS.0, CELLS.1);
    let (nu, nv) = (count(middle.su.length() * u.length()), count(middle.sv.length() * v.length()));
    let area = Area { surface: &face.surface, region, side: subject.graph.orientation.sign(id), kind };
    let (du, dv) = (u.length() / nu, v.length() / nv);
    let mut all = Vec::new();
    for i in 0..nu as usize {
        for j in 0..nv as usize {
            let at = Point2::new(u.low + du * (i as f64 + 0.5), v.low + dv * (j as f64 + 0.5));
            area.cell(at, (du, dv), DEPTH, &mut all);
        }
    }
    all
}

struct Area<'a, F> {
    surface: &'a Surface,
    region: Region,
    side: f64,
    kind: F,
}

impl<K: PartialEq, F: Fn(&FormSample) -> K> Area<'_, F> {
    /// The place with the area of a cell round it; none beside the face, or where it has no tangent plane.
    fn sample(&self, uv: Point2, (du, dv): (f64, f64)) -> Option<FormSample> {
        let d = self.surface.derivs(uv.u, uv.v, 2);
        let across = d.su.cross(d.sv);
        let inside = self.region.contains(uv).then(|| across.try_normalize()).flatten()?;
        Some(FormSample { uv, curvatures: curvatures(&d, inside * -self.side)?, area: across.length() * du * dv })
    }

    fn cell(&self, at: Point2, size: (f64, f64), depth: u32, out: &mut Vec<FormSample>) {
        let half = (0.5 * size.0, 0.5 * size.1);
        let quarter = |k: usize| {
            let (a, b) = (if k & 1 == 0 { -0.5 } else { 0.5 }, if k & 2 == 0 { -0.5 } else { 0.5 });
            Point2::new(at.u + a * half.0, at.v + b * half.1)
        };
        let corner = |k: usize| {
            let (a, b) = (if k & 1 == 0 { -CORNER } else { CORNER }, if k & 2 == 0 { -CORNER } else { CORNER });
            Point2::new(at.u + a * half.0, at.v + b * half.1)
        };
        let quarters: [Option<FormSample>; 4] = core::array::from_fn(|k| self.sample(quarter(k), half));
        let around: [Option<FormSample>; 4] = core::array::from_fn(|k| self.sample(corner(k), half));
        let kinds: Vec<K> = quarters.iter().chain(&around).flatten().map(&self.kind).collect();
        let mixed = kinds.iter().any(|k| kinds.first() != Some(k));
        let trimmed = quarters.iter().any(Option::is_none) && !kinds.is_empty();
        if !(mixed && depth > 0 || trimmed && depth > DEPTH - TRIMS) {
            out.extend(quarters.into_iter().flatten());
        } else {
            (0..4).for_each(|k| self.cell(quarter(k), half, depth - 1, out));
        }
    }
}

/// A sample as a place on its face.
pub fn place(subject: &Subject<'_>, id: FaceId, sample: &FormSample) -> Option<Place> {
    let point = subject.sheets.face(id)?.surface.point(sample.uv.u, sample.uv.v);
    Some(Place { point, face: Some(id), uv: Some(sample.uv), along: None })
}

/// The sample nearest to the middle of some, by area.
fn central(list: &[FormSample]) -> Option<FormSample> {
    let total: f64 = list.iter().map(|s| s.area).sum();
    let mean = |of: fn(&FormSample) -> f64| list.iter().map(|s| of(s) * s.area).sum::<f64>() / total;
    let (u, v) = (mean(|s| s.uv.u), mean(|s| s.uv.v));
    let off = |s: &FormSample| (s.uv.u - u) * (s.uv.u - u) + (s.uv.v - v) * (s.uv.v - v);
    list.iter().min_by(|a, b| off(a).total_cmp(&off(b))).copied()
}
