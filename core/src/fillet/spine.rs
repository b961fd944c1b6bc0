//! The sections of one blend of an edge, square to its spine.

use super::across::Pace;
use super::blend::{Blend, FaceOf, cross};
use super::cut::Cut;
use super::sides::{FaceSide, places};
use super::station::FilletStation;
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point2, Point3, Vec3, end_to_end};
use crate::model::FaceId;
use crate::section::Plane;

/// Largest turn of one step over a section, radians. Larger: the top of a sharp peak is cut off; smaller: slower.
const FINE: f64 = 0.06;
/// Least number of steps over the longest section. Fewer: a short peak is stepped over; more: slower.
const STEPS: f64 = 24.0;
/// Stations of a face to begin with. Fewer: the spine's direction is rougher; more: slower.
const FEWEST: usize = 9;
/// Change of radius, setbacks or opening from one station to the next, as a share, above which one is put half way between them,
/// the distance in mm below which none is, and how often. Larger: peaks are cut off; smaller: slower.
const CHANGE: f64 = 0.01;
/// Cosine of the turn of the spine above which one is put there too: eight degrees. Larger: slower; smaller: bends are drawn as corners.
const STRAIGHT: f64 = 0.99;
const APART: f64 = 1.0;
const ROUNDS: usize = 4;
/// Times the sections are turned square to the spine that they gave. Fewer: sections of a fillet whose radius changes lean;
/// more: slower, for less than anyone measures.
const TURNS: usize = 2;

/// The stations of a face from one end to the other, all with the same of its two sides first; none where no section leads over.
pub fn stations(sheets: &Sheets<'_>, graph: &JoinGraph, id: FaceId, sides: &[FaceSide], blend: &Blend) -> Vec<FilletStation> {
    let Some(mut face) = FaceOf::new(sheets, id, sides) else { return Vec::new() };
    let rails: Vec<usize> = (0..sides.len()).filter(|&s| sides.get(s).is_some_and(|s| blend.rails.contains(&s.join))).collect();
    let first = one_side(sheets, graph, &face, &rails);
    let length: f64 = first.iter().filter_map(|&s| sides.get(s)).map(|s| s.length).sum();
    // Half-way places of sections square to the first side, in order along it.
    let along = |&s: &usize| -> Option<Vec<Middle>> {
        let side = sides.get(s)?;
        let share = (FEWEST as f64 * side.length / length).ceil() as usize;
        let ways = places(sheets, graph, side, share.max(1)).into_iter().filter_map(|p| cross(sheets, graph, &face, p));
        let over = ways.filter(|c| !first.contains(&c.exit) && rails.contains(&c.exit));
        Some(over.map(|c| Middle { point: c.spine(), uv: c.middle, length: c.length }).collect())
    };
    let mut middles = end_to_end(first.iter().filter_map(along).filter(|m| !m.is_empty()).collect(), |m| m.point);
    let longest = middles.iter().map(|m| m.length).fold(0.0, f64::max);
    face.pace = Pace { turn: FINE, step: longest / STEPS };
    let cut = |middles: &[Middle], i: usize| {
        let plane = Plane::through(middles.get(i)?.point, direction(middles, i)?)?;
        Some((plane, Cut::through(sheets, graph, &face, &first, &plane, middles.get(i)?.uv)?))
    };
    for _ in 1..TURNS {
        let cuts = (0..middles.len()).filter_map(|i| cut(&middles, i));
        let turned = cuts.filter_map(|(_, c)| Some(Middle { point: c.spine(), uv: c.middle()?, length: c.way.last()?.along })).collect();
        middles = turned;
    }
    let read = |(plane, cut): (Plane, Cut)| FilletStation::of(sheets, graph, &face, &plane, &cut);
    let mut all: Vec<FilletStation> = (0..middles.len()).filter_map(|i| cut(&middles, i).and_then(read)).collect();
    for _ in 0..ROUNDS {
        let between = |pair: &[FilletStation]| {
            let [a, b] = pair else { return None };
            let plane = Plane::through(a.spine.lerp(b.spine, 0.5), a.direction + b.direction)?;
            let near = Point2::new(0.5 * (a.middle.u + b.middle.u), 0.5 * (a.middle.v + b.middle.v));
            let wanted = a.spine.distance(b.spine) > APART && differ(a, b);
            wanted.then(|| Cut::through(sheets, graph, &face, &first, &plane, near).map(|c| (plane, c)).and_then(read)).flatten()
        };
        let added: Vec<Option<FilletStation>> = all.windows(2).map(between).collect();
        if added.iter().all(Option::is_none) {
            break;
        }
        let mut added = added.into_iter();
        all = all.into_iter().flat_map(|s| [Some(s), added.next().flatten()]).flatten().collect();
    }
    all
}

/// True where a fillet changes from one station to the next.
fn differ(a: &FilletStation, b: &FilletStation) -> bool {
    let off = |x: f64, y: f64| (x - y).abs() > CHANGE * x.abs().max(y.abs());
    let settings = match (&a.setting, &b.setting) {
        (Some(x), Some(y)) => off(x.opening, y.opening) || x.setbacks.iter().zip(y.setbacks).any(|(&x, y)| off(x, y)),
        (x, y) => x.is_some() != y.is_some(),
    };
    settings || off(a.radius, b.radius) || a.direction.dot(b.direction).abs() < STRAIGHT
}

/// Half way along a section.
#[derive(Debug, Clone, Copy)]
struct Middle {
    /// Half way between its ends.
    point: Point3,
    /// Parameters half way along it.
    uv: Point2,
    /// Length of the section, mm.
    length: f64,
}

/// The rails on the side of the longest one: sections lead from these to the others.
fn one_side(sheets: &Sheets<'_>, graph: &JoinGraph, face: &FaceOf<'_>, rails: &[usize]) -> Vec<usize> {
    let length = |s: usize| face.sides.get(s).map_or(0.0, |s| s.length);
    let mut order = rails.to_vec();
    order.sort_by(|&a, &b| length(b).total_cmp(&length(a)).then(a.cmp(&b)));
    let exit = |s: usize| {
        let from = places(sheets, graph, face.sides.get(s)?, 1).into_iter().next()?;
        cross(sheets, graph, face, from).map(|c| c.exit)
    };
    let (mut first, mut second): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
    for s in order {
        let out = exit(s);
        let (on_first, to_first) = (first.contains(&s), out.is_some_and(|e| first.contains(&e)));
        if first.is_empty() || on_first || (!second.contains(&s) && !to_first) {
            first.push(s);
            second.extend(out);
        } else {
            second.push(s);
        }
    }
    first.sort_unstable();
    first.dedup();
    first
}

/// Direction of the spine at one of its places: that of the circle through it and the two beside it, or at an end the two next to it.
fn direction(middles: &[Middle], i: usize) -> Option<Vec3> {
    let at = |i: usize| middles.get(i).map(|m| m.point);
    let last = middles.len().checked_sub(1).filter(|&l| l > 0)?;
    if last == 1 {
        return (at(1)? - at(0)?).try_normalize();
    }
    // Inversion at a place of a circle makes a line of it that runs as the circle does there.
    let inverted = |from: usize, to: usize| {
        let way = at(to)? - at(from)?;
        Some(way / way.length_squared())
    };
    let way = match i {
        0 => inverted(0, 1)? - inverted(0, 2)?,
        _ if i == last => inverted(i, i - 2)? - inverted(i, i - 1)?,
        _ => inverted(i, i + 1)? - inverted(i, i - 1)?,
    };
    way.try_normalize()
}
