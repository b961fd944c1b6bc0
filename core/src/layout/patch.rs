//! One face as the layout sees it: places inside it, and boxes that hold its surface.

use crate::geometry::{Domain, Region, Surface};
use crate::math::{Interval, Point2, Point3, Vec3};

/// A place inside a face.
#[derive(Debug, Clone, Copy)]
pub struct Sample {
    /// Parameters.
    pub uv: Point2,
    /// Position, mm.
    pub point: Point3,
    /// Unit Su × Sv.
    pub normal: Vec3,
    /// Area it stands for, mm².
    pub weight: f64,
}

/// A box that holds a piece of the surface.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    /// Least corner.
    pub low: Vec3,
    /// Greatest corner.
    pub high: Vec3,
    /// Parameters of the piece's middle: a start for searches.
    pub uv: Point2,
    /// Position there.
    pub middle: Point3,
}

/// A face prepared.
#[derive(Debug, Clone)]
pub struct Patch {
    /// The trimmed region.
    pub region: Region,
    /// Places inside, spread evenly over the parameters, and a few along its borders that stand for no area.
    pub samples: Vec<Sample>,
    /// Boxes over the whole of it.
    pub cells: Vec<Cell>,
}

/// Lines of places a side, tried until [`ENOUGH`] lie inside. Larger first: slower; smaller last: narrow faces across
/// their parameter box have no place inside and cannot be compared.
const LINES: [usize; 4] = [8, 16, 40, 100];
/// Places that suffice to compare a face. Smaller: faces that share a corner only are told apart worse; larger: slower
/// for narrow ones.
const ENOUGH: usize = 12;
/// Places within each side of a face. Smaller: short laps go unseen; larger: slower.
const ON_SIDE: usize = 4;
/// Where places lie between grid lines, as a share: off the middle, where faces cut in halves have their borders.
const OFF: (f64, f64) = (0.4637, 0.5419);
/// How far a surface may bulge out of the chord of a cell, as a share of the cell's size, before the cell is halved.
/// Larger: boxes are fat and more faces are looked at in vain; smaller: more boxes.
const BULGE: f64 = 0.1;
/// Times a cell may be halved. Smaller: fat boxes on strongly curved faces; larger: slower on damaged ones.
const HALVINGS: u32 = 8;
/// Times the bulge seen at the middles that a box is widened by: what lies between them bulges a little more.
const WIDER: f64 = 1.5;

impl Patch {
    /// Prepares a face, with places `inset` (mm) within its borders; None when its parameters have no bounds.
    pub fn new(surface: &Surface, domain: &Domain, inset: f64) -> Option<Self> {
        let region = Region::new(domain);
        let (u, v) = region.bounds();
        if !(u.is_bounded() && v.is_bounded() && u.length() > 0.0 && v.length() > 0.0) {
            return None;
        }
        let mut samples = Vec::new();
        for lines in LINES {
            samples = sampled(surface, &region, (u, v), lines);
            if samples.len() >= ENOUGH {
                break;
            }
        }
        samples.extend(along_borders(surface, domain, &region, inset));
        let mut cells = Vec::new();
        split(surface, u, v, HALVINGS, &mut cells);
        Some(Self { region, samples, cells })
    }
}

/// Places a little within each side of a domain: what laps over a neighbour by less than a grid line's distance.
fn along_borders(surface: &Surface, domain: &Domain, region: &Region, inset: f64) -> Vec<Sample> {
    let mut all = Vec::new();
    for side in domain.loops.iter().flat_map(|l| &l.sides) {
        for i in 0..ON_SIDE {
            let share = side.from + (side.to - side.from) * ((i as f64 + OFF.0) / ON_SIDE as f64);
            let p = side.at(surface, share);
            let d = surface.derivs(p.uv.u, p.uv.v, 1);
            let Some(normal) = d.su.cross(d.sv).try_normalize() else { continue };
            let along = if side.forward { p.tangent } else { -p.tangent };
            let Some(inward) = normal.cross(along).try_normalize() else { continue };
            // The step of parameters that moves by `inward`: inner products with Su and Sv (NB §6.1).
            let (e, f, g) = (d.su.dot(d.su), d.su.dot(d.sv), d.sv.dot(d.sv));
            let (a, b, det) = (inward.dot(d.su), inward.dot(d.sv), e * g - f * f);
            let uv = Point2::new(p.uv.u + inset * (g * a - f * b) / det, p.uv.v + inset * (e * b - f * a) / det);
            if uv.is_finite() && region.contains(uv) {
                all.extend(sample(surface, uv, 0.0));
            }
        }
    }
    all
}

fn sample(surface: &Surface, uv: Point2, cell: f64) -> Option<Sample> {
    let d = surface.derivs(uv.u, uv.v, 1);
    let cross = d.su.cross(d.sv);
    let normal = cross.try_normalize().filter(|n| n.is_finite())?;
    d.s.is_finite().then(|| Sample { uv, point: d.s, normal, weight: cross.length() * cell })
}

/// Places inside a face on a grid of `lines` × `lines` over a box of parameters, collapsed ones left out.
pub fn sampled(surface: &Surface, region: &Region, (u, v): (Interval, Interval), lines: usize) -> Vec<Sample> {
    let n = lines as f64;
    let cell = u.length() * v.length() / (n * n);
    let places = (0..lines * lines).map(|k| Point2::new(u.at(((k / lines) as f64 + OFF.0) / n), v.at(((k % lines) as f64 + OFF.1) / n)));
    places.filter(|&uv| region.contains(uv)).filter_map(|uv| sample(surface, uv, cell)).collect()
}

/// Boxes over a rectangle of parameters, halved across the direction that bulges more until they fit.
fn split(surface: &Surface, u: Interval, v: Interval, left: u32, cells: &mut Vec<Cell>) {
    let at = |i: usize, j: usize| surface.point(u.at(i as f64 * 0.5), v.at(j as f64 * 0.5));
    let points: Vec<Point3> = (0..9).map(|k| at(k / 3, k % 3)).collect();
    let p = |i: usize, j: usize| points.get(3 * i + j).copied().unwrap_or(Point3::ORIGIN);
    let bulge = |a: Point3, middle: Point3, b: Point3| middle.distance(a.lerp(b, 0.5));
    let of_u = (0..3).map(|j| bulge(p(0, j), p(1, j), p(2, j))).fold(0.0, f64::max);
    let of_v = (0..3).map(|i| bulge(p(i, 0), p(i, 1), p(i, 2))).fold(0.0, f64::max);
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    for q in &points {
        (low, high) = (low.min(q.to_vec()), high.max(q.to_vec()));
    }
    if !(low.is_finite() && high.is_finite()) {
        return;
    }
    let size = (high - low).length();
    if left > 0 && of_u.max(of_v) > BULGE * size {
        if of_u >= of_v {
            split(surface, Interval::new(u.low, u.at(0.5)), v, left - 1, cells);
            split(surface, Interval::new(u.at(0.5), u.high), v, left - 1, cells);
        } else {
            split(surface, u, Interval::new(v.low, v.at(0.5)), left - 1, cells);
            split(surface, u, Interval::new(v.at(0.5), v.high), left - 1, cells);
        }
        return;
    }
    let more = Vec3::splat(WIDER * (of_u + of_v));
    cells.push(Cell { low: low - more, high: high + more, uv: Point2::new(u.at(0.5), v.at(0.5)), middle: p(1, 1) });
}
