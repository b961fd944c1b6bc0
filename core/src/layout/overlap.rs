//! Faces that lie on one another.

use super::field::{Field, Near, Touch};
use super::patch::Sample;
use crate::math::{Arrange, Interval, Point2, Point3};
use crate::model::FaceId;
use std::collections::BTreeMap;

/// How much of two faces is one region.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cover {
    /// All of both: the same face twice.
    Twin,
    /// All of one, a part of the other.
    Within,
    /// A part of both.
    Part,
}

impl Cover {
    /// The stable lower-case name.
    pub fn text(self) -> &'static str {
        match self {
            Cover::Twin => "twin",
            Cover::Within => "within",
            Cover::Part => "part",
        }
    }
}

/// Two faces on one region of space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// The faces, lower id first.
    pub faces: [FaceId; 2],
    /// How much of them.
    pub cover: Cover,
    /// The face that adds nothing: the later twin, the one within the other, the smaller one.
    pub inner: FaceId,
    /// True when their normals, as the file states them, are opposed.
    pub opposed: bool,
    /// Area both cover, mm²; to about 2 % where both are covered in part.
    pub area: f64,
    /// Largest distance between them found where both lie, mm.
    pub distance: f64,
    /// A place there.
    pub point: Point3,
    /// Its parameters on `inner`.
    pub uv: Point2,
}

/// Lines of places a side on which a partial overlap is measured, to about 2 % of its area. Larger: slower; smaller: its area is rougher.
const FINE: usize = 48;
/// Part of the smaller face that must be covered to count. Larger: laps along borders go unseen; smaller: places that
/// lie on a border by chance make overlaps.
const LEAST: f64 = 0.02;
/// Fewest places by which a face can be told to lie on another.
const FEWEST: usize = 3;
/// Sheets that part at an angle, or tangentially as a fillet does from a panel run on beneath it, come as close as any
/// tolerance near their common line. Within four tolerances and at a slant they run on beside what is within one, and
/// cover at least [`PARTED`] of it more (a wedge three times as much, a tangent parting as much again); a lap ends at a
/// border.
const BEYOND: Near = Near { distance: 4.0, angle: 30.0 };
/// See [`BEYOND`]. Larger: wedges pass as laps; smaller: laps of coarse approximations are taken for partings.
const PARTED: f64 = 0.5;

/// What one face's places say of another.
#[derive(Debug, Clone, Copy, Default)]
struct Tally {
    count: usize,
    most: f64,
    agree: usize,
    middle: Option<(Point3, Point2)>,
}

impl Tally {
    fn add(&mut self, sample: &Sample, touch: &Touch) {
        self.count += 1;
        self.most = self.most.max(touch.foot.distance);
        self.agree += usize::from(sample.normal.dot(touch.normal) > 0.0);
        // The last of the first half of what is covered lies near its middle: taken while counts double.
        if self.middle.is_none() || self.count.is_power_of_two() {
            self.middle = Some((sample.point, sample.uv));
        }
    }
}

/// All pairs of faces of which at least `LEAST` of the smaller lies within `tolerance` (mm) of the other; by faces.
/// `areas` in mm², one a face. Of faces of different parts only twins with equal normals count, a part put in twice:
/// parts of an assembly are meant to touch.
pub fn overlaps(field: &Field<'_>, areas: &[f64], tolerance: f64) -> Vec<Overlap> {
    let mut seen: BTreeMap<(FaceId, FaceId), Tally> = BTreeMap::new();
    for (face, _) in field.model.faces() {
        for sample in field.samples(face) {
            for touch in field.touching(sample.point, sample.normal, |f| f != face, Near::on(tolerance)) {
                seen.entry((face, touch.face)).or_default().add(sample, &touch);
            }
        }
    }
    let mut pairs: Vec<[FaceId; 2]> = seen.keys().map(|&(a, b)| if a < b { [a, b] } else { [b, a] }).collect();
    pairs.arrange();
    pairs.dedup();
    pairs.into_iter().filter_map(|p| judged(field, areas, tolerance, p, &seen)).collect()
}

fn judged(
    field: &Field<'_>,
    areas: &[f64],
    tolerance: f64,
    faces: [FaceId; 2],
    seen: &BTreeMap<(FaceId, FaceId), Tally>,
) -> Option<Overlap> {
    let [a, b] = faces;
    let tally = |x: FaceId, y: FaceId| seen.get(&(x, y)).copied().unwrap_or_default();
    let (on_b, on_a) = (tally(a, b), tally(b, a));
    let whole = |f: FaceId, t: &Tally| t.count >= FEWEST && t.count == field.samples(f).len();
    let area = |f: FaceId| areas.get(f.index()).copied().unwrap_or(0.0);
    let (cover, inner, t) = match (whole(a, &on_b), whole(b, &on_a)) {
        (true, true) => (Cover::Twin, b, on_a),
        (true, false) => (Cover::Within, a, on_b),
        (false, true) => (Cover::Within, b, on_a),
        (false, false) => (Cover::Part, if area(b) <= area(a) { b } else { a }, on_a),
    };
    let outer = if inner == a { b } else { a };
    let (x, y) = (field.model.face(a)?, field.model.face(b)?);
    let opposed = |agree: bool| agree != (x.same_sense == y.same_sense);
    let found = match cover {
        Cover::Part => parted(field, inner, outer, tolerance).filter(|p| p.0 >= LEAST * area(inner)),
        _ => Some((area(a).min(area(b)), t)),
    };
    let (area, t) = found?;
    let opposed = opposed(2 * t.agree >= t.count);
    let foreign = x.part != y.part;
    if foreign && (cover != Cover::Twin || opposed) {
        return None;
    }
    let distance = if cover == Cover::Part { t.most } else { on_a.most.max(on_b.most) };
    let (point, uv) = t.middle?;
    Some(Overlap { faces, cover, inner, opposed, area, distance, point, uv })
}

/// The area of `inner` that `outer` covers: places are laid over where it was seen, closely. None where the sheets only
/// part from a common line.
fn parted(field: &Field<'_>, inner: FaceId, outer: FaceId, tolerance: f64) -> Option<(f64, Tally)> {
    let touch = |s: &Sample, near: Near| field.touching(s.point, s.normal, |f| f == outer, near).first().copied();
    let (u, v) = field.bounds(inner)?;
    let none = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
    let (mut seen_u, mut seen_v) = (none, none);
    let first = field.samples_in(inner, (u, v), FINE);
    for s in field.samples(inner).iter().chain(&first).filter(|s| touch(s, Near::on(tolerance)).is_some()) {
        (seen_u, seen_v) = (seen_u.including(s.uv.u), seen_v.including(s.uv.v));
    }
    let wider = |all: Interval, seen: Interval, more: f64| {
        let more = all.length() / FINE as f64 + more * seen.length();
        Interval::new((seen.low - more).max(all.low), (seen.high + more).min(all.high))
    };
    let around = |more: f64| field.samples_in(inner, (wider(u, seen_u, more), wider(v, seen_v, more)), FINE);
    let (mut on, mut beyond) = (0.0, 0.0);
    for s in around(3.0) {
        if touch(&s, Near::on(tolerance)).is_some() {
            on += s.weight;
        } else if touch(&s, Near { distance: BEYOND.distance * tolerance, ..BEYOND }).is_some() {
            beyond += s.weight;
        }
    }
    if beyond > PARTED * on {
        return None;
    }
    // What lies between the places seen and the next ones that were not may be covered too.
    let mut tally = Tally::default();
    let mut covered = 0.0;
    for s in around(0.0) {
        if let Some(t) = touch(&s, Near::on(tolerance)) {
            tally.add(&s, &t);
            covered += s.weight;
        }
    }
    Some((covered, tally))
}
