//! A face in cells of area, each with what is read in its middle.

use super::Subject;
use crate::finding::Place;
use crate::geometry::{Region, Surface};
use crate::math::{Point2, Vec3};
use crate::model::FaceId;
use crate::nurbs::SurfaceDerivs;

/// Size of the cells that a face is looked at in first, mm. Larger: small places are missed; smaller: slower.
const CELL: f64 = 12.0;

/// Least and most cells a way on one face.
const CELLS: (f64, f64) = (6.0, 40.0);

/// Times a cell is quartered where it is not of one kind. Larger: slower; smaller: areas stray by more than 2 %.
const DEPTH: u32 = 5;

/// The same where a trim runs through it: larger costs time on every face, smaller leaves a rougher border.
const TRIMS: u32 = 2;

/// Samples of a face beyond which cells are not quartered once more. Larger: faces that are flat to rounding, or waved, cost seconds;
/// smaller: borders between two kinds stay rough on large faces.
const MOST: usize = 30_000;

/// Where the corners of a cell are looked at, as a share of the way there: on the border of a face they would be on neither side.
const CORNER: f64 = 0.98;

/// A place on a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell<T> {
    /// Where, in the surface's parameters.
    pub uv: Point2,
    /// The area it stands for, mm².
    pub area: f64,
    /// What is read there.
    pub value: T,
}

/// Cells a way, from the size of a face in its middle.
pub fn counts(surface: &Surface, region: &Region) -> (usize, usize) {
    let (u, v) = region.bounds();
    let middle = surface.derivs(u.at(0.5), v.at(0.5), 1);
    let count = |length: f64| (length / CELL).ceil().clamp(CELLS.0, CELLS.1) as usize;
    (count(middle.su.length() * u.length()), count(middle.sv.length() * v.length()))
}

/// Cells of a face: quartered where `kind` is not the same in their corners and in the middles of their quarters. `read` is given
/// derivatives to the second order and the unit normal on the skin's outward side. None of a face without domain.
pub fn cells<T: Copy, K: PartialEq>(
    subject: &Subject<'_>,
    id: FaceId,
    read: impl Fn(&SurfaceDerivs, Vec3) -> Option<T>,
    kind: impl Fn(&T) -> K,
) -> Vec<Cell<T>> {
    let (Some(face), Some(domain)) = (subject.sheets.face(id), subject.sheets.domain(id)) else { return Vec::new() };
    let region = Region::new(domain);
    let (u, v) = region.bounds();
    let (nu, nv) = counts(&face.surface, &region);
    let area = Area { surface: &face.surface, region, side: subject.graph.orientation.sign(id), read, kind };
    let (du, dv) = (u.length() / nu as f64, v.length() / nv as f64);
    let centre = |i: usize, j: usize| Point2::new(u.low + du * (i as f64 + 0.5), v.low + dv * (j as f64 + 0.5));
    let mut open: Vec<Point2> = (0..nu).flat_map(|i| (0..nv).map(move |j| (i, j))).map(|(i, j)| centre(i, j)).collect();
    let (mut all, mut size) = (Vec::new(), (du, dv));
    // All cells of one size before the next smaller ones, so that what is left to quarter is known.
    for depth in (0..=DEPTH).rev() {
        let mut mixed: Vec<(Point2, [Option<Cell<T>>; 4])> = Vec::new();
        for at in open {
            let (quarters, is_mixed) = area.cell(at, size, depth);
            if is_mixed { mixed.push((at, quarters)) } else { all.extend(quarters.into_iter().flatten()) }
        }
        if all.len() + 16 * mixed.len() > MOST {
            all.extend(mixed.into_iter().flat_map(|m| m.1).flatten());
            break;
        }
        size = (0.5 * size.0, 0.5 * size.1);
        open = mixed.iter().flat_map(|(at, _)| (0..4).map(|k| off(*at, size, k, 0.5))).collect();
    }
    all
}

/// The place in quarter `k` of a cell, a share of the way to its corner; `half` is half of the cell's size.
fn off(at: Point2, half: (f64, f64), k: usize, share: f64) -> Point2 {
    let sign = |bit: usize| if k & bit == 0 { -share } else { share };
    Point2::new(at.u + sign(1) * half.0, at.v + sign(2) * half.1)
}

struct Area<'a, R, F> {
    surface: &'a Surface,
    region: Region,
    side: f64,
    read: R,
    kind: F,
}

impl<T: Copy, K: PartialEq, R: Fn(&SurfaceDerivs, Vec3) -> Option<T>, F: Fn(&T) -> K> Area<'_, R, F> {
    /// The place with the area of a cell round it; none beside the face, or where it has no tangent plane.
    fn sample(&self, uv: Point2, (du, dv): (f64, f64)) -> Option<Cell<T>> {
        let d = self.surface.derivs(uv.u, uv.v, 2);
        let across = d.su.cross(d.sv);
        let inside = self.region.contains(uv).then(|| across.try_normalize()).flatten()?;
        Some(Cell { uv, value: (self.read)(&d, inside * self.side)?, area: across.length() * du * dv })
    }

    /// Samples in the middles of a cell's quarters, and whether it is to be quartered.
    fn cell(&self, at: Point2, size: (f64, f64), depth: u32) -> ([Option<Cell<T>>; 4], bool) {
        let half = (0.5 * size.0, 0.5 * size.1);
        let quarters: [Option<Cell<T>>; 4] = core::array::from_fn(|k| self.sample(off(at, half, k, 0.5), half));
        let around: [Option<Cell<T>>; 4] = core::array::from_fn(|k| self.sample(off(at, half, k, CORNER), half));
        let kinds: Vec<K> = quarters.iter().chain(&around).flatten().map(|c| (self.kind)(&c.value)).collect();
        let mixed = kinds.iter().any(|k| kinds.first() != Some(k));
        let trimmed = quarters.iter().any(Option::is_none) && !kinds.is_empty();
        (quarters, mixed && depth > 0 || trimmed && depth > DEPTH - TRIMS)
    }
}

/// What the cells of one kind on a face come to.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Part {
    /// mm².
    pub area: f64,
    /// Parameters of the cell nearest to their middle.
    pub middle: Option<Point2>,
}

impl Part {
    /// Of those cells that `is_of` says so of.
    pub fn of<T: Copy>(all: &[Cell<T>], is_of: impl Fn(&T) -> bool) -> Self {
        let some: Vec<Cell<T>> = all.iter().filter(|c| is_of(&c.value)).copied().collect();
        let total: f64 = some.iter().map(|s| s.area).sum();
        let mean = |of: fn(Point2) -> f64| some.iter().map(|s| of(s.uv) * s.area).sum::<f64>() / total;
        let (u, v) = (mean(|p| p.u), mean(|p| p.v));
        let off = |s: &Cell<T>| (s.uv.u - u) * (s.uv.u - u) + (s.uv.v - v) * (s.uv.v - v);
        Self { area: total, middle: some.iter().min_by(|a, b| off(a).total_cmp(&off(b))).map(|c| c.uv) }
    }
}

/// Parameters as a place on their face.
pub fn place(subject: &Subject<'_>, id: FaceId, uv: Point2) -> Option<Place> {
    let point = subject.sheets.face(id)?.surface.point(uv.u, uv.v);
    Some(Place { point, face: Some(id), uv: Some(uv), along: None })
}
