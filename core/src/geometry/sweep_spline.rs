//! A sweep between rails as a spline surface within a tolerance.

use super::sweep::{RailSweep, SweepError, placement};
use crate::math::{Arrange, Point3, Vec3};
use crate::nurbs::fit::{Constraint, CurveSample, fit_curve};
use crate::nurbs::{Curve, KnotVector, Surface};

/// Degree along the rails.
const DEGREE: usize = 5;

/// Samples fitted in each span. Smaller: the fit wavers between them; larger: slower.
const SAMPLES: usize = 12;

/// Shares of each stretch between samples at which the distance is checked: uneven, so that symmetry does not hide it.
const CHECKS: [f64; 3] = [0.21, 0.5, 0.83];

/// Most spans along the rails. Larger: memory for rails no spline follows; smaller: long winding rails have no form.
const MOST_SPANS: usize = 512;

impl RailSweep {
    /// The sweep as a spline over [0, 1] × [0, 1], u along the rails (degree 5) and v along the section (its own degree, knots
    /// and weights): at equal (u, v) within `tolerance` > 0, mm, of [`RailSweep::point`], looked at three times between
    /// any two samples. The moving frame acts on the section's control points as on its points, so only their paths are
    /// fitted, and their deviation bounds the surface's. Knots are where the rails have theirs, and where spans were halved.
    ///
    /// # Errors
    /// [`SweepError::TooRough`] when no spline of bearable size comes so near.
    pub fn to_nurbs(&self, tolerance: f64) -> Result<Surface, SweepError> {
        let (mut spans, multiplicity) = self.spans();
        loop {
            let mut knots = vec![0.0; DEGREE + 1];
            for w in spans.windows(2).skip(1) {
                let own = multiplicity.iter().find(|m| m.0 == w[0]).map_or(1, |m| m.1);
                knots.extend(core::iter::repeat_n(w[0], own));
            }
            knots.extend([1.0; DEGREE + 1]);
            let knots = KnotVector::new(DEGREE, knots).map_err(|e| SweepError::Fit(e.into()))?;
            let paths = self.paths(&knots, &spans)?;
            let off = self.deviations(&paths, &spans)?;
            let worst = off.iter().copied().fold(0.0, f64::max);
            if worst <= tolerance {
                return self.surface(knots, &paths);
            }
            let mut finer = Vec::with_capacity(2 * spans.len());
            for (w, off) in spans.windows(2).zip(&off) {
                finer.push(w[0]);
                let fine = *off <= tolerance;
                if !fine {
                    finer.push(0.5 * (w[0] + w[1]));
                }
            }
            finer.push(1.0);
            if finer.len() > MOST_SPANS || !worst.is_finite() {
                return Err(SweepError::TooRough(worst));
            }
            spans = finer;
        }
    }

    /// Span ends from the rails' knots, and the multiplicity that keeps what the frame keeps there: one order less than
    /// the rail, whose tangent it uses.
    fn spans(&self) -> (Vec<f64>, Vec<(f64, usize)>) {
        let mut knots: Vec<(f64, usize)> = self.rails().iter().flat_map(|r| r.knots()).collect();
        knots.arrange_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        // Both rails' knots at one place, to rounding: the less smooth counts, which comes first.
        knots.dedup_by(|b, a| {
            let same = b.0 - a.0 < 1e-9;
            if same {
                a.1 = a.1.min(b.1);
            }
            same
        });
        knots.retain(|k| k.0 > 1e-9 && k.0 < 1.0 - 1e-9);
        let multiplicity = knots.iter().map(|&(s, order)| (s, DEGREE + 1 - order.clamp(1, DEGREE))).collect();
        let spans = [0.0].into_iter().chain(knots.iter().map(|k| k.0)).chain([1.0]).collect();
        (spans, multiplicity)
    }

    /// The path of each control point of the section, fitted; its ends are exact.
    fn paths(&self, knots: &KnotVector, spans: &[f64]) -> Result<Vec<Curve<3>>, SweepError> {
        let mut shares = vec![0.0];
        for w in spans.windows(2) {
            shares.extend((1..=SAMPLES).map(|i| w[0] + (w[1] - w[0]) * i as f64 / SAMPLES as f64));
        }
        let rows = shares.iter().map(|&s| self.control(s)).collect::<Result<Vec<_>, _>>()?;
        let last = knots.point_count() - 1;
        let mut paths = Vec::new();
        for j in 0..self.section().tracks.len() {
            let place = |row: &Vec<Point3>| row.get(j).map_or([f64::NAN; 3], |p| p.to_array());
            let samples: Vec<_> = shares.iter().zip(&rows).map(|(&t, row)| CurveSample { t, point: place(row), weight: 1.0 }).collect();
            let ends =
                [rows.first().map(|row| Constraint::locked(0, place(row))), rows.last().map(|row| Constraint::locked(last, place(row)))];
            let ends: Vec<Constraint<3>> = ends.into_iter().flatten().collect();
            paths.push(fit_curve(knots, &samples, None, &ends)?);
        }
        Ok(paths)
    }

    /// Largest distance of the paths from where the control points should be, span by span, mm.
    fn deviations(&self, paths: &[Curve<3>], spans: &[f64]) -> Result<Vec<f64>, SweepError> {
        let mut all = Vec::with_capacity(spans.len());
        for w in spans.windows(2) {
            let mut worst = 0.0f64;
            for i in 0..SAMPLES {
                for check in CHECKS {
                    let s = w[0] + (w[1] - w[0]) * (i as f64 + check) / SAMPLES as f64;
                    for (path, want) in paths.iter().zip(self.control(s)?) {
                        worst = worst.max((Vec3::from_array(path.derivs(s, 0)[0]) - want.to_vec()).length());
                    }
                }
            }
            all.push(worst);
        }
        Ok(all)
    }

    /// Control points of the section at a station, mm.
    fn control(&self, share: f64) -> Result<Vec<Point3>, SweepError> {
        let at = placement(self.rails(), share)?;
        Ok(self.section().control(share).into_iter().map(|local| at.world(local)).collect())
    }

    fn surface(&self, knots: KnotVector, paths: &[Curve<3>]) -> Result<Surface, SweepError> {
        let mut points = Vec::with_capacity(knots.point_count() * paths.len());
        for i in 0..knots.point_count() {
            points.extend(paths.iter().filter_map(|p| p.points().get(i)).map(|p| Point3::from_vec((*p).into())));
        }
        let section = self.section();
        let weights = section.weights.as_ref().map(|w| w.iter().copied().cycle().take(points.len()).collect());
        Surface::new(knots, section.knots.clone(), points, weights).map_err(|e| SweepError::Fit(e.into()))
    }
}
