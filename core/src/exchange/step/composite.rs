//! Curves cut from others and joined end to end. ISO 10303-42, 4.4.38 (trimmed) and 4.4.46 (composite).

use super::parameter::nearest_on;
use super::reader::Reader;
use super::units::Units;
use crate::exchange::part21::{Fields, Instance, Value, number};
use crate::exchange::report::{Fault, Reason};
use crate::geometry::{ChainPiece, Curve};
use crate::math::real;

impl<'a> Reader<'a, '_> {
    /// The pieces of a composite curve, in its direction.
    pub(super) fn pieces(&mut self, composite: &Instance<'a>, units: &Units) -> Result<Vec<ChainPiece>, Fault> {
        let mut pieces = Vec::new();
        for segment in composite.fields().ids(1)? {
            let instance = self.file.get(segment)?;
            // Transition code, sense, curve; a re-parametrised segment adds a length behind them.
            let fields = instance.fields();
            let mut found = self.bounded(fields.id(2)?, units)?;
            if !fields.flag(1)? {
                reverse(&mut found);
            }
            pieces.append(&mut found);
        }
        if pieces.is_empty() {
            return Err(composite.fault(Reason::Geometry("it has no segment")));
        }
        Ok(pieces)
    }

    /// A curve with ends of its own, as pieces.
    fn bounded(&mut self, id: u64, units: &Units) -> Result<Vec<ChainPiece>, Fault> {
        self.within(id, |reader, instance| {
            reader.budget.points(1, instance.at)?;
            match instance.kind() {
                "TRIMMED_CURVE" => Ok(vec![reader.trimmed(instance.fields(), units)?]),
                "COMPOSITE_CURVE" => reader.pieces(instance, units),
                _ => {
                    if let Some(fields) = super::curve::on_surface(instance) {
                        return reader.bounded(fields.id(0)?, units);
                    }
                    let curve = if Self::is_spline_curve(instance) {
                        Curve::Nurbs(reader.spline_curve(instance, Self::point3)?)
                    } else if instance.kind() == "POLYLINE" {
                        Curve::Nurbs(reader.polyline(instance.fields())?)
                    } else {
                        return Err(instance.fault(Reason::Unsupported));
                    };
                    let domain = curve.domain();
                    Ok(vec![ChainPiece { curve: Box::new(curve), start: domain.low, end: domain.high }])
                }
            }
        })
    }

    /// A trimmed curve with its parameters; from `start` to `end` in its own direction.
    fn trimmed(&mut self, fields: Fields<'_, 'a>, units: &Units) -> Result<ChainPiece, Fault> {
        let whole = self.curve(fields.id(1)?, units)?;
        let by_point = fields.enumeration(5) == Ok("CARTESIAN");
        let mut end = |index| -> Result<f64, Fault> {
            let trim = fields.list(index)?;
            let parameter = trim.iter().find_map(number).map(|t| if whole.curve.period().is_some() { t * units.angle } else { t });
            let point = trim.iter().find_map(|v| match v {
                Value::Reference(id) => Some(*id),
                _ => None,
            });
            match (parameter, point) {
                (Some(t), p) if !by_point || p.is_none() => Ok(t),
                (_, Some(p)) => {
                    let p = self.point(p)?;
                    Ok(nearest_on(&whole.curve, p).t)
                }
                _ => Err(fields.fault(Reason::Argument { index, expected: "a parameter or a point" })),
            }
        };
        let (start, mut stop) = (end(2)?, end(3)?);
        let forward = fields.flag(4)?;
        if whole.curve.period().is_some() {
            stop = turned(start, stop, forward);
        }
        if start == stop {
            return Err(fields.fault(Reason::Geometry("it is cut to a point")));
        }
        Ok(ChainPiece { curve: Box::new(whole.curve), start, end: stop })
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

fn reverse(pieces: &mut [ChainPiece]) {
    pieces.reverse();
    for piece in pieces {
        core::mem::swap(&mut piece.start, &mut piece.end);
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
