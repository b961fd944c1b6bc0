//! B-splines: curves and surfaces. IGES 5.3, 4.23 (type 126) and 4.24 (type 128).

use super::reader::Reader;
use super::record::Record;
use crate::exchange::report::{Fault, Reason};
use crate::math::{Interval, Point3};
use crate::nurbs::{self, Direction, KnotVector, MAX_DEGREE, NurbsError};

impl Reader<'_, '_> {
    /// A B-spline curve and the part of it that is meant. File units.
    pub(super) fn spline_curve(&mut self, record: &Record) -> Result<(nurbs::Curve<3>, (f64, f64)), Fault> {
        let (count, degree) = (size(record, 0)?, degree(record, 1)?);
        let knot_count = count + degree + 1;
        let knots = record.reals(6, knot_count)?;
        let weights_at = 6 + knot_count;
        let weights = record.reals(weights_at, count)?;
        self.budget.points(count, record.at())?;
        let points_at = weights_at + count;
        let points = (0..count).map(|i| record.point(points_at + 3 * i).map(Point3::to_array)).collect::<Result<Vec<_>, _>>()?;
        let knots = self.knots(record, degree, knots)?;
        let spline = KnotVector::new(degree, knots).and_then(|k| nurbs::Curve::new(k, points, rational(weights)));
        let curve = spline.map_err(|e| record.fault(Reason::Spline(e)))?;
        let over = curve.domain();
        let range_at = points_at + 3 * count;
        let range = part(over, record.real_or(range_at, over.low)?, record.real_or(range_at + 1, over.high)?);
        Ok((curve, (range.low, range.high)))
    }

    /// A B-spline surface, cut to the part that is meant. File units.
    pub(super) fn spline_surface(&mut self, record: &Record) -> Result<nurbs::Surface, Fault> {
        let (nu, nv) = (size(record, 0)?, size(record, 1)?);
        let (pu, pv) = (degree(record, 2)?, degree(record, 3)?);
        let net =
            nu.checked_mul(nv).filter(|&n| n <= record.len()).ok_or_else(|| record.geometry("its net has more points than values"))?;
        let knots_u = record.reals(9, nu + pu + 1)?;
        let knots_v = record.reals(9 + nu + pu + 1, nv + pv + 1)?;
        let weights_at = 9 + nu + pu + 1 + nv + pv + 1;
        let written = record.reals(weights_at, net)?;
        self.budget.points(net, record.at())?;
        let points_at = weights_at + net;
        // The file runs along the first parameter first; our nets run along the second.
        let places = (0..nu).flat_map(|i| (0..nv).map(move |j| j * nu + i));
        let points = places.clone().map(|k| record.point(points_at + 3 * k)).collect::<Result<Vec<_>, _>>()?;
        let weights = places.filter_map(|k| written.get(k).copied()).collect();
        let (knots_u, knots_v) = (self.knots(record, pu, knots_u)?, self.knots(record, pv, knots_v)?);
        let spline = KnotVector::new(pu, knots_u)
            .and_then(|u| Ok((u, KnotVector::new(pv, knots_v)?)))
            .and_then(|(u, v)| nurbs::Surface::new(u, v, points, rational(weights)));
        let mut surface = spline.map_err(|e| record.fault(Reason::Spline(e)))?;
        let range_at = points_at + 3 * net;
        let (u, v) = surface.domain();
        let u_part = part(u, record.real_or(range_at, u.low)?, record.real_or(range_at + 1, u.high)?);
        let v_part = part(v, record.real_or(range_at + 2, v.low)?, record.real_or(range_at + 3, v.high)?);
        for (along, whole, part) in [(Direction::U, u, u_part), (Direction::V, v, v_part)] {
            if part != whole {
                surface = surface.between(along, part.low, part.high).map_err(|e| record.fault(Reason::Spline(e)))?;
            }
        }
        Ok(surface)
    }

    /// The knots, with steps back that are rounding made level.
    fn knots(&mut self, record: &Record, degree: usize, mut knots: Vec<f64>) -> Result<Vec<f64>, Fault> {
        if !(1..=MAX_DEGREE).contains(&degree) {
            return Err(record.fault(Reason::Spline(NurbsError::Degree(degree))));
        }
        let extent = knots.first().zip(knots.last()).map_or(0.0, |(a, b)| b - a);
        let mut largest = 0.0f64;
        let mut before = f64::NEG_INFINITY;
        for knot in &mut knots {
            if *knot < before && before - *knot <= ROUNDING * extent {
                largest = largest.max(before - *knot);
                *knot = before;
            }
            before = *knot;
        }
        if largest > 0.0 {
            self.repair(record.at(), "knots fell by the rounding of their digits; made level", None);
        }
        Ok(knots)
    }
}

/// Steps of knots below this share of their extent are rounding. Larger: short spans vanish; smaller: files written with
/// few digits are refused.
const ROUNDING: f64 = 1e-9;

/// Control points in one direction; the file states one less.
fn size(record: &Record, index: usize) -> Result<usize, Fault> {
    let upper = record.count(index, 1)?;
    if upper == 0 { Err(record.geometry("it has fewer than two control points")) } else { Ok(upper + 1) }
}

fn degree(record: &Record, index: usize) -> Result<usize, Fault> {
    record.count(index, 1)
}

/// The weights, where they are not all the same.
fn rational(weights: Vec<f64>) -> Option<Vec<f64>> {
    let first = weights.first().copied().unwrap_or(1.0);
    (first <= 0.0 || weights.iter().any(|&w| w != first)).then_some(weights)
}

/// The part of the domain that a file states: the whole where that is none of it, or but for rounding all of it.
fn part(whole: Interval, a: f64, b: f64) -> Interval {
    let slack = 1e-9 * whole.length();
    let low = if (a - whole.low).abs() <= slack { whole.low } else { a };
    let high = if (b - whole.high).abs() <= slack { whole.high } else { b };
    let sound = low < high && whole.contains(low, 0.0) && whole.contains(high, 0.0);
    if sound { Interval::new(low, high) } else { whole }
}
