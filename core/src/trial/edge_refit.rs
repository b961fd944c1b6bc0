//! A border of lower degree, and the patch made anew on it.

use super::bench::{Bench, Outcome, Sheet};
use super::change::shares;
use super::leader::border;
use super::net::{Grain, across, on_side};
use super::{Moved, TrialError};
use crate::layout::BoxSide;
use crate::math::Interval;
use crate::model::FaceId;
use crate::nurbs::fit::{Constraint, CurveSample, SurfaceGrid, fit_curve, fit_grid};
use crate::nurbs::{Curve, KnotVector, MAX_DEGREE, Surface};

/// Fits a patch's border by a curve of stated degree and even spans that keeps its ends, and makes the patch anew on it: over the
/// curve's knots along the side and its own across it, with the curve for its border exactly and the least squares from what it was,
/// corners kept. The result is polynomial. The face must end where its patch ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeRefit {
    /// The face.
    pub face: FaceId,
    /// The side whose border is fitted.
    pub side: BoxSide,
    /// Degree of the border.
    pub degree: usize,
    /// Spans of the border.
    pub spans: usize,
}

/// Spans beyond which a border is not simple any more. Larger: slower.
const SPANS: usize = 64;

/// Control points up to which a patch is made anew. Larger: minutes.
const JOINT: usize = 900;

impl EdgeRefit {
    pub(super) fn made(&self, bench: &Bench<'_>) -> Result<Outcome, TrialError> {
        if !((1..=MAX_DEGREE).contains(&self.degree) && (1..=SPANS).contains(&self.spans)) {
            return Err(TrialError::Number);
        }
        let patch = bench.whole(self.face)?;
        let (curve, off) = self.line(&border(&patch, self.side)?)?;
        let (made, left) = self.rebuilt(&patch, &curve)?;
        let notes = vec![format!("the border lies {off:.6} mm from what it was at most")];
        let moved = Moved { residual: left, notes, ..Moved::default() };
        Ok(Outcome { set: vec![(self.face, Sheet { patch: made, whole: true })], gone: Vec::new(), moved })
    }

    /// The border's fit and its largest distance, mm, at equal parameters.
    fn line(&self, border: &Curve<3>) -> Result<(Curve<3>, f64), TrialError> {
        let over = border.domain();
        let inner: Vec<(f64, usize)> = (1..self.spans).map(|i| (over.at(i as f64 / self.spans as f64), 1)).collect();
        let knots = KnotVector::clamped(self.degree, over, &inner)?;
        let places = dense(&knots, border.knots());
        let samples: Vec<CurveSample<3>> = places.iter().map(|&t| CurveSample { t, point: border.derivs(t, 0)[0], weight: 1.0 }).collect();
        let ends = [over.low, over.high].map(|t| Constraint::on_curve(&knots, t, 0, border.derivs(t, 0)[0]));
        let curve = fit_curve(&knots, &samples, None, &ends)?;
        let off = crate::nurbs::fit::curve_deviation(&curve, &samples).map_or(0.0, |d| d.max);
        Ok((curve, off))
    }

    /// The patch on a border, and its largest distance from what it was, mm, at equal parameters.
    fn rebuilt(&self, patch: &Surface, curve: &Curve<3>) -> Result<(Surface, f64), TrialError> {
        let (own, line) = (patch.knots_along(across(self.side)), curve.knots());
        let (ku, kv) = if self.side.of_u { (own, line) } else { (line, own) };
        let (u, v) = (dense(ku, patch.knots_u()), dense(kv, patch.knots_v()));
        let places: Vec<_> = u.iter().flat_map(|&a| v.iter().map(move |&b| (a, b))).collect();
        let points = places.iter().map(|&(a, b)| patch.derivs(a, b, 0).s).collect();
        let blank = Surface::new(ku.clone(), kv.clone(), vec![crate::math::Point3::ORIGIN; ku.point_count() * kv.point_count()], None)?;
        if blank.points().len() > JOINT {
            return Err(TrialError::Other("too many control points to make the patch anew; refit it first"));
        }
        let grain = Grain::new(&blank, self.side);
        let mut rules: Vec<Constraint<3>> =
            curve.points().iter().enumerate().map(|(c, &p)| Constraint::locked(grain.index(0, c), p)).collect();
        let far = BoxSide { high: !self.side.high, ..self.side };
        let over: Interval = line.domain();
        for (column, t) in [(0, over.low), (grain.columns - 1, over.high)] {
            let (a, b) = on_side(patch, far, t);
            rules.push(Constraint::locked(grain.index(grain.rows - 1, column), patch.derivs(a, b, 0).s.to_array()));
        }
        let grid = SurfaceGrid { u: u.clone(), v: v.clone(), points, weights_u: None, weights_v: None };
        let made = fit_grid(ku, kv, &grid, None, &rules)?;
        let off = places.iter().map(|&(a, b)| made.derivs(a, b, 0).s.distance(patch.derivs(a, b, 0).s)).fold(0.0, f64::max);
        Ok((made, off))
    }
}

/// Places enough for either of two knot vectors over one range.
fn dense(one: &KnotVector, other: &KnotVector) -> Vec<f64> {
    use crate::math::Arrange;
    let mut all = shares(one, 2 * (one.degree() + 2) * one.span_count());
    all.extend(shares(other, 8));
    all.arrange_by(f64::total_cmp);
    all.dedup();
    all
}
