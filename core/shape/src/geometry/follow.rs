//! Splines that follow points on the move, within a tolerance.

use super::SweepError;
use crate::math::{Point3, Vec3};
use crate::nurbs::fit::{Constraint, CurveSample, fit_curve};
use crate::nurbs::{Curve, KnotVector};

/// Degree of the splines.
pub(super) const DEGREE: usize = 5;

/// Samples fitted in each span. Smaller: the fit wavers between them; larger: slower.
const SAMPLES: usize = 12;

/// Shares of each stretch between samples at which the distance is checked: uneven, so that symmetry does not hide it.
const CHECKS: [f64; 3] = [0.21, 0.5, 0.83];

/// Splines over one knot vector.
pub(super) struct Paths {
    pub(super) knots: KnotVector,
    pub(super) paths: Vec<Curve<3>>,
}

/// What is to be followed.
pub(super) struct Following<'a> {
    /// Span ends to begin with, rising from 0 to 1.
    pub(super) spans: Vec<f64>,
    /// Inner span ends with more than a single knot, each with how many.
    pub(super) multiplicity: &'a [(f64, usize)],
    /// Most spans. Larger: memory for what no spline follows; smaller: long winding ways have no form.
    pub(super) most: usize,
    /// Largest distance at equal parameters, in the points' unit, > 0.
    pub(super) tolerance: f64,
}

impl Following<'_> {
    /// Splines over [0, 1] of the points that `at` gives, always equally many: their ends are exact, spans are halved where they are
    /// farther off than the tolerance.
    ///
    /// # Errors
    /// Those of `at`; [`SweepError::TooRough`] where no spline with so many spans comes so near.
    pub(super) fn paths(self, at: &impl Fn(f64) -> Result<Vec<Point3>, SweepError>) -> Result<Paths, SweepError> {
        let mut spans = self.spans;
        loop {
            let knots = knots(&spans, self.multiplicity)?;
            let paths = fitted(&knots, &spans, at)?;
            let off = deviations(&paths, &spans, at)?;
            let worst = off.iter().copied().fold(0.0, f64::max);
            if worst <= self.tolerance {
                return Ok(Paths { knots, paths });
            }
            let mut finer = Vec::with_capacity(2 * spans.len());
            for (w, off) in spans.windows(2).zip(&off) {
                finer.push(w[0]);
                let fine = *off <= self.tolerance;
                if !fine {
                    finer.push(0.5 * (w[0] + w[1]));
                }
            }
            finer.push(1.0);
            if finer.len() > self.most || !worst.is_finite() {
                return Err(SweepError::TooRough(worst));
            }
            spans = finer;
        }
    }
}

fn knots(spans: &[f64], multiplicity: &[(f64, usize)]) -> Result<KnotVector, SweepError> {
    let mut knots = vec![0.0; DEGREE + 1];
    for w in spans.windows(2).skip(1) {
        let own = multiplicity.iter().find(|m| m.0 == w[0]).map_or(1, |m| m.1);
        knots.extend(core::iter::repeat_n(w[0], own));
    }
    knots.extend([1.0; DEGREE + 1]);
    KnotVector::new(DEGREE, knots).map_err(|e| SweepError::Fit(e.into()))
}

fn fitted(knots: &KnotVector, spans: &[f64], at: &impl Fn(f64) -> Result<Vec<Point3>, SweepError>) -> Result<Vec<Curve<3>>, SweepError> {
    let mut shares = vec![0.0];
    for w in spans.windows(2) {
        shares.extend((1..=SAMPLES).map(|i| w[0] + (w[1] - w[0]) * i as f64 / SAMPLES as f64));
    }
    let rows = shares.iter().map(|&s| at(s)).collect::<Result<Vec<_>, _>>()?;
    let last = knots.point_count() - 1;
    let mut paths = Vec::new();
    for j in 0..rows.first().map_or(0, Vec::len) {
        let place = |row: &Vec<Point3>| row.get(j).map_or([f64::NAN; 3], |p| p.to_array());
        let samples: Vec<_> = shares.iter().zip(&rows).map(|(&t, row)| CurveSample { t, point: place(row), weight: 1.0 }).collect();
        let ends = [rows.first().map(|row| Constraint::locked(0, place(row))), rows.last().map(|row| Constraint::locked(last, place(row)))];
        let ends: Vec<Constraint<3>> = ends.into_iter().flatten().collect();
        paths.push(fit_curve(knots, &samples, None, &ends)?);
    }
    Ok(paths)
}

/// Largest distance of the paths from where the points should be, span by span.
fn deviations(paths: &[Curve<3>], spans: &[f64], at: &impl Fn(f64) -> Result<Vec<Point3>, SweepError>) -> Result<Vec<f64>, SweepError> {
    let mut all = Vec::with_capacity(spans.len());
    for w in spans.windows(2) {
        let mut worst = 0.0f64;
        for i in 0..SAMPLES {
            for check in CHECKS {
                let s = w[0] + (w[1] - w[0]) * (i as f64 + check) / SAMPLES as f64;
                for (path, want) in paths.iter().zip(at(s)?) {
                    worst = worst.max((Vec3::from_array(path.derivs(s, 0)[0]) - want.to_vec()).length());
                }
            }
        }
        all.push(worst);
    }
    Ok(all)
}

/// Most spans of a way. Larger: memory for what no spline follows; smaller: long winding ways have no form.
const MOST_SPANS: usize = 256;

/// A spline of degree 5 over [0, 1] of the points that `at` gives, within `tolerance` > 0, mm, at equal parameters; its ends are exact.
///
/// # Errors
/// [`SweepError::Stretch`] where `at` gives no point; [`SweepError::TooRough`] when no spline of bearable size comes so near.
pub fn followed(at: &impl Fn(f64) -> Option<Point3>, tolerance: f64) -> Result<Curve<3>, SweepError> {
    let following = Following { spans: vec![0.0, 1.0], multiplicity: &[], most: MOST_SPANS, tolerance };
    let points = |t: f64| Ok(vec![at(t).filter(|p| p.is_finite()).ok_or(SweepError::Stretch)?]);
    following.paths(&points)?.paths.into_iter().next().ok_or(SweepError::Stretch)
}
