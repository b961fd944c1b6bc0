//! Signed distances of a face to the reference, over its area.

use super::Comparison;
use crate::geometry::{Region, Surface};
use crate::math::{Point2, Point3, Vec3, real};
use crate::model::FaceId;

/// Size of the cells that a face is looked at in first, mm. Larger: small dents are missed; smaller: slower.
const CELL: f64 = 12.0;

/// Least and most cells a way on one face.
const CELLS: (f64, f64) = (6.0, 40.0);

/// Times a cell is quartered where the distance in it is not nearly straight, or the reference's border runs under it; and where a trim
/// does. Larger: slower; smaller: dents are rounded off.
const DEPTH: u32 = 3;
const TRIMS: u32 = 2;

/// How far the distance in a cell's middle may lie off the mean of its quarters', mm, and as a share of the largest distance in the
/// cell. Larger: what lies between samples goes unseen; smaller: slower.
const BENT: f64 = 0.01;
const BENT_SHARE: f64 = 0.02;

/// Samples of a face beyond which cells are not quartered once more. Larger: scans full of noise cost seconds; smaller: dents on
/// large faces stay rough.
const MOST: usize = 30_000;

/// Halvings of the step by which an extreme is climbed to. Larger: slower, for digits the reference does not have.
const CLIMB: u32 = 16;

/// A place on a face and its distance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// Parameters on the face.
    pub uv: Point2,
    /// Signed distance, mm, positive where the face stands out of the reference on its outward side.
    pub value: f64,
    /// Half of the range that the distance takes round the place, mm, ≥ 0.
    pub spread: f64,
    /// Angle between the tangent planes here and at the nearest place of the reference, degrees, 0 to 90: a ray of sight is mirrored
    /// twice that apart (law of reflection), so this is how far highlights differ. None of a mesh, whose normals are its facets'.
    pub tilt: Option<f64>,
    /// Area it stands for, mm².
    pub area: f64,
}

/// The place of an extreme.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// Signed distance, mm.
    pub value: f64,
    /// Parameters on the face.
    pub uv: Point2,
    /// Position, mm.
    pub point: Point3,
}

/// A face's distances.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceDistances {
    /// The face.
    pub face: FaceId,
    /// Over its area, where the reference is near and lies under the place.
    pub samples: Vec<Apart>,
    /// Area farther from the reference than it is near, mm², and area beside its border.
    pub far: f64,
    /// Area beside the reference's border, mm².
    pub beside: f64,
    /// The least distance; None without samples.
    pub least: Option<Extreme>,
    /// The greatest.
    pub most: Option<Extreme>,
    /// The greatest tilt, of all samples; its value is an angle, degrees.
    pub tilted: Option<Extreme>,
}

/// What a place counts as.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Seen {
    Over(f64, Option<f64>),
    Beside,
    Far,
}

/// A place with the area of its cell.
#[derive(Debug, Clone, Copy)]
struct Sample {
    uv: Point2,
    area: f64,
    seen: Seen,
    /// True where the distance passes the limit of what is near within the sample's cell, or may.
    at_limit: bool,
}

/// Angle between two planes by their normals, degrees, 0 to 90.
pub fn tilt(a: Vec3, b: Vec3) -> f64 {
    let angle = real::angle_between(a, b).to_degrees();
    angle.min(180.0 - angle)
}

struct Look<'a> {
    comparison: &'a Comparison<'a>,
    surface: &'a Surface,
    region: Region,
}

/// Distances of a face of the reviewed model, in cells of 12 mm or a fortieth of the face, quartered where they bend. None of a face
/// without domain or area.
pub fn face_distances(comparison: &Comparison<'_>, face: FaceId) -> Option<FaceDistances> {
    let surface = &comparison.sheets.face(face)?.surface;
    let look = Look { comparison, surface, region: Region::new(comparison.sheets.domain(face)?) };
    let (u, v) = look.region.bounds();
    if !(u.is_bounded() && v.is_bounded() && u.length() > 0.0 && v.length() > 0.0) {
        return None;
    }
    let middle = surface.derivs(u.at(0.5), v.at(0.5), 1);
    let count = |length: f64| (length / CELL).ceil().clamp(CELLS.0, CELLS.1) as usize;
    let (nu, nv) = (count(middle.su.length() * u.length()), count(middle.sv.length() * v.length()));
    let mut size = (u.length() / nu as f64, v.length() / nv as f64);
    let centre = |i: usize, j: usize| Point2::new(u.low + size.0 * (i as f64 + 0.5), v.low + size.1 * (j as f64 + 0.5));
    let mut open: Vec<Point2> = (0..nu * nv).map(|k| centre(k / nv, k % nv)).collect();
    let mut found = FaceDistances { face, samples: Vec::new(), far: 0.0, beside: 0.0, least: None, most: None, tilted: None };
    let mut ends = Ends::default();
    // All cells of one size before the next smaller ones, so that what is left to quarter is known.
    for depth in (0..=DEPTH).rev() {
        let mut bent = Vec::new();
        for at in open {
            let cell = look.cell(at, size);
            if cell.is_bent(depth) { bent.push((at, cell)) } else { cell.keep(&mut found, &mut ends, size) }
        }
        if found.samples.len() + 16 * bent.len() > MOST || depth == 0 {
            bent.into_iter().for_each(|(_, cell)| cell.keep(&mut found, &mut ends, size));
            break;
        }
        let half = (0.5 * size.0, 0.5 * size.1);
        open = bent.iter().flat_map(|(at, _)| (0..4).map(move |k| quarter(*at, half, k))).collect();
        size = half;
    }
    found.least = ends.least.map(|(s, step)| look.climbed(s, step, -1.0));
    found.most = ends.most.map(|(s, step)| look.climbed(s, step, 1.0));
    let steeper = |a: (f64, Point2), b: (f64, Point2)| if b.0 > a.0 { b } else { a };
    let tilted = found.samples.iter().filter_map(|s| Some((s.tilt?, s.uv))).reduce(steeper);
    found.tilted = tilted.map(|(value, uv)| Extreme { value, uv, point: surface.point(uv.u, uv.v) });
    (!found.samples.is_empty() || found.far > 0.0 || found.beside > 0.0).then_some(found)
}

/// The samples with the least and the greatest distance, and the size of their cells.
#[derive(Default)]
struct Ends {
    least: Option<(Sample, (f64, f64))>,
    most: Option<(Sample, (f64, f64))>,
}

/// The middle of a quarter of a cell whose half size is given.
fn quarter(at: Point2, half: (f64, f64), k: usize) -> Point2 {
    let sign = |bit: usize| if k & bit == 0 { -0.5 } else { 0.5 };
    Point2::new(at.u + sign(1) * half.0, at.v + sign(2) * half.1)
}

/// What a cell's quarters and its middle show.
struct Cell {
    quarters: [Option<Sample>; 4],
    middle: Option<Sample>,
}

impl Cell {
    fn values(&self) -> Option<[f64; 5]> {
        let of = |s: &Option<Sample>| match s.as_ref()?.seen {
            Seen::Over(x, _) => Some(x),
            _ => None,
        };
        let [a, b, c, d] = &self.quarters;
        Some([of(a)?, of(b)?, of(c)?, of(d)?, of(&self.middle)?])
    }

    fn is_bent(&self, depth: u32) -> bool {
        if let Some([a, b, c, d, middle]) = self.values() {
            let off = (0.25 * (a + b + c + d) - middle).abs().max(0.25 * (a - b - c + d).abs());
            let largest = [a, b, c, d, middle].iter().fold(0.0, |m: f64, x| m.max(x.abs()));
            let at_limit = self.quarters.iter().flatten().any(|s| s.at_limit);
            return depth > 0 && (at_limit || off > BENT + BENT_SHARE * largest);
        }
        let all: Vec<&Sample> = self.quarters.iter().chain([&self.middle]).flatten().collect();
        let kind = |s: &&Sample| core::mem::discriminant(&s.seen);
        let mixed = all.iter().any(|s| all.first().map(kind) != Some(kind(s)));
        let trimmed = !all.is_empty() && all.len() < 5;
        let edge = mixed || all.iter().any(|s| s.at_limit);
        edge && depth > 0 || trimmed && depth > DEPTH - TRIMS
    }

    fn keep(&self, found: &mut FaceDistances, ends: &mut Ends, size: (f64, f64)) {
        // Straight through the quarters: each one's values lie within half of what they change by over a quarter's width.
        let spread = self.values().map_or(0.0, |[a, b, c, d, _]| {
            let (by_u, by_v) = (0.25 * (b + d - a - c), 0.25 * (c + d - a - b));
            (by_u * by_u + by_v * by_v).sqrt()
        });
        for s in self.quarters.iter().flatten() {
            match s.seen {
                Seen::Far => found.far += s.area,
                Seen::Beside => found.beside += s.area,
                Seen::Over(value, tilt) => {
                    found.samples.push(Apart { uv: s.uv, value, spread, tilt, area: s.area });
                    let (of, step) =
                        (|e: &Option<(Sample, (f64, f64))>| e.as_ref().and_then(|e| e.0.value()), (0.5 * size.0, 0.5 * size.1));
                    if of(&ends.least).is_none_or(|x| value < x) {
                        ends.least = Some((*s, step));
                    }
                    if of(&ends.most).is_none_or(|x| value > x) {
                        ends.most = Some((*s, step));
                    }
                }
            }
        }
    }
}

impl Sample {
    fn value(&self) -> Option<f64> {
        match self.seen {
            Seen::Over(x, _) => Some(x),
            _ => None,
        }
    }
}

impl Look<'_> {
    fn cell(&self, at: Point2, size: (f64, f64)) -> Cell {
        let half = (0.5 * size.0, 0.5 * size.1);
        Cell { quarters: core::array::from_fn(|k| self.sample(quarter(at, half, k), half)), middle: self.sample(at, size) }
    }

    /// None beside the face, and where it has no tangent plane or no number.
    fn sample(&self, uv: Point2, (du, dv): (f64, f64)) -> Option<Sample> {
        if !self.region.contains(uv) {
            return None;
        }
        let d = self.surface.derivs(uv.u, uv.v, 1);
        let area = d.su.cross(d.sv).length() * du * dv;
        (area > 0.0 && area.is_finite()).then_some(())?;
        let there = self.comparison.on_reference(d.s)?;
        let far = self.comparison.reference.far;
        let seen = if there.distance > far {
            Seen::Far
        } else if there.is_beside(d.s, self.comparison.reference.slack()) {
            Seen::Beside
        } else {
            Seen::Over(there.signed(d.s), there.uv.map(|_| tilt(d.su.cross(d.sv), there.normal)))
        };
        // Half a diagonal of the cell: the distance changes by no more. Where it is small, cells are wide beside the limit.
        let at_limit = (there.distance - far).abs() < 0.71 * area.sqrt() && there.distance > 0.5 * far;
        Some(Sample { uv, area, seen, at_limit })
    }

    /// The highest place next to a sample, `up` = 1, or the lowest, −1: by steps along the parameters, halved where none leads on,
    /// as the distance to a mesh has corners.
    fn climbed(&self, from: Sample, mut step: (f64, f64), up: f64) -> Extreme {
        let (mut at, mut best) = (from.uv, from.value().unwrap_or(0.0) * up);
        for _ in 0..CLIMB {
            // Bounded: a step is taken at most a few times before it must be halved.
            for _ in 0..8 {
                let around =
                    [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)].map(|(x, y)| Point2::new(at.u + x * step.0, at.v + y * step.1));
                let seen = around.into_iter().filter_map(|uv| Some((uv, self.sample(uv, (1.0, 1.0))?.value()? * up)));
                let Some((uv, value)) = seen.reduce(|a, b| if b.1 > a.1 { b } else { a }).filter(|x| x.1 > best) else { break };
                (at, best) = (uv, value);
            }
            step = (0.5 * step.0, 0.5 * step.1);
        }
        Extreme { value: best * up, uv: at, point: self.surface.point(at.u, at.v) }
    }
}
