//! The sections of one blend of an edge, square to its spine.

use super::across::Pace;
use super::blend::{Blend, FaceOf, cross};
use super::chain::end_to_end;
use super::cut::Cut;
use super::sides::{FaceSide, places};
use super::station::FilletStation;
use crate::joins::{JoinGraph, Sheets};
use crate::math::{Point2, Point3, Vec3};
use crate::model::FaceId;
use crate::section::Plane;

/// Largest turn of one step over a section, radians. Larger: the top of a sharp peak is cut off; smaller: slower.
const FINE: f64 = 0.06;
/// Fewest and most stations of a face, and the distance between them otherwise, mm.
const FEWEST: usize = 9;
const MOST: usize = 65;
const APART: f64 = 2.0;
/// Times the sections are turned square to the spine that they gave. Fewer: sections of a fillet whose radius changes lean;
/// more: slower, for less than anyone measures.
const TURNS: usize = 2;

/// The stations of a face from one end to the other, all with the same of its two sides first; none where no section leads over.
pub fn stations(sheets: &Sheets<'_>, graph: &JoinGraph, id: FaceId, sides: &[FaceSide], blend: &Blend) -> Vec<FilletStation> {
    let Some(mut face) = FaceOf::new(sheets, id, sides) else { return Vec::new() };
    let rails: Vec<usize> = (0..sides.len()).filter(|&s| sides.get(s).is_some_and(|s| blend.rails.contains(&s.join))).collect();
    let first = one_side(sheets, graph, &face, &rails);
    let length: f64 = first.iter().filter_map(|&s| sides.get(s)).map(|s| s.length).sum();
    let count = ((length / APART).ceil() as usize).clamp(FEWEST, MOST);
    // Half-way places of sections square to the first side, in order along it.
    let along = |&s: &usize| -> Option<Vec<Middle>> {
        let side = sides.get(s)?;
        let share = (count as f64 * side.length / length).ceil() as usize;
        let ways = places(sheets, graph, side, share.max(1)).into_iter().filter_map(|p| cross(sheets, graph, &face, p));
        let over = ways.filter(|c| !first.contains(&c.exit) && rails.contains(&c.exit));
        Some(over.map(|c| Middle { point: c.spine(), uv: c.middle }).collect())
    };
    let mut middles = end_to_end(first.iter().filter_map(along).filter(|m| !m.is_empty()).collect(), |m| m.point);
    face.pace = Pace { turn: FINE, ..face.pace };
    let cut = |middles: &[Middle], i: usize| {
        let plane = Plane::through(middles.get(i)?.point, direction(middles, i)?)?;
        Some((plane, Cut::through(sheets, graph, &face, &first, &plane, middles.get(i)?.uv)?))
    };
    for _ in 1..TURNS {
        let cuts = (0..middles.len()).filter_map(|i| cut(&middles, i));
        let turned = cuts.filter_map(|(_, c)| Some(Middle { point: c.spine(), uv: c.middle()? })).collect();
        middles = turned;
    }
    let read = |(plane, cut): (Plane, Cut)| FilletStation::of(sheets, graph, &face, &plane, &cut);
    (0..middles.len()).filter_map(|i| cut(&middles, i).and_then(read)).collect()
}

/// Half way along a section.
#[derive(Debug, Clone, Copy)]
struct Middle {
    /// Half way between its ends.
    point: Point3,
    /// Parameters half way along it.
    uv: Point2,
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
