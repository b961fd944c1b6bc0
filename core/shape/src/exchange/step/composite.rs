//! Curves with ends of their own: cut from others, and joined end to end. ISO 10303-42, 4.4.38 (trimmed) and 4.4.46
//! (composite).

use super::curve::composite;
use super::foot::foot;
use super::reader::Reader;
use super::units::Units;
use crate::exchange::part21::{Fields, Instance, Value, number};
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{ChainPiece, Curve};
use crate::math::real;

impl<'a> Reader<'a, '_> {
    /// The pieces of a composite curve, in its direction.
    pub(super) fn pieces(&mut self, instance: &Instance<'a>, units: &Units) -> Result<Vec<ChainPiece>, Fault> {
        let fields = composite(instance).ok_or_else(|| instance.fault(Reason::Unsupported))?;
        let mut pieces = Vec::new();
        for segment in fields.ids(0)? {
            let segment = self.segment(segment)?;
            let mut found = self.bounded(segment.curve, units)?;
            if !segment.forward {
                reverse(&mut found);
            }
            pieces.append(&mut found);
        }
        if pieces.is_empty() {
            return Err(instance.fault(Reason::Geometry("it has no segment")));
        }
        Ok(pieces)
    }

    /// One segment of a composite curve, in space or in a plane.
    pub(super) fn segment(&mut self, id: u64) -> Result<Segment, Fault> {
        let instance = self.file.get(id)?;
        // Transition code, sense, curve; a re-parametrised segment adds a length behind them.
        let fields = instance.record("COMPOSITE_CURVE_SEGMENT").unwrap_or_else(|| instance.fields());
        Ok(Segment { curve: fields.id(2)?, forward: fields.flag(1)? })
    }

    /// A curve with ends of its own, as pieces; a closed conic once round.
    pub(super) fn bounded(&mut self, id: u64, units: &Units) -> Result<Vec<ChainPiece>, Fault> {
        self.within(id, |reader, instance| {
            reader.budget.points(PIECE_COST, instance.at)?;
            if composite(instance).is_some() {
                return reader.pieces(instance, units);
            }
            if let Some(fields) = super::curve::on_surface(instance) {
                return reader.bounded(fields.id(0)?, units);
            }
            if instance.is("PCURVE") {
                let (curve, start, end) = reader.lifted_pcurve(instance, units)?;
                return Ok(vec![ChainPiece { curve: Box::new(curve), start, end }]);
            }
            let fields = instance.fields();
            match instance.kind() {
                "TRIMMED_CURVE" => return Ok(vec![reader.trimmed(fields, units)?]),
                "CURVE_REPLICA" => {
                    let by = reader.own_operator(fields.id(2)?)?;
                    let mut pieces = reader.bounded(fields.id(1)?, units)?;
                    pieces.iter_mut().for_each(|p| *p.curve = p.curve.transformed(&by));
                    return Ok(pieces);
                }
                "OFFSET_CURVE_3D" => {
                    let mut pieces = reader.bounded(fields.id(1)?, units)?;
                    for p in &mut pieces {
                        *p.curve = reader.offset(fields, (*p.curve).clone(), p.end > p.start)?;
                    }
                    return Ok(pieces);
                }
                _ => {}
            }
            let whole = reader.outside(|reader| reader.curve(id, units))?;
            let domain = whole.curve.domain();
            if !domain.is_bounded() {
                return Err(instance.fault(Reason::Geometry("it has no ends")));
            }
            Ok(vec![ChainPiece { curve: Box::new(whole.curve), start: domain.low, end: domain.high }])
        })
    }

    /// A trimmed curve with its parameters; from `start` to `end` in its own direction.
    fn trimmed(&mut self, fields: Fields<'_, 'a>, units: &Units) -> Result<ChainPiece, Fault> {
        let whole = self.curve(fields.id(1)?, units)?;
        let curve = whole.curve;
        let turns = curve.period().is_some();
        let end = |reader: &mut Self, index| match cut(fields, index, if turns { units.angle } else { 1.0 })? {
            Cut::Parameter(t) => Ok(t),
            Cut::Point(p) => Ok(foot(&curve, reader.point(p)?).t),
        };
        let (mut start, mut stop) = (end(self, 2)?, end(self, 3)?);
        let forward = fields.flag(4)?;
        if turns {
            stop = turned(start, stop, forward);
        } else {
            let domain = curve.domain();
            (start, stop) = (domain.clamp(start), domain.clamp(stop));
        }
        if start == stop {
            return Err(fields.fault(Reason::Geometry("it is cut to a point")));
        }
        Ok(ChainPiece { curve: Box::new(curve), start, end: stop })
    }
}

/// Control points that reading a piece counts as. Smaller: composites of composites, each naming the next twice, keep
/// the reader busy for longer before the limit ends it; larger: long chains meet the limit.
pub(super) const PIECE_COST: usize = 64;

/// A segment of a composite curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Segment {
    pub curve: u64,
    /// It runs with its curve.
    pub forward: bool,
}

/// Where a curve is cut.
#[derive(Debug, Clone, Copy)]
pub(super) enum Cut {
    Parameter(f64),
    /// At this point entity.
    Point(u64),
}

/// The cut that the value at `index` of a trimmed curve says, the way the curve prefers; parameters times `angle`.
pub(super) fn cut(fields: Fields<'_, '_>, index: usize, angle: f64) -> Result<Cut, Fault> {
    let trim = fields.list(index)?;
    let parameter = trim.iter().find_map(number).map(|t| t * angle);
    let point = trim.iter().find_map(|v| match v {
        Value::Reference(id) => Some(*id),
        _ => None,
    });
    let by_point = fields.enumeration(5) == Ok("CARTESIAN");
    match (parameter, point) {
        (Some(t), p) if !by_point || p.is_none() => Ok(Cut::Parameter(t)),
        (_, Some(p)) => Ok(Cut::Point(p)),
        _ => Err(fields.fault(Reason::Argument { index, expected: "a parameter or a point" })),
    }
}

/// The end angle moved by whole turns to lie within one turn after (or before) the start; equal angles are a full turn.
pub(super) fn turned(start: f64, end: f64, forward: bool) -> f64 {
    /// Nearer than this two angles are the same point. Smaller: rounding makes full circles vanish; larger: arcs of
    /// large circles do, a metre's radius still resolving a nanometre.
    const SAME: f64 = 1e-12;
    let turns = (end - start) / real::TAU;
    let rest = (turns - turns.floor()) * real::TAU;
    let ahead = if (SAME..=real::TAU - SAME).contains(&rest) { rest } else { real::TAU };
    if forward || ahead == real::TAU { start + if forward { ahead } else { -ahead } } else { start + ahead - real::TAU }
}

/// Runs pieces the other way.
pub(super) fn reverse(pieces: &mut [ChainPiece]) {
    pieces.reverse();
    for piece in pieces {
        core::mem::swap(&mut piece.start, &mut piece.end);
    }
}

/// Pieces as one curve with its parameters: a chain where there are several.
pub(super) fn joined(mut pieces: Vec<ChainPiece>) -> Option<(Curve, f64, f64)> {
    match pieces.len() {
        0 => None,
        1 => pieces.pop().map(|p| (*p.curve, p.start, p.end)),
        n => Some((Curve::Chain(crate::geometry::Chain { pieces }), 0.0, n as f64)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_runs_the_way_it_is_told() {
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
        for shift in [-3.0, 0.0, 1.0, 5.0] {
            for turn in [-2.0, 0.0, 1.0] {
                let end = shift + 1.0 + turn * real::TAU;
                close(turned(shift, end, true), shift + 1.0);
                close(turned(shift, end, false), shift + 1.0 - real::TAU);
                close(turned(shift, shift + turn * real::TAU, true), shift + real::TAU);
                close(turned(shift, shift + turn * real::TAU, false), shift - real::TAU);
            }
        }
    }
}
