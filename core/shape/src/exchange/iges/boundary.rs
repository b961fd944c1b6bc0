//! Boundaries of trimmed surfaces. IGES 5.3, 4.31 (type 141) and 4.32 (type 142).

use super::curve::Piece;
use super::draft::Side;
use super::fit::{FIT, extent, lifted};
use super::plane_curve::PlanePiece;
use super::reader::Reader;
use super::record::Record;
use super::surface::Ground;
use crate::exchange::report::{Fault, Reason};
use crate::geometry::Pcurve;
use crate::math::{Point3, Similarity};
use crate::model::Source;

impl Reader<'_, '_> {
    /// The sides of boundary `number` (type 141 or 142) on a surface. `motion` leads from the file to the model, in
    /// which `ground` stands already.
    pub(super) fn boundary(&mut self, number: u32, ground: &Ground, motion: &Similarity) -> Result<Vec<Side>, Fault> {
        self.within(number, |reader, record| {
            let sides = match record.kind() {
                142 => {
                    let (plane, space) = (record.optional_pointer(2)?, record.optional_pointer(3)?);
                    reader.sides(record, space, plane.into_iter().collect(), ground, motion)?
                }
                141 => {
                    let count = record.count(3, 2)?;
                    let mut at = 4;
                    let mut sides = Vec::new();
                    for _ in 0..count {
                        let space = record.optional_pointer(at)?;
                        let against = record.integer_or(at + 1, 1)? == 2;
                        let planes = record.count(at + 2, 1)?;
                        let plane = record.pointers(at + 3, planes)?;
                        at += 3 + planes;
                        let own = reader.sides(record, space, plane, ground, motion)?;
                        if against {
                            sides.extend(own.into_iter().rev().map(Side::reversed));
                        } else {
                            sides.extend(own);
                        }
                    }
                    sides
                }
                _ => return Err(record.geometry("a boundary on a surface was expected")),
            };
            if sides.is_empty() {
                return Err(record.geometry("it holds no curve"));
            }
            Ok(reader.aligned(record.at(), sides))
        })
    }

    /// One curve in space, one or several in the parameter plane, or either alone.
    fn sides(
        &mut self,
        record: &Record,
        space: Option<u32>,
        plane: Vec<u32>,
        ground: &Ground,
        motion: &Similarity,
    ) -> Result<Vec<Side>, Fault> {
        let mut planes = Vec::new();
        for number in plane {
            match self.plane_curve(number, &ground.map) {
                Ok(pieces) => planes.extend(pieces),
                Err(fault) if matches!(fault.reason, Reason::Limit(_)) || space.is_none() => return Err(fault),
                Err(fault) => {
                    self.remark(record.at(), format!("a curve in its surface's parameters is left out: {fault}"));
                    planes.clear();
                    break;
                }
            }
        }
        let in_space = match space {
            Some(number) => match self.curve(number) {
                Ok(pieces) => Some(pieces.iter().map(|p| p.transformed(motion)).collect::<Vec<_>>()),
                Err(fault) if matches!(fault.reason, Reason::Limit(_)) || planes.is_empty() => return Err(fault),
                Err(fault) => {
                    let text = format!("its curve in space is made from its curve in the surface's parameters: {fault}");
                    self.repair(record.at(), &text, None);
                    None
                }
            },
            None => None,
        };
        match in_space {
            Some(pieces) => {
                let shortest = 1e-9 * pieces.iter().map(Piece::rough_length).sum::<f64>();
                let pieces = pieces.into_iter().filter(|p| p.t0 != p.t1 && p.rough_length() > shortest).collect();
                Ok(paired(pieces, planes, ground))
            }
            None => {
                let at = record.at();
                let lift = |p: PlanePiece| Ok(self.lift(p, ground, at)?.map(|(space, plane)| Side { space, plane: Some(plane) }));
                planes.into_iter().map(lift).filter_map(Result::transpose).collect()
            }
        }
    }

    /// The curve in space over a piece in the parameter plane; None where it shrinks to a point.
    pub(super) fn lift(&mut self, plane: PlanePiece, ground: &Ground, at: Source) -> Result<Option<(Piece, PlanePiece)>, Fault> {
        let (low, high) = (plane.t0.min(plane.t1), plane.t0.max(plane.t1));
        let mut breaks = vec![low];
        if let Pcurve::Nurbs(c) = &plane.curve {
            breaks.extend(c.knots().interior().iter().map(|k| k.0).filter(|&t| t > low && t < high));
        }
        breaks.push(high);
        let eval = |t: f64| lifted(&ground.surface, &plane.curve, t);
        let points = (0..=16).map(|i| Point3::from_vec(eval(low + (high - low) * f64::from(i) / 16.0)[0]));
        let size = extent(points);
        if size.is_nan() || size <= FIT * (1.0 + eval(low)[0].length()) {
            return Ok(None);
        }
        let curve = self.fitted(at, &breaks, FIT * size, &eval)?;
        Ok(curve.map(|curve| (Piece { curve, t0: plane.t0, t1: plane.t1, source: at }, plane)))
    }

    /// The sides with those turned that run against their neighbours.
    fn aligned(&mut self, at: Source, mut sides: Vec<Side>) -> Vec<Side> {
        let tolerance = self.tolerance() * self.unit();
        let mut turned = 0;
        let gap = |a: Point3, b: Point3| a.distance(b);
        // The first runs on into the second, whichever way that one runs.
        let first_turns = match sides.as_slice() {
            [a, b, ..] => {
                let [a0, a1, b0, b1] = [a.space.start(), a.space.end(), b.space.start(), b.space.end()];
                let (on, back) = (gap(a1, b0).min(gap(a1, b1)), gap(a0, b0).min(gap(a0, b1)));
                // Two sides that close a loop meet at both ends either way.
                sides.len() > 2 && back + tolerance < on
            }
            _ => false,
        };
        let mut previous: Option<Point3> = None;
        for side in &mut sides {
            let (start, end) = (side.space.start(), side.space.end());
            let turn = match previous {
                None => first_turns,
                Some(p) => gap(p, end) + tolerance < gap(p, start),
            };
            if turn {
                *side = side.clone().reversed();
                turned += 1;
            }
            previous = Some(side.space.end());
        }
        if turned > 0 {
            self.repair(at, "pieces of its boundary ran against their neighbours; turned", None);
        }
        sides
    }
}

/// How far a piece in the parameter plane may lie from one in space, as a share of its length, to be the same one.
/// Larger: curves of neighbours are taken; smaller: coarse files lose their own trims.
const LARGEST_MISS: f64 = 0.02;

/// Misses that differ by less than this share of the largest allowed are the same. Larger: the wrong one of two near
/// pieces is taken; smaller: rounding chooses the bank of a seam.
const TIE: f64 = 1e-4;

/// Each piece in space with the piece in the parameter plane that follows it, if one does.
fn paired(space: Vec<Piece>, planes: Vec<PlanePiece>, ground: &Ground) -> Vec<Side> {
    let at = |p: &PlanePiece, s: f64| {
        let uv = p.at(s);
        ground.surface.point(uv.u, uv.v)
    };
    let seen: Vec<[Point3; 3]> = planes.iter().map(|p| [at(p, 0.0), at(p, 0.5), at(p, 1.0)]).collect();
    let mut free: Vec<Option<PlanePiece>> = planes.into_iter().map(Some).collect();
    let count = free.len().max(1);
    let mut sides = Vec::with_capacity(space.len());
    for (i, piece) in space.into_iter().enumerate() {
        let (start, middle, end) = (piece.start(), piece.at(0.5), piece.end());
        let allowed = LARGEST_MISS * piece.rough_length();
        let mut best: Option<(f64, usize, bool)> = None;
        // The file's order first, so that it decides between the two banks of a seam.
        for k in (0..free.len()).map(|k| (i + k) % count) {
            let (Some(Some(_)), Some([a, m, b])) = (free.get(k), seen.get(k)) else { continue };
            // Parameters may run unevenly, so middles count for little but to tell two ways round.
            let stray = 1e-3 * m.distance(middle);
            for (miss, turned) in [(a.distance(start).max(b.distance(end)), false), (a.distance(end).max(b.distance(start)), true)] {
                if miss <= allowed && best.as_ref().is_none_or(|(least, ..)| miss + stray + TIE * allowed < *least) {
                    best = Some((miss + stray, k, turned));
                }
            }
        }
        let plane = best.and_then(|(_, k, turned)| {
            let found = free.get_mut(k)?.take()?;
            Some(if turned { found.reversed() } else { found })
        });
        sides.push(Side { space: piece, plane });
    }
    sides
}
